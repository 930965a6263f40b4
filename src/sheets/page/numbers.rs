//! The handful of numbers that matter, as found beside proposed: each as its own answer prints it.

use crate::answer::alignment::Sure;
use crate::answer::cut::Planned;
use crate::answer::wheels::AxleWheels;
use crate::answer::words::capital;
use crate::answer::{Alignment, Cut, Gaps, Lock, NoAnswer, Study, Told, Verdict, alignment};
use crate::car::{AxleName, Shown, Side};
use crate::motion::{Along, Pose, Quantity};

/// The answers about one state of the car that the page tells.
pub struct Asked {
    /// What touches.
    pub gaps: Gaps,
    /// How far it steers.
    pub lock: Lock,
    /// Which stretch of which rail is in the way.
    pub cut: Cut,
}

impl Asked {
    /// Asks a car, with proofs.
    ///
    /// # Errors
    /// [`NoAnswer::Pose`] where the car cannot stand at ride height.
    pub fn of(study: &Study) -> Result<Self, NoAnswer> {
        study.prove(|| false);
        let mut gaps = study.gaps(&Pose::default())?;
        study.doubt(&mut gaps);
        Ok(Self { gaps, lock: study.proven_lock(), cut: study.proven_cut_with(Planned::None) })
    }

    /// The worst of the three.
    pub fn verdict(&self) -> Verdict {
        self.gaps.verdict.max(self.lock.verdict).max(self.cut.verdict)
    }

    /// The questions with their verdicts and sentences.
    pub fn told(&self, shown: Shown) -> [(&'static str, Verdict, String); 3] {
        [
            ("Room to move", self.gaps.verdict, self.gaps.sentence(shown)),
            ("Steering lock", self.lock.verdict, self.lock.sentence(shown)),
            ("Rails to cut", self.cut.verdict, self.cut.sentence(shown)),
        ]
    }
}

/// One number in both states.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// What it is.
    pub what: String,
    /// What that means, for somebody who does not build cars.
    pub means: String,
    /// As found, and proposed.
    pub values: [Value; 2],
    /// Whether it is for those who want to know more.
    pub more: bool,
}

/// A number, and what belongs to it in smaller letters.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Value {
    /// `-24.6 mm`.
    pub number: String,
    /// `± 0.10`, or which parts.
    pub beside: String,
}

impl Value {
    fn plain(number: String) -> Self {
        Self { number, beside: String::new() }
    }
}

/// Rows, as they come.
struct Rows<'a> {
    states: [(&'a Study, &'a Asked); 2],
    shown: Shown,
    list: Vec<Row>,
    more: bool,
}

impl Rows<'_> {
    /// A row of what `of` says of each state; none where it says nothing of either.
    fn add(&mut self, what: &str, means: &str, of: impl Fn(&Study, &Asked) -> Option<Value>) {
        let values = self.states.map(|(study, asked)| of(study, asked));
        if values.iter().any(Option::is_some) {
            let values = values.map(Option::unwrap_or_default);
            self.list.push(Row { what: what.to_owned(), means: means.to_owned(), values, more: self.more });
        }
    }
}

/// All rows. What neither state has is left out.
///
/// # Errors
/// [`NoAnswer`] where an axle cannot be asked.
pub fn rows(states: [(&Study, &Asked); 2], shown: Shown) -> Result<Vec<Row>, NoAnswer> {
    let mut rows = Rows { states, shown, list: Vec::new(), more: false };
    gap_rows(&mut rows);
    lock_rows(&mut rows);
    cut_rows(&mut rows);
    height_rows(&mut rows)?;
    track_rows(&mut rows);
    rows.more = true;
    tyre_rows(&mut rows);
    aligned_rows(&mut rows)?;
    Ok(rows.list)
}

fn gap_rows(rows: &mut Rows) {
    let shown = rows.shown;
    let means =
        "The tightest place between any two parts, wherever the wheels go. Less than nothing means that they overlap.";
    rows.add("Least gap", means, |_, asked| {
        let least = asked.gaps.pairs.iter().min_by(|a, b| a.worst.gap.gap_mm.total_cmp(&b.worst.gap.gap_mm))?;
        let beside = format!("{} to {}", least.a, least.b);
        Some(Value { number: shown.length(least.worst.gap.gap_mm), beside })
    });
    rows.add("Pairs that touch", "Parts that meet somewhere in the travel.", |_, asked| {
        let count = |is: Verdict| asked.gaps.pairs.iter().filter(|p| p.verdict == is).count();
        let short = count(Verdict::Short);
        let beside = if short == 0 { String::new() } else { format!("{short} more nearer than wanted") };
        Some(Value { number: count(Verdict::Touches).to_string(), beside })
    });
}

fn lock_rows(rows: &mut Rows) {
    let shown = rows.shown;
    for side in Side::BOTH {
        let means = "How far the inner wheel steers before anything meets that does not meet straight ahead already, at any height of the wheel.";
        rows.add(&format!("Steering lock {}", side.word()), means, |study, asked| {
            let way = &asked.lock.ways[side as usize];
            let angle = way.worst.steer_deg[side as usize].abs();
            (study.gear.front.steers() && angle.is_finite()).then(|| Value::plain(format!("{angle:.1} deg")))
        });
    }
    rows.add(
        "Rack limiter",
        "What has to be fitted on the rack so that it stops before the first touch.",
        |study, asked| {
            let most = asked.lock.ways.iter().map(|way| way.limiter_mm).fold(0.0, f64::max);
            let told = if most > 0.0 { shown.length(most) } else { "none".to_owned() };
            study.gear.front.steers().then(|| Value::plain(told))
        },
    );
}

fn cut_rows(rows: &mut Rows) {
    let shown = rows.shown;
    let mut rails: Vec<&str> = Vec::new();
    for rail in rows.states.iter().flat_map(|(_, asked)| &asked.cut.rails) {
        if !rails.contains(&rail.rail.as_str()) {
            rails.push(&rail.rail);
        }
    }
    let first = rows.list.len();
    for rail in rails {
        let means = "The stretch that has to go for the tyre to keep its wanted gap.";
        rows.add(&format!("To cut of the {rail}"), means, |_, asked| {
            let Some(cut) = asked.cut.rails.iter().find(|r| r.rail == rail) else {
                return Some(Value::plain("nothing".to_owned()));
            };
            let ranges = cut.to_clear_mm.iter().map(|[a, b]| format!("{} to {}", shown.cell(*a), shown.cell(*b)));
            let number = format!("{} {}", ranges.collect::<Vec<_>>().join(", "), shown.sign());
            Some(Value { number, beside: format!("from the {}", cut.datum) })
        });
    }
    both_sides(&mut rows.list, first);
}

/// Of two rows about the left and the right one of a pair that say the same, one stays, about both.
fn both_sides(list: &mut Vec<Row>, first: usize) {
    let each = |text: &str| {
        ["the left ", "the right ", "left ", "right "]
            .iter()
            .find(|s| text.contains(**s))
            .map(|s| text.replacen(*s, "each ", 1))
    };
    let sideless = |row: &Row| each(&row.what).unwrap_or_else(|| row.what.clone());
    let mut i = first;
    while i < list.len() {
        let twin = (i + 1..list.len())
            .find(|j| sideless(&list[*j]) == sideless(&list[i]) && list[*j].values == list[i].values);
        if let Some(twin) = twin {
            list.remove(twin);
            list[i].what = sideless(&list[i]);
        }
        i += 1;
    }
}

fn height_rows(rows: &mut Rows) -> Result<(), NoAnswer> {
    let shown = rows.shown;
    let [found, proposed] = rows.states.map(|(study, _)| study);
    let [before, after] = [found.stance(&Pose::default())?, proposed.stance(&Pose::default())?];
    let stance = |study: &Study| if std::ptr::eq(study, found) { &before } else { &after };
    let down = proposed.car.ground - found.car.ground;
    if down != 0.0 {
        rows.add("Body lowered", "How much nearer to the ground the body stands.", |study, _| {
            (!std::ptr::eq(study, found)).then(|| Value::plain(shown.length(down)))
        });
    }
    let first = rows.list.len();
    for height in &after.heights {
        rows.add(&format!("Ride height, {}", height.name), "Over the ground, standing.", |study, _| {
            let height = stance(study).heights.iter().find(|h| h.name == height.name)?;
            Some(Value::plain(shown.length(height.ride_mm)))
        });
    }
    both_sides(&mut rows.list, first);
    rows.add("Lowest point", "Over the ground, standing.", |study, _| {
        let lowest = stance(study).lowest.as_ref()?;
        Some(Value { number: shown.length(lowest.height_mm), beside: lowest.part.clone() })
    });
    Ok(())
}

fn track_rows(rows: &mut Rows) {
    let shown = rows.shown;
    for name in AxleName::BOTH {
        rows.add(&format!("Track {}", name.word()), "Between the middles of the tyres on the ground.", |study, _| {
            Some(Value::plain(shown.length(wheels_of(study, name)?.track_mm?)))
        });
    }
}

fn tyre_rows(rows: &mut Rows) {
    for name in AxleName::BOTH {
        let means = "Size on the sidewall, and the wheel's width and diameter.";
        rows.add(&format!("Tyres {}", name.word()), means, |study, _| {
            let axle = wheels_of(study, name)?;
            Some(Value { beside: format!("on {}", axle.size()), number: axle.tyre })
        });
    }
}

fn wheels_of(study: &Study, name: AxleName) -> Option<AxleWheels> {
    study.wheels(None).axles.into_iter().find(|axle| axle.axle == name)
}

/// The numbers of an axle that a customer may have heard of, as they are called to him.
const ALIGNED: [(Quantity, &str, &str); 4] = [
    (Quantity::Camber, "camber", "Lean of the wheel, top outwards positive."),
    (Quantity::Caster, "caster", "Backward lean of the axis that the wheel steers about."),
    (Quantity::Toe, "toe", "Wheels pointing inwards at the front, positive."),
    (
        Quantity::RollCentreHeight,
        "roll centre",
        "Height over the ground of the point about which the body leans at this axle.",
    ),
];

/// How fast two of them change as the wheel rises.
const RATES: [(Quantity, &str, &str); 2] = [
    (Quantity::Camber, "camber gain", "How much the wheel leans over as it rises, top outwards positive"),
    (Quantity::Toe, "bump steer", "How much the wheel steers by itself as it rises, inwards positive"),
];

fn aligned_rows(rows: &mut Rows) -> Result<(), NoAnswer> {
    let shown = rows.shown;
    let [found, proposed] = rows.states.map(|(study, _)| study);
    for name in AxleName::BOTH {
        let of = |study: &Study| match study.gear.axle(name) {
            None => Ok(None),
            Some(_) => study.alignment(name, Along::Travel, None, shown).map(Some),
        };
        let [before, after] = [of(found)?, of(proposed)?];
        let axle = |study: &Study| if std::ptr::eq(study, found) { before.as_ref() } else { after.as_ref() };
        for (quantity, words, means) in ALIGNED {
            let what = capital(&format!("{} {words}", name.word()));
            rows.add(&what, means, |study, _| number(axle(study)?, quantity, shown, |sure| [sure.value, sure.doubt]));
        }
        let (_, _, per) = alignment::step(Along::Travel, shown);
        for (quantity, words, means) in RATES {
            let what = capital(&format!("{} {words}", name.word()));
            rows.add(&what, &format!("{means}, for {per}."), |study, _| {
                number(axle(study)?, quantity, shown, |sure| [sure.rate, sure.rate_doubt])
            });
        }
    }
    Ok(())
}

/// The wheels' number and its doubt, as `alignment` prints the two that are picked; both numbers where left and right differ.
fn number(axle: &Alignment, quantity: Quantity, shown: Shown, pick: fn(&Sure) -> [f64; 2]) -> Option<Value> {
    let number = axle.numbers.iter().find(|n| n.quantity == quantity)?;
    let unit = alignment::unit(number.measure, shown);
    let told = |side: usize| {
        let [value, doubt] = pick(&number.sides[side]?);
        let told = number.give_or_take(value, doubt, shown);
        let (value, doubt) = told.split_once(" ± ").unwrap_or((&told, ""));
        Some((value.to_owned(), doubt.to_owned()))
    };
    let (left, right) = (told(0)?, told(1));
    let doubt = if left.1.is_empty() { String::new() } else { format!("± {}", left.1) };
    Some(match right.filter(|right| right.0 != left.0) {
        Some((right, _)) => {
            Value { number: format!("{} / {right}{unit}", left.0), beside: format!("left / right {doubt}") }
        }
        None => Value { number: format!("{}{unit}", left.0), beside: doubt },
    })
}

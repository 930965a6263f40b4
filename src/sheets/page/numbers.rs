//! The handful of numbers that matter, as found beside proposed: each as its own answer prints it.

use crate::answer::{Alignment, Cut, Gaps, Lock, LockWay, NoAnswer, PairGap, Study, Told, Verdict, alignment};
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
        let (lock, cut) = rayon::join(
            || study.proven_lock(crate::answer::SLACK),
            || study.proven_cut(crate::answer::SLACK),
        );
        Ok(Self { gaps, lock, cut })
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
    pub means: &'static str,
    /// As found, and proposed.
    pub values: [Value; 2],
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

/// All rows. What neither state has is left out.
///
/// # Errors
/// [`NoAnswer`] where an axle cannot be asked.
pub fn rows(states: [(&Study, &Asked); 2], shown: Shown) -> Result<Vec<Row>, NoAnswer> {
    let mut rows = Vec::new();
    let mut add = |what: String, means: &'static str, of: &dyn Fn(usize) -> Option<Value>| {
        let values = [of(0), of(1)];
        if values.iter().any(Option::is_some) {
            rows.push(Row { what, means, values: values.map(Option::unwrap_or_default) });
        }
    };
    let gaps = |i: usize| &states[i].1.gaps;
    add("Least gap".to_owned(), "The tightest place between any two parts, wherever the wheels go. Less than nothing means metal in metal.", &|i| {
        let least = gaps(i).pairs.iter().min_by(|a, b| a.worst.gap.gap_mm.total_cmp(&b.worst.gap.gap_mm))?;
        let beside = format!("{} to {}", least.a, least.b);
        Some(Value { number: shown.length(least.worst.gap.gap_mm), beside })
    });
    add("Pairs that touch".to_owned(), "Parts that meet somewhere in the travel.", &|i| {
        let count = |is: Verdict| gaps(i).pairs.iter().filter(|p: &&PairGap| p.verdict == is).count();
        let short = count(Verdict::Short);
        let beside = if short == 0 { String::new() } else { format!("{short} more nearer than wanted") };
        Some(Value { number: count(Verdict::Touches).to_string(), beside })
    });
    for side in Side::BOTH {
        add(format!("Steering lock {}", side.word()), "How far the inner wheel steers before anything meets, at any height of the wheel.", &|i| {
            let way = &states[i].1.lock.ways[side as usize];
            states[i].0.gear.front.steers().then(|| Value::plain(format!("{:.1} deg", way.worst.steer_deg[side as usize].abs())))
        });
    }
    add("Rack limiter".to_owned(), "What has to be fitted on the rack so that it stops before the first touch.", &|i| {
        let most = states[i].1.lock.ways.iter().map(|w: &LockWay| w.limiter_mm).fold(0.0, f64::max);
        Some(Value::plain(if most > 0.0 { shown.length(most) } else { "none".to_owned() }))
    });
    cut_rows(states, shown, &mut add);
    standing(states, shown, &mut add)?;
    aligned(states, shown, &mut add)?;
    Ok(rows)
}

type Add<'a> = dyn FnMut(String, &'static str, &dyn Fn(usize) -> Option<Value>) + 'a;

fn cut_rows(states: [(&Study, &Asked); 2], shown: Shown, add: &mut Add) {
    let mut rails: Vec<&str> = Vec::new();
    for (_, asked) in states {
        for rail in asked.cut.rails.iter().map(|r| r.rail.as_str()) {
            if !rails.contains(&rail) {
                rails.push(rail);
            }
        }
    }
    for rail in rails {
        let what = format!("To cut of the {rail}");
        add(what, "The stretch that has to go for the tyre to keep its wanted gap.", &|i| {
            let Some(cut) = states[i].1.cut.rails.iter().find(|r| r.rail == rail) else {
                return Some(Value::plain("nothing".to_owned()));
            };
            let ranges: Vec<String> =
                cut.to_clear_mm.iter().map(|[a, b]| format!("{} to {}", shown.cell(*a), shown.cell(*b))).collect();
            let number = format!("{} {}", ranges.join(", "), shown.sign());
            Some(Value { number, beside: format!("from the {}", cut.datum) })
        });
    }
}

/// Heights, tracks and tyres.
fn standing(states: [(&Study, &Asked); 2], shown: Shown, add: &mut Add) -> Result<(), NoAnswer> {
    let stances = [states[0].0.stance(&Pose::default())?, states[1].0.stance(&Pose::default())?];
    let down = states[1].0.car.ground - states[0].0.car.ground;
    add("Body lowered".to_owned(), "How much nearer to the ground the body stands.", &|i| {
        (down != 0.0).then(|| Value::plain(if i == 0 { "-".to_owned() } else { shown.length(down) }))
    });
    for height in &stances[1].heights {
        add(format!("Ride height, {}", height.name), "Over the ground, standing.", &|i| {
            let height = stances[i].heights.iter().find(|h| h.name == height.name)?;
            Some(Value::plain(shown.length(height.ride_mm)))
        });
    }
    add("Lowest point".to_owned(), "Over the ground, standing.", &|i| {
        let lowest = stances[i].lowest.as_ref()?;
        Some(Value { number: shown.length(lowest.height_mm), beside: lowest.part.clone() })
    });
    let wheels = states.map(|(study, _)| study.wheels(None));
    for name in AxleName::BOTH {
        let axle = |i: usize| wheels[i].axles.iter().find(|a| a.axle == name);
        add(format!("Track {}", name.word()), "Between the middles of the tyres on the ground.", &|i| {
            Some(Value::plain(shown.length(axle(i)?.track_mm?)))
        });
        add(format!("Tyres {}", name.word()), "Size on the sidewall, and the wheel's width and diameter.", &|i| {
            let axle = axle(i)?;
            Some(Value { number: axle.tyre.clone(), beside: format!("on {}", axle.size()) })
        });
    }
    Ok(())
}

/// The numbers of an axle that a customer may have heard of.
const ALIGNED: [(Quantity, &str); 4] = [
    (Quantity::Camber, "Lean of the wheel, top outwards positive."),
    (Quantity::Caster, "Backward lean of the axis that the wheel steers about."),
    (Quantity::Toe, "Wheels pointing inwards at the front, positive."),
    (Quantity::RollCentreHeight, "Height over the ground of the point about which the body leans at this axle."),
];

fn aligned(states: [(&Study, &Asked); 2], shown: Shown, add: &mut Add) -> Result<(), NoAnswer> {
    for name in AxleName::BOTH {
        let of = |study: &Study| match study.gear.axle(name) {
            None => Ok(None),
            Some(_) => study.alignment(name, Along::Travel, None, shown).map(Some),
        };
        let axles = [of(states[0].0)?, of(states[1].0)?];
        for (quantity, means) in ALIGNED {
            let words = if quantity == Quantity::RollCentreHeight { "roll centre" } else { quantity.words() };
            add(crate::answer::words::capital(&format!("{} {words}", name.word())), means, &|i| {
                number(axles[i].as_ref()?, quantity, shown)
            });
        }
    }
    Ok(())
}

/// The left wheel's number, as `alignment` prints it, and its doubt.
fn number(axle: &Alignment, quantity: Quantity, shown: Shown) -> Option<Value> {
    let number = axle.numbers.iter().find(|n| n.quantity == quantity)?;
    let sure = number.sides[0]?;
    let told = number.give_or_take(sure.value, sure.doubt, shown);
    let unit = alignment::unit(number.measure, shown);
    let (value, doubt) = told.split_once(" ± ").unwrap_or((&told, ""));
    let beside = if doubt.is_empty() { String::new() } else { format!("± {doubt}") };
    Some(Value { number: format!("{value}{unit}"), beside })
}

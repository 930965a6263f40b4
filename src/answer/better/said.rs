//! Wishes and free coordinates in words: as they are typed, and as they are told.
//!
//! A wish is typed as it is spoken: what, and what it is to be. `bump_steer at most 0.05`, `rear camber_gain from -0.8 to
//! -0.4`, `roll_centre_height stays within 5`, `toe change through travel at most 0.1 either way`, `lock at least 34`, `clear`.

use super::ask::{Aim, Axis, Free, NumberWish, OfNumber, Wish};
use super::trial::per_words;
use crate::answer::alignment::unit;
use crate::answer::words::cell;
use crate::car::error::instead_of;
use crate::car::units::{INCH, parse_length};
use crate::car::{AxleName, PointName, Shown, Side, Sides};
use crate::motion::{Along, Measure, Quantity};

/// Rates that have a name of their own in the trade.
const NAMED: [(&str, Quantity); 2] = [("bump_steer", Quantity::Toe), ("camber_gain", Quantity::Camber)];
/// How a wish is typed, for whoever typed it otherwise.
const FORM: &str = "write what, and then `at most`, `at least`, `from ... to ...`, `near` or `stays within`, such as \"bump_steer at \
                    most 0.05\", \"roll_centre_height stays within 5\" or \"lock at least 34\"";

/// What stands where there is no number.
pub(super) const UNTOLD: &str = "nothing to tell";

/// Words, taken one after the other.
struct Words<'a>(std::iter::Peekable<std::vec::IntoIter<&'a str>>);

impl<'a> Words<'a> {
    fn new(text: &'a str) -> Self {
        let all: Vec<&str> =
            text.split(|c: char| c.is_whitespace() || matches!(c, ':' | ',')).filter(|w| !w.is_empty()).collect();
        Self(all.into_iter().peekable())
    }

    /// The next word, if `of` makes something of it.
    fn take<T>(&mut self, of: impl Fn(&str) -> Option<T>) -> Option<T> {
        let taken = of(self.0.peek()?)?;
        self.0.next();
        Some(taken)
    }

    /// These words, if they come next.
    fn eat(&mut self, words: &str) -> bool {
        let mut ahead = self.0.clone();
        let all = words.split(' ').all(|word| ahead.next() == Some(word));
        if all {
            self.0 = ahead;
        }
        all
    }

    /// A length: bare in the units shown, or with a unit of its own, which may stand apart: `10 mm`, `1 1/2 in`.
    fn length(&mut self, shown: Shown) -> Option<f64> {
        let ahead: Vec<&str> = self.0.clone().take(3).collect();
        let apart =
            (2..=ahead.len()).rev().find_map(|count| Some((count, parse_length(&ahead[..count].join(" ")).ok()?)));
        let Some((count, mm)) = apart else { return self.take(|word| length(word, shown).ok()) };
        self.0.by_ref().take(count).for_each(drop);
        Some(mm)
    }

    fn rest(self) -> Option<String> {
        let left: Vec<&str> = self.0.collect();
        (!left.is_empty()).then(|| left.join(" "))
    }
}

fn axle_of(word: &str) -> Option<AxleName> {
    AxleName::BOTH.into_iter().find(|axle| axle.word() == word)
}

impl Free {
    /// From words: `tie_rod_outer z -15 15`, or `z 15` for so much each way; before it `rear`, `left` or `right`. Lengths
    /// without a unit of their own are in `shown`.
    ///
    /// # Errors
    /// In words, what is wrong and what to write.
    pub fn typed(text: &str, shown: Shown, axle: AxleName) -> Result<Self, String> {
        let mut words = Words::new(text);
        let within = |what: String| format!("\"{text}\": {what}");
        let axle = words.take(axle_of).unwrap_or(axle);
        let side =
            words.take(|w| Side::BOTH.into_iter().find(|s| s.word() == w)).map_or(Sides::Both, |side| match side {
                Side::Left => Sides::Left,
                Side::Right => Sides::Right,
            });
        let point = |w: &str| PointName::ALL.iter().copied().find(|p| p.name() == w);
        let Some(point) = words.take(point) else {
            let word = words.0.next().unwrap_or_default();
            let names = PointName::ALL.iter().map(|p| p.name());
            let which =
                if word.is_empty() { " was named".to_owned() } else { format!(" `{word}`{}", instead_of(word, names)) };
            return Err(within(format!("there is no point{which}")));
        };
        let Some(axis) = words.take(|w| Axis::ALL.into_iter().find(|a| a.name() == w)) else {
            return Err(within(format!(
                "say along which axis `{}` may move: x (forward), y (left) or z (up)",
                point.name()
            )));
        };
        words.eat("from");
        let ends = match (words.length(shown), words.eat("to"), words.length(shown)) {
            (Some(from), _, Some(to)) => Some([from, to]),
            (Some(by), false, None) => Some([-by.abs(), by.abs()]),
            _ => None,
        };
        let (Some([from_mm, to_mm]), None) = (ends, words.rest()) else {
            let example = format!("{} {} -15 15", point.name(), axis.name());
            return Err(within(format!(
                "say from where to where it may move, such as \"{example}\", or how far each way"
            )));
        };
        Ok(Self { axle, point, side, axis, from_mm, to_mm })
    }

    /// `front tie rod, outer joint, z`.
    pub fn words(&self) -> String {
        format!("{}, {}", point_words(self.axle, self.side, self.point), self.axis.name())
    }
}

/// `left front tie rod, outer joint`.
pub(super) fn point_words(axle: AxleName, side: Sides, point: PointName) -> String {
    let side = match side {
        Sides::Both => "",
        Sides::Left => "left ",
        Sides::Right => "right ",
    };
    format!("{side}{} {}", axle.word(), point.words())
}

/// A length: bare in the units shown, or with a unit of its own.
fn length(word: &str, shown: Shown) -> Result<f64, String> {
    match word.parse::<f64>() {
        Ok(v) if v.is_finite() => Ok(v * shown.in_mm()),
        Ok(_) => Err("not a number".to_owned()),
        Err(_) => parse_length(word),
    }
}

impl Wish {
    /// From words, see the head of this module. Numbers without a unit are degrees, per cent, plain ratios or lengths in
    /// `shown`; those of rates are for what `shown` tells them in.
    ///
    /// # Errors
    /// In words, what is wrong and what to write.
    pub fn typed(text: &str, shown: Shown, axle: AxleName) -> Result<Self, String> {
        let mut words = Words::new(text);
        let within = |what: String| format!("\"{text}\": {what}");
        let wish = wish(&mut words, shown, axle).map_err(within)?;
        match words.rest() {
            None => Ok(wish),
            Some(rest) => Err(within(format!("what is `{rest}` for? {FORM}"))),
        }
    }

    /// What it is about: `bump steer`, `rear toe change through the roll`.
    pub fn what(&self) -> String {
        match self {
            Self::Number(number) => number.what(),
            Self::Lock { .. } => "lock".to_owned(),
            Self::Clear => "least gap over what is wanted".to_owned(),
        }
    }

    /// All of it: `bump steer within 0.050 deg either way`.
    pub fn words(&self, shown: Shown) -> String {
        let told = |v: f64| format!("{}{}", self.number(v, shown), unit(self.measure(), shown));
        let what = self.what();
        if let Self::Clear = self {
            return "every wanted gap kept".to_owned();
        }
        match self.aim() {
            Aim::AtMost(v) => format!("{what} at most {}", told(v)),
            Aim::AtLeast(v) => format!("{what} at least {}", told(v)),
            Aim::Between(low, high) if low == -high => format!("{what} at most {} either way", told(high)),
            Aim::Between(low, high) => format!("{what} from {} to {}", self.number(low, shown), told(high)),
            Aim::Near(v) => format!("{what} as near as can be to {}", told(v)),
            Aim::Stays(by) => format!("{what} stays within {}", told(by)),
        }
    }

    /// A number of it as it is printed, without its unit.
    pub fn number(&self, value: f64, shown: Shown) -> String {
        if !value.is_finite() {
            return UNTOLD.to_owned();
        }
        match self {
            // What is shown in inches is told for an inch.
            Self::Number(wish) => {
                let length = if self.measure() == Measure::Length { shown.in_mm() } else { 1.0 };
                cell(value / wish.of_shown(shown) * length, self.measure(), shown)
            }
            Self::Lock { .. } => format!("{value:.1}"),
            Self::Clear => cell(value, self.measure(), shown),
        }
    }

    /// What its numbers are told for, where they are rates: `25 mm of bump`.
    pub fn per(&self, shown: Shown) -> Option<&'static str> {
        match self {
            Self::Number(wish) if wish.of == OfNumber::Rate => Some(per_words(wish.along, shown)),
            _ => None,
        }
    }
}

impl NumberWish {
    fn what(&self) -> String {
        let axle = if self.axle == AxleName::Rear { "rear " } else { "" };
        let q = self.quantity;
        let named = NAMED.iter().find(|(_, quantity)| *quantity == q && self.along == Along::Travel);
        let what = match (self.of, named) {
            (OfNumber::Value, _) => q.words().to_owned(),
            (OfNumber::Change, _) => format!("{} change", q.words()),
            (OfNumber::Rate, Some((name, _))) => name.replace('_', " "),
            (OfNumber::Rate, None) => format!("{} rate along {}", q.words(), self.along.name()),
        };
        let through =
            if self.through { format!(" through the {}", self.along.words()[0].to_lowercase()) } else { String::new() };
        format!("{axle}{what}{through}")
    }
}

fn wish(words: &mut Words, shown: Shown, axle: AxleName) -> Result<Wish, String> {
    if words.eat("clear") {
        return Ok(Wish::Clear);
    }
    if words.eat("lock") {
        let angle = |w: &str| w.parse::<f64>().ok().filter(|v| v.is_finite());
        let at_least = if words.eat("at least") { words.take(angle) } else { None };
        words.eat("deg");
        return at_least
            .map(|at_least_deg| Wish::Lock { at_least_deg })
            .ok_or_else(|| "say how many degrees at least, such as \"lock at least 34\"".to_owned());
    }
    let axle = words.take(axle_of).unwrap_or(axle);
    let (quantity, named) = quantity(words)?;
    let of = if named || words.eat("rate") {
        OfNumber::Rate
    } else if words.eat("change") {
        OfNumber::Change
    } else {
        OfNumber::Value
    };
    let motion = |words: &mut Words| {
        words.eat("the");
        let of = |w: &str| Along::ALL.into_iter().find(|a| a.name() == w);
        words.take(of).ok_or_else(|| {
            let names: Vec<&str> = Along::ALL.iter().map(|a| a.name()).collect();
            format!("say which motion: {}", names.join(", "))
        })
    };
    // What has a name of its own is a rate along travel.
    let mut along = named.then_some(Along::Travel);
    if !named && words.eat("along") {
        along = Some(motion(words)?);
    }
    let through = words.eat("through");
    if through {
        let walked = motion(words)?;
        if along.is_some_and(|along| along != walked) {
            return Err("a rate is followed through the motion that it is taken along: name one motion".to_owned());
        }
        along = Some(walked);
    }
    let along = along.unwrap_or(Along::Travel);
    if of == OfNumber::Change && !through {
        return Err(format!(
            "{} changes through a motion: say which, such as `change through travel`",
            quantity.words()
        ));
    }
    let mut wish = NumberWish { axle, quantity, of, along, through, aim: Aim::Near(0.0) };
    // Bump steer is minded either way.
    let aim = aim(words, quantity.measure(), shown, named && quantity == Quantity::Toe)?;
    let length = |w: f64| w * wish.of_shown(shown);
    wish.aim = aim.map(length);
    Ok(Wish::Number(wish))
}

/// A quantity by its name, with spaces or underscores, and whether it is one of the rates that have their own.
fn quantity(words: &mut Words) -> Result<(Quantity, bool), String> {
    let known = |name: &str| {
        let named = NAMED.iter().find(|(n, _)| *n == name).map(|(_, q)| (*q, true));
        named.or_else(|| Quantity::ALL.iter().find(|q| q.name() == name).map(|q| (*q, false)))
    };
    let ahead: Vec<&str> = words.0.clone().take(4).collect();
    for count in (1..=ahead.len()).rev() {
        if let Some(found) = known(&ahead[..count].join("_")) {
            words.0.by_ref().take(count).for_each(drop);
            return Ok(found);
        }
    }
    let Some(first) = ahead.first() else { return Err(format!("nothing is said: {FORM}")) };
    let names = NAMED.iter().map(|(n, _)| *n).chain(["lock", "clear"]).chain(Quantity::ALL.iter().map(|q| q.name()));
    Err(format!("there is no number `{first}`{}", instead_of(first, names)))
}

/// What it is to be, in the units typed.
fn aim(words: &mut Words, measure: Measure, shown: Shown, either_way: bool) -> Result<Aim, String> {
    let value = |words: &mut Words| {
        let plain = |w: &str| w.parse::<f64>().ok().filter(|v| v.is_finite());
        let value = words.take(plain).ok_or_else(|| {
            let found = words.0.peek().map_or_else(String::new, |w| format!(", and `{w}` is none"));
            format!("a number is missing{found}: {FORM}")
        })?;
        let unit = |w: &str| match (measure, w) {
            (Measure::Angle, "deg") | (Measure::Share, "%") => Some(1.0),
            (Measure::Length, "mm") => Some(1.0 / shown.in_mm()),
            (Measure::Length, "in") => Some(INCH / shown.in_mm()),
            _ => None,
        };
        Ok::<f64, String>(value * words.take(unit).unwrap_or(1.0))
    };
    if words.eat("at most") {
        let most = value(words)?;
        if words.eat("either way") || either_way {
            if most < 0.0 {
                return Err("either way of nothing it cannot be at most a negative number".to_owned());
            }
            return Ok(Aim::Between(-most, most));
        }
        return Ok(Aim::AtMost(most));
    }
    if words.eat("at least") {
        return Ok(Aim::AtLeast(value(words)?));
    }
    if words.eat("from") || words.eat("between") {
        let low = value(words)?;
        if !words.eat("to") && !words.eat("and") {
            return Err(format!("from {low} to what? {FORM}"));
        }
        return Ok(Aim::Between(low, value(words)?));
    }
    if words.eat("near") {
        return Ok(Aim::Near(value(words)?));
    }
    if words.eat("stays within") {
        return Ok(Aim::Stays(value(words)?));
    }
    Err(format!("what is it to be? {FORM}"))
}

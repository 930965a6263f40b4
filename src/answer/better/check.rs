//! Whether what is asked can be asked of a car.

use super::ask::{Aim, BetterAsk, FURTHEST, Free, MOST_FREE, MOST_WISHES, NoBetter, Wish};
use crate::car::error::instead_of;
use crate::car::{Axle, Car, PointName, Shown};

/// What is wrong with it, and what to do.
pub(super) fn ask(car: &Car, ask: &BetterAsk) -> Result<(), NoBetter> {
    let no = |what: String| Err(NoBetter::Asked(what));
    if ask.free.is_empty() {
        return no("nothing may move: free a coordinate of a point, such as \"tie_rod_outer z 15\"".to_owned());
    }
    if ask.wishes.is_empty() {
        return no("nothing is wanted: say what, such as \"bump_steer at most 0.05\"".to_owned());
    }
    if ask.free.len() > MOST_FREE || ask.wishes.len() > MOST_WISHES {
        return no(format!(
            "a search takes at most {MOST_FREE} free coordinates and {MOST_WISHES} wishes: leave some out"
        ));
    }
    if ask.wishes.iter().filter(|wish| matches!(wish, Wish::Lock { .. })).count() > 1 {
        return no("the lock is wished twice: keep the greater".to_owned());
    }
    for (i, one) in ask.free.iter().enumerate() {
        free(car, one).map_err(NoBetter::Asked)?;
        let same = |f: &Free| (f.axle, f.point, f.axis) == (one.axle, one.point, one.axis);
        let clash = |f: &Free| same(f) && (f.side == one.side || f.side == crate::car::Sides::Both);
        if ask.free.iter().enumerate().any(|(k, other)| k != i && clash(other)) {
            let (point, axis) = (one.point.name(), one.axis.name());
            return no(format!("`{point} {axis}` is freed twice: keep one"));
        }
    }
    ask.wishes.iter().try_for_each(|one| wish(car, one)).map_err(NoBetter::Asked)
}

fn axle(car: &Car, name: crate::car::AxleName) -> Result<&Axle, String> {
    car.axle(name)
        .ok_or_else(|| "this car file describes no rear axle: add `rear: (...)`, written as `front` is".to_owned())
}

fn free(car: &Car, free: &Free) -> Result<(), String> {
    let described = axle(car, free.axle)?;
    let name = free.point.name();
    if !described.has(free.point) && !described.right.0.contains_key(&free.point) {
        let names = PointName::ALL.iter().filter(|p| described.has(**p)).map(|p| p.name());
        return Err(format!("the {} axle has no point `{name}`{}", free.axle.word(), instead_of(name, names)));
    }
    let (from, to) = (free.from_mm, free.to_mm);
    if !from.is_finite() || !to.is_finite() || from >= to {
        return Err(format!(
            "`{name} {}` has nowhere to move: give the lesser end first, then the greater",
            free.axis.name()
        ));
    }
    if from.abs().max(to.abs()) > FURTHEST {
        let most = Shown::Mm.length(FURTHEST);
        return Err(format!("`{name} {}` may move by at most {most} each way: take less", free.axis.name()));
    }
    Ok(())
}

fn wish(car: &Car, wish: &Wish) -> Result<(), String> {
    let words = wish.words(Shown::Mm);
    let finite = |v: f64| if v.is_finite() { Ok(()) } else { Err(format!("{words}: that is no number")) };
    match wish.aim() {
        Aim::AtMost(v) | Aim::AtLeast(v) | Aim::Near(v) => finite(v)?,
        Aim::Between(low, high) => {
            finite(low)?;
            finite(high)?;
            if low > high {
                return Err(format!("{words}: give the lesser first, then the greater"));
            }
        }
        Aim::Stays(by) => {
            finite(by)?;
            if by < 0.0 {
                return Err(format!("{words}: what it may change by is not negative"));
            }
        }
    }
    match wish {
        Wish::Number(number) => axle(car, number.axle).map(|_| ()),
        Wish::Lock { .. } if car.front.steering_travel().is_none() => {
            Err("nothing steers the front axle of this car: leave the lock out, or describe its rack or steering box"
                .to_owned())
        }
        Wish::Lock { .. } | Wish::Clear => Ok(()),
    }
}

/// Says that an axle has no such number, or not all through its motion.
pub(super) fn no_number(car: &Car, wish: &Wish) -> NoBetter {
    let Wish::Number(number) = wish else {
        return NoBetter::Asked(
            "the steering cannot be turned to its stop at ride height: look at `scribeline lock` first".to_owned(),
        );
    };
    let through = if number.through { " all through that motion" } else { "" };
    let what = format!(
        "the {} axle of {} has no {}{through}: `scribeline alignment --axle {}` tells the numbers that it has",
        number.axle.word(),
        car.name,
        number.quantity.words(),
        number.axle.word(),
    );
    NoBetter::Asked(what)
}

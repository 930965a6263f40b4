//! Round numbers along an axis.

/// Round steps of 1, 2 or 5 times a power of ten from one value to another: the step, and its multiples in the range;
/// about as many as asked for, at the most.
pub fn ticks(low: f64, high: f64, most: usize) -> (f64, Vec<f64>) {
    let rough = (high - low) / most.max(1) as f64;
    if !(rough > 0.0 && rough.is_finite()) {
        return (1.0, vec![low]);
    }
    let power = 10f64.powf(rough.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0].map(|m| m * power).into_iter().find(|s| *s >= rough * (1.0 - 1e-9));
    let step = step.unwrap_or(10.0 * power);
    let (first, last) = ((low / step - 1e-6).ceil() as i64, (high / step + 1e-6).floor() as i64);
    (step, (first..=last).map(|i| i as f64 * step).collect())
}

/// A number with so many decimals, a true minus as wide as a plus, and no minus before nothing.
pub fn digits(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    if text.chars().any(|c| ('1'..='9').contains(&c)) {
        text.replace('-', "\u{2212}")
    } else {
        text.trim_start_matches('-').to_owned()
    }
}

/// A multiple of a step, with the decimals that the step needs.
pub fn tick_words(value: f64, step: f64) -> String {
    digits(value, decimals(step))
}

/// Decimals that the multiples of a step need.
fn decimals(step: f64) -> usize {
    (-(step.log10() + 1e-9).floor()).clamp(0.0, 9.0) as usize
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round_and_stand_in_the_range() {
        assert_eq!(ticks(-60.0, 65.0, 7), (20.0, vec![-60.0, -40.0, -20.0, 0.0, 20.0, 40.0, 60.0]));
        assert_eq!(ticks(0.0, 1.0, 5).1.len(), 6);
        let (step, at) = ticks(-2.7, 0.4, 7);
        assert_eq!((step, at.len()), (0.5, 6));
        assert_eq!(ticks(3.0, 3.0, 7), (1.0, vec![3.0]));
        assert_eq!(ticks(f64::NAN, 3.0, 7).1.len(), 1);
    }

    #[test]
    fn nothing_has_no_minus() {
        assert_eq!(digits(-0.04, 1), "0.0");
        assert_eq!(digits(-0.06, 1), "\u{2212}0.1");
        assert_eq!((decimals(20.0), decimals(0.5), decimals(0.02), decimals(0.1)), (0, 1, 2, 1));
    }
}

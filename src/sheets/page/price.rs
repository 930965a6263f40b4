//! What it costs, as far as the shop says so.

/// A line of an offer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Price {
    /// What is paid for.
    pub what: String,
    /// In hundredths.
    pub hundredths: i64,
    /// What stands before and after the number.
    pub currency: [String; 2],
}

impl std::str::FromStr for Price {
    type Err = String;

    /// `Front arms: 1800`, `Front arms: £1800.50`, `Trade discount: -200 EUR`.
    fn from_str(text: &str) -> Result<Self, String> {
        let how = "write it as \"Front arms: 1800\" or \"Front arms: 1800.50 EUR\"";
        let (what, amount) = text.rsplit_once(':').ok_or_else(|| how.to_owned())?;
        let (what, amount) = (what.trim(), amount.trim());
        if what.is_empty() {
            return Err(format!("say what it is for: {how}"));
        }
        let of_number = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '-');
        let start = amount.find(of_number).ok_or_else(|| format!("there is no number in \"{amount}\": {how}"))?;
        let end = amount.rfind(of_number).map_or(start, |i| i + 1);
        let hundredths = hundredths(&amount[start..end]).ok_or_else(|| {
            format!("\"{}\" is no amount: write it without a comma, with no or two decimals", &amount[start..end])
        })?;
        Ok(Self {
            what: what.to_owned(),
            hundredths,
            currency: [amount[..start].trim().to_owned(), amount[end..].trim().to_owned()],
        })
    }
}

fn hundredths(number: &str) -> Option<i64> {
    let (sign, plain) = number.strip_prefix('-').map_or((1, number), |plain| (-1, plain));
    let (whole, decimals) = plain.split_once('.').unwrap_or((plain, "00"));
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    if !digits(whole) || !digits(decimals) || decimals.len() != 2 {
        return None;
    }
    // Twelve digits are more than any shop asks for, and add up without a thought.
    (whole.len() <= 12).then(|| Some(sign * (whole.parse::<i64>().ok()? * 100 + decimals.parse::<i64>().ok()?)))?
}

impl Price {
    /// The amount: `1 800`, `£1 800.50`.
    pub fn told(&self) -> String {
        let [before, after] = &self.currency;
        let (sign, hundredths) = (if self.hundredths < 0 { "-" } else { "" }, self.hundredths.unsigned_abs());
        let digits = (hundredths / 100).to_string();
        let mut whole = String::new();
        for (i, digit) in digits.chars().enumerate() {
            if i > 0 && (digits.len() - i) % 3 == 0 {
                whole.push('\u{202f}');
            }
            whole.push(digit);
        }
        let decimals = hundredths % 100;
        let decimals = if decimals == 0 { String::new() } else { format!(".{decimals:02}") };
        let after = if after.is_empty() { String::new() } else { format!(" {after}") };
        format!("{sign}{before}{whole}{decimals}{after}")
    }

    /// All lines together. None where they are not in one currency.
    pub fn total(lines: &[Self]) -> Option<Self> {
        let first = lines.first()?;
        let alike = lines.iter().all(|line| line.currency == first.currency);
        let hundredths = lines.iter().map(|line| line.hundredths).sum();
        alike.then(|| Self { what: "Total".to_owned(), hundredths, currency: first.currency.clone() })
    }
}

//! Printing of numbers and lengths. Feet and inches are a printed form, never a stored one.

use std::fmt::Write;

use num_rational::BigRational;
use num_traits::{Signed, ToPrimitive};

use super::{Decimal, Nm, round};

/// A length in feet and inches to a fraction of an inch: `10'-5 1/2"`. Never 0'-12".
///
/// `fraction` is 1, 2, 4, 8, 16, 32 or 64; halves of the last place go away from zero.
pub fn feet_inches(length: Nm, fraction: i64) -> String {
    let parts = round::nearest(length.wide() * i128::from(fraction), Nm::INCH.wide());
    let sign = if parts < 0 { "-" } else { "" };
    let parts = parts.abs();
    let fraction = i128::from(fraction);
    let (feet, rest) = (parts / (12 * fraction), parts % (12 * fraction));
    let (inches, top) = (rest / fraction, rest % fraction);
    if top == 0 {
        return format!("{sign}{feet}'-{inches}\"");
    }
    let common = num_integer::gcd(top, fraction);
    format!("{sign}{feet}'-{inches} {}/{}\"", top / common, fraction / common)
}

/// An exact value with a fixed number of decimals, halves away from zero.
pub fn decimal_places(value: &BigRational, places: u32) -> String {
    let scale = num_traits::pow(num_bigint::BigInt::from(10), places as usize);
    let scaled = round::nearest_ratio(&(value * BigRational::from_integer(scale.clone())));
    let sign = if scaled.is_negative() { "-" } else { "" };
    let size = scaled.abs();
    if places == 0 {
        return format!("{sign}{size}");
    }
    let (whole, part) = (&size / &scale, &size % &scale);
    format!("{sign}{whole}.{:0>width$}", part.to_u128().unwrap_or(0), width = places as usize)
}

/// The same of a ratio of whole numbers that are no larger than lengths.
pub fn decimal_of(num: i128, den: i128, places: u32) -> String {
    let scale = 10_i128.pow(places);
    let scaled = round::nearest(num * scale, den);
    let sign = if scaled < 0 { "-" } else { "" };
    let size = scaled.abs();
    if places == 0 {
        return format!("{sign}{size}");
    }
    let (whole, part) = (size / scale, size % scale);
    format!("{sign}{whole}.{part:0>width$}", width = places as usize)
}

/// A floating value as the shortest decimal text that reads back as the same number.
pub fn shortest(value: f64) -> String {
    let mut text = String::new();
    push_shortest(&mut text, value);
    text
}

/// A value to a number of significant digits: what is left of a conversion's rounding is not printed.
pub fn significant(value: f64, digits: usize) -> f64 {
    format!("{value:.*e}", digits.saturating_sub(1)).parse().unwrap_or(value)
}

/// Appends [`shortest`] to a text.
pub fn push_shortest(text: &mut String, value: f64) {
    /// Decimals of the short way, and the power of ten that they make.
    const PLACES: usize = 6;
    const SCALE: f64 = 1e6;
    // Numbers of at most 15 digits are told apart by a double: where one of them, divided exactly rounded, is the
    // value, no shorter one is. Lists hold hardly any other, and whole numbers print fast.
    let scaled = round::nearest_f64(value * SCALE);
    if scaled == 0.0 || scaled.abs() >= 1e15 || scaled / SCALE != value {
        // Writing to a string cannot fail.
        let _ = write!(text, "{value}");
        return;
    }
    #[expect(clippy::cast_possible_truncation, reason = "a whole number under 1e15")]
    let whole = scaled as i64;
    let mut digits = [b'0'; 24];
    let (mut rest, mut at) = (whole.unsigned_abs(), digits.len());
    let mut count = 0;
    // At least one digit before the point.
    while rest > 0 || count <= PLACES {
        if count == PLACES {
            at -= 1;
            digits[at] = b'.';
        }
        at -= 1;
        digits[at] = b'0' + (rest % 10) as u8;
        rest /= 10;
        count += 1;
    }
    let shown = std::str::from_utf8(&digits[at..]).unwrap_or_default();
    if whole < 0 {
        text.push('-');
    }
    text.push_str(shown.trim_end_matches('0').trim_end_matches('.'));
}

/// A floating value with a fixed number of decimals: its shortest decimal, halves away from zero,
/// with commas between thousands.
pub fn thousands(value: f64, places: u32) -> String {
    let exact = Decimal::parse(&shortest(value)).map_or_else(
        || BigRational::from_float(value).unwrap_or_else(num_traits::Zero::zero),
        Decimal::ratio,
    );
    let text = decimal_places(&exact, places);
    let (whole, part) = text.split_once('.').map_or((text.as_str(), ""), |(w, p)| (w, p));
    let (sign, digits) = whole.strip_prefix('-').map_or(("", whole), |d| ("-", d));
    let mut grouped = String::new();
    for (i, digit) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            grouped.push(',');
        }
        grouped.push(digit);
    }
    if part.is_empty() { format!("{sign}{grouped}") } else { format!("{sign}{grouped}.{part}") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn feet_and_inches_carry() {
        let cases = [
            (Nm::INCH * 202, 16, "16'-10\""),
            (Nm(304_800_000 - 1), 16, "1'-0\""),
            (-Nm::INCH * 3, 16, "-0'-3\""),
            (Nm(3_188_208_000), 16, "10'-5 1/2\""),
            (Nm(793_750), 16, "0'-0 1/16\""),
            (Nm(793_750), 32, "0'-0 1/32\""),
        ];
        for (length, fraction, expected) in cases {
            assert_eq!(feet_inches(length, fraction), expected);
        }
    }

    proptest::proptest! {
        /// The short way prints what the language prints.
        #[test]
        fn shortest_is_what_the_language_prints(whole in -1_000_000_000_000i64..1_000_000_000_000, places in 0i32..8, odd in proptest::num::f64::ANY) {
            let value = whole as f64 / 10f64.powi(places);
            proptest::prop_assert_eq!(shortest(value), format!("{value}"));
            proptest::prop_assert_eq!(shortest(odd), format!("{odd}"));
        }
    }

    #[test]
    fn decimals_round_away_from_zero() {
        assert_eq!(thousands(0.625, 2), "0.63");
        assert_eq!(thousands(-0.625, 2), "-0.63");
        assert_eq!(thousands(39526.930689, 2), "39,526.93");
        assert_eq!(thousands(1234567.0, 0), "1,234,567");
        assert_eq!(thousands(-0.001, 2), "0.00");
    }
}

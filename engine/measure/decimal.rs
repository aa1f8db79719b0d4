//! Decimal numbers exactly as written, never through a double.

use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::pow;

use super::round;

/// A decimal number: `mantissa / 10^scale`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Decimal {
    mantissa: i128,
    scale: u32,
}

impl Decimal {
    /// Most digits that a number may have.
    pub const MOST_DIGITS: usize = 30;

    /// Reads `[+-]digits[.digits]` and nothing else.
    pub fn parse(text: &str) -> Option<Self> {
        let (negative, digits) = match text.strip_prefix('-') {
            Some(rest) => (true, rest),
            None => (false, text.strip_prefix('+').unwrap_or(text)),
        };
        let (whole, part) = match digits.split_once('.') {
            Some((whole, part)) if !part.is_empty() => (whole, part),
            Some(_) => return None,
            None => (digits, ""),
        };
        let all_digits = |s: &str| s.bytes().all(|b| b.is_ascii_digit());
        if whole.is_empty() || !all_digits(whole) || !all_digits(part) {
            return None;
        }
        let part = part.trim_end_matches('0');
        if whole.trim_start_matches('0').len() + part.len() > Self::MOST_DIGITS {
            return None;
        }
        let mantissa = format!("{whole}{part}").parse::<i128>().ok()?;
        let scale = u32::try_from(part.len()).ok()?;
        Some(Self { mantissa: if negative { -mantissa } else { mantissa }, scale })
    }

    /// The number as an exact ratio.
    pub fn ratio(self) -> BigRational {
        BigRational::new(BigInt::from(self.mantissa), pow(BigInt::from(10), self.scale as usize))
    }

    /// The number times a ratio of whole numbers, to the nearest whole, halves away from zero; none beyond 128 bits.
    pub fn times(self, num: i128, den: i128) -> Option<i128> {
        let den = 10_i128.checked_pow(self.scale)?.checked_mul(den)?;
        let num = self.mantissa.checked_mul(num)?;
        // Twice the size is taken on the way.
        let room = num.checked_abs()?.checked_mul(2)?.checked_add(den)?;
        (room > 0 && den.checked_mul(2).is_some()).then(|| round::nearest(num, den))
    }

    /// Whether it is a whole number, and which.
    pub fn whole(self) -> Option<i128> {
        (self.scale == 0).then_some(self.mantissa)
    }
}

#[cfg(test)]
mod tests {
    use super::Decimal;

    #[test]
    fn only_plain_decimals_are_read() {
        for text in ["0", "12.50", "-3.1", "+0.001"] {
            assert!(Decimal::parse(text).is_some(), "{text}");
        }
        for text in ["", ".", "1.", ".5", "1e2", "inf", "nan", "1,5", "0x1", "--1", "1 2"] {
            assert!(Decimal::parse(text).is_none(), "{text}");
        }
        assert!(Decimal::parse(&"9".repeat(31)).is_none());
    }
}

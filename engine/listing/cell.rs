//! What a field of a typed row may be, and the kind of column that it makes.

use std::marker::PhantomData;

use super::{ColumnKind, Datum};
use crate::measure::{self, Dimension, Exact, Nm, Typed, ratio};

/// A type of field: the kind of its column, and how a value stands in it.
pub trait ColumnValue {
    /// The kind of its column.
    const KIND: ColumnKind;
    /// Whether a row may have nothing there.
    const MAY_LACK: bool = false;
    /// The value.
    fn datum(self) -> Datum;
}

/// An exact measure of one dimension, with the unit that it is shown in.
#[derive(Debug, Clone, PartialEq)]
pub struct Amount<M: Typed> {
    exact: Exact,
    unit: String,
    of: PhantomData<M>,
}

impl<M: Typed> Amount<M> {
    /// A value in base units.
    pub fn new(value: num_rational::BigRational, unit: impl Into<String>) -> Self {
        let exact = Exact { value, dimension: M::DIMENSION };
        Self { exact, unit: unit.into(), of: PhantomData }
    }
}

impl Amount<measure::Length> {
    /// A length of whole nanometres.
    pub fn length(length: Nm, unit: impl Into<String>) -> Self {
        Self::new(ratio(length.wide(), 1), unit)
    }
}

/// A measure whose dimension is the row's own, with the unit that it is shown in.
#[derive(Debug, Clone, PartialEq)]
pub struct AnyAmount(pub Exact, pub String);

impl<M: Typed> ColumnValue for Amount<M> {
    const KIND: ColumnKind = ColumnKind::Amount(M::DIMENSION);
    fn datum(self) -> Datum {
        Datum::Amount(self.exact, self.unit)
    }
}

impl ColumnValue for AnyAmount {
    const KIND: ColumnKind = ColumnKind::AnyAmount;
    fn datum(self) -> Datum {
        Datum::Amount(self.0, self.1)
    }
}

/// A value whose kind is the row's own.
impl ColumnValue for Datum {
    const KIND: ColumnKind = ColumnKind::Any;
    const MAY_LACK: bool = true;
    fn datum(self) -> Datum {
        self
    }
}

impl<C: ColumnValue> ColumnValue for Option<C> {
    const KIND: ColumnKind = C::KIND;
    const MAY_LACK: bool = true;
    fn datum(self) -> Datum {
        self.map_or(Datum::Blank, C::datum)
    }
}

macro_rules! cells {
    ($($type:ty, $kind:ident, |$value:ident| $datum:expr;)*) => {$(
        impl ColumnValue for $type {
            const KIND: ColumnKind = ColumnKind::$kind;
            fn datum(self) -> Datum {
                let $value = self;
                $datum
            }
        }
    )*};
}

cells! {
    String, Text, |text| Datum::Text(text);
    &'static str, Text, |text| Datum::text(text);
    usize, Count, |count| Datum::count(count);
    i64, Count, |count| Datum::Count(count);
    u64, Count, |count| Datum::Count(i64::try_from(count).unwrap_or(i64::MAX));
    bool, Flag, |flag| Datum::Flag(flag);
    Nm, Length, |length| Datum::Length(length);
    f64, Number, |number| Datum::Number(number);
}

impl Datum {
    /// Whether it may stand in a column of a kind.
    pub fn fits(&self, kind: ColumnKind, may_lack: bool) -> bool {
        match (self, kind) {
            (Self::Blank, _) => may_lack,
            (_, ColumnKind::Any)
            | (Self::Text(_), ColumnKind::Text)
            | (Self::Count(_), ColumnKind::Count)
            | (Self::Flag(_), ColumnKind::Flag)
            | (Self::Length(_), ColumnKind::Length)
            | (Self::Number(_), ColumnKind::Number)
            | (Self::Amount(..), ColumnKind::AnyAmount) => true,
            (Self::Amount(exact, _), ColumnKind::Amount(dimension)) => exact.dimension == dimension,
            _ => false,
        }
    }

    /// Its measure or number as formulas and scripts take it; nothing for texts, flags and blanks.
    pub fn quantity(&self) -> Option<measure::Quantity> {
        match self {
            Self::Length(length) => Some(measure::Quantity::length(*length)),
            Self::Amount(exact, _) => Some(exact.quantity()),
            Self::Number(number) => Some(measure::Quantity::number(*number)),
            #[expect(clippy::cast_precision_loss, reason = "counts of a job")]
            Self::Count(count) => Some(measure::Quantity::number(*count as f64)),
            Self::Blank | Self::Text(_) | Self::Flag(_) => None,
        }
    }
}

impl ColumnKind {
    /// The dimension of its values, where all of them have one.
    pub fn dimension(self) -> Option<Dimension> {
        match self {
            Self::Length => Some(Dimension::LENGTH),
            Self::Amount(dimension) => Some(dimension),
            Self::Count | Self::Number => Some(Dimension::NUMBER),
            Self::Text | Self::Flag | Self::AnyAmount | Self::Any => None,
        }
    }
}

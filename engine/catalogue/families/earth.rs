//! Earth.

use crate::catalogue::value::give;
use crate::catalogue::{Family, Function, Output, Parameter};
use crate::earth::{
    self,
    limits::{BANK, SWELL},
};
use crate::measure::{Ratio, Volume};

pub(super) const LIST: &[Function] = &[Function {
    name: "swell",
    family: Family::Earth,
    summary: "Computes the loose volume of a bank volume.",
    source: "practice",
    parameters: &[
        Parameter::measure::<Volume>(BANK, "volume in the ground"),
        Parameter::measure::<Ratio>(SWELL, "as a fraction, such as 25.percent"),
    ],
    result: Volume::KIND,
    result_about: "bank x (1 + swell)",
    errors: "",
    example: "swell(100.cy, 25.percent).show(\"cy\")",
    prints: "125 cy",
    evaluate: |a| give(earth::swell(a.measure(0)?, a.measure(1)?)),
}];

//! Snapping to modules.

use crate::catalogue::value::give;
use crate::catalogue::{Family, Function, Parameter, ValueKind};
use crate::forms;
use crate::measure::{Dimension, Length};

const LENGTH: ValueKind = ValueKind::Measure(Dimension::LENGTH);

const SNAP: [Parameter; 3] = [
    Parameter::new("length", LENGTH, "what is snapped, any sign"),
    Parameter::measure::<Length>(forms::MODULE, "module width"),
    Parameter::new("origin", LENGTH, "where the module lines are counted from, any sign"),
];

pub(super) const LIST: &[Function] = &[
    Function {
        name: "snap_down",
        family: Family::Modules,
        summary: "Finds the last module line at or below a length.",
        source: "definition",
        parameters: &SNAP,
        result: LENGTH,
        result_about: "a whole number of modules from the origin, not above the length",
        errors: "the module is not greater than zero; a length is beyond 20,000 km",
        example: "snap_down(11.ft, 2.ft, 20.inch).show(\"ft-in\")",
        prints: "9'-8\"",
        evaluate: |a| give(forms::snap_down(a.length(0)?, a.length(1)?, a.length(2)?)),
    },
    Function {
        name: "snap_up",
        family: Family::Modules,
        summary: "Finds the first module line at or above a length.",
        source: "definition",
        parameters: &SNAP,
        result: LENGTH,
        result_about: "a whole number of modules from the origin, not below the length",
        errors: "the module is not greater than zero; a length is beyond 20,000 km",
        example: "snap_up(11.ft, 2.ft, 20.inch).show(\"ft-in\")",
        prints: "11'-8\"",
        evaluate: |a| give(forms::snap_up(a.length(0)?, a.length(1)?, a.length(2)?)),
    },
    Function {
        name: "snap_near",
        family: Family::Modules,
        summary: "Finds the nearest module line; half-way goes away from the origin.",
        source: "definition",
        parameters: &SNAP,
        result: LENGTH,
        result_about: "a whole number of modules from the origin, nearest to the length",
        errors: "the module is not greater than zero; a length is beyond 20,000 km",
        example: "snap_near(10.ft, 2.ft, 20.inch).show(\"ft-in\")",
        prints: "9'-8\"",
        evaluate: |a| give(forms::snap_near(a.length(0)?, a.length(1)?, a.length(2)?)),
    },
];

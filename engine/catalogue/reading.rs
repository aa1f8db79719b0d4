//! The unit in which the trade reads a result: a pressure on forms in psf, a stress of wood or steel in psi, steel in a
//! wall in square inches a foot.

use super::{Family, Function};
use crate::measure::{Dimension, System, unit};

/// Results that are an area on a length, of steel or of plywood, by function and, of several results, the fields.
const AREA_ON_LENGTH: [(&str, &[&str]); 5] = [
    ("plywood_section", &["rolling"]),
    ("shrinkage_steel", &[]),
    ("required_steel", &["needed", "least", "four_thirds"]),
    ("wall_minimum_steel", &[]),
    ("steel_at_spacing", &[]),
];

/// Lengths of bars that are long enough to be read in feet or metres.
const LONG: [&str; 1] = ["lapped_run"];

/// The unit of a result of a function, or of one of its fields; none where the usual one is read.
pub fn reading_unit(
    function: &Function,
    field: Option<&str>,
    dimension: Dimension,
    system: System,
) -> Option<&'static str> {
    let us = system == System::Us;
    let of = |ours: &'static str, metric: &'static str| Some(if us { ours } else { metric });
    let steel = AREA_ON_LENGTH.iter().any(|(name, fields)| {
        *name == function.name && (fields.is_empty() || field.is_some_and(|f| fields.contains(&f)))
    });
    if steel {
        return of("in2/ft", "mm2/m");
    }
    if field.is_some_and(|field| field.ends_with("_moment")) && dimension == Dimension::FORCE {
        return of("lb*ft/ft", "kN*m/m");
    }
    if dimension == Dimension::EVAPORATION {
        return of("lb/ft2/h", "kg/m2/h");
    }
    if dimension == Dimension::FORCE {
        return of("lb", "kN");
    }
    let small = matches!(function.family, Family::Members | Family::Bars | Family::Bending);
    let second_moment = unit("in4").is_ok_and(|unit| unit.dimension() == dimension);
    match dimension {
        _ if second_moment => of("in4", "mm4"),
        Dimension::PRESSURE if small || function.family == Family::Time => of("psi", "MPa"),
        Dimension::LENGTH if small && !LONG.contains(&function.name) => of("in", "mm"),
        Dimension::LENGTH if function.name.ends_with("tolerance") => of("in", "mm"),
        Dimension::LENGTH if function.family == Family::Bracing => of("in", "mm"),
        Dimension::AREA if small => of("in2", "mm2"),
        Dimension::VOLUME if function.family == Family::Members => of("in3", "mm3"),
        Dimension::FORCE_PER_LENGTH if function.name == "bar_weight" => of("lb/ft", "kg/m"),
        _ => None,
    }
}

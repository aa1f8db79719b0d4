//! Laps of the plan beside those of the code.

use super::spec::SteelSpec;
use crate::measure::{Exact, Nm, Pressure, Ratio};
use crate::rebar::{Coating, Code, InConcrete, LapClass, Position, Spacing, tension_lap};

/// The class B lap of the code for a size: where both strengths are known and it is an inch-pound bar; bottom bars, uncoated,
/// normal weight.
pub fn code_lap(spec: &SteelSpec, name: &str) -> Option<Nm> {
    let strength =
        |exact: &Option<Exact>| Some(Pressure::from_base(exact.as_ref()?.quantity().base()));
    let bar = InConcrete {
        bar: name,
        fc: strength(&spec.rules.concrete)?,
        fy: strength(&spec.rules.steel)?,
        position: Position::Other,
        spacing: Spacing::Wide,
        coating: Coating::Bare,
        lambda: Ratio::of(1.0),
        code: Code::Y14,
    };
    tension_lap(&bar, LapClass::B).ok()?.to_nm().ok()
}

/// Sizes whose lap is shorter than the code's: name, lap, lap of the code.
pub fn short_laps(spec: &SteelSpec) -> Vec<(&str, Nm, Nm)> {
    let one = |bar: &super::NamedBar| Some((bar.lap, code_lap(spec, &bar.name)?));
    let all = spec.bars.iter().filter_map(|bar| Some((bar.name.as_str(), one(bar)?)));
    all.filter(|(_, (lap, code))| lap < code).map(|(name, (lap, code))| (name, lap, code)).collect()
}

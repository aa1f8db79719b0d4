//! Volumes of earth: average ends, prismoid, grid; loose, bank and compacted; truck loads; laid-back trenches.

use num_traits::ToPrimitive;

use super::cut::{SoilClass, layback_default};
use super::dig::{BANK, SWELL};
use crate::measure::{Area, Length, Limits, Ratio, UnitWeight, Volume, Weight, round};
use crate::problem::Problem;

/// Area of a section.
pub const SECTION: Limits = Limits::at_least("areas", 0.0, "sf");
/// Distance of sections.
pub const APART: Limits = Limits::over("apart", 0.0, "ft");
/// Area of a cell of a grid.
pub const CELL: Limits = Limits::over("cell", 0.0, "sf");
/// Height over the grid's formation, cut positive.
const CUT: Limits = Limits::within("cuts", -1_000.0, 1_000.0, "ft");
/// Unit weight of earth.
pub const EARTH: Limits = Limits::over_to("unit_weight", 0.0, 300.0, "pcf");
/// What a truck carries, heaped.
pub const HEAPED: Limits = Limits::over("capacity", 0.0, "cy");
/// What a truck may weigh in load.
pub const PAYLOAD: Limits = Limits::over("payload", 0.0, "lb");
/// Shrinkage from bank to compacted; negative where it grows, as blasted rock does.
pub const SHRINK: Limits = Limits::within("shrink", -1.0, 0.9, "");
/// Width of a trench's bottom.
pub const BOTTOM: Limits = Limits::at_least("bottom", 0.0, "ft");
/// Depth of a trench.
pub const DEEP: Limits = Limits::over_to("depth", 0.0, 20.0, "ft");

/// Volume between sections at even distances by the average of each two ends.
///
/// Source `earthwork-volumes`: Wikibooks, Fundamentals of Transportation, Earthwork: average end area, prismoid; grid
/// by heights used once to four times.
///
/// # Errors
/// There are fewer than two sections; a value is out of its range.
pub fn average_end_volume(areas: &[Area], apart: Length) -> Result<Volume, Problem> {
    APART.check(apart)?;
    if areas.len() < 2 {
        return Err(Problem::error(format!("areas has {} values", areas.len()))
            .help("areas: two sections or more was expected"));
    }
    areas.iter().try_for_each(|area| SECTION.check(*area))?;
    let sum: f64 = areas.windows(2).map(|pair| (pair[0].base() + pair[1].base()) / 2.0).sum();
    Ok(Volume::from_base(sum * apart.base()))
}

/// Volume between two sections by the prismoid: `L (A1 + 4 Am + A2) / 6`, Am from the middle section's own dimensions.
///
/// Source `earthwork-volumes`: Wikibooks, Fundamentals of Transportation, Earthwork: average end area, prismoid; grid
/// by heights used once to four times.
///
/// # Errors
/// A value is out of its range.
pub fn prismoidal_volume(
    first: Area,
    middle: Area,
    last: Area,
    length: Length,
) -> Result<Volume, Problem> {
    SECTION.named("first").check(first)?;
    SECTION.named("middle").check(middle)?;
    SECTION.named("last").check(last)?;
    APART.named("length").check(length)?;
    let sum = first.base() + 4.0 * middle.base() + last.base();
    Ok(Volume::from_base(length.base() * sum / 6.0))
}

/// Volume of a grid of equal cells: `A/4 (once + 2 twice + 3 thrice + 4 four times)`, by how many cells share a height.
/// Cut positive, fill negative; the result is their balance.
///
/// Source `earthwork-volumes`: Wikibooks, Fundamentals of Transportation, Earthwork: average end area, prismoid; grid
/// by heights used once to four times.
///
/// # Errors
/// The cell or a height is out of its range, or there is no height.
pub fn grid_volume(
    cell: Area,
    once: &[Length],
    twice: &[Length],
    thrice: &[Length],
    four: &[Length],
) -> Result<Volume, Problem> {
    CELL.check(cell)?;
    let groups = [(1.0, once), (2.0, twice), (3.0, thrice), (4.0, four)];
    if groups.iter().all(|(_, heights)| heights.is_empty()) {
        return Err(
            Problem::error("no height is given").help("once: the corners of the grid was expected")
        );
    }
    let mut sum = 0.0;
    for (times, heights) in groups {
        for height in heights {
            CUT.check(*height)?;
            sum += times * height.base();
        }
    }
    Ok(Volume::from_base(cell.base() / 4.0 * sum))
}

/// Compacted volume of a bank volume: `bank (1 - shrink)`; blasted rock grows, its shrink is negative.
///
/// Source `earth-states`: FM 5-434: bank, loose and compacted volumes of one weight.
///
/// # Errors
/// A value is out of its range.
pub fn compacted(bank: Volume, shrink: Ratio) -> Result<Volume, Problem> {
    BANK.check(bank)?;
    SHRINK.check(shrink)?;
    Ok(Volume::from_base(bank.base() * (1.0 - shrink.number())))
}

/// Swell from unit weights: bank over loose, less one.
///
/// Source `earth-states`: FM 5-434: bank, loose and compacted volumes of one weight.
///
/// # Errors
/// A value is out of its range.
pub fn swell_of_weights(bank: UnitWeight, loose: UnitWeight) -> Result<Ratio, Problem> {
    EARTH.named("bank").check(bank)?;
    EARTH.named("loose").check(loose)?;
    Ok(Ratio::of(bank.base() / loose.base() - 1.0))
}

/// Shrinkage from unit weights: one less bank over compacted; negative where it grows, as blasted rock does.
///
/// Source `earth-states`: FM 5-434: bank, loose and compacted volumes of one weight.
///
/// # Errors
/// A value is out of its range.
pub fn shrink_of_weights(bank: UnitWeight, compacted: UnitWeight) -> Result<Ratio, Problem> {
    EARTH.named("bank").check(bank)?;
    EARTH.named("compacted").check(compacted)?;
    Ok(Ratio::of(1.0 - bank.base() / compacted.base()))
}

/// What goes back behind a structure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NetBackfill {
    /// Compacted in place: the dig less what is built in it.
    pub compacted: Volume,
    /// In the bank, to be kept for it.
    pub bank: Volume,
    /// In the bank, left over; negative where earth must be brought.
    pub left_over: Volume,
}

/// Backfill of a dig net of what is built in it.
///
/// Source `definition`: follows from the definition of the quantity; no trade value in it.
///
/// # Errors
/// A value is out of its range, or what is built is more than what is dug.
pub fn net_backfill(dug: Volume, built: &[Volume], shrink: Ratio) -> Result<NetBackfill, Problem> {
    BANK.named("dug").check(dug)?;
    SHRINK.check(shrink)?;
    built.iter().try_for_each(|one| BANK.named("built").check(*one))?;
    let compacted = dug.base() - built.iter().map(|one| one.base()).sum::<f64>();
    if compacted < 0.0 {
        return Err(Problem::error("more is built than is dug")
            .help("built: volumes under the ground, together no more than dug, were expected"));
    }
    let bank = compacted / (1.0 - shrink.number());
    let of = Volume::from_base;
    Ok(NetBackfill { compacted: of(compacted), bank: of(bank), left_over: of(dug.base() - bank) })
}

/// Truck loads by what limits them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TruckLoads {
    /// Loads by heaped volume.
    pub by_volume: Ratio,
    /// Loads by weight.
    pub by_payload: Ratio,
    /// The larger, which governs.
    pub loads: Ratio,
    /// What decided.
    pub governs: &'static str,
}

/// Loads to haul a bank volume: by heaped loose volume and by weight; the larger governs.
///
/// Source `earth-states`: FM 5-434: bank, loose and compacted volumes of one weight.
///
/// # Errors
/// A value is out of its range.
pub fn truck_loads(
    bank: Volume,
    swell: Ratio,
    unit_weight: UnitWeight,
    capacity: Volume,
    payload: Weight,
) -> Result<TruckLoads, Problem> {
    BANK.check(bank)?;
    SWELL.check(swell)?;
    EARTH.check(unit_weight)?;
    HEAPED.check(capacity)?;
    PAYLOAD.check(payload)?;
    let loose = bank.base() * (1.0 + swell.number());
    let by_volume = round::steps_up(loose, capacity.base());
    let by_payload = round::steps_up(bank.base() * unit_weight.base(), payload.base());
    let governs = if by_payload > by_volume { "payload" } else { "volume" };
    Ok(TruckLoads {
        by_volume: Ratio::of(by_volume),
        by_payload: Ratio::of(by_payload),
        loads: Ratio::of(by_volume.max(by_payload)),
        governs,
    })
}

/// A trench with both sides laid back.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trench {
    /// Width at the top.
    pub top: Length,
    /// Area of the section.
    pub area: Area,
    /// Horizontal per vertical, taken from the ratio and never from a rounded angle.
    pub layback: Ratio,
}

/// Section of a trench with both sides at the slope that the excavation standard allows, under 20 ft.
///
/// Source `subpart-p`: 29 CFR 1926 Subpart P, 1926.651(c)(2), 1926.652(a)-(b), Appendix B Table B-1.
///
/// # Errors
/// A value is out of its range: at 20 ft and deeper a registered professional engineer designs it.
pub fn sloped_trench(bottom: Length, depth: Length, soil: SoilClass) -> Result<Trench, Problem> {
    BOTTOM.check(bottom)?;
    DEEP.check(depth)?;
    if !round::under(depth.feet(), 20.0) {
        return Err(Problem::error("depth is 20 ft, and the table of slopes is for less").help(
            "depth: under 20 ft was expected; deeper a registered professional engineer designs it",
        ));
    }
    let slope = layback_default(Some(soil)).to_f64().unwrap_or(f64::NAN);
    let (b, h) = (bottom.base(), depth.base());
    Ok(Trench {
        top: Length::from_base(b + 2.0 * slope * h),
        area: Area::from_base(b * h + slope * h * h),
        layback: Ratio::of(slope),
    })
}

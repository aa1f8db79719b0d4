//! The job as a wall case sees it.

use std::collections::BTreeMap;
use std::sync::Arc;

use num_rational::BigRational;

use crate::earth::{Bank, Banks, Dig, DigParts, DigShape, Fill, LaybackFrom, SoilClass};
use crate::footing::{Drawn, KnownLayouts, Layout, Site};
use crate::forms::{FormSpec, LumberSpec, SideSpec};
use crate::measure::{Exact, Nm, Style};
use crate::price::RateLine;
use crate::problem::Place;
use crate::rebar::SteelSpec;
use crate::survey::Benchmark;

use super::{ListingSource, ShotReport};

/// Names and dates that stand on every page.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Title {
    /// Name of the job.
    pub name: String,
    /// Who owns it.
    pub owner: String,
    /// Who builds it.
    pub contractor: String,
    /// Engineer of record.
    pub engineer: String,
    /// Who took the shots.
    pub surveyor: String,
    /// A remark.
    pub remark: String,
    /// Bid date, `yyyy-mm-dd`; without one no date is printed.
    pub date: Option<String>,
}

/// Allowances of the takeoff.
#[derive(Debug, Clone, PartialEq)]
pub struct Allowances {
    /// Layback, horizontal per vertical.
    pub layback: BigRational,
    /// From where up the banks are laid back.
    pub layback_from: LaybackFrom,
    /// The bank of the low side.
    pub low_side: Bank,
    /// The banks of the free ends.
    pub free_ends: Bank,
    /// What is counted as the dig.
    pub dig: DigShape,
    /// Soil class, if a competent person has stated one.
    pub soil: Option<SoilClass>,
    /// Drain rock behind the stem: its width.
    pub drain_width: Nm,
    /// How much lower than the stem the drain rock ends.
    pub drain_height_less: Nm,
    /// Whether earth is brought back, so that the dig is told part by part.
    pub backfill: bool,
}

impl Allowances {
    /// The dig of a layout as a solid, and which of its banks are laid back.
    pub fn dig<'a>(&self, layout: &'a Layout) -> (Dig<'a>, Banks) {
        let banks = Banks { ends: self.free_ends, low_side: self.low_side };
        (Dig::of(layout, &self.layback, self.layback_from), banks)
    }

    /// What becomes of the dig of a layout, by walls, on the earth side and on the low side.
    pub fn dig_parts(&self, layout: &Layout) -> Vec<[DigParts; 2]> {
        let (dig, banks) = self.dig(layout);
        Fill::of(layout, dig, banks, self.drain_width, self.drain_height_less).parts()
    }
}

/// A setting as scripts see it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum SettingValue {
    /// A measure.
    Measure(Exact),
    /// A text.
    Text(String),
    /// A whole number.
    Count(i64),
}

/// A setting with what its declaration says of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stated {
    /// Its value.
    pub value: SettingValue,
    /// What it is.
    pub about: &'static str,
    /// The unit that it is shown in; none for a text or count.
    pub unit: String,
    /// Where it is written; nowhere where it holds by default.
    pub from: Option<Place>,
    /// The words that there are to choose from; none where it is no choice.
    pub choices: &'static [&'static str],
}

/// Everything that a wall case works on.
#[derive(Debug, Clone)]
pub struct WallJob {
    /// Names and dates.
    pub title: Title,
    /// How its measures are read and written.
    pub style: Style,
    /// What the layout is decided by.
    pub site: Arc<Site>,
    /// Layouts found before.
    pub known: KnownLayouts,
    /// The steps as the plan draws them, if the job has them.
    pub drawn: Option<Drawn>,
    /// Into how many parts a rise is divided for the datum sweep, if one is asked for.
    pub sweep_parts: Option<i64>,
    /// Whether coordinates and elevations of the stake-out are printed in U.S. survey feet.
    pub survey_feet: bool,
    /// The benchmark, if the job has one.
    pub benchmark: Option<Benchmark>,
    /// Allowances.
    pub allowances: Allowances,
    /// Its bars, if the plan gives them.
    pub steel: Option<Arc<SteelSpec>>,
    /// Forms of the yard, if the job lists them.
    pub forms: Option<Arc<FormSpec>>,
    /// Lumber of the footing, if the job asks for it.
    pub lumber: Option<Arc<LumberSpec>>,
    /// How the sides of the footing are poured, if the job says.
    pub sides: Option<SideSpec>,
    /// The layout rates and how they follow.
    pub rates: Vec<RateLine>,
    /// Spacing of the samples in the ground table.
    pub ground_interval: Nm,
    /// Every setting by its path.
    pub settings: BTreeMap<String, Stated>,
    /// What became of its shot list, if it has one.
    pub shots: Option<ShotReport>,
    /// Listings beside the bundled ones.
    pub own_listings: Vec<ListingSource>,
}

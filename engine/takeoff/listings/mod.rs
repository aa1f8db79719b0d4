//! The listings of a takeoff, one file per subject: each declared beside the function that gives its rows.

mod bars;
mod cautions;
mod cuts;
mod dig_limits;
mod earth;
mod forms;
mod ground;
mod marks;
mod no_layout;
mod others;
mod outlines;
mod panel_tiers;
mod quantities;
mod questions;
mod setting_out;
mod settings;
mod shots;
mod stake_out;
mod standing;
mod steps;
mod walls;
mod ways_out;

pub(crate) use ground::lines as ground_lines;
pub use others::DrawnWork;
pub(crate) use shots::refused;
pub use shots::{ListReport, ShotReport, UnusedCode, shot_listings};
pub(crate) use stake_out::STAKE_OUT;

use super::{Caution, Takeoff, WallJob};
use crate::footing::{DatumOffset, Layout, NoLayout, Without, as_drawn};
use crate::forms::{FormSpec, LumberSpec};
use crate::listing::{Datum, Declaration, Listing, ListingRow};
use crate::problem::Problem;
use crate::survey::Benchmark;

/// Layouts beside the least-cost one.
#[derive(Debug, Clone, Default)]
pub struct Others {
    /// The steps as the plan draws them.
    pub drawn: Option<DrawnWork>,
    /// The least-cost steps, where those of the plan are bid.
    pub least_cost: Option<Takeoff>,
    /// The layouts with the datum moved.
    pub sweep: Option<Vec<DatumOffset>>,
    /// The layouts without each thing that is set by hand.
    pub without: Vec<Without>,
}

/// Everything that the listings are made from.
#[derive(Debug, Clone, Copy)]
pub struct Facts<'a> {
    /// The job.
    pub job: &'a WallJob,
    /// The layout, if one is legal.
    pub layout: Option<&'a Layout>,
    /// The takeoff, if there is a layout.
    pub takeoff: Option<&'a Takeoff>,
    /// Layouts beside it, once they are known.
    pub others: Option<&'a Others>,
    /// The cautions.
    pub cautions: &'a [Caution],
    /// Why there is no layout, if there is none.
    pub problems: &'a [Problem],
    /// The same as the layout room states it.
    pub no_layout: Option<&'a NoLayout>,
}

/// A listing and what fills it.
#[derive(Debug, Clone, Copy)]
pub struct ListingSource {
    /// What it is.
    pub declaration: Declaration,
    /// Its rows; none where the job has no use for it.
    pub fill: fn(&Facts) -> Option<Vec<Vec<Datum>>>,
}

/// A declaration with the function that gives its typed rows.
macro_rules! source {
    ($declaration:expr, |$facts:ident| $rows:expr) => {
        ListingSource {
            declaration: $declaration,
            fill: |$facts| {
                let rows: Option<Vec<_>> = $rows;
                rows.map(|rows| rows.into_iter().map(ListingRow::cells).collect())
            },
        }
    };
}

/// Every listing of a takeoff, in the order in which a person reads them.
pub const SOURCES: &[ListingSource] = &[
    source!(walls::WALLS, |f| Some(walls::walls(f.job))),
    source!(walls::WALL_TYPES, |f| Some(walls::types(f.job))),
    source!(walls::CORNERS, |f| Some(walls::corners(f.job))),
    source!(walls::CURVES, |f| walls::curves(f.job)),
    source!(walls::PANEL_GRID, |f| Some(walls::grid(f.job))),
    source!(walls::PANEL_JOINTS, |f| Some(walls::joints(f.job))),
    source!(settings::INPUTS, |f| Some(settings::inputs(f.job))),
    source!(settings::PRICES, |f| Some(settings::prices(f.job))),
    source!(shots::SHOT_LIST, |f| f.job.shots.as_ref().map(shots::lists)),
    source!(shots::UNUSED_CODES, |f| f.job.shots.as_ref().map(shots::unused_codes)),
    source!(shots::SHOTS_USED, |f| f.job.shots.as_ref().map(|report| shots::used(report, f.job))),
    source!(shots::SHOTS_REFUSED, |f| f
        .job
        .shots
        .as_ref()
        .map(|report| shots::refused(report, true))),
    source!(ground::GROUND_LINES, |f| Some(ground::lines(f.job))),
    source!(ground::GROUND_SUPPORTS, |f| Some(ground::supports(f.job))),
    source!(ground::GROUND_SAMPLES, |f| Some(ground::samples(f.job, f.layout))),
    source!(ground::GOVERNING, |f| f.layout.map(|layout| ground::governs(f.job, layout))),
    source!(ground::PROFILE, |f| f.layout.map(ground::profile)),
    source!(steps::LAYOUT_COSTS, |f| f.least_cost().map(|layout| steps::costs(f.job, layout))),
    source!(steps::LAYOUT_RATES, |f| f.layout.map(|_| steps::rates(f.job))),
    source!(steps::OWN_RULES, |f| f.layout.map(|_| steps::own_rules(f.job))),
    source!(steps::RUNS, |f| f.layout.map(|layout| steps::runs(f.job, layout))),
    source!(steps::DEEPEST_CUT, |f| f.layout.map(|layout| steps::deepest(f.job, layout))),
    source!(steps::STEPS, |f| f.layout.map(|layout| steps::steps(f.job, layout))),
    source!(steps::FOOTING_PIECES, |f| f.layout.map(|layout| steps::footings(f.job, layout))),
    source!(steps::STEM_PIECES, |f| f.layout.map(|layout| steps::stems(f.job, layout))),
    source!(outlines::OUTLINES, |f| f.layout.map(|layout| outlines::outlines(f.job, layout))),
    source!(dig_limits::DIG_LIMITS, |f| f.layout.map(|layout| dig_limits::limits(f.job, layout))),
    source!(steps::BOTTOM_PROFILE, |f| f.layout.map(steps::bottom)),
    source!(steps::BOTTOM_PARTS, |f| f.layout.map(steps::bottom_parts)),
    source!(steps::BOTTOM_CHANGES, |f| f.layout.map(|layout| steps::bottom_changes(f.job, layout))),
    source!(steps::OVERLAPS, |f| f.layout.map(steps::overlaps)),
    source!(steps::CELL_LEVELS, |f| f.layout.map(|layout| steps::levels(f.job, layout))),
    source!(steps::ROD_READINGS, |f| f.layout.and_then(|layout| steps::rods(f.job, layout))),
    source!(stake_out::STAKE_OUT, |f| f.layout.map(|layout| stake_out::stake_out(f.job, layout))),
    source!(setting_out::SITE_FACTS, |f| Some(setting_out::facts(f.job))),
    source!(setting_out::SETTING_OUT, |f| {
        f.layout.map(|layout| setting_out::stretches(f.job, layout))
    }),
    source!(setting_out::POURS, |f| f.takeoff.map(setting_out::pours)),
    source!(marks::MARKS, |f| f.benchmark(marks::marks)),
    source!(marks::MARK_BUDGET, |f| f.benchmark(|job, _, mark| marks::budget(job, mark))),
    source!(marks::MARK_CLOSURE, |f| f.benchmark(marks::closure)),
    source!(quantities::LINES, |f| f.takeoff.map(quantities::lines)),
    source!(quantities::PARTS, |f| f.takeoff.map(quantities::parts)),
    source!(earth::DIG_PARTS, |f| f.takeoff.and_then(earth::parts)),
    source!(bars::BAR_TOTALS, |f| f.takeoff.and_then(bars::totals)),
    source!(bars::BAR_WEIGHTS, |f| f.takeoff.and_then(bars::weights)),
    source!(bars::BARS_PLACED, |f| f.takeoff.and_then(bars::placed)),
    source!(bars::BAR_ROWS, |f| f.takeoff.and_then(bars::rows)),
    source!(bars::BEND_LIST, |f| f.takeoff.and_then(bars::bends)),
    source!(bars::BAR_LAPS, |f| f.takeoff.and_then(bars::laps)),
    source!(cuts::CUT_LISTS, |f| f.takeoff.and_then(cuts::cut_lists)),
    source!(cuts::CUT_DEMAND, |f| f.takeoff.and_then(cuts::cut_demand)),
    source!(cuts::CUT_PLANS, |f| f.takeoff.and_then(cuts::cut_plans)),
    source!(forms::PANEL_RUNS, |f| f.forms(forms::runs)),
    source!(panel_tiers::PANEL_TIERS, |f| f.forms(panel_tiers::panel_tiers)),
    source!(forms::PANEL_COUNTS, |f| f.forms(forms::counts)),
    source!(forms::FORM_FILLERS, |f| f.forms(forms::filler_rows)),
    source!(forms::YARD, |f| f.job.forms.as_deref().map(forms::yard_parts)),
    source!(forms::FORM_YARD, |f| f.forms(|_, layout, spec| forms::yard_rows(layout, spec))),
    source!(forms::FORM_TIES, |f| f.forms(|_, layout, spec| forms::tie_rows(layout, spec))),
    source!(ways_out::FORM_WAYS, |f| f.takeoff.and_then(ways_out::ways)),
    source!(ways_out::FORM_WAY_STACKS, |f| f.takeoff.and_then(ways_out::stacks)),
    source!(ways_out::FORM_WAY_YARD, |f| f.takeoff.and_then(ways_out::balance)),
    source!(standing::STANDING, |f| f.takeoff.and_then(standing::rows)),
    source!(forms::BULKHEADS, |f| f.lumber(forms::bulkhead_rows)),
    source!(forms::LUMBER_SOLD, |f| f.lumber(forms::sold_rows)),
    source!(forms::TEMPLATES, |f| f.lumber(forms::template_rows)),
    source!(cuts::LUMBER_CUTS, |f| f.takeoff.and_then(cuts::lumber_cuts)),
    source!(cuts::LUMBER_PLANS, |f| f.takeoff.and_then(cuts::lumber_plans)),
    source!(forms::STAKES, |f| f.lumber(forms::stakes)),
    source!(others::DRAWN_COSTS, |f| {
        f.drawn().map(|work| others::costs(f.job, &work.drawn, f.least_cost()))
    }),
    source!(others::DRAWN_STEPS, |f| {
        f.drawn().map(|work| steps::steps(f.job, &work.drawn.layout))
    }),
    source!(others::DRAWN_BOTTOM, |f| {
        f.drawn().map(|work| others::drawn_bottom(&work.drawn.layout))
    }),
    source!(others::DRAWN_FINDINGS, |f| f.drawn().map(|work| others::findings(f.job, &work.drawn))),
    source!(others::DRAWN_LINES, |f| f
        .drawn()
        .map(|work| others::lines(work, f.least_taken_off()))),
    source!(others::DRAWN_PARTS, |f| {
        f.drawn().and_then(|work| work.takeoff.as_ref()).map(quantities::parts)
    }),
    source!(others::DATUM_SWEEP, |f| f.sweep().map(|sweep| others::offsets(f.job, sweep))),
    source!(others::DATUM_STEPS, |f| f.sweep().map(|sweep| others::offset_steps(f.job, sweep))),
    source!(others::DATUM_TOPS, |f| f.sweep().map(|sweep| others::offset_tops(f.job, sweep))),
    source!(others::SET_BY_HAND, |f| {
        let without = f.others.map(|others| &others.without).filter(|all| !all.is_empty());
        without.map(|without| others::by_hand(f.job, f.least_cost(), without))
    }),
    source!(no_layout::PROBLEMS, |f| Some(no_layout::problems(f))),
    source!(no_layout::TOO_LOW, |f| no_layout::too_low(f)),
    source!(no_layout::SHORTFALL, |f| no_layout::shortfall(f)),
    source!(no_layout::NO_TYPE, |f| no_layout::no_type(f)),
    source!(no_layout::FURTHEST_REACHED, |f| no_layout::furthest(f)),
    source!(questions::QUESTIONS, |f| f.layout.map(|layout| questions::questions(f, layout))),
    source!(settings::RULES, |f| Some(settings::rules(f.job))),
    source!(cautions::CAUTIONS, |f| Some(cautions::cautions(f))),
    source!(cautions::SOURCES, |f| Some(cautions::sources(f))),
    source!(cautions::PEOPLE, |f| Some(cautions::people(f))),
];

impl<'a> Facts<'a> {
    fn drawn(&self) -> Option<&'a DrawnWork> {
        self.others?.drawn.as_ref()
    }

    /// The takeoff of the least-cost steps.
    fn least_taken_off(&self) -> Option<&'a Takeoff> {
        self.others.and_then(|others| others.least_cost.as_ref()).or(self.takeoff)
    }

    /// The least-cost layout.
    fn least_cost(&self) -> Option<&'a Layout> {
        let beside = self.others.and_then(|others| others.least_cost.as_ref());
        beside.map(|takeoff| takeoff.layout.as_ref()).or(self.layout)
    }

    /// Rows that rest on the forms of the job, where it lists them.
    fn forms<R>(&self, rows: impl Fn(&WallJob, &Layout, &FormSpec) -> R) -> Option<R> {
        Some(rows(self.job, self.layout?, self.job.forms.as_deref()?))
    }

    /// Rows that rest on the benchmark.
    fn benchmark<R>(&self, rows: impl Fn(&WallJob, &Layout, &Benchmark) -> R) -> Option<R> {
        Some(rows(self.job, self.layout?, self.job.benchmark.as_ref()?))
    }

    /// Rows that rest on the lumber of the footing, where the job asks for it.
    fn lumber<R>(&self, rows: impl Fn(&WallJob, &Layout, &LumberSpec) -> R) -> Option<R> {
        Some(rows(self.job, self.layout?, self.job.lumber.as_deref()?))
    }

    fn sweep(&self) -> Option<&'a Vec<DatumOffset>> {
        self.others?.sweep.as_ref()
    }
}

impl WallJob {
    /// Every listing that it may have: the bundled ones, then its own.
    pub fn sources(&self) -> impl Iterator<Item = &ListingSource> {
        SOURCES.iter().chain(&self.own_listings)
    }
}

/// Every listing that the job has.
pub fn listings(facts: &Facts) -> Vec<Listing> {
    let filled = facts.job.sources().filter_map(|source| {
        let rows = (source.fill)(facts)?;
        Some(Listing { declaration: source.declaration, rows })
    });
    filled.collect()
}

/// One listing as far as it is known of a job, its layout and a takeoff in the making; nothing where the job has none of
/// this name.
///
/// # Errors
/// It is known only later, or the job has no use for it.
pub fn listing_of(
    name: &str,
    job: &WallJob,
    layout: Option<&Layout>,
    takeoff: Option<&Takeoff>,
) -> Result<Option<Listing>, Problem> {
    let Some(source) = job.sources().find(|source| source.declaration.name == name) else {
        return Ok(None);
    };
    // The others do not ask for them.
    let asks = [cautions::CAUTIONS.name, cautions::SOURCES.name].contains(&name);
    let cautions = if asks { super::cautions(job, layout) } else { Vec::new() };
    let others = match (layout, &job.drawn) {
        (Some(layout), Some(drawn)) if others::OF_DRAWN_STEPS.contains(&name) => {
            // What is wrong with them is told with the takeoff.
            let drawn = as_drawn(&layout.site, drawn).ok();
            let drawn = drawn.map(|drawn| DrawnWork { drawn, takeoff: None });
            Some(Others { drawn, ..Others::default() })
        }
        _ => None,
    };
    let facts = Facts {
        job,
        layout,
        takeoff,
        others: others.as_ref(),
        cautions: &cautions,
        problems: &[],
        no_layout: None,
    };
    match (source.fill)(&facts) {
        Some(rows) => Ok(Some(Listing { declaration: source.declaration, rows })),
        None => Err(Problem::error(format!("listing \"{name}\" is not there yet"))
            .help("what rests on the layout stands in the takeoff: takeoff.steps; other layouts are worked out after the scripts")),
    }
}

/// A field of text.
fn text(text: impl Into<String>) -> String {
    text.into()
}

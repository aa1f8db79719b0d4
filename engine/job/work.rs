//! The work itself: the wall case, its cautions, the sheets of scripts.

use std::sync::Arc;

use super::lines::settle;
use super::open::of_its_file;
use super::script_sheets::calc_sheet_of;
use super::sheets::{Rounding, calc_sheets_by, faults_of_costs, formulas_as_written};
use super::{CalcSheets, Job, calc_sheets};
use crate::files::FoundFile;
use crate::footing::{
    DrawnLayout, Finding, Layout, NoLayout, Restriction, Site, System, as_drawn, datum_sweep,
    without_each,
};
use crate::listing::Listing;
use crate::measure::{Nm, counted, decimal_places, feet_inches, ratio};
use crate::problem::{Faults, Outcome};
use crate::script::ScriptFault;
use crate::takeoff::{
    Caution, DrawnWork, Facts, Others, SheetDraft, Takeoff, cautions, listings, place_on_wall,
};
use crate::workbook::Page;

/// The finished work of a job.
pub struct Work {
    /// The takeoff; none when no layout is legal.
    pub takeoff: Option<Takeoff>,
    /// Why there is no layout, if there is none.
    pub no_layout: Faults,
    /// The cautions.
    pub cautions: Vec<Caution>,
    /// Sheets of the user's scripts.
    pub sheets: Vec<SheetDraft>,
    /// Calc sheets with their values.
    pub calc: CalcSheets,
    /// The wall case's file, when it is not the bundled one.
    pub case_by: Option<String>,
    /// What the best layout one step away saves in the whole price, if it is known.
    pub one_step_away: Option<String>,
    /// What is to be said of the steps as drawn, if the job has them.
    pub drawn: Option<String>,
    /// Calc sheets of the steps that stand beside those of the bid: as drawn, or least cost.
    pub beside_calc: Option<CalcSheets>,
    /// All listings.
    pub listings: Vec<Listing>,
    /// The pages of the workbook.
    pub pages: Vec<Page>,
    /// What is to be said of sheets that the firm wants first and that there are not.
    pub unknown_sheets: Vec<String>,
    /// What the wall case and the sheet scripts printed.
    pub printed: Vec<String>,
}

/// What questions are asked of: the takeoff and the calc sheets, without what only papers need.
pub struct Worked {
    /// The takeoff; none when no layout is legal.
    pub takeoff: Option<Takeoff>,
    /// Why there is no layout, if there is none.
    pub no_layout: Faults,
    /// Calc sheets with their values.
    pub calc: CalcSheets,
}

/// Works a job as far as its lines and cells.
///
/// # Errors
/// A script is faulty. A job without a legal layout is no error: the work then has the explanation.
pub fn worked(job: &Job) -> Outcome<Worked> {
    worked_as_asked(job).map_err(|faults| of_its_file(&job.file, faults))
}

fn worked_as_asked(job: &Job) -> Outcome<Worked> {
    let LaidOut { takeoff, no_layout, .. } = laid_out(job)?;
    let takeoff = match takeoff {
        Some(takeoff) if job.bids_drawn => {
            let drawn = drawn_work(job, &takeoff.layout.site)?;
            drawn.and_then(|work| work.takeoff).or(Some(takeoff))
        }
        other => other,
    };
    let calc = match &takeoff {
        Some(takeoff) => {
            let calc = calc_sheets(job, takeoff)?;
            // A script that names no formula has no cells; what it refuses is told where its sheet is written.
            let holds_cells = |script: &FoundFile| script.text.contains(".formula(");
            let (drafts, faults) = sheets_of_scripts(job, takeoff, &calc, &holds_cells)?;
            let mut drafts = faults.or_value(Some(drafts))?;
            with_sheets_of_scripts(job, takeoff, &mut drafts)?.unwrap_or(calc)
        }
        None => CalcSheets::default(),
    };
    let no_layout = match &takeoff {
        Some(_) => no_layout,
        None => with_locks(job, no_layout, &others(job, None)?),
    };
    Ok(Worked { takeoff, no_layout, calc })
}

/// Names the scripts of lines as they lie in the job's folder: results are the same from wherever it is worked.
fn near(job: &Job, takeoff: &mut Takeoff) {
    for place in takeoff.lines.iter_mut().filter_map(|line| line.trail.place.as_mut()) {
        place.file = job.layers.near(&place.file);
    }
}

/// What the wall case gave.
struct LaidOut {
    takeoff: Option<Takeoff>,
    no_layout: Faults,
    reason: Option<Box<NoLayout>>,
    /// The case's file, when it is not the bundled one.
    case_by: Option<String>,
}

/// The takeoff of a job by a wall case, with its formulas worked out.
///
/// # Errors
/// The script is faulty, or no layout is legal.
pub fn taken_off_by(job: &Job, case: &FoundFile) -> Result<Takeoff, ScriptFault> {
    if let Some(takeoff) = job.known.again(job, case) {
        return Ok(takeoff);
    }
    let mut takeoff = job.host.takeoff(case, &job.wall_job)?;
    settle(job, &mut takeoff)?;
    near(job, &mut takeoff);
    job.known.remember(case, &takeoff);
    Ok(takeoff)
}

/// Runs the wall case.
fn laid_out(job: &Job) -> Outcome<LaidOut> {
    let costs = faults_of_costs(job)?;
    if costs.stop() {
        return Err(with_scripts_as_written(job, costs)?);
    }
    let case = job.layers.find(&format!("scripts/{}.rhai", job.case))?;
    let case_by = (case.origin != crate::files::LayerOrigin::Embedded).then(|| case.shown.clone());
    let (takeoff, no_layout, reason) = match taken_off_by(job, &case) {
        Ok(takeoff) => (Some(takeoff), Faults::none(), None),
        Err(ScriptFault::Problems(faults)) => return Err(with_scripts_as_written(job, faults)?),
        Err(ScriptFault::NoLayout(reason, site)) => {
            (None, explain(job, &reason, &site), Some(reason))
        }
    };
    Ok(LaidOut { takeoff, no_layout, reason, case_by })
}

/// Faults with those of the sheet scripts and formulas as they are written: all are told at once.
fn with_scripts_as_written(job: &Job, mut faults: Faults) -> Outcome<Faults> {
    for name in &job.sheet_scripts {
        faults.extend(job.host.faults_as_written(&job.layers.find(name)?));
    }
    faults.extend(formulas_as_written(job)?);
    Ok(faults)
}

/// Works a job through, telling `progress` what it is about to do.
///
/// # Errors
/// A script is faulty. A job without a legal layout is no error: the work then has the explanation.
pub fn work(job: &Job, progress: &dyn Fn(&str)) -> Outcome<Work> {
    worked_through(job, progress).map_err(|faults| of_its_file(&job.file, faults))
}

fn worked_through(job: &Job, progress: &dyn Fn(&str)) -> Outcome<Work> {
    progress("laying out the steps");
    let LaidOut { takeoff: least, no_layout, reason, case_by } = laid_out(job)?;
    progress("comparing with other layouts");
    let mut others = others(job, least.as_ref())?;
    let of_drawn = others.drawn.as_ref().and_then(|work| work.takeoff.clone());
    // What is bid, and what stands beside it.
    let (takeoff, beside) = match of_drawn {
        Some(drawn) if job.bids_drawn => {
            others.least_cost.clone_from(&least);
            (Some(drawn), least)
        }
        drawn => (least, drawn),
    };
    if let Some(takeoff) = &takeoff {
        progress("counting everything twice");
        super::cross_checks::cross_checks(takeoff).or_value(Some(()))?;
    }
    let layout = takeoff.as_ref().map(|takeoff| takeoff.layout.as_ref());
    let mut cautions = cautions(&job.wall_job, layout);
    cautions.extend(takeoff.iter().flat_map(Takeoff::own_cautions));
    let mut sheets = Vec::new();
    let mut faults = Faults::none();
    progress("working the calc sheets out");
    let calc = match &takeoff {
        Some(takeoff) => faults.keep(calc_sheets(job, takeoff)),
        None => Some(CalcSheets::default()),
    };
    if let Some((takeoff, calc)) = takeoff.as_ref().zip(calc.as_ref()) {
        progress("running the sheet scripts");
        let (drafts, refused) = sheets_of_scripts(job, takeoff, calc, &|_| true)?;
        sheets = drafts;
        faults.extend(refused);
    }
    let base = faults.or_value(calc)?;
    let calc = match &takeoff {
        Some(takeoff) => with_sheets_of_scripts(job, takeoff, &mut sheets)?,
        None => None,
    };
    let calc = calc.unwrap_or_else(|| base.clone());
    progress("collecting the results");
    let no_layout = with_locks(job, no_layout, &others);
    progress("working the calc sheets of the other steps out");
    let beside_calc = beside.as_ref().map(|takeoff| calc_sheets(job, takeoff));
    let beside_calc = beside_calc.map(|calc| match job.bids_drawn {
        true => calc,
        false => calc.map_err(as_drawn_says),
    });
    let beside_calc = beside_calc.transpose()?;
    let drawn = others.drawn.as_ref().map(|work| told(&work.drawn));
    let problems = no_layout.clone().into_vec();
    let facts = Facts {
        job: &job.wall_job,
        layout,
        others: Some(&others),
        takeoff: takeoff.as_ref(),
        cautions: &cautions,
        problems: &problems,
        no_layout: reason.as_deref(),
    };
    let mut listings = listings(&facts);
    listings.extend(calc.listings());
    listings.extend(calc.total().is_some().then(|| super::sheets::left_out(&job.priced.left_out)));
    listings.push(super::old_prices::listing(&job.priced.old));
    listings.extend(job.papers.of_firm());
    if let Some(takeoff) = takeoff.as_ref().filter(|_| calc.total().is_some()) {
        listings.extend(super::papers::listings_of(job, takeoff, &calc)?);
    }
    let mut one_step_away = None;
    if let Some(takeoff) = takeoff.as_ref().filter(|_| calc.total().is_some()) {
        progress("pricing layouts one step away");
        let near = super::neighbours::priced(job, takeoff)?;
        one_step_away = near.as_ref().and_then(|near| near.saves.clone());
        listings.extend(near.into_iter().flat_map(|near| near.listings));
    }
    listings.extend(beside_calc.as_ref().map(|beside| match job.bids_drawn {
        true => beside.beside(&base),
        false => base.beside(beside),
    }));
    // A logo that is none is told before anything is written.
    job.papers.look(job)?;
    let pages = super::output::pages(job, takeoff.as_ref(), &calc)?;
    // Without a layout most sheets, and their scripts, are left out.
    let unknown_sheets = match takeoff.is_some() {
        true => super::output::unknown_sheets(job, &pages, &calc, &sheets),
        false => Vec::new(),
    };
    // When all is read.
    listings.extend(super::provenance::listings(job, takeoff.as_ref(), &calc)?);
    let printed = job.host.printed();
    Ok(Work {
        takeoff,
        no_layout,
        cautions,
        sheets,
        calc,
        case_by,
        one_step_away,
        drawn,
        beside_calc,
        listings,
        pages,
        unknown_sheets,
        printed,
    })
}

/// What those sheet scripts of a job make that are wanted, and what they refuse.
///
/// # Errors
/// A script is not found.
fn sheets_of_scripts(
    job: &Job,
    takeoff: &Takeoff,
    calc: &CalcSheets,
    wanted: &dyn Fn(&FoundFile) -> bool,
) -> Outcome<(Vec<SheetDraft>, Faults)> {
    let (mut sheets, mut faults) = (Vec::new(), Faults::none());
    for name in &job.sheet_scripts {
        let script = job.layers.find(name)?;
        if !wanted(&script) {
            continue;
        }
        let sheet = job.host.sheet(&script, takeoff, &calc.book).map_err(|fault| match fault {
            ScriptFault::Problems(faults) => faults,
            ScriptFault::NoLayout(reason, site) => explain(job, &reason, &site),
        });
        sheets.extend(faults.keep(sheet).flatten());
    }
    Ok((sheets, faults))
}

/// The calc sheets with those that scripts made and that hold formulas, which are taken out of the others; nothing where there is
/// none.
fn with_sheets_of_scripts(
    job: &Job,
    takeoff: &Takeoff,
    drafts: &mut Vec<SheetDraft>,
) -> Outcome<Option<CalcSheets>> {
    let system = job.wall_job.style.system;
    let (mut made, mut faults) = (Vec::new(), Faults::none());
    drafts.retain(|draft| {
        let sheet = faults.keep(calc_sheet_of(draft, system)).flatten();
        let plain = sheet.is_none();
        made.extend(sheet);
        plain
    });
    let made = faults.or_value(Some(made))?;
    if made.is_empty() {
        return Ok(None);
    }
    calc_sheets_by(job, takeoff, Rounding::AsBid, &made).map(Some)
}

/// Faults of sheets that hold for the least-cost steps and not for those of the plan.
fn as_drawn_says(faults: Faults) -> Faults {
    let said = "this is met with the steps as drawn: [drawn] in job.toml";
    let problems = faults.into_vec().into_iter().map(|problem| problem.detail(said));
    problems.collect::<Vec<_>>().into()
}

/// The takeoff of a layout other than the least-cost one; nothing where the wall case takes off that one only.
///
/// # Errors
/// The wall case or its formulas fail on it.
pub(super) fn quantities_of(job: &Job, layout: &Arc<Layout>) -> Outcome<Option<Takeoff>> {
    let case = job.layers.find(&format!("scripts/{}.rhai", job.case))?;
    let found = job.host.quantities(&case, &job.wall_job, layout).map_err(|fault| match fault {
        ScriptFault::Problems(faults) => faults,
        ScriptFault::NoLayout(reason, site) => explain(job, &reason, &site),
    })?;
    let Some(mut takeoff) = found else { return Ok(None) };
    settle(job, &mut takeoff)?;
    near(job, &mut takeoff);
    Ok(Some(takeoff))
}

/// The steps as the plan draws them, if it does, with their quantities.
fn drawn_work(job: &Job, site: &Site) -> Outcome<Option<DrawnWork>> {
    let wall_job = &job.wall_job;
    let Some(drawn) = &wall_job.drawn else { return Ok(None) };
    let drawn = as_drawn(site, drawn).map_err(|faults| {
        faults.at(&crate::problem::Place::file(job.file.display().to_string()))
    })?;
    let takeoff = quantities_of(job, &Arc::new(drawn.layout.clone())).map_err(as_drawn_says)?;
    Ok(Some(DrawnWork { drawn, takeoff }))
}

/// The layouts beside the least-cost one that the job asks for.
fn others(job: &Job, takeoff: Option<&Takeoff>) -> Outcome<Others> {
    let wall_job = &job.wall_job;
    let site = takeoff.map_or(&*wall_job.site, |takeoff| &takeoff.layout.site);
    let fault = |reason: NoLayout| explain(job, &reason, &wall_job.site);
    let mut others = Others { drawn: drawn_work(job, site)?, ..Others::default() };
    if let Some(parts) = wall_job.sweep_parts {
        others.sweep = Some(datum_sweep(site, parts).map_err(fault)?);
    }
    others.without = without_each(site).map_err(fault)?;
    Ok(others)
}

/// How many rules the drawn steps do not meet, and the first of the kinds that can hurt somebody.
fn told(drawn: &DrawnLayout) -> String {
    let steps = drawn.layout.steps.len();
    let high = drawn.faults.iter().filter(|f| matches!(f.finding, Finding::TooHigh(_))).count();
    let caution = match high {
        0 => String::new(),
        n => format!(
            "; CAUTION: {} with the bottom too high for frost or bearing",
            counted(n, "stretch", "stretches")
        ),
    };
    format!(
        "{}; {} not met, {}{caution}; sheet \"As drawn\"",
        counted(steps, "step", "steps"),
        counted(drawn.faults.len(), "rule", "rules"),
        counted(drawn.notes.len(), "remark", "remarks")
    )
}

/// Names the locks and zones without which a layout would be legal.
fn with_locks(job: &Job, no_layout: Faults, others: &Others) -> Faults {
    let site = &job.wall_job.site;
    let walls = site.chain.walls();
    let opens = others.without.iter().filter(|one| one.layout.is_some());
    let names: Vec<String> = opens
        .map(|one| match one.what {
            Restriction::Lock(index) => {
                let lock = &site.locks[index];
                format!(
                    "without lock {} (wall {}, {} to {}) a layout is legal",
                    index + 1,
                    walls[lock.wall].id,
                    site.system.tape(lock.from, 16),
                    site.system.tape(lock.to, 16)
                )
            }
            Restriction::Zone(index) => {
                format!("without zone {} of rules.no_step a layout is legal", index + 1)
            }
            Restriction::All => "without all that is set by hand a layout is legal".to_owned(),
        })
        .collect();
    let add = |problem: crate::problem::Problem| {
        names.iter().fold(problem, crate::problem::Problem::detail)
    };
    no_layout.into_vec().into_iter().map(add).collect::<Vec<_>>().into()
}

fn explain(job: &Job, reason: &crate::footing::NoLayout, site: &Arc<Site>) -> Faults {
    let system = job.wall_job.style.system;
    let show = |length: &num_rational::BigRational| {
        let (unit, places) = if system == System::Us { (Nm::FOOT, 4) } else { (Nm::METRE, 4) };
        let value = decimal_places(&(length / ratio(unit.wide(), 1)), places);
        let value = value.trim_end_matches('0').trim_end_matches('.').to_owned();
        let exact =
            num_traits::ToPrimitive::to_i64(&length.to_integer()).filter(|_| length.is_integer());
        match exact {
            Some(whole)
                if system == System::Us
                    && whole % (Nm::INCH.0 / 16) == 0
                    && whole.abs() < Nm::FOOT.0 * 100 =>
            {
                format!("{value} ft ({})", feet_inches(Nm(whole), 16))
            }
            _ => format!("{value} {}", system.length()),
        }
    };
    reason.problems(site, show, |station| place_on_wall(&job.wall_job, station))
}

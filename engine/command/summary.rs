//! The few lines that a person reads first.

use std::path::PathBuf;

use crate::footing::Joints;
use crate::job::{FORMAT, Job, Work};
use crate::listing::Datum;
use crate::measure::{counted, thousands};
use crate::takeoff::{OWN_CAUTION, SettingValue};

/// The summary of a job that was worked through, and where its workbook was written.
pub(super) fn summary(job: &Job, work: &Work, written: Option<&PathBuf>) -> String {
    let mut summary = Summary { job, work, lines: vec![job.wall_job.title.name.clone()] };
    summary.read();
    summary.layout();
    summary.yard();
    summary.price();
    summary.cautions();
    for line in &work.printed {
        summary.enter("printed", line.clone());
    }
    if let Some(path) = written {
        summary.enter("written", path.display().to_string());
    }
    summary.lines.join("\n")
}

/// Most names of walls, or of corners, that the summary tells; the listings have them all.
const MOST_NAMES: usize = 12;

/// Names, or of many the first and the last, with their number.
fn few(names: &[String]) -> String {
    match names {
        [first, second, .., last] if names.len() > MOST_NAMES => {
            format!("{first} {second} ... {last} ({} walls, all with --json)", names.len())
        }
        _ => names.join(" "),
    }
}

struct Summary<'a> {
    job: &'a Job,
    work: &'a Work,
    lines: Vec<String>,
}

impl Summary<'_> {
    fn enter(&mut self, what: &str, text: String) {
        self.lines.push(format!("  {what:<9} {text}"));
    }

    /// What was read: shots, walls, what replaces what.
    fn read(&mut self) {
        let (job, work) = (self.job, self.work);
        let wall_job = &job.wall_job;
        let system = wall_job.style.system;
        if let Some(shots) = &job.wall_job.shots {
            let aside = match shots.refused.len() {
                0 => String::new(),
                n => format!(", {n} not used (why: rodbook shots, or sheet \"Shots not used\")"),
            };
            self.enter("shots", format!("{} rows, {} used{aside}", shots.rows(), shots.used.len()));
            let mut told: Vec<&String> = Vec::new();
            for words in shots.lists.iter().flat_map(|list| &list.two_meanings) {
                if !told.contains(&words) {
                    told.push(words);
                    self.lines.push(format!("  {:<9} {words}", ""));
                }
            }
        }
        let chain = &wall_job.site.chain;
        let ids: Vec<&str> = chain.walls().iter().map(|wall| wall.id.as_str()).collect();
        let corners: Vec<String> = chain
            .corners()
            .iter()
            .filter(|corner| !corner.chord)
            .map(|corner| {
                format!(
                    "{} corner {}/{}",
                    corner.kind.name(),
                    ids[corner.before],
                    ids[corner.after]
                )
            })
            .collect();
        let corners = match corners.len() {
            0 => "no corner".to_owned(),
            count if count > MOST_NAMES => format!("{count} corners"),
            _ => corners.join(", "),
        };
        // A curve stands for its chords.
        let curve_at = |at: usize| chain.curves().iter().find(|curve| curve.holds(at));
        let name = |(at, id): (usize, &&str)| match curve_at(at) {
            None => Some((*id).to_owned()),
            Some(curve) if curve.walls.0 == at => {
                Some(format!("{} ({} chords)", curve.id, curve.walls.1 - at))
            }
            Some(_) => None,
        };
        let names: Vec<String> = ids.iter().enumerate().filter_map(name).collect();
        self.enter("walls", format!("{}, {}; {corners}", few(&names), system.show(chain.length())));
        for (what, file) in crate::job::replaced(job).unwrap_or_default() {
            let how = if what.starts_with("functions") { "added" } else { "replaced" };
            self.enter(how, format!("{what} by {file}"));
        }
        for table in &self.job.unused {
            self.enter("unused", format!("[{table}]: the wall case has no use for it"));
        }
        let format = wall_job.settings.get("job.format").map(|stated| &stated.value);
        if format != Some(&SettingValue::Count(FORMAT)) {
            let text = format!(
                "job.toml is not of format {FORMAT}: rodbook renew JOB shows what it must say so that older numbers stay"
            );
            self.enter("format", text);
        }
        for remark in &work.unknown_sheets {
            self.enter("look", remark.clone());
        }
        for remark in work.calc.remarks() {
            self.enter("read", remark);
        }
        for own in &job.own_values {
            self.enter(
                "own",
                format!("{} = {}, {} has {}", own.path, own.value, below(own), own.standard),
            );
        }
        for (path, value) in &job.set {
            self.enter("set", format!("{path} = {value}, not as job.toml has it"));
        }
    }

    /// The steps, the amounts and the dig.
    fn layout(&mut self) {
        let Some(takeoff) = &self.work.takeoff else { return };
        let wall_job = &self.job.wall_job;
        let system = wall_job.style.system;
        let layout = &takeoff.layout;
        let money = |nano: i128| {
            thousands(crate::measure::round::nearest(nano, 10_000_000) as f64 / 100.0, 2)
        };
        let one = layout.one_level.iter().map(|one| one.cost).min();
        let one = one.map_or("no single level is legal everywhere".to_owned(), |cost| {
            format!("unstepped footing {}", money(cost))
        });
        let locks = layout.site.locks.len();
        let given = if locks > 0 {
            format!(" given {}", counted(locks, "lock", "locks"))
        } else {
            String::new()
        };
        let plural = if layout.steps.len() == 1 { "" } else { "s" };
        let cost = money(layout.cost);
        let steps = layout.steps.len();
        let text = match layout.site.module.joints {
            // Nothing else was to be tried.
            Joints::OneLevel => {
                let tof = layout.stretches.first().map_or_else(String::new, |stretch| {
                    format!(", top of footing {}", system.show(stretch.tof))
                });
                format!("one level{tof}, least cost proven{given}: {cost} by the layout rates")
            }
            _ if self.work.calc.of_drawn() => {
                format!("{steps} step{plural} as drawn, which are bid: {cost} by the layout rates")
            }
            _ => format!(
                "{steps} step{plural}, least cost proven{given}: {cost} by the layout rates   ({one})"
            ),
        };
        self.enter("layout", text);
        let quantity = |id: &str| {
            let line = takeoff.lines.iter().find(|line| line.id == id)?;
            let datum = Datum::Amount(line.quantity.clone(), line.unit.clone());
            let (value, unit) = datum.number(system)?;
            let places = if unit == "sf" || unit == "m2" { 1 } else { 2 };
            Some(format!("{} {unit}", thousands(value, places)))
        };
        let known: Vec<String> = [
            ("footing.total", "footing"),
            ("stem.total", "stem"),
            ("forms.contact", "forms"),
            ("dig.bank", "dig, bank"),
            ("dig.loose", "to haul, loose"),
        ]
        .iter()
        .filter_map(|(id, word)| Some(format!("{word} {}", quantity(id)?)))
        .collect();
        self.enter("amounts", known.join("   "));
        let allowed = &wall_job.allowances;
        let kind = allowed.dig.words();
        self.enter("dig", format!("{kind}, laid back from the {}", allowed.layback_from.name()));
        if let Some(total) = quantity("backfill.total") {
            let beyond = "fill over the existing ground is not in it; no backfill behind the wall before the engineer of record allows it";
            self.enter("backfill", format!("{total} in place; {beyond}"));
        }
    }

    /// What the yard is short of.
    fn yard(&mut self) {
        let Some(takeoff) = &self.work.takeoff else { return };
        let forms = takeoff.job.forms.as_deref();
        let mut pours: Vec<&str> = Vec::new();
        for way in takeoff.ways_out().unwrap_or_default() {
            let name =
                forms.and_then(|spec| spec.pours.get(way.pour)).map(|pour| pour.name.as_str());
            pours.extend(name.filter(|name| !pours.contains(name)));
        }
        if !pours.is_empty() {
            let pours = pours.join(", ");
            self.enter(
                "yard",
                format!(
                    "short of forms for {pours}; ways out with their prices on sheet \"Forms\""
                ),
            );
        }
    }

    /// The price, and the steps as drawn beside it.
    fn price(&mut self) {
        let work = self.work;
        let book = &work.calc.book;
        let word = |name: &str| book.find(name).map(|id| book.words(id));
        if let Some(total) = word("price.total") {
            let direct = word("price.direct").map(|direct| format!("   (direct {direct})"));
            let direct = direct.unwrap_or_default();
            self.enter("price", format!("{total}{direct}"));
            if let Some(partial) = work.calc.partial() {
                self.enter("", partial);
                self.enter("", "for each give a price, an own price with the work in its name, or in left_out the reason".to_owned());
            }
        }
        if let Some(tests) = work.calc.tests_in_words() {
            self.enter("tests", tests);
            for failed in work.calc.tested.iter().filter(|test| test.problem.is_some()) {
                self.enter("", format!("{} is not", failed.cell));
            }
        }
        if word("price.total").is_some() {
            let left_out = self.job.left_out();
            let left_out: Vec<String> =
                left_out.map(|(work, why)| format!("{work} ({why})")).collect();
            if !left_out.is_empty() {
                self.enter("", format!("left out of it: {}", left_out.join(", ")));
            }
        }
        if let Some(away) = &work.one_step_away {
            self.enter("", format!("{away}; sheet \"Other layouts\""));
        }
        let own = |path: &&String| self.job.keys.find(path).is_some_and(|key| key.own);
        let prices = self.job.wall_job.settings.keys().filter(|path| path.starts_with("prices."));
        for path in prices.filter(own) {
            let asked = work.takeoff.as_ref().is_some_and(|takeoff| takeoff.asked.contains(path));
            if book.find(path).is_none() && !asked {
                let text = format!("{path}: no cell and no line of the wall case rests on it");
                self.enter("unused", text);
            }
        }
        for (path, remark) in self.job.old_prices() {
            self.enter("old", format!("{path}: {remark}"));
        }
        if let Some(drawn) = &work.drawn {
            self.enter("as drawn", drawn.clone());
        }
        if let (Some(beside), Some(total)) = (&work.beside_calc, word("price.total"))
            && let Some(id) = beside.book.find("price.total")
        {
            let other = beside.book.words(id);
            let (drawn, least) = if work.calc.of_drawn() { (total, other) } else { (other, total) };
            self.enter(
                "",
                format!("price of the steps as drawn {drawn}, of the least-cost ones {least}"),
            );
            if let Some(partial) = beside.partial() {
                let of = if work.calc.of_drawn() { "least-cost steps" } else { "steps as drawn" };
                self.enter("", format!("price of the {of} {partial}"));
            }
        }
    }

    /// The first caution of each kind, and every one of a script.
    fn cautions(&mut self) {
        let work = self.work;
        let mut shown: Vec<&str> = Vec::new();
        for caution in &work.cautions {
            let own = caution.about == OWN_CAUTION;
            if !own && shown.contains(&caution.about) {
                continue;
            }
            shown.push(caution.about);
            let same = work.cautions.iter().filter(|other| other.about == caution.about).count();
            let more = if own { 0 } else { same - 1 };
            let place = if caution.place.is_empty() {
                String::new()
            } else {
                format!("{}: ", caution.place)
            };
            let more =
                if more > 0 { format!(" ({more} more of this kind)") } else { String::new() };
            self.enter("caution", format!("{place}{}{more}", caution.text));
        }
    }
}

/// Whose other value a job has its own in place of.
fn below(own: &crate::job::OwnValue) -> &str {
    let file = own.standard_from.file.rsplit(['/', '\\']).next().unwrap_or_default();
    if file == "standard.toml" { "the company's standard" } else { file }
}

//! Who signs the papers for others, how they look, and the plan that the job rests on.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::super::build::check_date;
use super::super::settings::View;
use crate::drawing::is_whole_png;
use crate::files::Layers;
use crate::listing::{Listing, listings};
use crate::measure::{Dimension, System, known_unit};
use crate::problem::{Faults, Outcome, Problem, closest};
use crate::workbook::{Look, WorkbookPaper, is_png};

listings! {
    FIRM = "firm", "where the firm is reached, and its licence: it stands under its name at the head of the papers for others", for Client, by []: FirmRow {
        code: &'static str, "what it is, for pages and programs: address, contact or licence";
        text: String, "in words";
    }
    PLAN_SHEETS = "plan_sheets", "sheets of the plan that the job rests on", for Client, by ["number"]: PlanSheet {
        number: String, "its number";
        title: String, "its title";
        revision: String, "its revision";
        date: String, "its date";
    }
}

/// What the papers for others begin with, and how they look.
#[derive(Debug, Clone, Default)]
pub(in crate::job) struct Firm {
    name: String,
    /// Who signs for it.
    signs: String,
    rows: Vec<FirmRow>,
    /// The file of its logo, and what to say where it is faulty.
    logo: Option<(String, Problem)>,
    colour: Option<u32>,
    font: Option<String>,
    paper: Option<WorkbookPaper>,
    /// Decimals by unit.
    places: BTreeMap<String, usize>,
    /// Sheets that come first.
    sheets: Vec<String>,
    /// The plan that the job rests on.
    plan: Vec<PlanSheet>,
}

/// Reads who signs, the look and the plan.
///
/// # Errors
/// A colour, font, unit or date is none, or a sheet of the plan stands twice.
pub(in crate::job) fn firm(root: View) -> Outcome<Firm> {
    let mut faults = Faults::none();
    let mut firm = Firm::default();
    let contractor = root.table("job").and_then(|job| job.maybe_text("contractor"));
    let currency = root.table("job").and_then(|job| job.maybe_text("currency"));
    let currency = currency.unwrap_or("usd");
    firm.name = contractor.unwrap_or_default().to_owned();
    if let Some(table) = root.table("firm") {
        let text = |name| table.maybe_text(name).unwrap_or_default().to_owned();
        if let Some(name) = table.maybe_text("name") {
            firm.name = name.to_owned();
        }
        firm.signs = text("signs");
        let address = table.texts("address").iter().cloned();
        firm.rows.extend(address.map(|text| FirmRow { code: "address", text }));
        let contact: Vec<String> =
            [text("phone"), text("email")].into_iter().filter(|text| !text.is_empty()).collect();
        if !contact.is_empty() {
            firm.rows.push(FirmRow { code: "contact", text: contact.join("   ") });
        }
        if let Some(licence) = table.maybe_text("licence") {
            firm.rows.push(FirmRow { code: "licence", text: licence.to_owned() });
        }
        firm.logo = table
            .maybe_text("logo")
            .map(|file| (file.to_owned(), table.place("logo", Problem::error(""))));
    }
    if let Some(table) = root.table("look") {
        if let Some(text) = table.maybe_text("colour") {
            let read = colour(text).map_err(|problem| table.place("colour", problem));
            firm.colour = faults.keep_one(read);
        }
        if let Some(font) = table.maybe_text("font") {
            let sound = |c: char| c.is_alphanumeric() || " -_.".contains(c);
            match font.chars().all(sound) && font.chars().count() <= 31 {
                true => firm.font = Some(font.to_owned()),
                false => {
                    faults.push(table.place(
                        "font",
                        Problem::error(format!("\"{font}\" is not a name of a typeface")).help(
                            "up to 31 letters, as the office program lists it, such as Georgia",
                        ),
                    ))
                }
            }
        }
        firm.paper = match table.maybe_text("paper") {
            Some("letter") => Some(WorkbookPaper::Letter),
            Some(_) => Some(WorkbookPaper::A4),
            None => None,
        };
        firm.sheets = table.texts("sheets").to_vec();
        for view in table.list("number") {
            // That something is missing was told when the settings were read.
            let (Some(unit), Some(places)) = (view.maybe_text("unit"), view.maybe_count("places"))
            else {
                continue;
            };
            let money = unit.split('/').next().is_some_and(|word| word == currency);
            let length = known_unit(unit).is_some_and(|unit| unit.dimension() == Dimension::LENGTH);
            if length {
                let problem = Problem::error("lengths and elevations keep their decimals");
                let help = "marks of the crew are read from them; take a unit of area, volume, weight or money";
                faults.push(view.place("unit", problem.help(help)));
            }
            if unit == currency {
                let problem = Problem::error("amounts of money are told to the cent");
                let help = "rounded otherwise they would not add up as shown; a rate such as usd/cy may be rounded";
                faults.push(view.place("unit", problem.help(help)));
            }
            if known_unit(unit).is_none() && !money {
                let problem = Problem::error(format!("{unit} is not a unit"));
                let help = format!("write it as the workbook shows it, such as cy, ft, {currency}");
                faults.push(view.place("unit", problem.help(help)));
            }
            firm.places.insert(unit.to_owned(), usize::try_from(places).unwrap_or(2));
        }
    }
    for view in root.list("plan_sheet") {
        // That it is missing was told when the settings were read.
        let Some(number) = view.maybe_text("number") else { continue };
        let text = |name| view.maybe_text(name).unwrap_or_default().to_owned();
        if let Some(date) = view.maybe_text("date") {
            faults.keep_one(check_date(date).map_err(|problem| view.place("date", problem)));
        }
        if firm.plan.iter().any(|sheet| sheet.number == number) {
            let problem = Problem::error(format!("the plan has {number} twice"));
            faults.push(view.place("number", problem.help("take one of them out")));
        }
        firm.plan.push(PlanSheet {
            number: number.to_owned(),
            title: text("title"),
            revision: text("revision"),
            date: text("date"),
        });
    }
    faults.or_value(Some(firm))
}

/// Six hexadecimal digits after a #.
fn colour(text: &str) -> Result<u32, Problem> {
    let digits = text.strip_prefix('#').filter(|digits| digits.len() == 6);
    let read = digits.and_then(|digits| u32::from_str_radix(digits, 16).ok());
    let read = read.ok_or_else(|| {
        Problem::error(format!("\"{text}\" is not a colour")).help("write it like \"#1F3A5F\"")
    })?;
    // What is printed in grey must still be read: by the weights of the eye, out of 255.
    let part = |shift: u32| f64::from((read >> shift) & 0xFF);
    let light = 0.299 * part(16) + 0.587 * part(8) + 0.114 * part(0);
    if light > 140.0 {
        return Err(Problem::error(format!("{text} is too light to be read on white paper"))
            .help("take a darker one: titles are printed in it, in grey too"));
    }
    Ok(read)
}

impl Firm {
    /// The look of its papers.
    ///
    /// # Errors
    /// The logo is not there, or is no picture.
    pub(super) fn look(&self, layers: &Layers, system: System) -> Outcome<Look> {
        let usual = WorkbookPaper::usual(system);
        let mut look = Look {
            colour: self.colour,
            font: self.font.clone(),
            paper: Some(self.paper.unwrap_or(usual)),
            logo: None,
            places: self.places.clone(),
            sheets: self.sheets.clone(),
        };
        if let Some((file, at)) = &self.logo {
            let said = |message: String| Problem { message, ..at.clone() };
            let read = layers.path(file).and_then(|path| layers.read(&path)).map_err(|faults| {
                let first = faults.into_vec().into_iter().next();
                let message = first.map_or_else(String::new, |problem| problem.message);
                said(format!("the logo {file}: {message}"))
                    .help("a png picture in the job folder or the company folder was expected")
            })?;
            if !is_png(&read) || !is_whole_png(&read) {
                let problem =
                    said(format!("the logo {file} is not a png picture that can be read"));
                return Err(problem.help("save it as png").into());
            }
            look.logo = Some(Arc::clone(&read));
        }
        Ok(look)
    }

    /// The sheets that are to come first and that are none of these, in words.
    pub(super) fn unknown_sheets(&self, known: &[String]) -> Vec<String> {
        let is_one =
            |name: &&String| known.iter().any(|it| it.to_lowercase() == name.to_lowercase());
        let told = |name: &String| {
            let near = closest(name, known.iter().map(String::as_str));
            let near = near.map_or_else(String::new, |near| format!("; did you mean {near}?"));
            format!("look.sheets: no sheet of this job is called \"{name}\"{near}")
        };
        self.sheets.iter().filter(|name| !is_one(name)).map(told).collect()
    }

    /// Its name; empty where nobody says it.
    pub(super) fn name(&self) -> &str {
        &self.name
    }

    /// Its name, and under it who signs for it.
    pub(super) fn signature(&self) -> String {
        [&self.name, &self.signs]
            .into_iter()
            .filter(|text| !text.is_empty())
            .cloned()
            .collect::<Vec<_>>()
            .join("\n")
    }

    /// Its listings.
    pub(super) fn listings(&self) -> [Listing; 2] {
        [
            Listing::of(FIRM, self.rows.iter().cloned()),
            Listing::of(PLAN_SHEETS, self.plan.iter().cloned()),
        ]
    }
}

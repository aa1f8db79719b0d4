//! Papers by reader: the sets of the client, the engineer and the crew, each from its own pages, which show nothing that its
//! readers may not see; and the office's, which is the takeoff with its drawings.

mod bid_form;
mod firm;
mod listings;
mod phone;
mod print;
mod quote;
mod spread;
mod told;

use super::output::{pages_in, tables_of_scripts};
use super::settings::View;
use super::{Job, Work};
use crate::drawing::{About, Paper, Scene, drawings, lacks_letters, pdf, pngs};
use crate::listing::{Audience, Listing};
use crate::problem::{Faults, Outcome, Problem};
use crate::sheet::{Book, Sheet};
use crate::workbook::{Contents, Look, Page, Picture, WorkbookPaper, paper_sheets, write_workbook};

pub(super) use listings::{DECLARED, listings_of};
pub(crate) use phone::MARK as PHONE_MARK;

/// What the papers of a job say beside its takeoff.
#[derive(Debug, Clone, Default)]
pub(super) struct Papers {
    /// Who signs, and how it looks.
    firm: firm::Firm,
    /// The quote.
    quote: quote::Quote,
    /// The owner's form of the bid.
    form: Option<bid_form::BidForm>,
}

impl Papers {
    /// How the firm's workbooks look.
    ///
    /// # Errors
    /// The logo is not there, or is no picture.
    pub(super) fn look(&self, job: &Job) -> Outcome<Look> {
        self.firm.look(&job.layers, job.wall_job.style.system)
    }

    /// The sheets that the firm wants first and that are none of these, in words.
    pub(super) fn unknown_sheets(&self, known: &[String]) -> Vec<String> {
        self.firm.unknown_sheets(known)
    }

    /// What is wrong with the quote and the owner's form beside the price sheet of the job: names that it does not have.
    pub(super) fn faults_beside(&self, sheets: &[Sheet]) -> Faults {
        let forms = self.form.iter().flat_map(bid_form::BidForm::lines);
        quote::faults_beside(self.quote.lines.iter().chain(forms), sheets)
    }

    /// Who signs, and the plan: whether or not there is a price.
    pub(super) fn of_firm(&self) -> [Listing; 2] {
        self.firm.listings()
    }
}

/// Reads it.
///
/// # Errors
/// What the firm, the plan or the quote says is faulty.
pub(super) fn papers(root: View) -> Outcome<Papers> {
    let mut faults = Faults::none();
    let firm = faults.keep(firm::firm(root)).unwrap_or_default();
    let quote = faults.keep(quote::quote(root)).unwrap_or_default();
    let form = faults.keep(bid_form::bid_form(root)).flatten();
    faults.or_value(Some(Papers { firm, quote, form }))
}

/// A set of papers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PaperSet {
    /// The quote.
    Client,
    /// Questions, profile, sections, schedule, rules.
    Engineer,
    /// What is set out, dug, formed, tied and poured.
    Crew,
    /// The takeoff with its drawings.
    Office,
}

impl PaperSet {
    /// Those for others: none of them holds a cost.
    pub const FOR_OTHERS: [Self; 3] = [Self::Client, Self::Engineer, Self::Crew];

    /// Its name: of its folder of pages and of what is written.
    pub fn name(self) -> &'static str {
        match self {
            Self::Client => "client",
            Self::Engineer => "engineer",
            Self::Crew => "crew",
            Self::Office => "office",
        }
    }

    fn audience(self) -> Audience {
        match self {
            Self::Client => Audience::Client,
            Self::Engineer => Audience::Engineer,
            Self::Crew => Audience::Crew,
            Self::Office => Audience::Office,
        }
    }

    pub(super) fn folder(self) -> String {
        format!("templates/papers/{}", self.name())
    }
}

/// A set of papers, ready to be written.
pub struct PaperBook {
    /// The workbook.
    pub workbook: Vec<u8>,
    /// The same as a pdf, for the crew.
    pub pdf: Option<Vec<u8>>,
    /// The same as one page for a phone, for the crew.
    pub phone: Option<String>,
    /// Whether the face of the pdf lacks letters that the page for a phone has.
    pub lacks_letters: bool,
    /// Drawings that could not be drawn, and why.
    pub not_drawn: Faults,
}

/// A set of the papers of a job that has a layout.
///
/// # Errors
/// A page is faulty, the logo is none, the client's set is asked for and the job has no price.
pub fn paper_book(job: &Job, work: &Work, set: PaperSet) -> Outcome<PaperBook> {
    if set == PaperSet::Client && work.calc.total().is_none() {
        return Err(Problem::error("a quote needs a price, and the job has none")
            .help("add prices and bid to the job; rodbook keys prices lists them")
            .into());
    }
    let mut pages =
        pages_in(&set.folder(), Some(set.audience()), job, work.takeoff.as_ref(), &work.calc)?;
    let (mut tables, mut calc, mut book) = (Vec::new(), &[][..], &Book::default());
    if set == PaperSet::Office {
        pages = with_drawings(work.pages.clone(), pages);
        tables = tables_of_scripts(job, work);
        (calc, book) = (&work.calc.sheets, &work.calc.book);
    }
    let system = job.wall_job.style.system;
    let look = job.papers.look(job)?;
    let (scenes, pictures, not_drawn) = pictures(job, work, &pages, &look);
    let title = &job.wall_job.title.name;
    let contents = Contents {
        job: title,
        firm: if set == PaperSet::Office { "" } else { job.papers.firm.name() },
        system,
        pages: &pages,
        listings: &work.listings,
        takeoff: work.takeoff.as_ref(),
        tables: &tables,
        calc,
        book,
        pictures: &pictures,
        look: &look,
    };
    let workbook = write_workbook(&contents)?;
    let mut book = PaperBook { workbook, pdf: None, phone: None, lacks_letters: false, not_drawn };
    if set == PaperSet::Crew {
        let sheets = paper_sheets(&contents);
        let foot = match contents.firm {
            "" => title.clone(),
            firm => format!("{firm}, {title}"),
        };
        let pages = print::pages(&sheets, &scenes, contents.paper(), &foot);
        book.lacks_letters = pages.iter().any(lacks_letters);
        book.pdf = Some(pdf(&pages.iter().collect::<Vec<_>>()));
        book.phone = Some(phone::page(&foot, &sheets, &scenes, &look));
    }
    Ok(book)
}

/// The pages of the office with those of its drawings behind the profile.
fn with_drawings(mut pages: Vec<Page>, drawings: Vec<Page>) -> Vec<Page> {
    let at = pages.iter().position(|page| page.sheet == "Profile").map_or(pages.len(), |at| at + 1);
    pages.splice(at..at, drawings);
    pages
}

/// The drawings that some pages show, the same as pictures, and why others are not drawn.
fn pictures(
    job: &Job,
    work: &Work,
    pages: &[Page],
    look: &Look,
) -> (Vec<Scene>, Vec<Picture>, Faults) {
    let mut not_drawn = Faults::none();
    let title = &job.wall_job.title;
    let about = About {
        job: title.name.clone(),
        date: title.date.clone().unwrap_or_default(),
        system: job.wall_job.style.system,
        paper: match look.paper {
            Some(WorkbookPaper::Letter) => Paper::Letter,
            _ => Paper::A4,
        },
        // In a workbook a drawing is fitted to the page.
        full_size: false,
    };
    let wanted: Vec<&str> = pages.iter().map(Page::picture).collect();
    let (mut scenes, mut pictures) = (Vec::new(), Vec::new());
    for (kind, sheets) in drawings(&work.listings, &about, &wanted) {
        let Some(sheets) = not_drawn.keep_one(sheets) else { continue };
        let of = sheets.len();
        let drawn = pngs(&sheets.iter().collect::<Vec<_>>());
        for (number, (scene, png)) in (1..).zip(sheets.iter().zip(drawn)) {
            let Some(png) = not_drawn.keep_one(png) else { continue };
            pictures.push(Picture {
                kind: kind.to_owned(),
                png,
                size: (scene.width, scene.height),
                words: words(kind, number, of, scene),
            });
            scenes.push(scene.clone());
        }
    }
    (scenes, pictures, not_drawn)
}

/// What a drawing shows, for who does not see it.
fn words(kind: &str, number: usize, of: usize, scene: &Scene) -> String {
    let about = match kind {
        "plan" => "plan of the wall with stations, corners and footing steps",
        "profile" => "profile along the wall with ground, footing and top",
        "sections" => "sections of the wall types",
        "faces" => "form faces with their panels",
        _ => "elevation of the bars along the wall",
    };
    let which = if of > 1 { format!(", sheet {number} of {of}") } else { String::new() };
    format!("{about}{which}; {} labels", scene.labels())
}

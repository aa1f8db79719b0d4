//! `papers`: the sets for the client, the engineer and the crew.

use std::path::{Path, PathBuf};

use super::args::PapersArgs;
use super::takeoff::{keep_edited, keep_inputs, keep_others, laid_out, slug};
use super::terminal::{Exit, print, report};
use crate::drawing::is_our_pdf;
use crate::files;
use crate::job::{Job, PHONE_MARK, PaperBook, PaperSet, Work, paper_book};
use crate::listing::{Datum, Listing};
use crate::problem::{Faults, Outcome};

/// Writes the sets that are asked for; each is written or told, whatever becomes of the others.
pub(super) fn papers(args: &PapersArgs) -> Exit {
    let (job, work) = match laid_out(&args.job) {
        Ok(worked) => worked,
        Err(exit) => return exit,
    };
    let folder = args.out.clone().unwrap_or_else(|| own_folder(&job));
    let sets: Vec<PaperSet> = match args.sets.as_slice() {
        [] => PaperSet::FOR_OTHERS.to_vec(),
        some => some.iter().map(|set| set.set()).collect(),
    };
    let mut exit = Exit::Done;
    for set in sets {
        let book = match paper_book(&job, &work, set) {
            Ok(book) => book,
            Err(problems) => {
                report(&problems);
                exit = Exit::Faults;
                continue;
            }
        };
        report_if_any(&book.not_drawn);
        match write(&job, &folder, set, &book, args.replace) {
            Ok(written) => {
                written.iter().for_each(|path| print(&path.display().to_string()));
                if set == PaperSet::Client {
                    print(&draft(&work));
                }
            }
            Err(problems) => {
                report(&problems);
                exit = Exit::NotWritten;
            }
        }
        if book.lacks_letters {
            print(
                "  in the pdf letters that its face lacks stand as ?; the page for a phone has them",
            );
        }
    }
    exit
}

fn report_if_any(faults: &Faults) {
    if !faults.is_empty() {
        report(faults);
    }
}

/// Writes a set, all of its files or none: what is in the way is told before the first.
fn write(
    job: &Job,
    folder: &Path,
    set: PaperSet,
    book: &PaperBook,
    replace: bool,
) -> Outcome<Vec<PathBuf>> {
    let named = |ending: &str| folder.join(format!("{}.{ending}", set.name()));
    let mut papers = vec![(named("xlsx"), book.workbook.as_slice())];
    papers.extend(book.pdf.as_deref().map(|bytes| (named("pdf"), bytes)));
    papers.extend(book.phone.as_deref().map(|text| (named("html"), text.as_bytes())));
    keep_inputs(&papers[0].0, &job.layers.reader().files())?;
    keep_edited(&papers[0].0, replace)?;
    for (target, _) in &papers[1..] {
        keep_others(target, |bytes| is_our_pdf(bytes) || is_our_page(bytes), replace)?;
    }
    files::make_folder(folder)?;
    papers.iter().try_for_each(|(target, bytes)| files::write_atomic(target, bytes))?;
    Ok(papers.into_iter().map(|(target, _)| target).collect())
}

/// Whether a file is a page for a phone of ours.
fn is_our_page(bytes: &[u8]) -> bool {
    bytes.starts_with(PHONE_MARK.as_bytes())
}

/// The folder of the job's papers; with replaced settings one of another name.
fn own_folder(job: &Job) -> PathBuf {
    let book = job.own_workbook();
    let stem = book.file_stem().unwrap_or_default().to_string_lossy().into_owned();
    let own = stem.strip_suffix("takeoff").unwrap_or_default();
    let replaced = if job.set.is_empty() { String::new() } else { format!("-{}", slug(&job.set)) };
    book.with_file_name(format!("{own}papers{replaced}"))
}

/// What the quote lacks before it can be signed; empty where it lacks nothing.
fn draft(work: &Work) -> String {
    let listing = work.listings.iter().find(|listing: &&Listing| listing.name() == "quote_draft");
    let rows = listing.into_iter().flat_map(|listing| &listing.rows);
    let lacks: Vec<&str> = rows
        .filter_map(|row| match row.first() {
            Some(Datum::Text(text)) => Some(text.as_str()),
            _ => None,
        })
        .collect();
    match lacks.as_slice() {
        [] => "  the client reads it: look it through before it is sent".to_owned(),
        lacks => format!(
            "  DRAFT: {}; it says so. rodbook keys quote lists what a quote may say",
            lacks.join(", ")
        ),
    }
}

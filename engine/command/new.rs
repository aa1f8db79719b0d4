//! `new`: a job folder that runs as it is.

use std::path::Path;

use super::args::NewArgs;
use super::takeoff::faults;
use super::terminal::{Exit, print};
use crate::files;
use crate::job::{OpenOptions, case_starter, copied, started_book, starter_files, starter_for};
use crate::problem::{Outcome, Place, Problem};

/// Starts a job folder, or an input book.
pub(super) fn new(args: &NewArgs) -> Exit {
    let folder = match is_new_book(&args.folder) {
        true => files::folder_of(&args.folder),
        false => &args.folder,
    };
    let (new, told) = match contents(args) {
        Ok(contents) => contents,
        Err(problems) => return faults(&problems),
    };
    for (name, _) in &new {
        let path = folder.join(name);
        if files::exists(&path) {
            let problem = Problem::error("this file is there already; nothing was written");
            return faults(
                &problem
                    .at(Place::file(path.display().to_string()))
                    .help("name another folder")
                    .into(),
            );
        }
    }
    let written = files::make_folder(folder).and_then(|()| {
        new.iter().try_for_each(|(name, bytes)| {
            let path = folder.join(name);
            path.parent().map_or(Ok(()), files::make_folder)?;
            files::write_atomic(&path, bytes)
        })
    });
    match written {
        Ok(()) => {
            print(&told);
            Exit::Done
        }
        Err(problems) => {
            faults(&problems);
            Exit::NotWritten
        }
    }
}

/// Whether what is to be made is an input book, by its name.
fn is_new_book(path: &Path) -> bool {
    path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("xlsx"))
}

/// The input book, the files that it needs beside it, and what is told about them.
fn book(args: &NewArgs) -> Outcome<(Vec<(String, Vec<u8>)>, String)> {
    if args.case.is_some() {
        return Err(Problem::error("a wall case starts as a folder with a job.toml")
            .help(format!(
                "rodbook new FOLDER --case NAME, then rodbook new {} --from FOLDER",
                args.folder.display()
            ))
            .into());
    }
    if args.shots.is_some() || args.list != super::args::ListArgs::default() {
        return Err(Problem::error("an input book has a sheet for its shots")
            .help("paste the list into sheet Shot list, or name its file in sheet shots")
            .into());
    }
    let shown = args.folder.display();
    let options = OpenOptions { company: args.company.clone(), ..OpenOptions::default() };
    let started = started_book(&args.folder, args.from.as_deref(), &options)?;
    let mut told = match &args.from {
        Some(from) => format!("{shown} is {} as an input book", from.display()),
        None => format!("{shown} is a small invented job as an input book: change it into yours"),
    };
    for line in &started.told {
        told += &format!("\n  {line}");
    }
    told += &format!("\nThen: rodbook check {shown}");
    Ok((started.files, told))
}

/// Name and bytes of each file of the new job, and what is told about them.
fn contents(args: &NewArgs) -> Outcome<(Vec<(String, Vec<u8>)>, String)> {
    let shown = args.folder.display();
    let name = args.folder.to_string_lossy().to_lowercase();
    if [".ods", ".xls", ".xlsm", ".xlsb", ".csv"].iter().any(|ending| name.ends_with(ending)) {
        return Err(Problem::error("an input book is written as .xlsx")
            .at(Place::file(shown.to_string()))
            .help("name it FILE.xlsx, or name a folder for a job.toml")
            .into());
    }
    if is_new_book(&args.folder) {
        return book(args);
    }
    let folder = &args.folder;
    let options = OpenOptions { company: args.company.clone(), ..OpenOptions::default() };
    let of_list = args.list != super::args::ListArgs::default();
    if let Some(from) = &args.from {
        if of_list {
            return Err(Problem::error("options of a shot list beside a job that is copied")
                .help("its own [shots] say how the list is read")
                .into());
        }
        let name = std::path::absolute(folder).unwrap_or_else(|_| folder.clone());
        let name = name.file_name().map(|name| name.to_string_lossy().into_owned());
        let name = name.unwrap_or_else(|| "new job".to_owned());
        let copied = copied(from, &name, args.shots.as_deref(), &options)?;
        let told = copied.told.join("\n  ");
        let told = format!(
            "{shown}/job.toml is a copy of {}:\n  {told}\nChange what differs. Then: rodbook check {shown}",
            from.display()
        );
        return Ok((copied.files, told));
    }
    if let Some(case) = &args.case {
        if of_list {
            return Err(Problem::error("options of a shot list beside a wall case")
                .help("start the case, then name the list in its [shots]")
                .into());
        }
        let files = case_starter(folder, &options, case, args.metric)?;
        let names: Vec<String> = files.iter().map(|(name, _)| format!("{shown}/{name}")).collect();
        let are = if names.len() == 1 { "is" } else { "are" };
        let then = if names.len() == 1 { "takeoff" } else { "together" };
        let jobs = if names.len() == 1 { shown.to_string() } else { names.join(" ") };
        let told = format!(
            "{} {are} wall case {case} with invented numbers: change them into yours.\nThen: rodbook {then} {jobs}",
            names.join(" and ")
        );
        return Ok((files.into_iter().map(|(name, text)| (name, text.into())).collect(), told));
    }
    let Some(list) = &args.shots else {
        if of_list {
            return Err(Problem::error("options of a shot list without one")
                .help("name the list: --shots FILE")
                .into());
        }
        let new = starter_files(folder, &options)?.into_iter();
        let told = format!(
            "{shown}/job.toml and {shown}/shots.csv are a small invented job: change them into yours.\nThen: rodbook takeoff {shown}"
        );
        return Ok((new.map(|(name, text)| (name, text.into())).collect(), told));
    };
    let (sheets, codes) = (&args.list.sheet, args.list.codes());
    let job = starter_for(folder, &options, list, sheets, &args.list.asked()?, &codes)?;
    let name = list.file_name().map(|name| name.to_string_lossy().into_owned());
    let bytes = files::read_bytes(list)?;
    let told = format!(
        "{shown}/job.toml has the columns and codes of your list; the walls in it are invented.\nAnswer what is marked ANSWER and the plan below it. Then: rodbook check {shown}"
    );
    Ok((vec![("job.toml".to_owned(), job.into()), (name.unwrap_or_default(), bytes)], told))
}

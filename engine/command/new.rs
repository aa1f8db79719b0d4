//! `new`: a job folder that runs as it is.

use super::args::NewArgs;
use super::takeoff::faults;
use super::terminal::{Exit, print};
use crate::files;
use crate::job::{starter_files, starter_for};
use crate::problem::{Outcome, Place, Problem};

/// Starts a job folder.
pub(super) fn new(args: &NewArgs) -> Exit {
    let folder = &args.folder;
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
        new.iter().try_for_each(|(name, bytes)| files::write_atomic(&folder.join(name), bytes))
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

/// Name and bytes of each file of the new job, and what is told about them.
fn contents(args: &NewArgs) -> Outcome<(Vec<(String, Vec<u8>)>, String)> {
    let shown = args.folder.display();
    let Some(list) = &args.shots else {
        if args.list != super::args::ListArgs::default() {
            return Err(Problem::error("options of a shot list without one")
                .help("name the list: --shots FILE")
                .into());
        }
        let new = starter_files().into_iter().map(|(name, text)| (name.to_owned(), text.into()));
        let told = format!(
            "{shown}/job.toml and {shown}/shots.csv are a small invented job: change them into yours.\nThen: rodbook takeoff {shown}"
        );
        return Ok((new.collect(), told));
    };
    let job = starter_for(list, &args.list.sheet, &args.list.asked()?, &args.list.codes())?;
    let name = list.file_name().map(|name| name.to_string_lossy().into_owned());
    let bytes = files::read_bytes(list)?;
    let told = format!(
        "{shown}/job.toml has the columns and codes of your list; the walls in it are invented.\nAnswer what is marked ANSWER and the plan below it. Then: rodbook check {shown}"
    );
    Ok((vec![("job.toml".to_owned(), job.into()), (name.unwrap_or_default(), bytes)], told))
}

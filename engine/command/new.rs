//! `new`: a job folder that runs as it is.

use super::args::NewArgs;
use super::takeoff::faults;
use super::terminal::{Exit, print};
use crate::files;
use crate::job::starter_files;
use crate::problem::{Place, Problem};

/// Starts a job folder.
pub(super) fn new(args: &NewArgs) -> Exit {
    let folder = &args.folder;
    for (name, _) in starter_files() {
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
        starter_files()
            .into_iter()
            .try_for_each(|(name, text)| files::write_atomic(&folder.join(name), text.as_bytes()))
    });
    match written {
        Ok(()) => {
            let shown = folder.display();
            print(&format!(
                "{shown}/job.toml and {shown}/shots.csv are a small invented job: change them into yours.\nThen: rodbook takeoff {shown}"
            ));
            Exit::Done
        }
        Err(problems) => {
            faults(&problems);
            Exit::NotWritten
        }
    }
}

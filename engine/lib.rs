//! The engine of rodbook: stepped retaining walls and footings from shots to a takeoff workbook.
//!
//! Rooms import in one direction only; DEVELOPERS.md has the table and a test holds it.
//!
//! ```no_run
//! use rodbook::job::{Job, OpenOptions, work};
//!
//! fn main() -> Result<(), Box<dyn std::error::Error>> {
//!     let job = Job::open("examples/tarrow-bench".as_ref(), &OpenOptions::default())?;
//!     let done = work(&job, &|_| {})?;
//!     for line in done.takeoff.iter().flat_map(|takeoff| &takeoff.lines) {
//!         println!("{} {}", line.label, line.quantity.quantity().base());
//!     }
//!     Ok(())
//! }
//! ```

pub mod catalogue;
pub mod command;
pub mod concrete;
pub mod earth;
pub mod files;
pub mod footing;
pub mod forms;
pub mod job;
pub mod listing;
pub mod measure;
pub mod price;
pub mod problem;
pub mod rebar;
pub mod script;
pub mod sheet;
pub mod source;
pub mod survey;
pub mod table;
pub mod takeoff;
pub mod workbook;

//! The engine of rodbook: stepped retaining walls and footings from shots to a takeoff workbook.
//!
//! Rooms import in one direction only; DEVELOPERS.md has the table and a test holds it.
//!
//! ```
//! use rodbook::job::{Job, OpenOptions, work};
//!
//! let job = Job::open("examples/tarrow-bench".as_ref(), &OpenOptions::default())?;
//! let done = work(&job, &|_| {})?;
//! let takeoff = done.takeoff.as_ref().ok_or("a legal layout")?;
//! assert_eq!(takeoff.layout.steps.len(), 7);
//!
//! // Lines, in the order of the wall case.
//! let footing = takeoff.line("footing.total")?;
//! assert_eq!(footing.label, "Footing concrete");
//!
//! // Cells of the calc sheets, as a person reads them.
//! let book = &done.calc.book;
//! let total = book.find("price.total").ok_or("the job has a bid")?;
//! assert_eq!(book.words(total), "62,286.05 usd");
//!
//! // Every table of results.
//! let steps = done.listings.iter().find(|listing| listing.name() == "steps");
//! assert_eq!(steps.map(|steps| steps.rows.len()), Some(7));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

pub mod catalogue;
pub mod command;
pub mod concrete;
pub mod cutting;
pub mod drawing;
pub mod earth;
pub mod files;
pub mod footing;
pub mod forms;
pub mod glossary;
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

//! Listings: tables of results, each declared once. A declaration gives the name of the table, what it lists, the columns
//! that tell its rows apart, and of every column its name, kind and meaning; in Rust a row of it is a type of its own.
//! Machine-readable output, pages, scripts, formulas and the generated reference all rest on the declarations.

mod cell;
mod datum;
mod declare;
mod reference;

pub use cell::{Amount, AnyAmount, ColumnValue};
pub use datum::Datum;
pub use declare::{Audience, Column, ColumnKind, Declaration, Listing, ListingRow, plain};
pub(crate) use declare::{listings, seen};
pub use reference::listings_page;

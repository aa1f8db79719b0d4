//! Rows of listings by the names of their columns.

use crate::listing::{Datum, Listing};
use crate::measure::Nm;

/// The rows of a listing.
#[derive(Clone, Copy)]
pub(super) struct Rows<'a>(Option<&'a Listing>);

/// One of them.
pub(super) struct ListedRow<'a> {
    listing: &'a Listing,
    cells: &'a [Datum],
}

impl<'a> Rows<'a> {
    /// Those of a listing; none where the job has no such listing.
    pub(super) fn of(listings: &'a [Listing], name: &str) -> Self {
        Self(listings.iter().find(|listing| listing.declaration.name == name))
    }

    pub(super) fn iter(self) -> impl Iterator<Item = ListedRow<'a>> {
        let listing = self.0;
        listing
            .into_iter()
            .flat_map(|listing| listing.rows.iter().map(move |cells| ListedRow { listing, cells }))
    }
}

impl ListedRow<'_> {
    fn cell(&self, column: &str) -> Option<&Datum> {
        self.cells.get(self.listing.declaration.column(column).ok()?)
    }

    /// A length or elevation.
    pub(super) fn length(&self, column: &str) -> Option<Nm> {
        self.cell(column)?.quantity()?.to_nm().ok()
    }

    /// The unit that a length is shown in.
    pub(super) fn unit(&self, column: &str) -> Option<&str> {
        match self.cell(column)? {
            Datum::Amount(_, unit) => Some(unit),
            _ => None,
        }
    }

    /// A text; empty where there is none.
    pub(super) fn text(&self, column: &str) -> &str {
        match self.cell(column) {
            Some(Datum::Text(text)) => text,
            _ => "",
        }
    }

    /// A whole number.
    pub(super) fn count(&self, column: &str) -> Option<i64> {
        match self.cell(column)? {
            Datum::Count(count) => Some(*count),
            _ => None,
        }
    }
}

//! Where a value comes from, and how far it may be trusted.

mod list;

pub use list::{SOURCES, find};

use std::fmt;

/// How the authority of a value was established.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// Published, and the original was read.
    Published,
    /// Published; a copy was read.
    Copy,
    /// Published; a quotation was read, not the original.
    Quoted,
    /// Follows from definitions.
    Derived,
    /// Common practice of the trade, no source.
    CommonPractice,
    /// The company's own figure.
    Company,
    /// From memory, until a source is found.
    Memory,
}

impl fmt::Display for Standing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Standing::Published => "published, original read",
            Standing::Copy => "published, copy read",
            Standing::Quoted => "published, quotation read",
            Standing::Derived => "derived from definitions",
            Standing::CommonPractice => "common practice, no source",
            Standing::Company => "company's own",
            Standing::Memory => "from memory",
        })
    }
}

/// One entry of the list of sources.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Source {
    /// Key by which values refer to it.
    pub key: &'static str,
    /// How its authority was established.
    pub standing: Standing,
    /// Title, edition, clause or page; for practice, what is practised.
    pub title: &'static str,
}

//! The job: job.toml with its one list of keys, and the order of work from inputs to outputs.

mod again;
mod alignment;
mod as_written;
mod at_once;
mod build;
mod by_hand;
mod case;
mod company;
mod costs;
mod cross_checks;
mod feet;
mod ground;
mod input_book;
mod inputs;
mod keys;
mod kind;
mod lines;
mod listings;
mod lists;
mod missing;
mod neighbours;
mod old_prices;
mod open;
mod output;
mod own_lines;
mod page;
mod papers;
mod planned;
mod provenance;
mod read_back;
mod read_cells;
mod renew;
mod script_sheets;
mod settings;
mod sheets;
mod shots;
mod starter;
mod subject;
mod tables;
mod together;
mod two_runs;
mod variants;
mod why;
mod work;

pub use again::KnownTakeoff;
pub use inputs::{JobInputs, formulas};
pub use keys::{Key, KeyTable, Keys, Need, bundled_keys, tables as key_tables};
pub use kind::KeyKind;
pub use listings::declared;
pub use lists::{ListTables, read_lists};
pub use open::{Job, OpenOptions, is_book, keys_at, sound};
pub use output::{
    JSON_FORMAT, json, sensitivity_workbook, sheets_workbook, shots_json, variants_workbook,
    workbook,
};
pub use page::{keys_page, keys_page_of};
pub(crate) use papers::PHONE_MARK;
pub use papers::{PaperBook, PaperSet, paper_book};
pub use provenance::replaced;
pub use read_back::{ReadBack, ReadInput, read_back, with_inputs};
pub use read_cells::{ReadCell, with_cells};
pub use renew::{FORMAT, Renewed, renewed};
pub use settings::{OwnValue, Setting, Settings, Written};
pub use sheets::{CalcSheets, calc_sheets};
pub use shots::list_without_job;
pub use starter::{
    BundledCase, Copied, bundled_cases, case_starter, cases_page, copied, started_book,
    starter_files, starter_for,
};
pub use subject::{Answer, Subject};
pub use together::{SideBySide, Together, together};
pub use two_runs::{ChangeGroup, OneRun, two_runs};
pub use variants::{
    Compared, Looked, Moved, NO_LAYOUT, Sensitivity, Variant, compare, look_for, read_variants,
    scripted_variants, sensitivity,
};
pub use why::{Because, why, why_line};
pub use work::{Work, Worked, taken_off_by, work, worked};

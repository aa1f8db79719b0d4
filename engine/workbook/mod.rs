//! Workbooks: spreadsheets to tables, takeoffs to workbooks. The only room that knows a spreadsheet library;
//! it works on bytes.

mod calc;
mod chart;
mod comparison;
mod guard;
mod hidden;
mod look;
mod net;
mod old;
mod page;
mod quantities;
mod read;
mod seal;
mod write;

pub use comparison::{Comparison, write_comparison};
pub use net::quiet_about_what_is_caught;
pub use old::{COMMAND as READ_OLD, answer as read_old};
pub use page::{Names, Page, check_page, read_page};
pub use read::{SheetRead, is_workbook, read_sheets};
pub use seal::{Seal, seal_of};
pub use write::{Contents, write_workbook};

//! Workbooks: spreadsheets to tables, takeoffs to workbooks. The only room that knows a spreadsheet library;
//! it works on bytes.

mod block;
mod cell;
mod chart;
mod free;
mod guard;
mod hidden;
mod input_book;
mod laid;
mod look;
mod net;
mod old;
mod package;
mod page;
mod page_check;
mod page_reference;
mod percent;
mod places;
mod printed;
mod read;
mod seal;
mod split;
mod tables;
mod write;

pub use free::{Comparison, FreeTable};
pub use input_book::{InputCell, InputColumn, InputPair, InputRows, InputSheet, write_input_book};
pub use look::{Look, WorkbookPaper, is_png};
pub use net::quiet_about_what_is_caught;
pub use old::{COMMAND as READ_OLD, answer as read_old};
pub use page::{Each, Page, read_page};
pub use page_check::{Names, check_page, check_pages};
pub use page_reference::pages_page;
pub use printed::{PaperCell, PaperRole, PaperRow, PaperSheet, paper_sheets};
pub use read::{SheetRead, is_workbook, read_sheets};
pub use seal::{Seal, seal_of};
pub use write::{Contents, Picture, sheet_name, write_comparison, write_workbook};

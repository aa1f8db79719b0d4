//! Integration tests. `data/` holds the expected results of an independent specification of the trade's geometry:
//! two separately written solvers agree on every number in it. The jobs in it are invented.

#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::disallowed_methods,
    reason = "tests fail by panicking"
)]

mod again;
mod answers;
mod brute_force;
mod bundled;
mod cases;
mod columns;
mod command;
mod corners;
mod curves;
mod cutting;
mod decided;
mod dig;
mod documents;
mod drawings;
mod drawn;
mod expected;
mod firm;
mod grids;
mod hostile;
mod imports;
mod input_book;
mod invariance;
mod list_shapes;
mod listings;
mod lists;
mod lumber;
mod pages;
mod papers;
mod price;
mod problems;
mod published;
mod read_back;
mod right_or_refused;
mod rows;
mod scripts;
mod sheets;
mod standard;
mod support;
mod tables;
mod together;
mod trade;
mod ways_out;
mod workbook;

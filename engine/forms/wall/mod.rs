//! The forms of a layout: panels in courses, fillers, ties, what the yard has of them, bulkheads, templates and stakes.

mod boards;
mod bulkheads;
mod days;
mod edges;
mod fill;
mod fillers;
mod lumber_cuts;
mod panels;
mod parts;
mod pour_breaks;
mod spec;
mod stacks;
mod standing;
mod ways_out;

pub use boards::{Board, BoardStack, BoardUse, UsedLumber, board_stack, used_lumber};
pub use bulkheads::{
    Bulkhead, BulkheadThrust, FootingTemplate, KickerLoad, LumberSpec, bulkheads, templates,
};
pub use days::{DaySpan, StockedLumber, day_spans, stocked_lumber};
pub use edges::{
    FootingSide, SideSpec, edge_form_parts, edge_lengths, edge_stakes, over_width_parts,
};
pub use fill::exact_fill;
pub use fillers::{Filler, FillerUse, FormFace, fillers};
pub use lumber_cuts::{LumberCuts, lumber_cuts};
pub use panels::{PanelRun, area_by_forms, panel_runs, ties};
pub use parts::{FootingLumber, cut_filler_parts, lumber_parts, tie_parts};
pub use spec::{FillerWidth, FormSpec, Hardware, PanelHeight, PourGroup, WayPrices};
pub use stacks::StackUse;
pub use standing::{FormPart, FormStretch, YardLine, whole_stretches, yard};
pub use ways_out::{PourPart, WayKind, WayOut, ways_out};

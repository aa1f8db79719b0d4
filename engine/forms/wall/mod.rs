//! The forms of a layout: panels in courses, fillers, ties, what the yard has of them, bulkheads, templates and stakes.

mod bulkheads;
mod edges;
mod fill;
mod fillers;
mod lumber_cuts;
mod panels;
mod parts;
mod spec;
mod yard;

pub use bulkheads::{Bulkhead, FootingTemplate, LumberSpec, bulkheads, templates};
pub use edges::{
    FootingSide, SideSpec, edge_form_parts, edge_lengths, edge_stakes, over_width_parts,
};
pub use fill::exact_fill;
pub use fillers::{Filler, FillerUse, FormFace, fillers};
pub use lumber_cuts::{LumberCuts, lumber_cuts};
pub use panels::{PanelRun, area_by_forms, panel_runs, ties};
pub use parts::{FootingLumber, lumber_parts, tie_parts};
pub use spec::{FillerWidth, FormSpec, PanelHeight, PourGroup};
pub use yard::{FormPart, YardLine, yard};

//! Footing: wall types, panel joints, step rules, the least-cost layout of steps, and what it is made of.
//!
//! Step rates come in as plain exact numbers; this room knows no price list.

mod compare;
mod cost;
mod drawn;
mod explain;
mod grid;
mod hooks;
mod keys;
mod known;
mod layout;
mod locks;
mod neighbours;
mod part;
mod pieces;
mod published;
mod reach;
mod ring;
mod rules;
mod site;
mod solve;
mod tables;
mod top_line;
mod wall_type;
mod wanted;

pub use crate::measure::System;
pub use compare::{DatumOffset, Restriction, Without, datum_sweep, without_each};
pub use drawn::{Drawn, DrawnFinding, DrawnLayout, DrawnRun, Finding, TooHigh, as_drawn};
pub use explain::{NoLayout, Shortfall, TooLow};
pub use grid::{
    End, Grid, GridCell, GridFault, GridKind, Joints, Module, TopBreak, WallGrid, WallSpec,
};
pub use hooks::{Fact, Hooks, RuleAnswer, RuleHook, RuledBars, StepHooks};
pub use keys::{keys, product};
pub use known::KnownLayouts;
pub use layout::{Layout, OneLevel, Step, lay_out};
pub use locks::{Lock, LockKind};
pub use neighbours::{Neighbour, StepChange, neighbours};
pub use part::{Part, local, total};
pub use pieces::{BottomPart, FootingPiece, StemPiece};
pub use published::*;
pub use rules::{
    BrokenRule, NamedZone, NoStepZone, RiserRule, StepRates, StepRules, WorkSpace, overlap,
};
pub use site::{CellAt, Riser, Site, Stretch};
pub use top_line::TopLine;
pub use wall_type::{FootingKey, WallType, type_for};
pub use wanted::{StepNear, WantedStep, step_near};

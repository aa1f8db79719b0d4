//! Forms: the area that concrete touches, what fresh concrete pushes with, and what holds the forms against it.

mod army;
mod bracing;
mod contact;
mod european;
mod guide;
mod liquid;
mod members;
mod posts;
mod sections;
mod snap;

pub use contact::contact_area;
pub use snap::{snap_down, snap_near, snap_up};

/// Ranges of the inputs.
pub mod limits {
    pub use super::army::{FORM_LENGTH, ON_WALE};
    pub use super::bracing::{ALONG, ANGLE, DURATION, EACH, LOAD, ON_FORM, SPACING, WIND};
    pub use super::european::{CIRIA_TEMPERATURE, FORM_HEIGHT};
    pub use super::guide::{CONCRETE, RATE, RATED, SIDE, STIFFENING, TEMPERATURE};
    pub use super::liquid::{DEPTH, HEIGHT, PRESSURE, TALL, UNIT_WEIGHT, WIDTH};
    pub use super::members::{
        AREA, BOARD, ELASTICITY, LOAD_ALONG, MODULUS, ROLLING, SECOND_MOMENT, SECTION_DEPTH, STRESS,
    };
    pub use super::posts::{SLENDER, UNBRACED};
    pub use super::snap::MODULE;
}

pub use army::{
    FaceGrain, FormPieces, Plywood, TieMaterial, plywood_stud_spacing, studs_along,
    tie_breaking_load, tie_spacing_on_wale, wales_up,
};
pub use bracing::{
    Bracing, EdgeForm, Held, Rating, bracing_minimum, edge_form, pieces_for_load, rating,
    strut_load, tie_load, tie_spacing,
};
pub use european::{Element, Setting, ciria_pressure, self_compacting_pressure};
pub use guide::{
    Edition, Form, FormPressure, HighestRate, Mix, Placing, Pour, chemistry_coefficient,
    column_pressure, highest_rate, stiffened_pressure, unit_weight_coefficient, wall_pressure,
};
pub use liquid::{
    FieldRule, Lifts, Thrust, field_rule, fluid_pressure, fluid_thrust, form_thrust, lift_thrusts,
};
pub use members::{
    Adjusted, Grade, Member, Moisture, Repetition, ShearAt, Spans, Stack, adjusted_lumber,
    board_and_strip, member_spans, panel_spans,
};
pub use posts::{Compression, Post, column_stability, post_load};
pub use sections::{PlywoodSection, Section, lumber_section, plywood_section};

//! What a job is built with beside its concrete: bars, forms of the yard, lumber, sides of the footing.

use std::sync::Arc;

use super::super::settings::View;
use super::{bars, forms, stock};
use crate::footing::{Module, WallType};
use crate::forms::{FormSpec, LumberSpec, SideSpec};
use crate::measure::Style;
use crate::problem::Faults;
use crate::rebar::SteelSpec;

/// Each as far as the job gives it.
#[derive(Default)]
pub(in super::super) struct Works {
    pub(in super::super) steel: Option<Arc<SteelSpec>>,
    pub(in super::super) forms: Option<Arc<FormSpec>>,
    pub(in super::super) lumber: Option<Arc<LumberSpec>>,
    pub(in super::super) sides: Option<SideSpec>,
}

/// Reads them, with their faults; what rests on a faulty schedule or grid says nothing new.
pub(super) fn works(
    root: View,
    types: Option<&Vec<WallType>>,
    module: Option<&Module>,
    style: &Style,
) -> (Works, Faults) {
    let mut faults = Faults::none();
    let steel = types.and_then(|types| faults.keep(bars::steel(root, types, style)).flatten());
    let yard = module.and_then(|module| faults.keep(forms::forms(root, module)).flatten());
    let works = Works {
        steel: steel.map(Arc::new),
        forms: yard.map(Arc::new),
        lumber: faults.keep(forms::lumber(root, style.system)).flatten().map(Arc::new),
        sides: faults.keep(forms::sides(root)).flatten(),
    };
    faults.extend(stock::strangers(root));
    (works, faults)
}

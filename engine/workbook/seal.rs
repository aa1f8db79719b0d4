//! The seal: a property of the workbook that holds the fingerprint of its parts. If it no longer fits,
//! somebody has edited the workbook, and it is kept.

use super::guard::Parts;
use super::repack::repacked;
use crate::files::fingerprint;

/// The part that holds the custom properties.
const PROPERTIES: &str = "docProps/custom.xml";
/// Name of the property.
pub(super) const PROPERTY: &str = "rodbook fingerprint";
/// Stands in the property while the fingerprint is computed.
pub(super) const BLANK: &str = "0000000000000000000000000000000000000000000000000000000000000000";

/// What the seal of a file says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Seal {
    /// As it was written.
    Whole,
    /// Edited since.
    Edited,
    /// Not a workbook of ours.
    None,
}

/// The fingerprint of all parts but the one that holds it.
fn fingerprint_of(bytes: &[u8]) -> Option<String> {
    let mut parts = Parts::open(bytes).ok()?;
    let names: Vec<String> = parts.names().into_iter().filter(|name| name != PROPERTIES).collect();
    let mut contents = Vec::new();
    for name in names {
        let part = parts.read(&name).ok()?;
        contents.push((name, part));
    }
    Some(fingerprint(contents.iter().map(|(name, bytes)| (name.as_str(), bytes.as_slice()))))
}

/// A workbook with the blank in its property, sealed.
pub(super) fn sealed(blank: &[u8]) -> Option<Vec<u8>> {
    let print = fingerprint_of(blank)?;
    repacked(blank, |name| name == PROPERTIES, |text| text.replace(BLANK, &print))
}

/// Whether a file is a workbook of ours, and untouched.
pub fn seal_of(bytes: &[u8]) -> Seal {
    let Ok(mut parts) = Parts::open(bytes) else { return Seal::None };
    let Ok(properties) = parts.read(PROPERTIES) else { return Seal::None };
    let properties = String::from_utf8_lossy(&properties).into_owned();
    if !properties.contains(PROPERTY) {
        return Seal::None;
    }
    match fingerprint_of(bytes) {
        Some(print) if properties.contains(&print) => Seal::Whole,
        _ => Seal::Edited,
    }
}

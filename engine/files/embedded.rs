//! Scripts, templates and wall cases that ship inside the program.

/// Name and text of every bundled script, template and job of a wall case: what lies in their folders, listed by `engine/build.rs`.
pub const EMBEDDED: &[(&str, &str)] = include!(concat!(env!("OUT_DIR"), "/embedded.rs"));

/// The bundled text of this name.
pub fn embedded(name: &str) -> Option<&'static str> {
    EMBEDDED.iter().find(|(known, _)| *known == name).map(|(_, text)| *text)
}

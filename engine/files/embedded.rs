//! Scripts and templates that ship inside the program.

macro_rules! embed {
    ($($name:literal),* $(,)?) => {
        &[$(($name, include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/", $name)))),*]
    };
}

/// Name and text of every bundled script and template.
pub const EMBEDDED: &[(&str, &str)] = embed!["scripts/stepped_wall.rhai"];

/// The bundled text of this name.
pub fn embedded(name: &str) -> Option<&'static str> {
    EMBEDDED.iter().find(|(known, _)| *known == name).map(|(_, text)| *text)
}

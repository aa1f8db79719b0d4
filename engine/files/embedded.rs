//! Scripts and templates that ship inside the program.

macro_rules! embed {
    ($($name:literal),* $(,)?) => {
        &[$(($name, include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/", $name)))),*]
    };
}

/// Name and text of every bundled script and template.
pub const EMBEDDED: &[(&str, &str)] = embed![
    "scripts/one_level_wall.rhai",
    "scripts/stepped_wall.rhai",
    "templates/workbook/1-summary.toml",
    "templates/workbook/2-steps.toml",
    "templates/workbook/3-profile.toml",
    "templates/workbook/4-ground.toml",
    "templates/workbook/5-quantities.toml",
    "templates/workbook/calc-sheets.toml",
    "templates/workbook/inputs.toml",
    "templates/workbook/sources.toml",
    "templates/workbook/6-as-drawn.toml",
    "templates/workbook/7-other-layouts.toml",
    "templates/workbook/8-shots-set-aside.toml",
    "templates/workbook/9-shots-used.toml",
    "templates/workbook/10-cautions.toml",
    "templates/workbook/11-profile-data.toml",
    "templates/workbook/script-sheets.toml",
    "templates/questions/variants.toml",
    "templates/questions/sensitivity.toml",
    "templates/sheets/price.csv",
    "templates/starter/job.toml",
    "templates/starter/shots.csv",
];

/// The bundled text of this name.
pub fn embedded(name: &str) -> Option<&'static str> {
    EMBEDDED.iter().find(|(known, _)| *known == name).map(|(_, text)| *text)
}

//! What becomes of the dig, part by part.

use crate::earth::{DigPart, cubic_feet};
use crate::listing::{Amount, listings};
use crate::measure::{Choice, Dimension, Ratio, Volume};
use crate::takeoff::{SettingValue, Takeoff};

listings! {
    DIG_PARTS = "dig_parts", "what becomes of the dig, keys left out: each part is worked out from its own solid, none as the rest of the others", for Engineer, by ["what"]: DigPartRow {
        what: &'static str, "what it is";
        volume: Amount<Volume>, "its volume in place";
        compaction: Option<Amount<Ratio>>, "compaction that the specification requires, of the greatest dry density";
        shrink: Option<Amount<Ratio>>, "how much of its volume in the bank it loses where it is compacted";
        caution: &'static str, "the caution";
    }
}

/// Beside what is brought back.
const BACKFILL: &str = "CAUTION: no backfill behind the wall before the engineer of record allows it; layers and compaction as the specification says";
/// Beside what is brought back before it.
const TOE: &str = "CAUTION: layers and compaction as the specification says; whether earth over the toe goes in before or after that behind the wall is the engineer of record's word";
/// Beside what stays open.
const OPEN: &str = "CAUTION: what stays open over the toe is a cut that people work beside; a competent person decides on site";

pub(super) fn parts(takeoff: &Takeoff) -> Option<Vec<DigPartRow>> {
    let walls = takeoff.dig_parts()?;
    let unit = takeoff.job.style.unit(Dimension::VOLUME);
    let row = |part: DigPart| {
        let volume = walls.iter().map(|zones| part.of(zones)).sum::<f64>();
        let caution = match part {
            DigPart::BackfillEarth => BACKFILL,
            DigPart::BackfillLow => TOE,
            DigPart::Open if volume > 0.0 => OPEN,
            _ => "",
        };
        let setting = |key: &str| {
            let of = |key: &str| match &takeoff.job.settings.get(key)?.value {
                SettingValue::Measure(exact) => Some(Amount::new(exact.value.clone(), "percent")),
                _ => None,
            };
            match part {
                DigPart::BackfillEarth => of(&format!("backfill.{key}")),
                DigPart::BackfillLow => {
                    of(&format!("backfill.{key}_toe")).or_else(|| of(&format!("backfill.{key}")))
                }
                _ => None,
            }
        };
        DigPartRow {
            what: part.name(),
            volume: Amount::new(cubic_feet(volume), unit.clone()),
            compaction: setting("compaction"),
            shrink: setting("shrink"),
            caution,
        }
    };
    Some(DigPart::ALL.iter().map(|(_, part)| row(*part)).collect())
}

//! Two feet in one job: a list in U.S. survey feet beside corners and levels in `ft`, or the other way round.

use super::settings::WrittenElevation;
use crate::measure::{Nm, WrittenFoot, as_survey_feet, decimal_places, ratio};
use crate::problem::Faults;
use crate::takeoff::ShotReport;

/// From this difference on the two feet are not left to chance: half of the last place that a rod is read to.
const LARGEST: Nm = Nm(Nm::FOOT.0 / 200);

/// Corners, levels and benchmark that would be somewhere else in the foot of the list.
pub(super) fn differ(written: &[WrittenElevation], report: &ShotReport) -> Faults {
    let mut faults = Faults::none();
    let units = |foot: &str| {
        report.lists.iter().find(|list| list.units.split([' ', ',']).any(|word| word == foot))
    };
    let pairs = [
        (
            units("us_survey_ft"),
            WrittenFoot::Plain,
            "U.S. survey feet",
            "in ft, which does not say which foot",
        ),
        (units("ft"), WrittenFoot::Survey, "ft", "in U.S. survey feet"),
    ];
    for (list, foot, of_list, of_job) in pairs {
        let Some(list) = list else { continue };
        let apart = |one: &&WrittenElevation| (as_survey_feet(one.length) - one.length).abs();
        let far = written.iter().filter(|one| one.foot == foot && apart(one) >= LARGEST);
        let mut far: Vec<&WrittenElevation> = far.collect();
        far.sort_by_key(|one| std::cmp::Reverse(apart(one)));
        let Some(most) = far.first() else { continue };
        let difference = decimal_places(&ratio(apart(most).wide(), Nm::FOOT.wide()), 3);
        let mut problem = most.place.clone();
        problem.message = format!(
            "{} is written {of_job}, the list {} is in {of_list}: the two differ by {difference} ft here",
            most.path.replace("[]", ""),
            list.name()
        );
        if far.len() > 1 {
            problem = problem.detail(format!("and {} more values of the job", far.len() - 1));
        }
        faults.push(problem.help("say which foot the corners, levels and the benchmark are in: alignment.feet = \"us_survey_ft\" or \"ft\""));
    }
    faults
}

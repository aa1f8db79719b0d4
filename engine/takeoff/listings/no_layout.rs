//! Why there is no layout.

use num_rational::BigRational;

use super::{Facts, text};
use crate::footing::NoLayout;
use crate::listing::{Amount, listings};
use crate::measure::{Length, Nm};
use crate::takeoff::{WallJob, place_on_wall};

listings! {
    PROBLEMS = "problems", "why there is no legal layout", for Engineer, by []: ProblemRow {
        severity: Option<String>, "error, or what follows";
        message: String, "what is in the way";
    }
    TOO_LOW = "too_low", "stretches where the required line is under the lowest bottom that a type allows", for Engineer, by ["from"]: TooLow {
        from: Amount<Length>, "running station of its start";
        to: Amount<Length>, "running station of its end";
    }
    SHORTFALL = "shortfall", "the worst place of those stretches", for Engineer, by []: Shortfall {
        chain: Nm, "running station";
        place: String, "wall and local station";
        required: Amount<Length>, "required bottom";
        lowest_bottom: Nm, "lowest bottom that a type allows";
        short_by: Amount<Length>, "how much too high that is";
        next_stem: Nm, "stem height one level lower";
        tallest: Nm, "tallest stem that a type carries";
    }
    NO_TYPE = "no_type", "stretches where no level of the range has a wall type", for Engineer, by ["from"]: NoType {
        from: Nm, "running station of its start";
        to: Nm, "running station of its end";
        top: Nm, "top of wall";
    }
    FURTHEST_REACHED = "furthest_reached", "how far a legal run reaches under the joint, run and riser rules", for Engineer, by []: Furthest {
        chain: Nm, "running station";
        place: String, "wall and local station";
    }
}

fn length(job: &WallJob, value: &BigRational) -> Amount<Length> {
    Amount::new(value.clone(), job.style.system.length())
}

pub(super) fn too_low(facts: &Facts) -> Option<Vec<TooLow>> {
    let Some(NoLayout::TooLow { stretches, .. }) = facts.no_layout else { return None };
    let of = |value: &BigRational| length(facts.job, value);
    Some(stretches.iter().map(|one| TooLow { from: of(&one.from), to: of(&one.to) }).collect())
}

pub(super) fn shortfall(facts: &Facts) -> Option<Vec<Shortfall>> {
    let Some(NoLayout::TooLow { worst, .. }) = facts.no_layout else { return None };
    Some(vec![Shortfall {
        chain: worst.station,
        place: place_on_wall(facts.job, worst.station),
        required: length(facts.job, &worst.required),
        lowest_bottom: worst.lowest_bottom,
        short_by: length(facts.job, &worst.short_by),
        next_stem: worst.next_stem,
        tallest: worst.tallest,
    }])
}

pub(super) fn no_type(facts: &Facts) -> Option<Vec<NoType>> {
    let Some(NoLayout::NoType(stretches)) = facts.no_layout else { return None };
    Some(
        stretches
            .iter()
            .map(|(from, to, top)| NoType { from: *from, to: *to, top: *top })
            .collect(),
    )
}

pub(super) fn furthest(facts: &Facts) -> Option<Vec<Furthest>> {
    let Some(NoLayout::Rules(furthest)) = facts.no_layout else { return None };
    let place = place_on_wall(facts.job, *furthest);
    Some(vec![Furthest { chain: *furthest, place }])
}

pub(super) fn problems(facts: &Facts) -> Vec<ProblemRow> {
    let of = |severity: Option<&str>, message: &str| ProblemRow {
        severity: severity.map(str::to_owned),
        message: text(message),
    };
    let row = |problem: &crate::problem::Problem| {
        let details = problem.details.iter().map(|detail| of(None, detail));
        let help = problem.help.iter().map(|help| of(Some("help"), help));
        let head = of(Some(&problem.severity.to_string()), &problem.message);
        std::iter::once(head).chain(details).chain(help).collect::<Vec<_>>()
    };
    facts.problems.iter().flat_map(row).collect()
}

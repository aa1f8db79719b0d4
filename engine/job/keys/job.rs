//! Names, units and the wall case.

use super::super::FORMAT;
use super::super::KeyKind::{Choice, Count, Text, Texts};
use super::Need::{Default, Optional, Required};
use super::{Part, key, table};
use crate::measure::CURRENCIES;

/// The part.
pub(super) const PART: Part = Part {
    tables: &[table("job", true, true, "names, units and the wall case")],
    keys: &[
        key("job.name", Text, Required, "name of the job"),
        key(
            "job.format",
            Count(1, FORMAT),
            Optional,
            "format of this file; rodbook renew shows what an older one must say so that its numbers stay",
        ),
        key("job.owner", Text, Optional, "who owns it"),
        key("job.contractor", Text, Optional, "who builds it"),
        key("job.engineer", Text, Optional, "engineer of record"),
        key("job.surveyor", Text, Optional, "who took the shots"),
        key("job.remark", Text, Optional, "a remark"),
        key("job.bid_date", Text, Optional, "date that is printed, yyyy-mm-dd"),
        key(
            "job.prices_hold",
            Count(1, 3_650),
            Optional,
            "days for which a price with a date counts as current; an older one is told on the bid date",
        ),
        key(
            "job.units",
            Choice(&["us", "metric"]),
            Default("us"),
            "units of the output; inputs may be in any unit",
        ),
        key("job.currency", Choice(CURRENCIES), Default("usd"), "currency of the prices"),
        key(
            "job.stations",
            Choice(&["100 ft", "1000 m"]),
            Default("100 ft"),
            "what one full station is, as in 12+34.56",
        ),
        key(
            "job.company",
            Text,
            Optional,
            "company folder, from the job's folder; without it the nearest folder named company above the job",
        ),
        key(
            "job.shares",
            Text,
            Optional,
            "a job.toml of another name beside this one that holds here too where this one says nothing else: walls of one site share a shot list, rules and prices; name, walls, their alignment, ground lines by stations, locks and drawn steps are each job's own",
        ),
        key(
            "job.without",
            Texts,
            Optional,
            "what of the company's standard, or of the file that it shares, the job does not take: tables, elements of lists, values, such as bid, sheet.pours, prices.haul",
        ),
        key("job.case", Text, Default("stepped_wall"), "wall case: a script of this name"),
    ],
};

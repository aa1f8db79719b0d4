//! What papers for others say: the firm, its look, the plan, the quote.

use super::super::KeyKind::{Choice, Count, Rate, Text, Texts};
use super::Need::{Default, Optional, Required};
use super::{Part, key, table};

/// The part.
pub(super) const PART: Part = Part {
    tables: &[
        table(
            "firm",
            false,
            false,
            "who signs: it stands at the head of the quote, its name at the foot of all papers for others",
        ),
        table("look", false, false, "how the workbooks of those papers look"),
        table(
            "plan_sheet[]",
            false,
            false,
            "a sheet of the engineer's or owner's plan that the job rests on",
        ),
        table("quote", false, false, "the quote: rodbook papers JOB client"),
        table(
            "quote.line[]",
            false,
            false,
            "a line of the quote: lines of the price sheet under the words that the client reads; without any the bundled ones",
        ),
        table("quote.alternate[]", false, false, "work that the owner may take or leave"),
        table("quote.unit_price[]", false, false, "a price for changes of quantity"),
    ],
    keys: &[
        key("firm.name", Text, Optional, "name of the firm; without it job.contractor"),
        key("firm.address", Texts, Optional, "its address, line by line"),
        key("firm.phone", Text, Optional, "telephone"),
        key("firm.email", Text, Optional, "address of mail"),
        key("firm.licence", Text, Optional, "its licence, as the law of its place words it"),
        key("firm.signs", Text, Optional, "who signs for it: name and office"),
        key("firm.logo", Text, Optional, "picture, png, in the job or company folder"),
        key(
            "look.colour",
            Text,
            Optional,
            "of titles and headings, as #1F3A5F; without it black. What is read never rests on it",
        ),
        key("look.font", Text, Optional, "typeface, as the office program names it"),
        key(
            "look.paper",
            Choice(&["letter", "a4"]),
            Optional,
            "paper; without it letter for feet and A4 for metres",
        ),
        key("plan_sheet[].number", Text, Required, "its number, such as S-201"),
        key("plan_sheet[].title", Text, Optional, "its title"),
        key("plan_sheet[].revision", Text, Optional, "its revision"),
        key("plan_sheet[].date", Text, Optional, "its date, yyyy-mm-dd"),
        key("quote.number", Text, Optional, "number of the quote"),
        key("quote.date", Text, Optional, "its date, yyyy-mm-dd; without it job.bid_date"),
        key("quote.holds", Count(1, 365), Optional, "days for which it holds"),
        key("quote.client", Texts, Optional, "whom it is for, line by line; without it job.owner"),
        key("quote.site", Text, Optional, "where the work is"),
        key("quote.work", Text, Optional, "what it is for, in a sentence"),
        key("quote.includes", Texts, Optional, "what is in the price, beside its lines"),
        key(
            "quote.excludes",
            Texts,
            Optional,
            "what is not in it, beside left_out of the job, which is told unless it says otherwise",
        ),
        key(
            "quote.assumes",
            Texts,
            Optional,
            "what it rests on, such as access; soil, frost, layback and shots are told by the job",
        ),
        key("quote.terms", Texts, Optional, "terms"),
        key("quote.line[].words", Text, Required, "what the client reads"),
        key(
            "quote.line[].of",
            Texts,
            Required,
            "names of its lines in the price sheet, such as footing_concrete; each stands in one line of the quote",
        ),
        key(
            "quote.line[].quantity",
            Text,
            Optional,
            "the line of the takeoff that is its quantity, such as footing.total; without it a lump sum",
        ),
        key(
            "quote.line[].allowance",
            Choice(&["yes", "no"]),
            Default("no"),
            "whether it is an allowance, settled at what the work comes to",
        ),
        key("quote.alternate[].words", Text, Required, "what it is"),
        key("quote.alternate[].change", Choice(&["add", "deduct"]), Default("add"), "which way"),
        key("quote.alternate[].price", Rate("1250 usd"), Required, "by how much"),
        key("quote.unit_price[].words", Text, Required, "what it is for"),
        key("quote.unit_price[].price", Rate("64 usd/cy"), Required, "the price, with its unit"),
    ],
};

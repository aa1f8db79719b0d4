//! Functions over columns whose cells stand side by side in the workbook: over their ranges, however many rows there are.
//!
//! Only what every spreadsheet works out over a range without being told to: no choice by row, and no function that
//! takes a star in a text for any letters.

use num_rational::BigRational;
use num_traits::One;

use super::{ATOM, ON_THE_EDGE, Part, Writer, may_fail};
use crate::measure::written;
use crate::sheet::columns::rows_of;
use crate::sheet::formula::{Builtin, CellColumn, Formula, Operator};

/// Cells of a workbook side by side.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CellRange {
    /// Its reference.
    pub text: String,
    /// The references of all but its last cell and of all but its first; none of a single cell.
    pub shifted: Option<(String, String)>,
    /// Whether it goes down the sheet, and not across.
    pub down: bool,
}

/// What keeps a row that does not count from being the least.
const BEYOND: &str = "1E+300";

impl Writer<'_> {
    /// Whether the ranges of all columns go down the sheet; nothing where one has none, or two go different ways.
    fn all_down(&self, inputs: &[Formula]) -> Option<bool> {
        let mut columns = Vec::new();
        inputs.iter().for_each(|input| input.columns(&mut columns));
        let ranges =
            columns.iter().map(|column| self.cells.range(*column)).collect::<Option<Vec<_>>>()?;
        let down = ranges.first()?.down;
        ranges.iter().all(|range| range.down == down).then_some(down)
    }

    /// A column, as the range of its cells.
    pub(super) fn range(&self, column: &CellColumn) -> Option<Part> {
        let scale = self.scale_of_node(column.first)?;
        Some(Part::atom(self.cells.range(*column)?.text, scale))
    }

    /// What is done with two conditions in every row, as a number; nothing where the second has no value in some.
    pub(super) fn of_conditions(
        &self,
        operator: Operator,
        a: &Formula,
        b: &Formula,
    ) -> Option<Part> {
        if may_fail(b) {
            return None;
        }
        let (a, b) = (self.part(a)?, self.part(b)?);
        let (text, rank) = match operator {
            Operator::And => (format!("{}*{}", a.within(6), b.within(7)), 6),
            _ => (format!("{}+{}>0", a.within(5), b.within(6)), 4),
        };
        Some(Part { text, rank, scale: BigRational::one(), constant: None })
    }

    /// What is found in a column that goes up from row to row: no value where it does not.
    fn where_it_rises(&self, column: &Formula, found: String) -> Option<String> {
        let Formula::Column(column) = column else { return None };
        Some(match self.cells.range(*column)?.shifted {
            Some((but_last, but_first)) => {
                format!("IF(SUMPRODUCT(--({but_first}<={but_last}))=0,{found},NA())")
            }
            None => found,
        })
    }

    /// A function over columns; nothing where a spreadsheet cannot follow it over their ranges.
    pub(super) fn over_ranges(&self, builtin: Builtin, inputs: &[Formula]) -> Option<Part> {
        use Builtin as B;
        let down = self.all_down(inputs)?;
        let one = BigRational::one();
        let rows = inputs.iter().find_map(|input| rows_of(input).ok()?)?;
        let count = |flags: &Part| format!("SUMPRODUCT(--{})", flags.within(ATOM));
        let over = |name: &str, bare: bool, part: &Part| match bare {
            true => format!("{name}({})", part.text),
            false if name == "SUM" => format!("SUMPRODUCT({})", part.text),
            false => format!("SUMPRODUCT({name}({}))", part.text),
        };
        Some(match (builtin, inputs) {
            (B::Count, [items]) => {
                let name = if down { "ROWS" } else { "COLUMNS" };
                Part::atom(format!("{name}({})", self.part(items)?.text), one)
            }
            (B::WorkingDays | B::WorkingDayAfter, [first, second, days]) => {
                let holidays = format!(",{}", self.part(days)?.text);
                self.working(builtin, first, second, &holidays)?
            }
            (B::Sum | B::Least | B::Greatest, [items]) => {
                let name = match builtin {
                    B::Sum => "SUM",
                    B::Least => "MIN",
                    _ => "MAX",
                };
                let part = self.part(items)?;
                let text = over(name, matches!(items, Formula::Column(_)), &part);
                Part::atom(text, part.scale)
            }
            (B::Mean, [items @ Formula::Column(_)]) => {
                let part = self.part(items)?;
                Part::atom(format!("AVERAGE({})", part.text), part.scale)
            }
            (B::Mean, [items]) => {
                let part = self.part(items)?;
                let text = format!("{}/{rows}", over("SUM", false, &part));
                Part { text, rank: 6, scale: part.scale, constant: None }
            }
            (B::CountWhere, [flags]) => Part::atom(count(&self.part(flags)?), one),
            (B::SumWhere | B::MeanWhere, [items, flags]) => {
                let (items, flags) = (self.part(items)?, self.part(flags)?);
                let sum = format!("SUMPRODUCT({}*{})", items.within(6), flags.within(7));
                match builtin {
                    B::SumWhere => Part::atom(sum, items.scale),
                    _ => Part {
                        text: format!("{sum}/{}", count(&flags)),
                        rank: 6,
                        scale: items.scale,
                        constant: None,
                    },
                }
            }
            (B::LeastWhere | B::GreatestWhere, [items, flags]) => {
                let (items, flags) = (self.part(items)?, self.part(flags)?);
                let (name, sign) =
                    if builtin == B::LeastWhere { ("MIN", '+') } else { ("MAX", '-') };
                let kept = format!("{}{sign}{BEYOND}*(1-{})", items.within(5), flags.within(6));
                let among = format!("SUMPRODUCT({name}({kept}))");
                Part::atom(format!("IF({}=0,NA(),{among})", count(&flags)), items.scale)
            }
            (B::ValueFor, [key, keys, values]) => {
                let is_text = self.is_text(key);
                let (keys, values) = (self.part(keys)?, self.part(values)?);
                let key = self.part(key)?.to(&keys.scale);
                let same = match is_text {
                    true => format!("EXACT({},{})", keys.text, key.text),
                    false => format!("({}={})", keys.within(5), key.within(5)),
                };
                // The last one over nothing: rows without the key are errors, which are passed over. A key of two rows has no
                // value.
                let found = format!("LOOKUP(2,1/{same},{})", values.text);
                Part::atom(format!("IF(SUMPRODUCT(--{same})=1,{found},NA())"), values.scale)
            }
            (B::ValueInBand, [at, bands, values]) => {
                let (from, values) = (self.part(bands)?, self.part(values)?);
                let at = onto_the_edge(&self.part(at)?.to(&from.scale));
                let found = format!("LOOKUP({at},{},{})", from.text, values.text);
                Part::atom(self.where_it_rises(bands, found)?, values.scale)
            }
            (B::ValueBetween, [at, bands, values]) => {
                let (xs, values) = (self.part(bands)?, self.part(values)?);
                let found = between(&self.part(at)?.to(&xs.scale), &xs, &values, rows);
                Part { text: self.where_it_rises(bands, found.text)?, ..found }
            }
            _ => return None,
        })
    }
}

/// A number and as much more as makes up for digits that got lost on the way to it or to an edge.
fn onto_the_edge(at: &Part) -> String {
    format!("{}+ABS({})*{}", at.within(5), at.text, written(ON_THE_EDGE))
}

/// On the line between two rows, which a search finds; no value outside of them.
fn between(at: &Part, xs: &Part, values: &Part, rows: u32) -> Part {
    let last = rows.saturating_sub(1);
    let row = format!("MIN(MATCH({},{}),{last})", onto_the_edge(at), xs.text);
    let x = |more: &str| format!("INDEX({},{row}{more})", xs.text);
    let y = |more: &str| format!("INDEX({},{row}{more})", values.text);
    let way = format!("({}-{})", at.within(5), x(""));
    let on = format!("{}+({}-{})*{way}/({}-{})", y(""), y("+1"), y(""), x("+1"), x(""));
    let end = format!("INDEX({},{rows})", xs.text);
    let beyond = format!("{}>{end}+ABS({end})*{}", at.within(5), written(ON_THE_EDGE));
    Part::atom(format!("IF({beyond},NA(),{on})"), values.scale.clone())
}

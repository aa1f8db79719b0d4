//! The script reference, generated from the catalogue.

use std::fmt::Write;

use crate::catalogue::{Family, Function, ValueKind, functions};
use crate::measure::unit_names;
use crate::source;

/// The reference page as Markdown.
pub fn reference() -> String {
    let mut page = String::from(HEAD);
    let names: Vec<String> =
        unit_names().filter(|name| *name != "in").map(|name| format!("`{name}`")).collect();
    // Writing to a string cannot fail.
    let _ = writeln!(page, "Units after a number: {}.\n", names.join(", "));
    page += LANGUAGE;
    for family in Family::ALL {
        let _ = writeln!(page, "\n## {}", family.title());
        for function in functions().filter(|function| function.family == family) {
            page += &entry(function);
        }
    }
    page
}

/// One function in full, as Markdown.
pub fn entry(function: &Function) -> String {
    let mut text = format!("\n### `{}`\n\n{}\n\n", function.signature(), function.summary);
    // Writing to a string cannot fail.
    if let Some(source) = source::find(function.source) {
        let _ = writeln!(text, "Source: {} ({}).\n", source.title, source.standing);
    }
    for parameter in function.parameters {
        let range = parameter.range();
        let range = if range.is_empty() { range } else { format!(", {range}") };
        let default = match parameter.default {
            Some(default) => format!("; if left out {default}"),
            None => String::new(),
        };
        let _ = writeln!(
            text,
            "- `{}`: {}{range}; {}{default}",
            parameter.name, parameter.kind, parameter.about
        );
    }
    let _ = writeln!(text, "\nResult: {}; {}.", function.result, function.result_about);
    if let ValueKind::Record(fields) = function.result {
        text.push('\n');
        for field in fields {
            let _ = writeln!(text, "- `.{}`: {}; {}", field.name, field.kind, field.about);
        }
        text.push('\n');
    }
    let ranged = function.parameters.iter().any(|parameter| parameter.limits.is_some());
    let range = if ranged { "an input is out of its range" } else { "an input of another kind" };
    let errors = match function.errors {
        "" => range.to_owned(),
        more if ranged => format!("{range}; {more}"),
        more => more.to_owned(),
    };
    let _ = writeln!(text, "Errors: {errors}.\n");
    let _ = writeln!(text, "```rhai\n{}   // {}\n```", function.example, function.prints);
    text
}

const HEAD: &str = "# Script reference

<!-- Generated from the catalogue of trade functions: edit that, then run `cargo run -- generate`. -->

Scripts are [rhai](https://rhai.rs) with measures. `rodbook run FILE.rhai` runs one alone,
`rodbook run FILE.rhai JOB` runs it on a job. Formulas of calc sheets are expressions of the same language:
[templates/SHEETS.md](../templates/SHEETS.md).

## Measures

A number takes its unit after a dot: `12.ft`, `3.5.inch`, `150.pcf`, `8.percent`. Inches are `inch`, because
`in` is a word of the language. Feet and inches and prices are read from text: ``q(`10'-5 1/2\"`)``,
`q(\"42.25 usd/cy\")`. Weight is force: `150.pcf * 4.ft` is 600 psf, and nobody divides by g.

";

const LANGUAGE: &str = "Measures add, subtract and compare with their own kind only; lengths compare to the nanometre, everything else
counts as equal within 1e-12 of the larger value, and rounding to a step uses the same rule, so an exact multiple
never gains a step. `7/8` is 0.875. A plain number and a measure never compare.

| write | for |
|---|---|
| `x.show(\"ft\")`, `x.show(\"cy\", 2)`, `x.show(\"ft-in\")` | text in a unit, with a number of decimals, in feet and inches to 1/16 |
| `x.value_in(\"ft\")` | the plain number in a unit |
| `round_up(x, step)`, `round_down(x, step)`, `round_near(x, step)` | whole steps |
| `min(a, b)`, `max(a, b)`, `abs(x)`, `sum([a, b, c])` | of measures of one kind |
| `sum_where(xs, flags)`, `mean`, `count`, `value_for(key, keys, xs)`, `value_in_band`, `value_between`, `root(x)`, `joined(a, b)`, `working_days(from, to)` and the others over columns | as in calc sheets (templates/SHEETS.md), over arrays: `value_in_band(7.ft, [0.ft, 6.ft], [0.08, 0.1])` is 0.1 |
| `fn test_area() { expect(area(3.ft), 6.sf); }` | a test of the script, run by `rodbook run --tests FILE.rhai [JOB]`; `test_x(job)` and `test_x(job, takeoff)` get the job. `expect(is, wanted)`, or within a third value of the same kind, says both where they differ |
| `x ** 2` | a power |
| `job[\"rules.frost_depth\"]`, `job[\"wall.W1.stem\"]` | any setting of the job, by its path in job.toml; an element of a list by its id, name or number |
| `job.has(\"bars\")` | whether the job has a table or key, and the wall case a use for it |
| `job.length` | length of all walls along the exposed face |
| `import \"name\" as n` | another script, found by name in the job folder, the company folder, then the bundled ones; `\"bundled/stepped_wall\"` is the bundled one, for a script of the same name that wraps it: `n::quantities(job, layout)` |
| `const LEAST = 18.inch;` | a value above the functions, which they all may name |

`rodbook run --trace FILE.rhai [JOB]` lists each call of a trade function with its place, inputs and result. `scripts/editor/rodbook.d.rhai` has
the definitions of all of them for editors that know rhai; `rodbook functions --json` has them for other programs.

`fn variants(job)` makes variants by a loop: `rodbook what-if JOB --variants FILE.rhai --sort price.total` sets them side by side, the
cheapest first. It returns a list of `#{ name: \"deep\", set: #{ \"rules.frost_depth\": 3.ft } }`.

## Building a takeoff

A wall case is a script with `fn quantities(job, layout)`. The usual one is `scripts/stepped_wall.rhai`; a copy of that name
in the job or company folder replaces it, and `case = \"name\"` in job.toml takes another. It takes off any layout: the least-cost steps, the
steps as the plan draws them, variants. What else a case may have:

| function | says |
|---|---|
| `fn layout(job)` | how the steps are laid out; without it `least_cost_steps(job, ground_lines(job))` |
| `fn grid()` | where steps may stand: `\"panels\"`, as without it, on the joints of `[module]`; `\"courses\"`, on the units of `[course_grid]`; `\"one level\"`, nowhere |
| `fn inputs()` | inputs of its own, a list of `#{ name: \"weeps\", about: \"weep holes\", usual: 12 }`; they stand in `[own]` of job.toml, scripts read `job[\"own.weeps\"]`, formulas `own.weeps`; `functions.rhai` may have some too |

An input has a `unit` (`\"in\"`, `\"usd/sf\"`, `\"percent\"`, `\"slope\"` written horizontal:vertical, `\"text\"`), or `choices: [\"plain\", \"rubbed\"]`, or is a count. Lengths and counts may have
`least` and `most`. Without `usual` the job must give it. `rodbook keys own --job JOB` lists them.

| write | for |
|---|---|
| `let t = new_takeoff(job, layout)` | an empty takeoff |
| `t.add(id, label, parts)` or `t.add(id, label, measure)`, `t.add(id, label, count)` | a line from measured parts, with a value, or a count (each); a value that the script computed does not follow a change in the workbook |
| `t.formula(id, label, unit, text)` | a line that a formula gives, as in a calc sheet: over lines, settings and columns of listings, `\"takeoff.stem.total * 0.08 + sum(steps.dirt_step) * 1.sf\"`; worked out once the script has ended, live in the workbook |
| `t.steps`, `t.footing_pieces`, `job.walls` ... | the rows of a listing, to go through: `for step in t.steps { step.dirt_step }`; see LISTINGS.md |
| `t.sum(id, label, [ids])` | the sum of lines |
| `t.scale(id, label, of, factor)` | another line times a factor |
| `t.increase(id, label, of, share)` | another line increased by a share |
| `t.order(id, label, of, waste, step)` | another line with waste, up to the next step; share, waste and step may be the path of a setting, as text: the workbook then follows a change of it |
| `t.caution(id, text)` | a caution beside a line |
| `t[\"footing.total\"]` | the quantity of a line |
| `parts.total`, `parts.count` | of measured parts |
| `import \"wall_lines\" as lines; t = lines::footing(t, job, layout)` | the groups of lines of the bundled cases, to take those that a case has a use for: `footing`, `stem`, `stem_forms`, `footing_forms`, `ties`, `lumber`, `dig`, `steel`, `drain` |

A part of a stem, such as what stands under a level (a bench, a first pour, another finish), is gone through stretch by stretch, for `min`, `max`,
`round_up` and `if` in a formula take one value and no column:

```rhai
let under = 0.cf;
for piece in t.stem_pieces {
    under += (piece.to - piece.from) * piece.stem * max(0.ft, min(piece.height, job[\"own.bench\"] - piece.tof));
}
t.add(\"stem.under\", \"Stem under the bench\", under);   // corners apart: they are in stem_corners, of the whole height
```

## Rules of the company

A file of one of these names in the job or company folder replaces a built-in rule inside the optimiser. The rule gets
what it may depend on, is asked twice and must answer the same; the takeoff says which file answered. With a second input it
gets the settings too, by their paths: `fn overlap(step, settings) { max(step.needed, settings[\"own.overlap\"]) }`. Stretches of
walls have names by `[[zone]]` of job.toml; a rule asks `\"access\" in step.zones`. One that says nothing of stations or zones is
asked once for all places.

| file and function | gets | answers |
|---|---|---|
| `overlap.rhai`: `fn overlap(step)` | `rise`, `thickness`, `low_thickness`, `width` (of the lower footing), `low_type`, `high_type`, `needed`, `wall`, `station` (on the wall), `zones` | the overlap: not under `needed`, a multiple of rules.overlap_step |
| `riser_price.rhai`: `fn riser_price(step)` | the same without `needed` | money for the step, in place of the rates for riser and rise |
| `wall_type.rhai`: `fn wall_type(stem)` | `stem.stem`, `stem.wall`, `stem.from` and `stem.to` of the cell between two joints, `stem.zones` | name of a wall type that carries the stem, or `()` for none |
| `first_bar.rhai`: `fn first_bar(row)` | `role` (\"vertical\" or \"transverse\"), `spacing`, `length` of the row, `usual`, `wall`, `station`, `zones` | how far from the end of a row its first bar stands, no more than the spacing |
| `panel_stack.rhai`: `fn panel_stack(stem)` | `height` of the forms, `heights` of the yard, `wall` | panel heights from the top down that add up to the height, or `()` for the fewest |
| `bar_mark.rhai`: `fn bar_mark(bar)` | `role`, `size`, `length`, `bends`, `count`, `number` (within its role) | the mark of the bar, another for each kind |

## Adding a sheet

A script listed under `workbook.scripts` in job.toml adds its own sheet: `fn sheet(job, takeoff)` returns what
`new_sheet(title, [headings])` began and `s.row([cells])` filled. Cells are measures, numbers or texts. `fn sheet(job, takeoff, cells)`
gets the cells of the calc sheets and of the price too: `cells[\"price.total\"]`.

| write | for |
|---|---|
| `s.formula(\"Cost\", \"usd\", \"to_cent(rise * prices.rise)\")` | a column, one of the headings, that a formula gives in every row for which `s.row` gives `()` or nothing, as in a sheet of rows: over its other columns by name, settings, lines, cells; the sheet is then a calc sheet, its cells checked, live in the workbook and in `--json`, its other values in italics and of the unit of their column; `why`, `find` and `what-if` know it as a sheet of the name of its title, other sheets do not |
| `s.unit(\"Overlap\", \"in\")` | the unit of a column, in a sheet that is then a calc sheet too; without it the usual one |
| `s.total(\"Cost\", \"sum\")` | what stands under a column, in a sheet that is then a calc sheet too: sum, min, max, mean, count, or a formula |
| `s.bars([\"Cost\", \"Rise\"])` | upright bars under the table, 1 to 4 columns side by side for each row |

A script that returns `()` adds no sheet; what it throws is
told, and nothing is written: `throw \"the price is under our least\"`.

Scripts see no files and no clock, and stop at 50 million steps, 30 seconds in a whole command, or lists of 100,000.
";

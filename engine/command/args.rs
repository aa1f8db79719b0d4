//! Commands and options.

use std::path::PathBuf;

use clap::{Parser, Subcommand};

use crate::job::PaperSet;
use crate::script::USUAL;
use crate::workbook::READ_OLD;

/// Takeoff of stepped retaining walls and footings.
#[derive(Debug, Parser)]
#[command(name = "rodbook", version, about, after_help = EXIT_CODES)]
pub(super) struct CommandArgs {
    #[command(subcommand)]
    pub(super) command: Command,
    /// Leave colours out on a terminal; the variable NO_COLOR does so too
    #[arg(long, global = true)]
    pub(super) no_colour: bool,
}

const EXIT_CODES: &str = "Exit codes:
  0  done
  1  something in the input is wrong; the messages say what and where
  2  the command line is wrong
  3  no layout of steps is legal; the explanation is printed, no quantities are written
  4  an output was not written";

#[derive(Debug, Subcommand)]
pub(super) enum Command {
    /// Work a job through: print the summary and write the workbook
    Takeoff(TakeoffArgs),
    /// Report every fault of a job and write nothing
    Check(JobArgs),
    /// Set two runs of a job side by side: what changed in shots, inputs, steps, quantities and price, and by what
    Compare(CompareArgs),
    /// Show which inputs were changed in a written workbook, and put them into the job
    ReadBack(ReadBackArgs),
    /// Set several structures of one site side by side, with one price and where their work meets
    Together(TogetherArgs),
    /// Draw plan, profile, sections, form faces and bars of a job to scale, over as many sheets as it takes
    Draw(DrawArgs),
    /// Write the papers for others: a quote for the client, questions and profile for the engineer, sheets for the crew
    Papers(PapersArgs),
    /// List the points of a job to set out, for survey instruments
    Stake(StakeArgs),
    /// Report what a shot list says, with or without a job
    Shots(ShotsArgs),
    /// Explain a cell of a calc sheet or a line of the takeoff, down to shots, settings and sources
    Why(WhyArgs),
    /// Set variants of a job or calc sheet side by side
    WhatIf(WhatIfArgs),
    /// Show how much each input moves a cell, as bars
    Sensitivity(SensitivityArgs),
    /// Find the input at which a cell meets a target
    Find(FindArgs),
    /// Work a calc sheet out and print its cells
    Sheet(SheetArgs),
    /// Run a script, alone or on a job, and print its result
    Run(RunArgs),
    /// List the bundled wall cases, or tell of one: when to take it, what it leaves out
    Cases(CasesArgs),
    /// Start a job that runs as it is: a folder with commented settings, or a workbook to fill in
    New(NewArgs),
    /// Show what an older job.toml must say so that its numbers stay, and write it
    Renew(RenewArgs),
    /// Work out an expression with units and trade functions; without one, a line to type at
    Calc(CalcArgs),
    /// List the trade functions by family, or show one in full
    Functions(FunctionsArgs),
    /// List every key of job.toml: its value, what holds without it, what it means
    Keys(KeysArgs),
    /// Tell what the words of the trade mean here, and what else they are called
    Glossary(GlossaryArgs),
    /// Read a workbook of an old format from standard input, with bounded memory, and print it
    #[command(hide = true, name = READ_OLD)]
    ReadOld(ReadOldArgs),
    /// Write the generated pages into a folder
    #[command(hide = true)]
    Generate(GenerateArgs),
}

/// A job and how it is opened.
#[derive(Debug, clap::Args)]
pub(super) struct JobArgs {
    /// Job folder, its job.toml, or an input book
    pub(super) job: PathBuf,
    #[command(flatten)]
    pub(super) folders: FolderArgs,
    /// Replace a setting, such as rules.frost_depth="2.25 ft"; may be repeated
    #[arg(long = "set", value_name = "PATH=VALUE")]
    pub(super) set: Vec<String>,
    /// Date to print, yyyy-mm-dd, in place of job.bid_date
    #[arg(long, value_name = "DATE")]
    pub(super) date: Option<String>,
}

/// Several jobs of one site.
#[derive(Debug, clap::Args)]
pub(super) struct TogetherArgs {
    /// The job.toml of each structure, or its folder; they may share settings by job.shares
    #[arg(required = true, num_args = 2..)]
    pub(super) jobs: Vec<PathBuf>,
    #[command(flatten)]
    pub(super) folders: FolderArgs,
    /// Date to print, yyyy-mm-dd, in place of job.bid_date
    #[arg(long, value_name = "DATE")]
    pub(super) date: Option<String>,
    /// Print the result as JSON
    #[arg(long)]
    pub(super) json: bool,
    /// Write a workbook
    #[arg(long, value_name = "FILE.xlsx")]
    pub(super) out: Option<PathBuf>,
    /// Overwrite a workbook that was edited or not written by rodbook
    #[arg(long)]
    pub(super) replace: bool,
}

/// A job.toml of an older format.
#[derive(Debug, clap::Args)]
pub(super) struct RenewArgs {
    /// Job folder, or its job.toml
    pub(super) job: PathBuf,
    /// Write the lines that are shown into the file
    #[arg(long)]
    pub(super) write: bool,
}

/// Which folders a job reads beside its own.
#[derive(Debug, Clone, clap::Args)]
pub(super) struct FolderArgs {
    /// Company folder with scripts and templates of its own
    #[arg(long, value_name = "FOLDER")]
    pub(super) company: Option<PathBuf>,
    /// Folder outside job and company whose files the job may read; may be repeated
    #[arg(long, value_name = "FOLDER")]
    pub(super) read_from: Vec<PathBuf>,
    /// Time that scripts may take in all, in seconds; each variant or point of a search adds one
    #[arg(long, value_name = "SECONDS", default_value_t = USUAL.as_secs(), value_parser = clap::value_parser!(u64).range(1..=86_400))]
    pub(super) script_time: u64,
}

#[derive(Debug, clap::Args)]
pub(super) struct TakeoffArgs {
    #[command(flatten)]
    pub(super) job: JobArgs,
    /// Where to write the workbook; without it takeoff.xlsx beside job.toml
    #[arg(long, value_name = "FILE")]
    pub(super) out: Option<PathBuf>,
    /// Overwrite a workbook that was edited since it was written
    #[arg(long)]
    pub(super) replace: bool,
    /// Print every result as JSON and write no workbook
    #[arg(long, conflicts_with = "out")]
    pub(super) json: bool,
}

#[derive(Debug, clap::Args)]
pub(super) struct DrawArgs {
    #[command(flatten)]
    pub(super) job: JobArgs,
    /// Folder for the sheets; without it drawings beside job.toml
    #[arg(long, value_name = "FOLDER")]
    pub(super) out: Option<PathBuf>,
    /// On letter paper in place of A4
    #[arg(long)]
    pub(super) letter: bool,
    /// Write each sheet as a png picture too
    #[arg(long)]
    pub(super) png: bool,
    /// Overwrite files that rodbook did not write
    #[arg(long)]
    pub(super) replace: bool,
}

#[derive(Debug, clap::Args)]
pub(super) struct CompareArgs {
    /// The earlier run: a job, or a .json file that takeoff --json printed
    pub(super) before: PathBuf,
    /// The later run, in the same way
    pub(super) after: PathBuf,
    #[command(flatten)]
    pub(super) folders: FolderArgs,
    /// Show every row
    #[arg(long)]
    pub(super) all: bool,
    /// Print the comparison as JSON
    #[arg(long)]
    pub(super) json: bool,
}

#[derive(Debug, clap::Args)]
pub(super) struct ReadBackArgs {
    #[command(flatten)]
    pub(super) job: JobArgs,
    /// A workbook of this job, with values changed in the boxed cells of its sheet Inputs
    pub(super) book: PathBuf,
    /// Put the values that are shown into job.toml
    #[arg(long)]
    pub(super) write: bool,
}

#[derive(Debug, clap::Args)]
pub(super) struct PapersArgs {
    #[command(flatten)]
    pub(super) job: JobArgs,
    /// Which sets; without one those for others, none of which holds a cost
    #[arg(value_enum)]
    pub(super) sets: Vec<SetName>,
    /// Folder for them; without it papers beside job.toml
    #[arg(long, value_name = "FOLDER")]
    pub(super) out: Option<PathBuf>,
    /// Overwrite workbooks that were edited, and files that rodbook did not write
    #[arg(long)]
    pub(super) replace: bool,
}

/// A set of papers by name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub(super) enum SetName {
    /// The quote
    Client,
    /// Questions, profile, sections, schedule, rules
    Engineer,
    /// Setting out, dig, forms, bars, pour
    Crew,
    /// The takeoff with its drawings: costs and all, for nobody else
    Office,
}

impl SetName {
    pub(super) fn set(self) -> PaperSet {
        match self {
            Self::Client => PaperSet::Client,
            Self::Engineer => PaperSet::Engineer,
            Self::Crew => PaperSet::Crew,
            Self::Office => PaperSet::Office,
        }
    }
}

#[derive(Debug, clap::Args)]
pub(super) struct StakeArgs {
    #[command(flatten)]
    pub(super) job: JobArgs,
    /// Write the list to a csv file; without it it is printed
    #[arg(long, value_name = "FILE")]
    pub(super) out: Option<PathBuf>,
    /// Overwrite a file that rodbook did not write
    #[arg(long)]
    pub(super) replace: bool,
}

#[derive(Debug, clap::Args)]
pub(super) struct ShotsArgs {
    /// A shot list (text or workbook), a job folder or its job.toml
    pub(super) input: PathBuf,
    #[command(flatten)]
    pub(super) list: ListArgs,
    #[command(flatten)]
    pub(super) folders: FolderArgs,
    /// Print every row as JSON
    #[arg(long)]
    pub(super) json: bool,
}

/// What is said of a shot list where it does not say it itself.
#[derive(Debug, Default, PartialEq, clap::Args)]
pub(super) struct ListArgs {
    /// Sheet of a workbook; may be repeated
    #[arg(long)]
    pub(super) sheet: Vec<String>,
    /// Row of the headings; the list goes from there to the next headings
    #[arg(long, value_name = "ROW")]
    pub(super) heading_row: Option<usize>,
    /// Columns by heading, number or letter, such as northing=Y,easting=X, or in order: point,easting,northing,elevation
    /// (- for one that is not read); may be repeated
    #[arg(long, value_name = "COLUMNS")]
    pub(super) columns: Vec<String>,
    /// Unit where the list states none: ft, us_survey_ft, in, m, cm or mm; of single columns as station=m,offset=m
    #[arg(long)]
    pub(super) unit: Vec<String>,
    /// Mark before decimals, where the numbers do not prove it: point or comma
    #[arg(long, value_name = "MARK")]
    pub(super) decimal: Option<String>,
    /// Code of the rows that are read; may be repeated, or several between commas
    #[arg(long)]
    pub(super) code: Vec<String>,
}

#[derive(Debug, clap::Args)]
pub(super) struct RunArgs {
    /// The script
    pub(super) script: PathBuf,
    /// Run its tests: the functions whose names begin with test_
    #[arg(long)]
    pub(super) tests: bool,
    /// List each call of a trade function with its place, inputs and result
    #[arg(long)]
    pub(super) trace: bool,
    /// A job to run it on
    pub(super) job: Option<PathBuf>,
    #[command(flatten)]
    pub(super) folders: FolderArgs,
}

/// The bundled wall cases.
#[derive(Debug, clap::Args)]
pub(super) struct CasesArgs {
    /// Name of one
    pub(super) name: Option<String>,
    /// Print them for other programs
    #[arg(long)]
    pub(super) json: bool,
}

#[derive(Debug, clap::Args)]
pub(super) struct NewArgs {
    /// Folder to make, which must not hold a job yet; or FILE.xlsx for a job that is one workbook to fill in
    pub(super) folder: PathBuf,
    /// Start from this shot list: it is copied, its columns and codes are filled in
    #[arg(long, value_name = "FILE")]
    pub(super) shots: Option<PathBuf>,
    /// Start from a bundled wall case; rodbook cases lists them
    #[arg(long, value_name = "NAME", conflicts_with_all = ["shots", "from"])]
    pub(super) case: Option<String>,
    /// The case in metres and millimetres
    #[arg(long, requires = "case")]
    pub(super) metric: bool,
    /// Copy this job: its settings under a new name, and the files that it reads in its folder
    #[arg(long, value_name = "JOB")]
    pub(super) from: Option<PathBuf>,
    /// Company folder whose standard the job starts from, in place of the nearest one above the new folder
    #[arg(long, value_name = "FOLDER")]
    pub(super) company: Option<PathBuf>,
    #[command(flatten)]
    pub(super) list: ListArgs,
}

#[derive(Debug, clap::Args)]
pub(super) struct CalcArgs {
    /// Such as '12.ft * 3.ft * 8.inch'
    #[arg(allow_hyphen_values = true)]
    pub(super) expression: Option<String>,
    /// Show results in metres and kilonewtons
    #[arg(long)]
    pub(super) metric: bool,
    /// Currency of money
    #[arg(long, default_value = "usd", value_parser = clap::builder::PossibleValuesParser::new(crate::measure::CURRENCIES))]
    pub(super) currency: String,
}

#[derive(Debug, clap::Args)]
pub(super) struct FunctionsArgs {
    /// Name of one, a text that names or summaries hold, or a unit that they take or give, such as psf
    pub(super) name: Option<String>,
    /// Print them for other programs
    #[arg(long)]
    pub(super) json: bool,
}

#[derive(Debug, clap::Args)]
pub(super) struct GlossaryArgs {
    /// Only the words that hold this text, such as riser
    pub(super) word: Option<String>,
}

#[derive(Debug, clap::Args)]
pub(super) struct KeysArgs {
    /// Only the tables whose name holds this text, such as shots
    pub(super) table: Option<String>,
    /// A job, whose wall case and company may have inputs of their own
    #[arg(long, value_name = "JOB")]
    pub(super) job: Option<PathBuf>,
    /// Company folder, in place of the job's
    #[arg(long, value_name = "FOLDER")]
    pub(super) company: Option<PathBuf>,
}

#[derive(Debug, clap::Args)]
pub(super) struct GenerateArgs {
    /// The folder that holds scripts/ and templates/
    #[arg(default_value = ".")]
    pub(super) folder: PathBuf,
}

/// A job, or calc sheets without one.
#[derive(Debug, clap::Args)]
pub(super) struct SubjectArgs {
    /// Job folder, its job.toml, or a calc sheet (csv or workbook) alone
    pub(super) subject: PathBuf,
    #[command(flatten)]
    pub(super) folders: FolderArgs,
    /// Show a calc sheet without a job in metres and kilonewtons
    #[arg(long)]
    pub(super) metric: bool,
    /// Currency of a calc sheet without a job
    #[arg(long, default_value = "usd", value_parser = clap::builder::PossibleValuesParser::new(crate::measure::CURRENCIES))]
    pub(super) currency: String,
}

#[derive(Debug, clap::Args)]
pub(super) struct WhyArgs {
    #[command(flatten)]
    pub(super) subject: SubjectArgs,
    /// Cell or line, such as price.total or footing.order
    pub(super) cell: String,
    /// How many levels are followed down
    #[arg(long, default_value_t = 4)]
    pub(super) depth: usize,
    /// Replace a setting or cell first; may be repeated
    #[arg(long = "set", value_name = "PATH=VALUE")]
    pub(super) set: Vec<String>,
}

#[derive(Debug, clap::Args)]
pub(super) struct WhatIfArgs {
    #[command(flatten)]
    pub(super) subject: SubjectArgs,
    /// Replace a setting or cell, such as prices.pump="20 usd/cy"; may be repeated
    #[arg(long = "set", value_name = "PATH=VALUE")]
    pub(super) set: Vec<String>,
    /// Table of variants with the columns variant, input, value, or a script whose fn variants(job) makes them
    #[arg(long, value_name = "FILE")]
    pub(super) variants: Option<PathBuf>,
    /// Put the variants in the order of a number, the least first
    #[arg(long, value_name = "CELL")]
    pub(super) sort: Option<String>,
    /// Write the comparison as a workbook
    #[arg(long, value_name = "FILE")]
    pub(super) out: Option<PathBuf>,
    /// Show what stays the same too
    #[arg(long)]
    pub(super) all: bool,
    /// Print the comparison as JSON
    #[arg(long)]
    pub(super) json: bool,
}

#[derive(Debug, clap::Args)]
pub(super) struct SensitivityArgs {
    #[command(flatten)]
    pub(super) subject: SubjectArgs,
    /// Cell
    #[arg(default_value = "price.total")]
    pub(super) cell: String,
    /// Percent by which each input is lower and higher
    #[arg(long, default_value_t = 10.0)]
    pub(super) by: f64,
    /// Write the bar chart as a workbook
    #[arg(long, value_name = "FILE")]
    pub(super) out: Option<PathBuf>,
}

#[derive(Debug, clap::Args)]
pub(super) struct FindArgs {
    #[command(flatten)]
    pub(super) subject: SubjectArgs,
    /// Cell
    pub(super) cell: String,
    /// Its target; a bare number is in the unit of the cell
    pub(super) target: String,
    /// Input that is varied: a setting or a typed cell
    #[arg(long)]
    pub(super) by: String,
    /// Least value of the input
    #[arg(long)]
    pub(super) from: String,
    /// Greatest value of the input
    #[arg(long)]
    pub(super) to: String,
}

#[derive(Debug, clap::Args)]
pub(super) struct SheetArgs {
    #[command(flatten)]
    pub(super) subject: SubjectArgs,
    /// Replace a setting or cell first; may be repeated
    #[arg(long = "set", value_name = "PATH=VALUE")]
    pub(super) set: Vec<String>,
    /// Write the sheets as a workbook with live formulas
    #[arg(long, value_name = "FILE")]
    pub(super) out: Option<PathBuf>,
    /// Print the cells as JSON and write no file
    #[arg(long, conflicts_with = "out")]
    pub(super) json: bool,
}

#[derive(Debug, clap::Args)]
pub(super) struct ReadOldArgs {
    /// Its name, for the messages
    pub(super) file: String,
    /// The sheet to read; without it all
    pub(super) sheet: Option<String>,
}

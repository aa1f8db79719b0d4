//! The command line: the only room that prints.

mod args;
mod ask;
mod calc;
mod cases;
mod compare;
mod draw;
mod dress;
mod find;
mod functions;
mod generate;
mod glossary;
mod keys;
mod list_args;
mod new;
mod papers;
mod read_back;
mod readable;
mod renew;
mod run;
mod shots;
mod stake;
mod summary;
mod takeoff;
mod terminal;
mod together;

use clap::Parser;

use crate::files::{bound_memory, this_program_helps};
use crate::workbook::quiet_about_what_is_caught;
use args::{Command, CommandArgs, ReadOldArgs};
use terminal::Exit;

/// Runs the program with the arguments of the process and gives its exit code.
pub fn main() -> u8 {
    quiet_about_what_is_caught();
    this_program_helps();
    let args = match CommandArgs::try_parse() {
        Ok(args) => args,
        Err(error) => {
            // Help and version are no errors; nothing to add when printing itself fails.
            let _ = error.print();
            return if error.use_stderr() { Exit::Usage.code() } else { Exit::Done.code() };
        }
    };
    if args.no_colour {
        terminal::no_colour();
    }
    let exit = match args.command {
        Command::Takeoff(args) => takeoff::takeoff(&args),
        Command::Check(args) => takeoff::check(&args),
        Command::Together(args) => together::together_of(&args),
        Command::Draw(args) => draw::draw(&args),
        Command::Stake(args) => stake::stake(&args),
        Command::Papers(args) => papers::papers(&args),
        Command::Compare(args) => compare::compare(&args),
        Command::ReadBack(args) => read_back::read_back_of(&args),
        Command::Shots(args) => shots::shots(&args),
        Command::Run(args) => run::run(&args),
        Command::Cases(args) => cases::cases(&args),
        Command::New(args) => new::new(&args),
        Command::Renew(args) => renew::renew(&args),
        Command::Why(args) => ask::why_of(&args),
        Command::WhatIf(args) => ask::what_if(&args),
        Command::Sensitivity(args) => ask::how_much(&args),
        Command::Find(args) => find::find_input(&args),
        Command::Sheet(args) => ask::sheet(&args),
        Command::Calc(args) => calc::calc(&args),
        Command::Functions(args) => functions::list(&args),
        Command::Keys(args) => keys::keys(&args),
        Command::Glossary(args) => glossary::glossary(&args),
        Command::ReadOld(args) => read_old(&args),
        Command::Generate(args) => generate::generate(&args),
    };
    terminal::code(exit)
}

/// The other process of [`crate::workbook::read_sheets`].
fn read_old(args: &ReadOldArgs) -> Exit {
    bound_memory();
    match terminal::read_all() {
        Ok(bytes) => terminal::print_bytes(&crate::workbook::read_old(
            &args.file,
            &bytes,
            args.sheet.as_deref(),
        )),
        Err(_) => Exit::Faults,
    }
}

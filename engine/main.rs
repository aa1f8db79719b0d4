//! The `rodbook` program.

fn main() -> std::process::ExitCode {
    std::process::ExitCode::from(rodbook::command::main())
}

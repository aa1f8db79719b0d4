//! The `rodbook` program.

fn main() -> std::process::ExitCode {
    std::process::ExitCode::SUCCESS
}

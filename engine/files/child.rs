//! A part of the work in a process of its own, with bounded memory and time: what falls over there leaves this one whole.

use std::io::{Read, Write};
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::sync::OnceLock;
use std::time::{Duration, Instant};

/// Memory of the other process, in bytes. Systems that do not bound it stop at the time.
pub const MEMORY: u64 = 512 * 1024 * 1024;
/// Its time.
const TIME: Duration = Duration::from_secs(20);
/// Most that it may answer, in bytes.
const MOST: u64 = 256 * 1024 * 1024;

/// The program that is run for it.
static PROGRAM: OnceLock<PathBuf> = OnceLock::new();

/// Lets this program run itself for parts of its work; for the start of the program.
pub fn this_program_helps() {
    if let Ok(program) = std::env::current_exe() {
        let _ = PROGRAM.set(program);
    }
}

/// How a part of the work in a process of its own ended without an answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ended {
    /// There is no program to run, or it cannot be run.
    NotStarted,
    /// It took too long and was stopped.
    TooLong,
    /// It fell over, as it does where it asks for more memory than it may have.
    FellOver,
}

/// Runs the program on some bytes and gives what it prints.
///
/// # Errors
/// It gave no answer.
pub fn ask_child(args: &[&str], input: &[u8]) -> Result<Vec<u8>, Ended> {
    let program = PROGRAM.get().ok_or(Ended::NotStarted)?;
    let mut child = Command::new(program)
        .args(args)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .map_err(|_| Ended::NotStarted)?;
    let (to, from) = (child.stdin.take(), child.stdout.take());
    std::thread::scope(|scope| {
        // A child that ends early does not read to the end; its exit says so.
        scope.spawn(move || to.map(|mut to| to.write_all(input)));
        let answer = scope.spawn(move || {
            let mut bytes = Vec::new();
            from.and_then(|from| from.take(MOST).read_to_end(&mut bytes).ok()).map(|_| bytes)
        });
        let ended = wait(&mut child);
        let answer = answer.join().ok().flatten();
        ended.and_then(|()| answer.ok_or(Ended::FellOver))
    })
}

fn wait(child: &mut Child) -> Result<(), Ended> {
    let start = Instant::now();
    loop {
        match child.try_wait() {
            Ok(Some(status)) if status.success() => return Ok(()),
            Ok(Some(_)) | Err(_) => return Err(Ended::FellOver),
            Ok(None) if start.elapsed() > TIME => {
                let _ = child.kill();
                let _ = child.wait();
                return Err(Ended::TooLong);
            }
            Ok(None) => std::thread::sleep(Duration::from_millis(2)),
        }
    }
}

/// Bounds the memory of this process; for the start of the other one.
pub fn bound_memory() {
    #[cfg(unix)]
    {
        use rustix::process::{Resource, Rlimit, getrlimit, setrlimit};
        let most = getrlimit(Resource::As).maximum;
        let limit = most.map_or(MEMORY, |most| most.min(MEMORY));
        // Where it cannot be bounded, time still is.
        let _ = setrlimit(Resource::As, Rlimit { current: Some(limit), maximum: most });
    }
}

/// Memory that this process holds, in bytes, where the system tells it cheaply.
pub fn memory_held() -> Option<u64> {
    #[cfg(target_os = "linux")]
    {
        let pages = std::fs::read_to_string("/proc/self/statm").ok()?;
        let resident: u64 = pages.split_whitespace().nth(1)?.parse().ok()?;
        u64::try_from(rustix::param::page_size()).ok().map(|size| resident * size)
    }
    #[cfg(not(target_os = "linux"))]
    None
}

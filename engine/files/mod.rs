//! The only room that touches the outside: bounded reading, look-up in layers, atomic writing.

mod embedded;
mod fingerprint;
mod layers;
mod read;
mod write;

pub use embedded::{EMBEDDED, embedded};
pub use fingerprint::fingerprint;
pub use layers::{Found, Layers, Origin};
pub use read::{LARGEST_FILE, exists, is_folder, read_bytes, read_text};
pub use write::{make_folder, same_place, write_atomic};

//! The only room that touches the outside: bounded reading, look-up in layers, atomic writing.

mod child;
mod embedded;
mod fingerprint;
mod layers;
mod read;
mod reader;
mod write;

pub use child::{Ended, MEMORY, ask_child, bound_memory, memory_held, this_program_helps};
pub use embedded::{EMBEDDED, embedded};
pub use fingerprint::{fingerprint, sha256};
pub use layers::{FoundFile, LayerOrigin, Layers};
pub use read::{LARGEST_FILE, exists, folder_of, is_folder, is_link, read_bytes, read_text};
use read::{real, utf8};
pub use reader::Reader;
pub use write::{make_folder, same_place, write_atomic};

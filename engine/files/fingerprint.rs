//! Fingerprints of contents.

use sha2::{Digest, Sha256};

/// The SHA-256 of bytes, in lower-case hexadecimal.
pub fn sha256(bytes: &[u8]) -> String {
    hexadecimal(Sha256::new_with_prefix(bytes))
}

fn hexadecimal(hash: Sha256) -> String {
    hash.finalize().iter().map(|byte| format!("{byte:02x}")).collect()
}

/// The SHA-256 of named parts, in lower-case hexadecimal. Names and lengths count, so parts cannot run together.
pub fn fingerprint<'a>(parts: impl IntoIterator<Item = (&'a str, &'a [u8])>) -> String {
    let mut hash = Sha256::new();
    for (name, bytes) in parts {
        hash.update((name.len() as u64).to_le_bytes());
        hash.update(name.as_bytes());
        hash.update((bytes.len() as u64).to_le_bytes());
        hash.update(bytes);
    }
    hexadecimal(hash)
}

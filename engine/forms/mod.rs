//! Forms: the area that concrete touches, what fresh concrete pushes with, and what holds the forms against it.

mod army;
mod bracing;
mod contact;
mod european;
mod guide;
mod liquid;
mod members;
mod posts;
mod sections;
mod snap;
mod wall;

pub use army::*;
pub use bracing::*;
pub use contact::*;
pub use european::*;
pub use guide::*;
pub use liquid::*;
pub use members::*;
pub use posts::*;
pub use sections::*;
pub use snap::*;
pub use wall::*;

//! Earth: what is dug, how loose it lies, how deep the cuts are and what that requires.

mod code;
mod cut;
mod dig;
mod meeting;
mod pressure;
mod solid;
mod volumes;
mod wall;

pub use code::*;
pub use cut::*;
pub use dig::*;
pub use meeting::*;
pub use pressure::*;
pub use solid::*;
pub use volumes::*;
pub use wall::*;

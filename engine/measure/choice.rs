//! Inputs that are one of a few names.

use crate::problem::{Problem, closest};

/// One of a few names.
pub trait Choice: Copy + Sized + 'static {
    /// What is chosen, for messages.
    const WHAT: &'static str;
    /// Every choice with its name.
    const ALL: &'static [(&'static str, Self)];

    /// Its name.
    fn name(self) -> &'static str
    where
        Self: PartialEq,
    {
        Self::ALL.iter().find(|(_, choice)| *choice == self).map_or("", |(name, _)| name)
    }

    /// The choice of this name.
    ///
    /// # Errors
    /// There is none; the message lists them.
    fn named(name: &str) -> Result<Self, Problem> {
        if let Some((_, choice)) = Self::ALL.iter().find(|(known, _)| *known == name) {
            return Ok(*choice);
        }
        let names: Vec<&str> = Self::ALL.iter().map(|(known, _)| *known).collect();
        let problem = Problem::error(format!("{} \"{name}\" is not known", Self::WHAT));
        let listed = format!("one of {} was expected", names.join(", "));
        // One of several that share a name, such as a class of soil.
        let among = names.iter().find(|known| known.split(' ').any(|word| word == name));
        Err(match among.copied().or_else(|| closest(name, names.iter().copied())) {
            Some(near) => problem.help(format!("did you mean \"{near}\"? {listed}")),
            None => problem.help(listed),
        })
    }
}

/// Declares an enumeration of named choices.
macro_rules! choice {
    ($(#[$doc:meta])* pub enum $type:ident, $what:literal {
        $($(#[$about:meta])* $variant:ident = $name:literal,)*
    }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub enum $type {
            $($(#[$about])* $variant,)*
        }

        impl $type {
            /// The names of all choices.
            pub const NAMES: &'static [&'static str] = &[$($name,)*];
        }

        impl $crate::measure::Choice for $type {
            const WHAT: &'static str = $what;
            const ALL: &'static [(&'static str, Self)] = &[$(($name, Self::$variant),)*];
        }
    };
}

pub(crate) use choice;

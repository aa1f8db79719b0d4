//! Hosts that are lent and come back: to make one takes longer than many a question that is asked of a job.

use std::path::PathBuf;
use std::sync::{Arc, Mutex, PoisonError};

use super::{Budget, Host};
use crate::files::Layers;
use crate::measure::Style;

/// What a host is made for.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Purpose {
    folders: Vec<PathBuf>,
    style: Style,
}

/// Hosts at rest; copies share them.
#[derive(Clone, Default)]
pub struct Hosts(Arc<Mutex<Vec<(Purpose, Arc<Host>)>>>);

impl std::fmt::Debug for Hosts {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Hosts")
    }
}

/// A host that one job uses; it is at rest again when the job is dropped.
pub struct Lent {
    purpose: Purpose,
    layers: Layers,
    host: Arc<Host>,
    home: Hosts,
}

impl Hosts {
    /// A host for a job in these layers: one at rest, or a new one. No two jobs use one at a time.
    pub fn lend(&self, layers: &Layers, style: &Style, budget: &Budget) -> Lent {
        let purpose = Purpose { folders: layers.folders(), style: style.clone() };
        let known = {
            let mut resting = self.0.lock().unwrap_or_else(PoisonError::into_inner);
            let at = resting.iter().position(|(known, _)| *known == purpose);
            at.map(|at| resting.swap_remove(at).1)
        };
        let host = known.unwrap_or_else(|| Arc::new(Host::within(layers.clone(), style, budget)));
        Lent { purpose, layers: layers.clone(), host, home: self.clone() }
    }
}

/// Another host for the same job.
impl Clone for Lent {
    fn clone(&self) -> Self {
        let another = self.home.lend(&self.layers, &self.purpose.style, self.host.budget());
        another.know_as(&self.host);
        another
    }
}

impl std::ops::Deref for Lent {
    type Target = Host;

    fn deref(&self) -> &Host {
        &self.host
    }
}

impl Drop for Lent {
    fn drop(&mut self) {
        self.host.rest();
        let mut resting = self.home.0.lock().unwrap_or_else(PoisonError::into_inner);
        resting.push((self.purpose.clone(), self.host.clone()));
    }
}

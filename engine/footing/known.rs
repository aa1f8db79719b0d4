//! Layouts found before: questions that leave the site as it was need no other.

use std::sync::{Arc, Mutex, PoisonError};

use super::{Layout, NoLayout, Site, lay_out};

/// Layouts that were found, the last of them; copies share them.
#[derive(Debug, Clone, Default)]
pub struct KnownLayouts(Arc<Mutex<Vec<Arc<Layout>>>>);

impl KnownLayouts {
    /// How many are kept.
    const MOST: usize = 4;

    /// The least-cost layout of a site.
    ///
    /// # Errors
    /// As [`lay_out`].
    pub fn of(&self, site: &Site) -> Result<Arc<Layout>, NoLayout> {
        let known = self.all().iter().find(|layout| layout.site == *site).cloned();
        if let Some(known) = known {
            return Ok(known);
        }
        let layout = Arc::new(lay_out(site)?);
        let mut all = self.all();
        // The first is most often that of the job as it stands.
        if all.len() == Self::MOST {
            all.remove(1);
        }
        all.push(Arc::clone(&layout));
        Ok(layout)
    }

    fn all(&self) -> std::sync::MutexGuard<'_, Vec<Arc<Layout>>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

//! Places for labels side by side: none over another, each as near to what it is of as the others let it.

/// Positions of labels that want to stand at these, ascending, at least so far apart and between two ends; nothing where
/// there is no room for all of them.
pub(super) fn spread(wanted: &[f64], apart: f64, from: f64, to: f64) -> Option<Vec<f64>> {
    #[expect(clippy::cast_precision_loss, reason = "labels of a sheet")]
    let needed = wanted.len().saturating_sub(1) as f64 * apart;
    if needed > to - from {
        return None;
    }
    let mut places: Vec<f64> = Vec::with_capacity(wanted.len());
    for want in wanted {
        let least = places.last().map_or(from, |last| last + apart);
        places.push(want.max(least));
    }
    let mut most = to;
    for place in places.iter_mut().rev() {
        *place = place.min(most);
        most = *place - apart;
    }
    Some(places)
}

#[cfg(test)]
mod tests {
    use super::spread;

    #[test]
    fn labels_keep_apart_and_within() {
        assert_eq!(spread(&[1.0, 5.0], 2.0, 0.0, 10.0), Some(vec![1.0, 5.0]));
        assert_eq!(spread(&[5.0, 5.0, 5.5], 2.0, 0.0, 10.0), Some(vec![5.0, 7.0, 9.0]));
        assert_eq!(spread(&[9.0, 9.5, 10.0], 2.0, 0.0, 10.0), Some(vec![6.0, 8.0, 10.0]));
        assert_eq!(spread(&[0.0; 7], 2.0, 0.0, 10.0), None);
    }
}

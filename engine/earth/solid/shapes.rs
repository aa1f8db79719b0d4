//! Boxes and what is linear in plan.

/// A distance from its parts along the axes; those of a job need no care for the largest numbers.
pub(super) fn far(x: f64, y: f64) -> f64 {
    (x * x + y * y).sqrt()
}

/// A box in plan: lower and upper corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Box2 {
    pub(super) low: [f64; 2],
    pub(super) high: [f64; 2],
}

impl Box2 {
    /// Its four corners, round it.
    pub(super) fn corners(&self) -> [[f64; 2]; 4] {
        let ([a, b], [c, d]) = (self.low, self.high);
        [[a, b], [c, b], [c, d], [a, d]]
    }

    /// Its middle.
    pub(super) fn middle(&self) -> [f64; 2] {
        [0, 1].map(|axis| (self.low[axis] + self.high[axis]) / 2.0)
    }

    /// Its extent along an axis.
    pub(super) fn extent(&self, axis: usize) -> f64 {
        self.high[axis] - self.low[axis]
    }

    /// Whether a point lies inside.
    pub(super) fn holds(&self, point: [f64; 2]) -> bool {
        let within = |axis: usize| self.low[axis] < point[axis] && point[axis] < self.high[axis];
        within(0) && within(1)
    }

    /// Least distance from another box; nothing where they touch or overlap.
    pub(super) fn distance(&self, other: &Self) -> f64 {
        let apart = |axis: usize| {
            (other.low[axis] - self.high[axis]).max(self.low[axis] - other.high[axis]).max(0.0)
        };
        far(apart(0), apart(1))
    }

    /// Cut at places along both axes.
    pub(super) fn cut(&self, places: &[Vec<f64>; 2]) -> Vec<Self> {
        let pieces = |axis: usize| {
            let mut all = vec![self.low[axis]];
            all.extend(&places[axis]);
            all.push(self.high[axis]);
            all
        };
        let (xs, ys) = (pieces(0), pieces(1));
        let row = |y: &[f64]| {
            let (low, high) = (y[0], y[1]);
            let cell = |x: &[f64]| Self { low: [x[0], low], high: [x[1], high] };
            xs.windows(2).map(cell).collect::<Vec<_>>()
        };
        ys.windows(2).flat_map(row).collect()
    }
}

/// What is linear in plan: its value at the origin and its slopes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Linear {
    pub(super) at_origin: f64,
    pub(super) slope: [f64; 2],
}

impl Linear {
    /// What has these values at three points that are not in line.
    pub(super) fn through([a, b, c]: [[f64; 2]; 3], [u, v, w]: [f64; 3]) -> Self {
        let [[bx, by], [cx, cy]] = [b, c].map(|p| [p[0] - a[0], p[1] - a[1]]);
        let area = bx * cy - by * cx;
        let (v, w) = (v - u, w - u);
        let slope = [(v * cy - w * by) / area, (w * bx - v * cx) / area];
        Self { at_origin: u - slope[0] * a[0] - slope[1] * a[1], slope }
    }

    pub(super) fn at(&self, point: [f64; 2]) -> f64 {
        self.at_origin + self.slope[0] * point[0] + self.slope[1] * point[1]
    }

    pub(super) fn less(&self, other: &Self) -> Self {
        Self {
            at_origin: self.at_origin - other.at_origin,
            slope: [0, 1].map(|axis| self.slope[axis] - other.slope[axis]),
        }
    }
}

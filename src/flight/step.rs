//! What lies within a step: the top of the flight and the landing.

use super::motion::State;

/// One step of a flight.
#[derive(Clone, Copy, Debug)]
pub(super) struct Step {
    /// Time at its begin, s.
    pub(super) begin_s: f64,
    /// Its length, s.
    pub(super) length_s: f64,
    pub(super) from: State<f64>,
    /// The change of `from`.
    pub(super) change: State<f64>,
    pub(super) to: State<f64>,
}

impl Step {
    /// Time at a part of the step, s.
    pub(super) fn time(&self, part: f64) -> f64 {
        self.begin_s + part * self.length_s
    }

    /// The state at a part of the step: the position by a cubic (Hermite's, through both ends'
    /// positions and velocities), velocity and spin by a parabola through both ends and the first
    /// change.
    pub(super) fn at(&self, part: f64) -> State<f64> {
        let (from, to) = (&self.from, &self.to);
        let parabola = |from: f64, change: f64, to: f64| {
            let first = self.length_s * change;
            from + part * (first + part * (to - from - first))
        };
        let velocity =
            |i: usize| parabola(from.velocity[i], self.change.velocity[i], to.velocity[i]);
        State {
            position: std::array::from_fn(|i| value(self.cubic(i), part)),
            velocity: std::array::from_fn(velocity),
            spin: parabola(from.spin, self.change.spin, to.spin),
        }
    }

    /// Coefficients of the cubic of one axis, by rising powers of the part.
    fn cubic(&self, axis: usize) -> [f64; 4] {
        let [from, to] = [&self.from, &self.to].map(|end| end.position[axis]);
        let [leave, arrive] = [&self.from, &self.to].map(|end| self.length_s * end.velocity[axis]);
        let way = to - from;
        [from, leave, 3.0 * way - 2.0 * leave - arrive, leave + arrive - 2.0 * way]
    }

    /// The part at which the ball stops rising; asked of a step that begins with a rise and ends
    /// without.
    pub(super) fn top(&self) -> f64 {
        let [_, c, b, a] = self.cubic(2);
        // c + 2 b u + 3 a u² = 0, in the form that loses no digits.
        let root = (b * b - 3.0 * a * c).max(0.0).sqrt();
        let top = c / (root - b);
        if top.is_finite() { top.clamp(0.0, 1.0) } else { 1.0 }
    }

    /// The part at which the ball comes down to z = 0; asked of a step that begins above it (or at
    /// it, rising) and ends at it or below.
    pub(super) fn landing(&self) -> f64 {
        let [height, rise, b, a] = self.cubic(2);
        // From the ground, one root is the begin: it is divided out.
        let curve = if height == 0.0 { [rise, b, a, 0.0] } else { [height, rise, b, a] };
        let (mut above, mut below) = (0.0, 1.0);
        let mut part = curve[0] / (curve[0] - value(curve, 1.0));
        // Newton's steps, kept within what is known; a dozen are enough for a cubic, fifty for
        // halving.
        for _ in 0..60 {
            let miss = value(curve, part);
            if miss > 0.0 {
                above = part;
            } else {
                below = part;
            }
            let slope = curve[1] + part * (2.0 * curve[2] + part * 3.0 * curve[3]);
            let newton = part - miss / slope;
            if newton > above && newton < below {
                // The next step would be about the square of this one.
                if (newton - part).abs() < 1e-7 {
                    return newton;
                }
                part = newton;
            } else {
                part = f64::midpoint(above, below);
            }
        }
        part
    }
}

fn value([a, b, c, d]: [f64; 4], at: f64) -> f64 {
    a + at * (b + at * (c + at * d))
}

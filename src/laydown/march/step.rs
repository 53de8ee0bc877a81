//! What the march is made of: the root for a tension, and a step of integration.

/// Most iterations of the root; Newton takes one to six.
const MOST_ITERATIONS: usize = 200;
/// Relative change of the tension after which Newton, being quadratic, has met rounding
/// and what the step allows.
const LAST_CHANGE: f64 = 1e-6;

/// Solves H(N) = m for a falling H with its slope; Newton on 1/H, which is nearly straight
/// in N for small and for large stretches, kept in a bracket. `None`: no convergence.
pub(super) fn root(
    mut held: impl FnMut(f64) -> (f64, f64),
    m: f64,
    guess: f64,
    scale: f64,
) -> Option<f64> {
    let (mut low, mut high) = (0.0_f64, f64::INFINITY);
    let mut n = if guess > 0.0 { guess } else { 0.1 * scale };
    for _ in 0..MOST_ITERATIONS {
        let (h, dh) = held(n);
        if !(h.is_finite() && dh.is_finite()) {
            return None;
        }
        *(if h > m { &mut low } else { &mut high }) = n;
        let mut next = n - h * (h / m - 1.0) / dh;
        if dh >= 0.0 {
            next = f64::NAN;
        }
        if next <= 0.0 && low <= 0.0 {
            // Film that only just spans its path: no tension but rounding.
            if held(0.0).0 <= m * (1.0 + 1e-13) {
                return Some(0.0);
            }
        }
        if !(next > low && next < high) {
            if (h / m - 1.0).abs() <= 4e-15 {
                return Some(n);
            }
            next = if high.is_finite() {
                0.5 * (low + high)
            } else {
                4.0 * n
            };
            if next <= low || next >= high {
                return Some(n);
            }
        } else if (next - n).abs() <= LAST_CHANGE * next + 1e-15 * scale {
            return Some(next);
        }
        n = next;
    }
    None
}

/// A state of the integration: film still free, or both fronts' film positions, mm.
pub(super) type State = [f64; 2];

/// One step of Dormand and Prince's pair; returns the state and its error.
pub(super) fn step(
    mut rate: impl FnMut(f64, State) -> Option<State>,
    (t, y): (f64, State),
    h: f64,
    first: State,
) -> Option<(State, State)> {
    const A: [[f64; 6]; 6] = [
        [1.0 / 5.0, 0.0, 0.0, 0.0, 0.0, 0.0],
        [3.0 / 40.0, 9.0 / 40.0, 0.0, 0.0, 0.0, 0.0],
        [44.0 / 45.0, -56.0 / 15.0, 32.0 / 9.0, 0.0, 0.0, 0.0],
        [
            19372.0 / 6561.0,
            -25360.0 / 2187.0,
            64448.0 / 6561.0,
            -212.0 / 729.0,
            0.0,
            0.0,
        ],
        [
            9017.0 / 3168.0,
            -355.0 / 33.0,
            46732.0 / 5247.0,
            49.0 / 176.0,
            -5103.0 / 18656.0,
            0.0,
        ],
        [
            35.0 / 384.0,
            0.0,
            500.0 / 1113.0,
            125.0 / 192.0,
            -2187.0 / 6784.0,
            11.0 / 84.0,
        ],
    ];
    const C: [f64; 6] = [0.2, 0.3, 0.8, 8.0 / 9.0, 1.0, 1.0];
    // Fifth order less fourth.
    const E: [f64; 7] = [
        71.0 / 57600.0,
        0.0,
        -71.0 / 16695.0,
        71.0 / 1920.0,
        -17253.0 / 339_200.0,
        22.0 / 525.0,
        -1.0 / 40.0,
    ];
    let mut k = [first; 7];
    let mut at = y;
    for (stage, row) in A.iter().enumerate() {
        at = y;
        for (a, slope) in row.iter().zip(&k).take(stage + 1) {
            at[0] += h * a * slope[0];
            at[1] += h * a * slope[1];
        }
        k[stage + 1] = rate(t + C[stage] * h, at)?;
    }
    let mut error = [0.0; 2];
    for (e, slope) in E.iter().zip(&k) {
        error[0] += h * e * slope[0];
        error[1] += h * e * slope[1];
    }
    Some((at, error))
}

/// The next step after one with this error relative to what is allowed.
pub(super) fn next_step(h: f64, ratio: f64) -> f64 {
    h * (0.9 * ratio.max(1e-10).powf(-0.2)).clamp(0.2, 4.0)
}

//! Edges of loads against the change points of ruptures 1.1.10 (`tests/references/change_points.py`) on the same signal, of which
//! neither knows the plan.

use std::fmt::Write;

use tubtrace::analysis::Analysis;
use tubtrace::log::{Assumptions, parse};

/// Seconds and watts: control alone, fill, wash, hold, wash, drain, a second water, drying.
const PLAN: [(u32, f64); 11] = [
    (240, 1.5),
    (95, 12.0),
    (420, 118.0),
    (610, 1_960.0),
    (230, 118.0),
    (75, 36.0),
    (88, 12.0),
    (500, 118.0),
    (70, 36.0),
    (400, 880.0),
    (300, 1.5),
];

/// What ruptures finds: Pelt, squared deviations, in the logarithm.
const RUPTURES: [f64; 10] =
    [240.0, 335.0, 755.0, 1_365.0, 1_595.0, 1_670.0, 1_758.0, 2_258.0, 2_328.0, 2_728.0];

/// The generator of Park and Miller (Communications of the ACM 31, 1988), from -1 to 1.
fn noise(state: &mut u64) -> f64 {
    *state = *state * 16_807 % 2_147_483_647;
    2.0 * *state as f64 / 2_147_483_647.0 - 1.0
}

#[test]
fn edges_are_where_a_reference_finds_change_points() {
    let (mut csv, mut state, mut time) = (String::from("time,watts\n"), 1, 0);
    for (seconds, level) in PLAN {
        for _ in 0..seconds {
            let watts = level * (1.0 + 0.03 * noise(&mut state)) + 0.4 * noise(&mut state);
            let _ = writeln!(csv, "{time},{:.4}", watts.max(0.0));
            time += 1;
        }
    }
    let log = parse(csv.as_bytes(), Assumptions::default()).unwrap();
    let edges: Vec<f64> =
        Analysis::of(&log.trace).loads.spans.windows(2).map(|pair| pair[1].start.0).collect();
    assert_eq!(edges.len(), RUPTURES.len(), "{edges:?}");
    for (edge, reference) in edges.iter().zip(RUPTURES) {
        assert!((edge - reference).abs() <= 1.0, "{edges:?}");
    }
}

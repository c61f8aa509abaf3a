//! Shots that a verdict can rest on.

use std::ops::Range;

use serde_json::json;

/// Visits of rowan's with the 5h and the 4u, which flies lower and as far: eight shots of each. One proves
/// nothing; four prove that the 4u takes the place.
pub fn visits(which: Range<u32>) -> String {
    let mut lines = Vec::new();
    for visit in which {
        for n in 0..8_u32 {
            for (club, launch, spin) in [("5h", 16.8, 5_240.0), ("4u", 13.6, 4_150.0)] {
                let off = f64::from((n * 5 + visit) % 8) / 3.5 - 1.0;
                let event = json!({
                    "id": format!("{visit}-{n}-{club}"), "source": "bay-3", "player": "rowan", "club": club,
                    "time": format!("2026-03-{:02}T10:{:02}:00Z", visit + 1, 2 * n),
                    "launch": {
                        "ball_speed_mps": 51.9 + off, "launch_angle_deg": launch + off,
                        "spin_rate_rpm": spin + 100.0 * off,
                    },
                    "flight": {"carry_m": 158.0 + 3.0 * off, "origin": "tracked"},
                });
                lines.push(event.to_string());
            }
        }
    }
    lines.join("\n")
}

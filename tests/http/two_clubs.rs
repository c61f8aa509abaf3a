//! Visits with two clubs that carry the same, one of which flies lower, for what is computed of them.

use serde_json::{Value, json};

use crate::support::Running;

/// The two clubs of the check data's page (`../data/flight/README.md`): both carry 158.0 m in still air.
/// Ball speed in m/s, launch in degrees, spin in rpm.
pub(crate) const CLUBS: [(&str, [f64; 3]); 2] =
    [("5h", [53.712, 17.0, 5_300.0]), ("4u", [52.970_1, 13.5, 4_200.0])];

/// So many visits with six shots of each club; `change` makes each, of a club, what it is to be.
pub(crate) fn played(
    visits: usize,
    clubs: &[(&str, [f64; 3])],
    change: impl Fn(&str, &mut Value),
) -> Running {
    let service = Running::start();
    let mut lines = String::new();
    for visit in 0..visits {
        for (club, [speed, angle, spin]) in clubs {
            for off in [-1.5, 1.0, 0.5, -0.5, -1.0, 1.5] {
                let mut event = json!({
                    "id": format!("{club}-{visit}-{off}"), "source": "bay-3", "player": "rowan",
                    "time": format!("2026-04-{:02}T10:15:04Z", visit + 1), "club": club, "lie": "mat",
                    "session": format!("visit-{visit}"),
                    "launch": {
                        "ball_speed_mps": speed + 0.1 * off, "launch_angle_deg": angle + 0.2 * off,
                        "spin_rate_rpm": spin + 40.0 * off,
                    },
                    "flight": {"carry_m": 158.0 + off, "origin": "tracked"},
                });
                change(club, &mut event);
                lines += &(event.to_string() + "\n");
            }
        }
    }
    let told = service.stream(&lines).json();
    assert_eq!(told["accepted"], 6 * clubs.len() * visits, "{told}");
    service
}

/// The 4u for the place of the 5h, under a brief.
pub(crate) fn candidate(service: &Running, brief: &str) -> Value {
    let path = format!("/v1/players/rowan/replacements?incumbent=5h&candidate=4u{brief}");
    let answer = service.get(&path);
    assert_eq!(answer.status, 200, "{}", answer.text());
    answer.json()["candidates"][0].clone()
}

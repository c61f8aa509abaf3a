"""Writes calibration.csv: invented clubs whose balls fly otherwise than the models say, as measured shots would tell.

Each set is one club: 24 shots to fit to, carry, apex and descent with a device's noise, and 24 further ones without noise to be
judged by. Truths: the default model with its drag, lift and spin-drag scaled, or the other model altogether.
"""
import csv
import os

import numpy as np

import reference
from reference import Shot, fly

CLUBS = {"driver": (70.0, 11.5, 2800.0), "wood": (64.0, 11.0, 3900.0), "middle": (53.0, 16.5, 5400.0), "short": (46.0, 22.0, 8200.0)}
TRUTHS = {"more-drag": (1.06, 1.0, 1.0), "less-drag": (0.94, 1.0, 1.0), "more-lift": (1.0, 1.08, 1.0), "spinny-drag": (1.0, 1.0, 1.25),
          "all": (0.95, 0.93, 0.85)}
NOISE = {"carry_m": 1.0, "apex_m": 0.5, "descent_angle_deg": 0.7}


def scaled(drag, lift, spin_drag):
    def coefficients(re, s):
        cl = 0.36 * (1.0 - np.exp(-s / 0.16))
        bare = 0.0893 + 0.04 * re / 1e5 + 0.33 / (1.0 + (re / 6.75e4) ** 8)
        return drag * (bare + spin_drag * 0.52 * cl), lift * cl
    return coefficients


def main():
    random = np.random.default_rng(20260411)
    truths = {name: scaled(*factors) for name, factors in TRUTHS.items()}
    truths["other-ball"] = reference.coeff_smits_ogg
    rows = []
    for truth, law in truths.items():
        reference.MODELS["truth"] = law
        for club, (speed, angle, spin) in CLUBS.items():
            for number in range(48):
                shot = Shot("", speed * random.normal(1.0, 0.025), angle + random.normal(0.0, 1.2), spin * random.normal(1.0, 0.07))
                out = fly(shot, "truth")
                fit = number < 24
                seen = {key: out[key] + (random.normal(0.0, sd) if fit else 0.0) for key, sd in NOISE.items()}
                rows.append([f"{club}/{truth}", "fit" if fit else "held-out", shot.speed, shot.launch_deg, shot.spin_rpm, *seen.values()])
    with open(os.path.join(os.path.dirname(os.path.abspath(__file__)), "calibration.csv"), "w", newline="") as f:
        w = csv.writer(f, lineterminator="\n")
        w.writerow(["set", "role", "ball_speed_mps", "launch_angle_deg", "spin_rate_rpm", *NOISE])
        w.writerows([v if isinstance(v, str) else f"{v:.6g}" for v in row] for row in rows)


if __name__ == "__main__":
    main()

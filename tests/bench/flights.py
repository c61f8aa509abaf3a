"""Flights a second of scipy's general solver beside ours, at equal accuracy, in one run.

python3 tests/bench/flights.py   (numpy 2.4.6, scipy 1.17.1)

It runs the bench `flights` first and takes from it how many flights a second we make on all cores, and how far off
they are. The equations here are those of the check data's own program; the launches are those of the bench. Each
method, on one core, is given the loosest tolerance at which no carry of a sample is off by more than ours.
"""
import math
import re
import subprocess
import sys
import time
from pathlib import Path

from scipy.integrate import solve_ivp

sys.path.insert(0, str(Path(__file__).parent.parent / "data" / "flight"))
import reference  # noqa: E402

SAMPLE = 60
WINDS = {"still air": 0.0, "8 m/s of wind": 8.0}


def launches(count, wind):
    """The bench's launches: a whole bag with a player's scatter, by a fixed sequence (Weyl's)."""
    at = 0.5
    for number in range(count):
        draws = []
        for _ in range(5):
            at = (at + 0.618_033_988_749_894_9) % 1.0
            draws.append(at)
        long, speed, angle, direction, axis = draws
        yield reference.Shot(
            name=str(number),
            speed=40.0 + 36.0 * long + 4.0 * (speed - 0.5),
            launch_deg=26.0 - 14.0 * long + 4.0 * (angle - 0.5),
            direction_deg=6.0 * (direction - 0.5),
            spin_rpm=9_500.0 - 6_800.0 * long,
            axis_deg=16.0 * (axis - 0.5),
            wind=wind,
            wind_from_deg=40.0,
        )


def carry(shot, method, tolerance):
    def landing(_time, state):
        return state[2]

    landing.terminal, landing.direction = True, -1.0
    solved = solve_ivp(reference.make_rhs(shot, "default"), (0.0, 30.0), reference.initial_state(shot),
                       method=method, rtol=tolerance, atol=tolerance, events=landing)
    x, y = solved.y_events[0][0][:2]
    return math.hypot(x, y)


def ours():
    """How far off our flights are, m, and how many there are a second, as the bench says, wind by wind."""
    told = subprocess.run(["cargo", "bench", "--locked", "--bench", "flights"], check=True, text=True,
                          stdout=subprocess.PIPE).stdout
    print(told)
    off = dict(re.findall(r"^ *(.+): ours off by ([0-9.]+) m at most$", told, re.M))
    rates = dict(re.findall(r"^ *many at once, (.+?) {2,}([0-9,.]+) ", told, re.M))
    return {name: (float(off[name]), float(rates[name].replace(",", ""))) for name in WINDS}


def main():
    told = ours()
    for name, wind in WINDS.items():
        off, ours_a_second = told[name]
        shots = list(launches(SAMPLE, wind))
        exact = [carry(shot, "DOP853", 1e-10) for shot in shots]
        print(f"{name}, off by {off} m at most:")
        for method in ("RK45", "DOP853", "LSODA"):
            for half in range(4, 21):
                tolerance = 10.0 ** (-half / 2)
                begin = time.process_time()
                carries = [carry(shot, method, tolerance) for shot in shots]
                rate = SAMPLE / (time.process_time() - begin)
                if max(abs(a - b) for a, b in zip(carries, exact)) <= off:
                    print(f"  {method:6} at a tolerance of {tolerance:.1e}: {rate:8.1f} flights/s; "
                          f"ours are {ours_a_second / rate:,.0f} times as many")
                    break


if __name__ == "__main__":
    main()

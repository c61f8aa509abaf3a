"""Makes swap_reference.json: values for what a swap gives up, independent of the service.

Needs numpy, scipy and statsmodels. Shots are invented (fixed seed).
"""

import json
import pathlib

import numpy as np
from scipy.optimize import brentq
from scipy.stats import chi2
from statsmodels.stats.proportion import confint_proportions_2indep, proportion_confint

dice = np.random.default_rng(20260411)
DELTAS = (0.4, 0.8, 1.2)


def spread_ratio():
    """The ends of the ratio of two sds: all ratios whose two-sided mixture of e-values is under 20."""
    cases = []
    for n, ratio, law in [(20, 1.0, "normal"), (45, 1.4, "normal"), (60, 0.8, "t5"), (150, 1.1, "gamma")]:
        draw = {
            "normal": lambda size: dice.normal(size=size),
            "t5": lambda size: dice.standard_t(5, size=size),
            "gamma": lambda size: dice.gamma(4.0, size=size) / 2.0,
        }[law]
        sessions = max(2, n // 15)
        a = [np.round(7 * ratio * part + 150, 3) for part in np.array_split(draw(n), sessions)]
        b = [np.round(7 * part + 160, 3) for part in np.array_split(draw(n), sessions)]
        va, na, _ = within(a)
        vb, nb, _ = within(b)
        fourth = sum(((x - x.mean()) ** 4).sum() for x in a) / va**2
        fourth += sum(((x - x.mean()) ** 4).sum() for x in b) / vb**2
        second = sum(((x - x.mean()) ** 2).sum() for x in a) / va
        second += sum(((x - x.mean()) ** 2).sum() for x in b) / vb
        kurtosis = max(4.0, 2 * n * fourth / second**2)
        # Layard 1973, Bonett 2006, with n = df + 1 of each club.
        sd = np.sqrt(sum((kurtosis - (m - 3) / (m - 1)) / m for m in (na, nb)))
        centre = np.log(va / vb)

        def evidence(bound):
            z, ncp = (centre - bound) / sd, np.array(DELTAS) / sd
            sides = [np.exp(sign * ncp * z - ncp**2 / 2) for sign in (1, -1)]
            return np.mean(sides) - 20.0

        low = brentq(evidence, centre - 40 * sd, centre, xtol=1e-14)
        high = brentq(evidence, centre, centre + 40 * sd, xtol=1e-14)
        cases.append({
            "a": [x.tolist() for x in a],
            "b": [x.tolist() for x in b],
            "estimate": float(np.exp(centre / 2)),
            "low": float(np.exp(low / 2)),
            "high": float(np.exp(high / 2)),
        })
    return cases


def within(sessions):
    n = sum(len(x) for x in sessions)
    df = n - len(sessions)
    squares = sum(((x - x.mean()) ** 2).sum() for x in sessions)
    return squares / df, df + 1, squares


def shares():
    cases = []
    for hits, n, other_hits, other_n in [(3, 40, 1, 38), (0, 12, 2, 30), (7, 7, 0, 9), (11, 90, 14, 61)]:
        low, high = proportion_confint(hits, n, method="wilson")
        apart = confint_proportions_2indep(
            hits, n, other_hits, other_n, method="newcomb", compare="diff"
        )
        cases.append({
            "hits": hits, "n": n, "other_hits": other_hits, "other_n": other_n,
            "wilson": [low, high], "difference": [float(apart[0]), float(apart[1])],
        })
    return cases


def ellipses():
    """Shots inside an ellipse, by their robust Mahalanobis distance."""
    cases = []
    for n, rho in [(30, 0.6), (58, -0.3), (101, 0.0)]:
        shots = dice.multivariate_normal([2, 155], [[36, rho * 42], [rho * 42, 49]], size=n)
        shots = np.round(shots, 2)
        centre = np.median(shots, axis=0)
        mad = lambda x: 1.482602218505602 * np.median(np.abs(x - np.median(x)))
        sx, sy = mad(shots[:, 0]), mad(shots[:, 1])
        u = mad(shots[:, 0] / sx + shots[:, 1] / sy) ** 2
        v = mad(shots[:, 0] / sx - shots[:, 1] / sy) ** 2
        r = (u - v) / (u + v)
        inverse = np.linalg.inv([[sx**2, r * sx * sy], [r * sx * sy, sy**2]])
        apart = shots - centre
        distance = np.einsum("ij,jk,ik->i", apart, inverse, apart)
        inside = {str(share): int((distance <= chi2.ppf(share, 2)).sum()) for share in (0.5, 0.8, 0.95)}
        cases.append({"side": shots[:, 0].tolist(), "carry": shots[:, 1].tolist(), "inside": inside})
    return cases


here = pathlib.Path(__file__)
made = {"spread_ratio": spread_ratio(), "shares": shares(), "ellipses": ellipses()}
here.with_suffix(".json").write_text(json.dumps(made, indent=1) + "\n")

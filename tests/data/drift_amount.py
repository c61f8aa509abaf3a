"""How far club A of sequence 9_drift has moved, from its raw carries alone: the values that tests/http/drifts.rs expects.

Plain Python, no library: python3 tests/data/drift_amount.py. Its scores are those of the sequence's own answers.
Formulas: a baseline is the blocked mean of the first five visits with a run sd of 1.5 yd. A visit's deviation less the
precision-weighted deviation of the other clubs has a part of variance that each visit draws anew (its shots, the clubs'
days) and one that visits share (the baselines). The change is the mean weighted by the former; its 95 % interval takes
the latter as common to all visits.
"""
import json, math, os

RUN_SD, YARD, Z = 1.5, 0.9144, 1.959963984540054
MISHITS = {"s035", "s068"}  # as the sequence's answers have them
ALARMED = ("v8", "v9")  # from the first visit after the lower sum was last 0 to the alarm


def mean(values):
    return sum(values) / len(values)


def baseline(cells):
    n = sum(map(len, cells))
    s2 = sum(sum((x - mean(c)) ** 2 for x in c) for c in cells) / (n - len(cells))
    h = [1 / (1 / len(c) + RUN_SD**2 / s2) for c in cells]
    return sum(w * mean(c) for w, c in zip(h, cells)) / sum(h), s2, s2 / sum(h)


path = os.path.join(os.path.dirname(__file__), "statistics_sequences.json")
with open(path) as file:
    events = next(s for s in json.load(file)["sequences"] if s["name"] == "9_drift")["events"]
visits, cells = [], {}
for event in events:
    if event["session"] not in visits:
        visits.append(event["session"])
    if event["id"] not in MISHITS:
        cells.setdefault((event["session"], event["club"]), []).append(event["carry_yd"])
bases = {club: baseline([cells[visit, club] for visit in visits[:5]]) for club in "ABC"}
told = []
for visit in visits[5:-1]:  # the last has not ended
    away = {c: mean(cells[visit, c]) - bases[c][0] for c in "ABC"}
    fresh = {c: bases[c][1] / len(cells[visit, c]) + RUN_SD**2 for c in "ABC"}
    weight = {c: 1 / (fresh[c] + bases[c][2]) for c in "BC"}
    total = sum(weight.values())
    share = {c: w / total for c, w in weight.items()}
    moved = away["A"] - sum(share[c] * away[c] for c in "BC")
    own = fresh["A"] + sum(share[c] ** 2 * fresh[c] for c in "BC")
    shared = bases["A"][2] + sum(share[c] ** 2 * bases[c][2] for c in "BC")
    print(visit, "moved", moved * YARD, "m, score", moved / math.sqrt(own + shared))
    if visit in ALARMED:
        told.append((moved, own, shared))
precision = sum(1 / own for _, own, _ in told)
by = sum(moved / own for moved, own, _ in told) / precision
shared_sd = sum(math.sqrt(shared) / own for _, own, shared in told) / precision
reach = Z * math.sqrt(1 / precision + shared_sd**2)
print("baseline", bases["A"][0] * YARD, "m; change", [v * YARD for v in (by, by - reach, by + reach)], "m")

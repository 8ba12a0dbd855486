"""Baselines from general-purpose libraries, on the traces that tests/examples/traces.rs writes. Run by hand:

    cargo run --release -p tubtrace-tests --example traces -- 300..310 FOLDER
    python tests/references/baselines.py FOLDER

Loads: a Gaussian hidden Markov model (hmmlearn) on the logarithms of current and of both pickups, or of the current alone. Its
states are named by the loads that most of their seconds have in the good runs: the baseline is told the truth there, which the
program never is. Edges: change points of the current (ruptures, PELT). Faults: dynamic time warping (dtw-python) of a run's
current against the good runs; what is further away than any two good runs are from each other is called faulty.
"""
import sys
from collections import Counter
from pathlib import Path

import numpy as np
import ruptures
from dtw import dtw
from hmmlearn.hmm import GaussianHMM
from scipy.signal import medfilt

LOADS = ["heater", "wash-pump", "drain-pump", "fill-valve", "dispenser", "vent"]
STATES = 8


def read(path):
    data = np.genfromtxt(path, delimiter=",", skip_header=1)
    return {
        "amps": data[:, 1],
        "features": np.log(np.maximum(data[:, 1:4], [[0.01, 0.5, 0.5]])),
        "loads": data[:, 4:10].astype(int),
        "run": data[:, 10].astype(int),
        "troubled": data[:, 11].astype(int),
        "loggers": data[:, 12].astype(int),
    }


def name_states(path, loads):
    names = {}
    for state in range(STATES):
        seen = Counter(map(tuple, loads[path == state]))
        names[state] = seen.most_common(1)[0][0] if seen else (0,) * len(LOADS)
    return names


def loads_by_hmm(good, night, columns):
    model = GaussianHMM(STATES, covariance_type="diag", n_iter=30, random_state=1)
    model.fit(good["features"][:, columns])
    names = name_states(model.predict(good["features"][:, columns]), good["loads"])
    return np.array([names[s] for s in model.predict(night["features"][:, columns])])


def edges_by_pelt(night):
    signal = medfilt(np.log(np.maximum(night["amps"], 0.01)), 3)[::2]
    found = ruptures.KernelCPD(kernel="linear", min_size=2).fit(signal.reshape(-1, 1)).predict(pen=2.0)
    return np.array(found[:-1]) * 2.0


def true_edges(night):
    main = night["loads"][:, :4]
    changes = np.flatnonzero((main[1:] != main[:-1]).any(axis=1)) + 1
    lasting = [c for a, c, b in zip([0, *changes[:-1]], changes, [*changes[1:], len(main)]) if c - a >= 3 and b - c >= 3]
    return np.array([c for c in lasting if not night["loggers"][c]])


def runs(night):
    for run in range(1, night["run"].max() + 1):
        here = night["run"] == run
        # Fifteen seconds a point: warping is quadratic.
        amps = night["amps"][here]
        yield np.log(np.maximum(amps[: len(amps) // 15 * 15].reshape(-1, 15).mean(axis=1), 0.01)), bool(night["troubled"][here].max())


def distance(a, b):
    return dtw(a, b, distance_only=True, step_pattern="symmetric2").normalizedDistance


def main(folder):
    counts = {"all channels": np.zeros((6, 3)), "current alone": np.zeros((6, 3))}
    edges, faults, healthy = [], [0, 0], [0, 0]
    for path in sorted(Path(folder).glob("*-good.csv")):
        good, night = read(path), read(str(path).replace("-good", "-night"))
        fair = ~night["loggers"].astype(bool)
        for name, columns in [("all channels", [0, 1, 2]), ("current alone", [0])]:
            found = loads_by_hmm(good, night, columns)[fair]
            truth = night["loads"][fair]
            counts[name] += np.stack([(found & truth).sum(0), (found & ~truth & 1).sum(0), (~found & truth & 1).sum(0)], axis=1)
        found = edges_by_pelt(night)
        edges += [min(5.0, np.abs(found - e).min()) for e in true_edges(night)]
        examples = [r for r, _ in runs(good)]
        limit = max(distance(a, b) for i, a in enumerate(examples) for b in examples[:i])
        for run, troubled in runs(night):
            alarm = min(distance(run, e) for e in examples) > limit
            tally = faults if troubled else healthy
            tally[0] += 1
            tally[1] += alarm
    for name, c in counts.items():
        f1 = 2 * c[:, 0] / np.maximum(2 * c[:, 0] + c[:, 1] + c[:, 2], 1)
        print(f"load F1, {name:14}", "  ".join(f"{l} {v:.4f}" for l, v in zip(LOADS, f1)))
    print(f"edges: median {np.median(edges):.2f} s, 95 % {np.percentile(edges, 95):.2f} s")
    print(f"faults found {100 * faults[1] / max(faults[0], 1):.1f} % of {faults[0]}")
    print(f"false alarms in 100 healthy cycles {100 * healthy[1] / max(healthy[0], 1):.1f} (of {healthy[0]})")


if __name__ == "__main__":
    main(sys.argv[1])

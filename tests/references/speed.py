"""The work of a log from its bytes to states and alignments, with numpy, pandas and scipy, for comparison: `python speed.py LOG CANDIDATES
CYCLES` (numpy 2.4.6, pandas 3.0, scipy 1.17.1); `cargo xtask speed` calls it. Prints seconds: reading, loads, alignment.

Reading is written from protocol/SPEC.md alone. Loads are a hidden Markov model of the same size over the same kind of observations, with as
many candidate readings of the levels tried; alignment is the same recurrence over sequences of the same length. Each is plain numpy."""
import sys
import time

import numpy as np
import pandas as pd
from scipy.special import logsumexp

TABLE = []
for byte in range(256):
    crc = byte
    for _ in range(8):
        crc = (crc >> 1) ^ (0x82F63B78 if crc & 1 else 0)
    TABLE.append(crc)


def crc32c(data):
    crc = 0xFFFFFFFF
    for byte in data:
        crc = TABLE[(crc ^ byte) & 0xFF] ^ (crc >> 8)
    return crc ^ 0xFFFFFFFF


def unstuff(frame):
    out, at = bytearray(), 0
    while at < len(frame):
        code = frame[at]
        out += frame[at + 1 : at + code]
        at += code
        if code != 255 and at < len(frame):
            out.append(0)
    return bytes(out)


def varint(data, at):
    value = shift = 0
    while True:
        byte = data[at]
        at += 1
        value |= (byte & 0x7F) << shift
        if byte < 0x80:
            return value, at
        shift += 7


def read(log):
    """(start tick, windows, seven numbers) of each run."""
    runs = []
    for frame in log.split(b"\0"):
        if not frame:
            continue
        content = unstuff(frame)
        record, check = content[:-4], int.from_bytes(content[-4:], "little")
        if crc32c(record) != check or record[0] != 1:
            continue
        tick, at = varint(record, 1)
        count, at = varint(record, at)
        value = [0] * 7
        for _ in range(count):
            windows, at = varint(record, at)
            for i in range(7):
                delta, at = varint(record, at)
                value[i] = (value[i] + ((delta >> 1) ^ -(delta & 1))) & 0xFFFF
            runs.append((tick, windows, *value))
            tick += windows
    return pd.DataFrame(runs, columns="tick windows rms peak fundamental second third supply drain".split())


def observations(runs):
    """Runs that stay together, taken together: power within 5 % or 5 W, flow within a factor of two."""
    rows, group = [], None
    for tick, windows, rms, supply, drain in zip(runs.tick, runs.windows, runs.rms * 0.12, runs.supply, runs.drain):
        if group is not None:
            low, high = min(group[2], rms), max(group[3], rms)
            together = high - low <= 2 * max(2.5, 0.05 * rms) and tick - group[0] < 600
            flow = max(group[6], supply) <= 2 * max(min(group[5], supply), 32)
            if together and flow:
                group = [group[0], group[1] + windows, low, high, group[4] + rms * windows, min(group[5], supply), max(group[6], supply), drain]
                continue
            rows.append(group)
        group = [tick, windows, rms, rms, rms * windows, supply, supply, drain]
    rows.append(group)
    table = np.array(rows, float)
    return table[:, 4] / table[:, 1], table[:, 5], table[:, 7]


def lattice(emission, transition):
    """The best path, and the posterior by forward and backward."""
    score, back = emission[0].copy(), np.zeros(emission.shape, int)
    for i in range(1, len(emission)):
        arrive = score[:, None] + transition
        back[i] = arrive.argmax(0)
        score = arrive.max(0) + emission[i]
    path = [int(score.argmax())]
    for i in range(len(emission) - 1, 0, -1):
        path.append(int(back[i][path[-1]]))
    return path[::-1]


def posterior(emission, transition):
    forward = [emission[0]]
    for row in emission[1:]:
        forward.append(logsumexp(forward[-1][:, None] + transition, axis=0) + row)
    backward, result = np.zeros(emission.shape[1]), []
    for i in range(len(emission) - 1, -1, -1):
        joint = forward[i] + backward
        result.append(np.exp(joint - logsumexp(joint)))
        backward = logsumexp(transition + emission[i] + backward, axis=1)
    return result


def loads(runs, candidates):
    power, supply, drain = observations(runs)
    states = 14
    transition = np.where(np.eye(states) > 0, 0.0, -3.0)
    best = None
    for candidate in range(candidates):
        level = np.linspace(0, 150, states) * (1 + 0.01 * candidate)
        spread = np.hypot(0.11 * level, 1.2)
        emission = -0.5 * ((power[:, None] - level) / spread) ** 2 - np.log(spread)
        path = lattice(emission, transition)
        fit = emission[np.arange(len(path)), path].sum()
        if best is None or fit > best[0]:
            best = (fit, emission)
    return posterior(best[1], transition)


def align(a, b):
    """Needleman and Wunsch, rows in numpy where they can be."""
    cost = np.zeros((len(a) + 1, len(b) + 1))
    cost[:, 0], cost[0, :] = np.arange(len(a) + 1), np.arange(len(b) + 1)
    for i in range(len(a)):
        for j in range(len(b)):
            cost[i + 1, j + 1] = min(cost[i, j] + (a[i] != b[j]) * 2, cost[i, j + 1] + 1, cost[i + 1, j] + 1)
    return cost[-1, -1]


def main():
    log = open(sys.argv[1], "rb").read()
    begin = time.perf_counter()
    runs = read(log)
    done = time.perf_counter()
    print(f"{done - begin:.4f}")
    begin = done
    loads(runs, int(sys.argv[2]))
    done = time.perf_counter()
    print(f"{done - begin:.4f}")
    begin = done
    rng = np.random.default_rng(1)
    for _ in range(int(sys.argv[3])):
        align(rng.integers(0, 6, 60), rng.integers(0, 6, 40))
    print(f"{time.perf_counter() - begin:.4f}")


main()

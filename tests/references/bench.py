"""Reference values for `host/src/bench/statistics`: tolerance factors, limits of proportions, number of runs, run lengths, capability.

The data are of the NIST/SEMATECH e-Handbook of Statistical Methods, sections as named."""

import math

import numpy
from scipy import integrate, optimize, stats

# 6.3.2.2: flowrate data.
FLOW = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]
# 6.3.2.4: the example of the EWMA.
EWMA = [52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5, 49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]
# 6.3.2.3: the example of the cusum, target 325, h 4.1959, k 0.3175.
CUSUM = [324.925, 324.675, 324.725, 324.350, 325.350, 325.225, 324.125, 324.525, 325.225, 324.600,
         324.625, 325.150, 328.325, 327.250, 327.825, 328.500, 326.675, 327.775, 326.875, 328.350]

mean, moving = numpy.mean(FLOW), numpy.mean(numpy.abs(numpy.diff(FLOW)))
print("individuals", f"{mean:.4f} {moving:.4f} {mean - 3 * moving / 1.128:.4f} {mean + 3 * moving / 1.128:.4f}")

z, path = 50.0, []
for x in EWMA:
    z = 0.3 * x + 0.7 * z
    path.append(round(z, 2))
half = 3 * 2.0539 * math.sqrt(0.3 / 1.7)
print("ewma", path, f"{50 - half:.4f} {50 + half:.4f}")

high, low, path = 0.0, 0.0, []
for x in CUSUM:
    high, low = max(0, high + x - 325 - 0.3175), max(0, low + 325 - 0.3175 - x)
    path.append((round(high, 2), round(low, 2)))
print("cusum", path)


def one_sided(n, part, sure):
    return stats.nct.ppf(sure, n - 1, stats.norm.ppf(part) * math.sqrt(n)) / math.sqrt(n)


def howe(n, part, sure):
    return stats.norm.ppf((1 + part) / 2) * math.sqrt((n - 1) * (1 + 1 / n) / stats.chi2.ppf(1 - sure, n - 1))


def exact(n, part, sure):
    def missed(k):
        def at(x):
            r = optimize.brentq(lambda r: stats.norm.cdf(x + r) - stats.norm.cdf(x - r) - part, 0, 20)
            return stats.chi2.sf((n - 1) * r * r / (k * k), n - 1) * stats.norm.pdf(x * math.sqrt(n)) * math.sqrt(n)
        return 2 * integrate.quad(at, 0, 8 / math.sqrt(n), limit=200)[0] - sure
    return optimize.brentq(missed, 0.5, 50)


for n, part, sure in [(43, 0.90, 0.99), (5, 0.95, 0.95), (10, 0.95, 0.95), (20, 0.95, 0.95), (20, 0.99, 0.95), (200, 0.95, 0.95)]:
    print("tolerance", n, part, sure, f"{one_sided(n, part, sure):.5f} {howe(n, part, sure):.5f} {exact(n, part, sure):.5f}")

for failed, runs, sure in [(0, 20, 0.90), (4, 20, 0.90), (1, 8, 0.95), (8, 8, 0.95)]:
    rest = (1 - sure) / 2
    low = stats.beta.ppf(rest, failed, runs - failed + 1) if failed else 0.0
    high = stats.beta.ppf(1 - rest, failed + 1, runs - failed) if failed < runs else 1.0
    print("proportion", failed, runs, sure, f"{low:.9f} {high:.9f}")
print("one in", f"{1 / stats.beta.ppf(0.95, 1, 20):.6f}")

for sure, rate in [(0.95, 1 / 8), (0.95, 0.05), (0.90, 0.1), (0.99, 0.5)]:
    print("runs", sure, rate, math.ceil(math.log(1 - sure) / math.log(1 - rate)))

for cpk, n in [(0.6667, 20), (1.33, 50)]:
    half = stats.norm.ppf(0.975) * math.sqrt(1 / (9 * n) + cpk * cpk / (2 * (n - 1)))
    print("cpk", cpk, n, f"{cpk - half:.6f} {cpk + half:.6f}")


def ewma_length(weight, reach, shift, cells=401):
    """Mean run length of a two-sided EWMA from its target: the Markov chain of Lucas and Saccucci, Technometrics 32 (1990)."""
    h = reach * math.sqrt(weight / (2 - weight))
    edges = numpy.linspace(-h, h, cells + 1)
    middle = (edges[1:] + edges[:-1]) / 2
    to = lambda edge: stats.norm.cdf((edge[None, :] - (1 - weight) * middle[:, None]) / weight - shift)
    q = to(edges[1:]) - to(edges[:-1])
    return numpy.linalg.solve(numpy.eye(cells) - q, numpy.ones(cells))[cells // 2]


def cusum_length(k, h, shift, cells=400):
    """Mean run length of a one-sided cusum: the Markov chain of Brook and Evans, Biometrika 59 (1972)."""
    w = 2 * h / (2 * cells - 1)
    i, j = numpy.arange(cells)[:, None], numpy.arange(cells)[None, :]
    up = stats.norm.cdf((j - i) * w + w / 2 + k - shift)
    down = stats.norm.cdf((j - i) * w - w / 2 + k - shift)
    q = numpy.where(j == 0, up, up - down)
    return numpy.linalg.solve(numpy.eye(cells) - q, numpy.ones(cells))[0]


for weight, reach in [(0.2, 2.962), (0.3, 3.0)]:
    print("ewma length", weight, reach, " ".join(f"{ewma_length(weight, reach, s):.3f}" for s in (0, 1, 2)))
for shift in (0, 1, 2):
    up, down = cusum_length(0.5, 5, shift), cusum_length(0.5, 5, -shift)
    print("cusum length", shift, f"{1 / (1 / up + 1 / down):.3f}")
print("t", " ".join(f"{stats.t.ppf(stats.norm.cdf(3), n):.4f}" for n in (4, 6, 9, 10, 13)))

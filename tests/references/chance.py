"""Reference values for `host/src/compare/chance.rs`: the beta-binomial distribution."""

from scipy.stats import betabinom

for found, before, after in [(1, 6, 6), (3, 6, 6), (1, 1, 1), (6, 6, 2), (2, 10, 20)]:
    print(found, before, after, f"{betabinom.pmf(0, after, found + 1, before - found + 1):.9f}")

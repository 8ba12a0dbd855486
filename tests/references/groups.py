"""Reference values for `host/src/compare/statistics`: SciPy, statsmodels and pymannkendall on the same tables."""

from itertools import combinations

import numpy as np
import pymannkendall
from scipy import stats
from statsmodels.stats.multitest import multipletests

# Hollander, Wolfe and Chicken, Nonparametric Statistical Methods, example 4.1: permeability of the chorioamnion.
term = [0.80, 0.83, 1.89, 1.04, 1.45, 1.38, 1.91, 1.64, 0.73, 1.46]
early = [1.15, 0.88, 0.90, 0.74, 1.21]
# Invented seconds of a drain, with ties.
first = [61, 62, 60, 61, 63, 61, 60, 62]
second = [64, 63, 66, 64, 65, 64, 63, 90]

for a, b in [(term, early), (first, second)]:
    shifts = np.sort(np.subtract.outer(b, a).ravel())
    exact = stats.mannwhitneyu(b, a, method="exact", alternative="two-sided")
    print("pairs", len(shifts), "U", exact.statistic, "exact p", exact.pvalue, "shift", np.median(shifts))
    print("  at least U", stats.mannwhitneyu(b, a, method="exact", alternative="greater").pvalue)
    print("  delta", 2 * exact.statistic / len(shifts) - 1)
    for margin in (0.5, 2.0):
        for side in ("greater", "less"):
            p = stats.mannwhitneyu(np.array(b) - margin, a, method="asymptotic", alternative=side).pvalue
            e = stats.mannwhitneyu(np.array(b) - margin, a, method="exact", alternative=side).pvalue
            print("  margin", margin, side, "asymptotic", p, "exact", e)

# Quantiles of the rank sum, by counting.
count = np.zeros(51)
for places in combinations(range(15), 5):
    count[sum(places) - 10] += 1
below = np.cumsum(count) / count.sum()
print("P(U <= k), 10 and 5:", [(k, below[k]) for k in range(6, 14)])

print("fisher", [stats.fisher_exact(t).pvalue for t in ([[3, 1], [1, 3]], [[8, 2], [1, 5]], [[12, 188], [30, 170]], [[0, 40], [5, 30]])])

p = [0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.3240, 0.4262, 0.5719, 0.6528, 0.7590, 1.0]
for method in ("fdr_bh", "holm", "bonferroni"):
    reject, adjusted, *_ = multipletests(p, 0.05, method)
    print(method, reject.sum(), [round(float(q), 6) for q in adjusted])

# Brown and Forsythe's W is the F of the distances from the medians: t squared of two groups.
w = stats.levene(first, second, center="median")
print("brown-forsythe", w.statistic, w.pvalue, stats.levene(first, second[:-1] + [69], center="median").statistic)

print("kruskal", stats.kruskal([3, 5, 4, 6], [7, 8, 6, 9], [1, 2, 2, 4, 5]))
print("t", stats.ttest_ind(second, first), stats.ttest_ind(early, term))
exact = stats.permutation_test((first, second), lambda a, b, axis: abs(b.mean(axis) - a.mean(axis)), vectorized=True, n_resamples=np.inf, alternative="greater")
print("permutation of the mean", exact.pvalue)
exact = stats.permutation_test((term, early), lambda a, b, axis: abs(b.mean(axis) - a.mean(axis)), vectorized=True, n_resamples=np.inf, alternative="greater")
print("permutation of the mean, term and early", exact.pvalue)

drift = [5.1, 5.3, 5.0, 5.6, 5.7, 5.5, 6.0, 5.9, 6.2, 6.1, 6.4, 6.3]
tied = [3, 3, 4, 4, 4, 5, 3, 4, 5, 5, 6, 5]
for values in (drift, tied):
    found = pymannkendall.original_test(values)
    print("mann-kendall", found.s, found.var_s, found.z, found.p, "slope", found.slope)
print("kendall exact", stats.kendalltau(range(12), drift, method="exact").pvalue)

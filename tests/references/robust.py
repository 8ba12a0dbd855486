"""Reference values for host/src/learn/limits.rs: `python robust.py` (numpy 2.4.6, scipy 1.17.1). Prints medians and deviations."""
import numpy as np
from scipy.stats import median_abs_deviation

for values in (
    # NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.17.1.
    [199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57],
    [3, 1, 4, 1, 5, 9, 2],
    [2.7, 1.8, 2.8, 1.8, 2.8, 4.5, 9.0, 4.5],
):
    print(repr(float(np.median(values))), repr(float(median_abs_deviation(values, scale="normal"))))

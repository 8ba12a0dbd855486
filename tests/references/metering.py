"""Reference values for firmware/core/tests/metering.rs: `python metering.py` (numpy, scipy). Prints Rust."""
import numpy as np
from scipy.fft import rfft

n = np.arange(480)
for mains, cycles in ((50, 5), (60, 6)):
    seed, noise = 1, []
    for _ in n:
        seed = (seed * 1103515245 + 12345) % 2**31
        noise.append((seed >> 16) % 21 - 10)
    s = lambda h, a, p: a * np.sin(2 * np.pi * h * cycles * n / 480 + p)
    x = np.floor(2051.3 + s(1, 700, 0.3) + s(2, 90, -1.0) + s(3, 230, 2.0) + s(7, 41, 0.7) + 0.5) + noise
    bins = np.abs(rfft(x)) * np.sqrt(2) / 480
    ma = 16.113
    print(f"({mains}, [{x.std() * ma:.1f}, {np.abs(x - x.mean()).max() * ma:.1f}, " +
          ", ".join(f"{bins[h * cycles] * ma:.1f}" for h in (1, 2, 3)) + "]),")

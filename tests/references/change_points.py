"""Reference change points for tests/tests/change_points.rs: `python change_points.py` (numpy 2.4.6, ruptures 1.1.10). Prints them."""
import numpy as np
import ruptures

# Seconds and watts: control alone, fill, wash, hold, wash, drain, a second water, drying.
PLAN = [(240, 1.5), (95, 12), (420, 118), (610, 1960), (230, 118), (75, 36), (88, 12), (500, 118), (70, 36), (400, 880), (300, 1.5)]


def noise():
    """The generator of Park and Miller (Communications of the ACM 31, 1988), from -1 to 1."""
    state = 1
    while True:
        state = state * 16807 % 2147483647
        yield 2 * state / 2147483647 - 1


def signal():
    random = noise()
    return np.array([level * (1 + 0.03 * next(random)) + 0.4 * next(random) for time, level in PLAN for _ in range(time)])


# In the logarithm a step of a small load is as plain as one of a heater.
found = ruptures.Pelt(model="l2", min_size=5, jump=1).fit(np.log(signal() + 5)).predict(pen=2)
print(found[:-1])

"""Optimal partitions of point series into straight pieces, by an independent program.

Run as `python3 tests/reference/partition.py` (ruptures 1.1.10, numpy 2): rewrites
partition.csv beside this file, byte for byte the same each time. The points come from a
linear congruence, so that no library's random numbers matter, and are printed with four
decimals, as they are used.

The cost of a run is the sum of squared distances, square to it, to its line of least
distances: the square of the smaller singular value of the centred points. Both `Pelt` (at
the penalty) and `Dynp` (at the number of pieces that Pelt found, without pruning) of
ruptures find the breakpoints, and must agree. `cost` is the sum of the runs' costs plus
the penalty a piece.
"""

import pathlib

import numpy as np
import ruptures as rpt

# Corners (mm), points a mm, deviation of the noise (mm), penalty (mm^2).
SERIES = [
    ("channel", [(-40, 0), (0, 0), (12, -15), (42, -15), (54, 0), (90, 0)], 1.2, 0.2, 0.9),
    ("steep", [(0, 0), (25, 0), (26, -20), (60, -20)], 2.0, 0.1, 0.25),
    ("straight", [(0, 0), (80, 8)], 2.0, 0.3, 2.0),
    ("facets", [(0, 0), (20, 0), (26, -2), (30, -6), (32, -12), (33, -30)], 2.0, 0.05, 0.06),
]


class Straight(rpt.base.BaseCost):
    """Squared distances to the line of least distances."""

    model = ""
    min_size = 1

    def fit(self, signal):
        self.signal = signal
        return self

    def error(self, start, end):
        run = self.signal[start:end]
        if len(run) < 3:
            return 0.0
        return float(np.linalg.svd(run - run.mean(axis=0), compute_uv=False)[1] ** 2)


def noise():
    """Sums of twelve uniform numbers less six."""
    state = 12345
    while True:
        total = -6.0
        for _ in range(12):
            state = (6364136223846793005 * state + 1442695040888963407) % 2**64
            total += (state >> 11) / 2**53
        yield total


def points(corners, density, sigma, errors):
    series = []
    for (ax, ay), (bx, by) in zip(corners, corners[1:]):
        count = round(((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5 * density)
        for i in range(count):
            t = i / count
            x = ax + t * (bx - ax) + sigma * next(errors)
            y = ay + t * (by - ay) + sigma * next(errors)
            series.append((round(x, 4), round(y, 4)))
    return np.array(series)


def main():
    errors = noise()
    lines = ["series,penalty_mm2,cost_mm2,x_mm,y_mm,end"]
    for name, corners, density, sigma, penalty in SERIES:
        signal = points(corners, density, sigma, errors)
        pelt = rpt.Pelt(custom_cost=Straight(), min_size=1, jump=1).fit(signal)
        ends = pelt.predict(pen=penalty)
        if len(ends) > 1:
            dynp = rpt.Dynp(custom_cost=Straight(), min_size=1, jump=1).fit(signal)
            assert dynp.predict(n_bkps=len(ends) - 1) == ends, name
        cost = Straight().fit(signal).sum_of_costs(ends) + penalty * len(ends)
        print(name, len(signal), ends)
        for i, (x, y) in enumerate(signal):
            lines.append(f"{name},{penalty},{cost:.9f},{x},{y},{int(i + 1 in ends)}")
    path = pathlib.Path(__file__).with_name("partition.csv")
    path.write_text("\n".join(lines) + "\n")


main()

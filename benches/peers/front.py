"""The front equation and the check cases, for floats and for mpmath's numbers.

Film sticks where it was pressed, film not yet laid is taut over the panel: with L the taut
length of the free span and R the panel under it, d ln lambda = (dL - dR) / L as fronts move
(dR < 0). The span's length depends on the places of its fronts alone, so the peak is an
integral. Lengths in mm; s is arc length from the left bond line.
"""

import csv
import json
from pathlib import Path

CHECKS = Path(__file__).parents[2] / "tests" / "checks"

# Rows of the check table that are laid here: section, edges first, bond lines, pad.
CASES = {
    "channel, deepest first": ("trapezoid-80-40-25", False, (-75, 75), 0),
    "channel, edges first": ("trapezoid-80-40-25", True, (-75, 75), 0),
    "V, deepest first": ("vee-60-20", False, (-60, 60), 4),
    "V, edges first": ("vee-60-20", True, (-60, 60), 4),
    "step, deepest first": ("step-12", False, (-50, 106), 0),
}


def points(section):
    with open(CHECKS / f"{section}.csv", newline="") as file:
        return [(float(r["x_mm"]), float(r["y_mm"])) for r in csv.DictReader(file)]


def expected(name):
    """Peak of the check table, a plain ratio."""
    section, edges, bonds, pad = CASES[name]
    order = "edge-first" if edges else "deepest-first"
    for row in json.loads((CHECKS / "laydown.json").read_text()):
        if (row["case"], row["order"], row["pad_mm"], row["lip_friction"]) == (section, order, pad, 0) and (
            row["bond_left_x_mm"],
            row["bond_right_x_mm"],
        ) == bonds:
            return row["peak_pct"] / 100
    raise LookupError(name)


class Panel:
    """The panel between the bond lines, places as arc length."""

    def __init__(self, section, bonds, number=float):
        rows = points(section)
        inner = [p for p in rows if bonds[0] < p[0] < bonds[1]]
        y = lambda x: next(
            a[1] + (b[1] - a[1]) * (x - a[0]) / (b[0] - a[0]) for a, b in zip(rows, rows[1:]) if a[0] <= x <= b[0]
        )
        rows = [(bonds[0], y(bonds[0])), *inner, (bonds[1], y(bonds[1]))]
        self.points = [(number(a), number(b)) for a, b in rows]
        self.s = [number(0)]
        for a, b in zip(self.points, self.points[1:]):
            self.s.append(self.s[-1] + distance(a, b))

    def symmetric(self):
        return all(abs(a[1] - b[1]) < 1e-9 for a, b in zip(self.points, self.points[::-1]))

    def facet(self, s, ahead):
        """Index of the facet at a place, of two the one that a front going `ahead` enters."""
        last = len(self.s) - 2
        if ahead:
            return next((i for i in range(last) if s < self.s[i + 1]), last)
        return next((i for i in range(last) if s <= self.s[i + 1]), last)

    def at(self, s):
        i = self.facet(s, True)
        a, b = self.points[i], self.points[i + 1]
        t = (s - self.s[i]) / (self.s[i + 1] - self.s[i])
        return (a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t)

    def taut(self, left, right):
        """Corners of the taut film between two places: the upper hull of the panel."""
        chain = [self.at(left)]
        chain += [p for p, s in zip(self.points, self.s) if left < s < right]
        chain.append(self.at(right))
        hull = []
        for p in chain:
            while len(hull) > 1 and cross(hull[-2], hull[-1], p) >= 0:
                hull.pop()
            hull.append(p)
        return hull

    def press(self):
        """The middle of the deepest zone; of a step, its foot."""
        low = min(p[1] for p in self.points)
        deepest = [s for s, p in zip(self.s, self.points) if p[1] == low]
        if deepest[-1] == self.s[-1]:
            return deepest[0]
        return (deepest[0] + deepest[-1]) / 2

    def lips(self):
        """The highest corners beside the press."""
        return self.s[1], self.s[-2]


def distance(a, b):
    return ((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2) ** 0.5


def cross(a, b, c):
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def length(chain):
    return sum(distance(a, b) for a, b in zip(chain, chain[1:]))


class Span:
    """A free span whose fronts go from `start` to `end` (left, right) as t runs from 0 to 1."""

    def __init__(self, panel, start, end):
        self.panel, self.start, self.rate = panel, start, (end[0] - start[0], end[1] - start[1])
        inside = {0, 1}
        for s in panel.s:
            for front, rate in zip(start, self.rate):
                if rate and 0 < (s - front) / rate < 1:
                    inside.add((s - front) / rate)
        # Where a front passes a corner of the panel the gain has a jump.
        self.breaks = sorted(inside)

    def fronts(self, t):
        return self.start[0] + self.rate[0] * t, self.start[1] + self.rate[1] * t

    def lies(self, t):
        """Is the free film already on the panel? Then nothing is gained any more."""
        left, right = self.fronts(t)
        return right - left - length(self.panel.taut(left, right)) < 1e-9

    def gain(self, t):
        """d ln lambda / dt."""
        left, right = self.fronts(t)
        taut = self.panel.taut(left, right)
        change = 0
        for rate, ahead, a, b in (
            (self.rate[0], True, taut[0], taut[1]),
            (-self.rate[1], False, taut[-1], taut[-2]),
        ):
            if rate:
                i = self.panel.facet(left if ahead else right, ahead)
                p, q = self.panel.points[i], self.panel.points[i + 1]
                sign = 1 if ahead else -1
                cosine = ((q[0] - p[0]) * (b[0] - a[0]) + (q[1] - p[1]) * (b[1] - a[1])) / (
                    distance(p, q) * distance(a, b)
                )
                change += rate * (1 - sign * cosine)
        return change / length(taut)


def spans(panel, edges, pad):
    """Spans to be laid, each with the stretch it starts at and the pad that ends it.

    Of a symmetric panel one half, which halves a peer's work and not tautspan's.
    """
    press = panel.press()
    if edges:
        left, right = panel.lips()
        share = 1 - pad / (right - left)
        end = (left + (press - left) * share, right + (press - right) * share)
        yield Span(panel, (left, right), end), 1, pad
        return
    bond = panel.s[-1]
    left, right = press - pad / 2, press + pad / 2
    free = length(panel.taut(0, left)) + pad + length(panel.taut(right, bond))
    first = free / length(panel.taut(0, bond))
    if not panel.symmetric():
        yield Span(panel, (0, left), (0, 0)), first, 0
    yield Span(panel, (right, bond), (bond, bond)), first, 0


def peak(name, integral, number=float):
    """Elongation at the peak: `integral(gain, from, to)` over each smooth piece."""
    section, edges, bonds, pad = CASES[name]
    panel = Panel(section, bonds, number)
    most = 0
    for span, stretch, last in spans(panel, edges, number(pad)):
        for a, b in zip(span.breaks, span.breaks[1:]):
            if span.lies(a):
                break
            stretch = stretch * integral(span.gain, a, b)
        if last:
            stretch = stretch * last / length(panel.taut(*span.fronts(1)))
        most = max(most, stretch)
    return most - 1


def exact(name):
    """The same at 30 digits."""
    import mpmath

    with mpmath.workdps(30):
        return peak(name, lambda f, a, b: mpmath.exp(mpmath.quad(f, [a, b])), mpmath.mpf)

"""Film of elements laid node by node, whatever brings the free elements into equilibrium.

The free film is a chain of elements from a front to the bond line (deepest first) or to the
other front (edges first). A node goes down where the front is after an element at the mean
of the stretches before and after, which is second order in the element (Heun's rule); the
peer solves for the free film twice a node. Where the free film bends over a lip one node more
is kept there, and the film slides through it until both sides pull alike (a secant).

A peer is a function `equilibrium(rest, places, held)`: unstretched places of the nodes, where
they are looked for, which of them are held there. It returns where they come to rest.
"""

import math

from front import CASES, Panel, distance, length, spans


def evenly(rest, chain):
    """Places of nodes along a straight chain, as their unstretched places are."""
    (ax, ay), (bx, by) = chain
    shares = [(x - rest[0]) / (rest[-1] - rest[0]) for x in rest]
    return [(ax + (bx - ax) * t, ay + (by - ay) * t) for t in shares]


class Film:
    """Free film; unstretched places of its nodes from the front on."""

    def __init__(self, equilibrium, rest):
        self.equilibrium, self.rest, self.ring = equilibrium, rest, None

    def stretch(self, first, last, taut):
        """The stretch of the free nodes from `first` to `last` along a taut path with a lip or none."""
        rest = self.rest[first : last + 1]
        if len(taut) == 2:
            return self.pulled(rest, taut)[0]
        start, end = rest[0], rest[-1]
        share = distance(*taut[:2]) / length(taut)
        x = min(max(self.ring or start + share * (end - start), start + 1e-6), end - 1e-6)
        slip, other = self.slip(rest, taut, x), x * 0.999 + end * 0.001
        for _ in range(20):
            if abs(slip) < 1e-11:
                break
            beyond = self.slip(rest, taut, other)
            x, slip, other = other, beyond, other - beyond * (other - x) / (beyond - slip)
        else:
            raise ArithmeticError("the film does not come to rest at the lip")
        self.ring = x
        return self.stretches[0]

    def slip(self, rest, taut, x):
        """By how much the air side is stretched more than the flat when the film at `x` is at the lip."""
        before = [r for r in rest if r < x - 1e-9]
        after = [r for r in rest if r > x + 1e-9]
        places = evenly([*before, x], taut[:2]) + evenly([x, *after], taut[1:])[1:]
        self.stretches = self.pulled([*before, x, *after], taut, places, len(before))
        return self.stretches[0] - self.stretches[-1]

    def pulled(self, rest, taut, places=None, ring=None):
        held = [0, len(rest) - 1] if ring is None else [0, ring, len(rest) - 1]
        places = places or evenly(rest, taut)
        if len(rest) > len(held):
            places = self.equilibrium(rest, places, held)
        return [math.dist(places[i], places[i + 1]) / (rest[i + 1] - rest[i]) for i in (0, len(rest) - 2)]


def outwards(equilibrium, panel, span, stretch, n):
    """One front from the press to the bond line; the stretch of what is laid last."""
    ahead = 1 if span.rate[0] else -1
    s, bond = span.start[::ahead]

    def path(front):
        return panel.taut(*sorted((front, bond)))[::ahead]

    step = length(path(s)) / stretch / n
    film = Film(equilibrium, [i * step for i in range(n + 1)])
    before = film.stretch(0, n, path(s))
    for i in range(1, n):
        if abs(bond - s) - length(path(s)) < 1e-9:
            break
        laid = before
        for _ in range(2):
            front = s + ahead * step * laid
            after = film.stretch(i, n, path(front))
            laid = (before + after) / 2
        s, before = s + ahead * step * laid, after
    return before


def inwards(equilibrium, panel, span, pad, n):
    """Two fronts from the lips of a symmetric panel to the pad."""
    left, right = span.start
    half = (right - left) / 2
    mouth = length(panel.taut(left, right))
    # Graded: at the last node a third of what the pad would hold unstretched is left, or a tenth of the film.
    shrink = (pad / (2 * half) / 3 if pad else 0.1) ** (1 / n)
    rest = [mouth / 2 * (1 - shrink**i) for i in range(n + 1)]
    rest += [mouth - x for x in reversed(rest)]
    film = Film(equilibrium, rest)
    before, s, remains = 1, 0, mouth
    for i in range(n):
        if 2 * (half - s) - length(panel.taut(left + s, right - s)) < 1e-9:
            break
        step = rest[i + 1] - rest[i]
        laid = before
        for _ in range(2):
            front = s + step * laid
            after = film.stretch(i + 1, len(rest) - i - 2, panel.taut(left + front, right - front))
            laid = (before + after) / 2
        panel_left = 2 * (half - s - step * laid)
        if panel_left < pad:
            share = (2 * (half - s) - pad) / (2 * step * laid)
            return pad / (remains - 2 * step * share)
        s, before, remains = s + step * laid, after, remains - 2 * step
    return before


def peak(equilibrium, name, n):
    """Elongation at the peak with n elements to be laid."""
    section, edges, bonds, pad = CASES[name]
    panel = Panel(section, bonds)
    (span, stretch, _), *_ = spans(panel, edges, pad)
    lay = inwards if edges else outwards
    return lay(equilibrium, panel, span, pad if edges else stretch, n) - 1

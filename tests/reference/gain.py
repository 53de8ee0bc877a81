"""50-digit reference values for one facet of a lay-down, with one front and with two.

Run as `python3 tests/reference/gain.py` (mpmath 1.x): rewrites gain.csv and gain2.csv
beside this file, byte for byte the same each time. Inputs are exact doubles, printed so
that they read back to the same double; lengths mm, gains plain numbers (change of
ln lambda), 50 significant digits.

One front, gain.csv: free film from the front to a corner and a length c further,
d the corner's distance from the facet's line, u from u0 to u1 along the facet:

    L(u) = c + sqrt(u^2 + d^2),   gain = ln(L1/L0) + integral of du/L from u0 to u1

Two fronts, gain2.csv: the open window y closes from y1 down to y0 < y1, panel inside
it s per unit y, chord w(y) = w0 + v y:

    L(y) = |w(y)|,   gain = ln(L(y0)/L(y1)) + s * integral of dy/L from y0 to y1

Each value is computed twice, by the closed form at 120 digits and by quadrature of the
integral as it stands, and the two must agree to 1e-45.
"""

import math
import pathlib
import random

import mpmath as mp

DIGITS = 50
CLOSED_DIGITS = 120
QUADRATURE_DIGITS = 60
AGREE = mp.mpf(10) ** -45


def closed_one(c, d, u0, u1):
    """Gain of one front: t - c J(t) with u = d sinh t, x = tanh(t/2)."""
    mp.mp.dps = CLOSED_DIGITS
    c, d, u0, u1 = (mp.mpf(z) for z in (c, d, u0, u1))
    if d == 0:
        assert u1 <= 0 and c - u1 > 0
        return mp.mpf(0)  # ln(L1/L0) + ln(L0/L1)
    r0, r1 = mp.hypot(u0, d), mp.hypot(u1, d)
    x0, x1 = u0 / (d + r0), u1 / (d + r1)
    if c < d:
        k = mp.sqrt((d - c) / (d + c))
        dj = 2 / mp.sqrt((d - c) * (d + c)) * (mp.atan(k * x1) - mp.atan(k * x0))
    elif c > d:
        k = mp.sqrt((c - d) / (c + d))
        dj = 2 / mp.sqrt((c - d) * (c + d)) * (mp.atanh(k * x1) - mp.atanh(k * x0))
    else:
        dj = (x1 - x0) / c
    return mp.log((c + r1) / (c + r0)) + mp.asinh(u1 / d) - mp.asinh(u0 / d) - c * dj


def closed_two(w0x, w0y, vx, vy, s, y0, y1):
    """Gain of two fronts: L^2 = (g y + a)^2 + b^2 with g = |v|, along and across v."""
    mp.mp.dps = CLOSED_DIGITS
    w0x, w0y, vx, vy, s, y0, y1 = (mp.mpf(z) for z in (w0x, w0y, vx, vy, s, y0, y1))
    length = lambda y: mp.hypot(w0x + vx * y, w0y + vy * y)
    g = mp.hypot(vx, vy)
    if g == 0:
        integral = (y1 - y0) / length(0)
    else:
        a, b = (w0x * vx + w0y * vy) / g, abs(w0x * vy - w0y * vx) / g
        p0, p1 = g * y0 + a, g * y1 + a
        if b == 0:
            assert p0 * p1 > 0
            integral = abs(mp.log(p1 / p0)) / g
        else:
            integral = (mp.asinh(p1 / b) - mp.asinh(p0 / b)) / g
    return mp.log(length(y0) / length(y1)) + s * integral


def breaks(lo, hi, middle, scale):
    """Splits [lo, hi] at `middle` and at distances from it growing fourfold from `scale`."""
    points, step = {lo, hi}, scale
    if lo < middle < hi:
        points.add(middle)
    reach = max(abs(lo - middle), abs(hi - middle))
    while scale > 0 and step < reach:
        points.update(p for p in (middle - step, middle + step) if lo < p < hi)
        step *= 4
    return sorted(points)


def quadrature_one(c, d, u0, u1):
    """The same gain with the integral done numerically in u."""
    mp.mp.dps = QUADRATURE_DIGITS
    c, d, u0, u1 = (mp.mpf(z) for z in (c, d, u0, u1))
    length = lambda u: c + mp.hypot(u, d)
    # Without d the integrand has its pole where L = 0, at u = c.
    middle, scale = (mp.mpf(0), d) if d > 0 else (c, c - u1)
    points = breaks(u0, u1, middle, scale)
    integral = mp.quad(lambda u: 1 / length(u), points, method="gauss-legendre")
    return mp.log(length(u1) / length(u0)) + integral


def quadrature_two(w0x, w0y, vx, vy, s, y0, y1):
    """The same gain with the integral done numerically in y."""
    mp.mp.dps = QUADRATURE_DIGITS
    w0x, w0y, vx, vy, s, y0, y1 = (mp.mpf(z) for z in (w0x, w0y, vx, vy, s, y0, y1))
    length = lambda y: mp.hypot(w0x + vx * y, w0y + vy * y)
    g2 = vx * vx + vy * vy
    if g2 == 0:
        points = [y0, y1]
    else:
        nearest = -(w0x * vx + w0y * vy) / g2
        scale = abs(w0x * vy - w0y * vx) / g2
        if scale < mp.mpf(10) ** -30:  # straight towards a point: the pole is at `nearest`
            scale = min(abs(y0 - nearest), abs(y1 - nearest))
        points = breaks(y0, y1, nearest, scale)
    integral = mp.quad(lambda y: 1 / length(y), points, method="gauss-legendre")
    return mp.log(length(y0) / length(y1)) + s * integral


def one_front_cases():
    """Rows (case, c, d, u0, u1), all exact doubles, u0 < u1."""
    rows = []
    add = lambda case, c, d, u0, u1: rows.append((case, float(c), float(d), float(u0), float(u1)))
    some = random.Random(20240611)
    draw = lambda lo, hi: round(some.uniform(lo, hi), 6)

    # The channel of the worked value: mouth 80, floor 40, depth 25, left front on the floor
    # and on the wall; then drawn facets of the size met on a vehicle.
    add("ordinary", 0, 25, 20, 40)
    add("ordinary", 50, 25, 20, 40)
    add("ordinary", 50, 25, -20, 20)
    add("ordinary", 25, 50, -40, -20)
    for _ in range(24):
        u0 = draw(-80, 60)
        add("ordinary", draw(0, 150), draw(0.5, 60), u0, u0 + draw(0.1, 60))

    for d, u0, u1 in ((25.0, 20.0, 40.0), (0.1, -30.0, 45.5), (7.3, -12.0, -3.0)):
        add("equal", d, d, u0, u1)
        add("equal", math.nextafter(d, math.inf), d, u0, u1)
        add("equal", math.nextafter(d, 0.0), d, u0, u1)
        for relative in (1e-15, 1e-12, 1e-8, 1e-4, 1e-2):
            add("equal", d * (1 + relative), d, u0, u1)
            add("equal", d * (1 - relative), d, u0, u1)

    for exponent in (-12, -10, -8, -6, -4, -3):
        d = float(f"1e{exponent}")
        add("tiny-d", 30, d, 5, 25)
        add("tiny-d", 30, d, -25, -5)
        add("tiny-d", 30, d, -25, 12)
        add("tiny-d", 0, d, -25, -5)
    add("tiny-d", 0, 1e-9, 5, 25)
    add("tiny-d", 0, 1e-9, -5, 25)
    add("tiny-d", 1e-9, 1e-9, -5, 25)
    add("tiny-d", 1e-6, 1e-12, -5, 25)
    add("tiny-d", 2.5, 1e-12, -1e-12, 3e-12)

    for width in (1e-9, 1e-7, 1e-5, 1e-3):
        add("tiny-facet", 40, 25, 20, 20 + width)
        add("tiny-facet", 40, 25, -20 - width, -20)
        add("tiny-facet", 0, 3, -width, width)

    for c in (1e4, 1e6, 1e8):
        add("huge-c", c, 25, 20, 40)
        add("huge-c", c, 25, -40, 40)
        add("huge-c", c, 1e-6, -40, -20)

    for d, u0, u1 in ((12.0, -30.0, 30.0), (60.0, -1.0, 0.0), (0.01, 0.0, 100.0)):
        add("no-c", 0, d, u0, u1)

    for c, u0, u1 in ((0, -40, -20), (15, -40, 0), (1e6, -3, -1)):
        add("straight", c, 0, u0, u1)
    return rows


def two_front_cases():
    """Rows (case, w0x, w0y, vx, vy, s, y0, y1), all exact doubles, y0 < y1, s >= |v|."""
    rows = []
    add = lambda case, *values: rows.append((case, *(float(z) for z in values)))
    some = random.Random(20240612)
    draw = lambda lo, hi: round(some.uniform(lo, hi), 6)

    # Channel 80/40/25, half panel 52.0156 a side: y is panel left a side, wall cosine 20/32.0156.
    cosine = 0.624695
    add("trapezoid", 40 - 40 * cosine, 0, 2 * cosine, 0, 2, 20, 52.0156)
    add("trapezoid", 40 - 40 * cosine, 0, 2 * cosine, 0, 2, 35, 36)
    # Uneven lips: the chord tilts and turns while the window closes.
    add("trapezoid", 18, -6, 1.3, 0.35, 2, 12, 60)
    add("trapezoid", 30, 4, 0.9, -0.2, 1.7, 0, 45)
    # Down a vee to a small window; the chord shrinks straight towards the root.
    add("vee", 0, 0, 1.6, 0, 2, 2, 33.3)
    add("vee", 0, 0, 1.2, 0.5, 2, 0.5, 40)
    add("vee", 0, 0, 1, 0, 2, 1e-3, 50)
    add("vee", 1e-3, 2e-3, 1.2, 0.5, 2, 0, 40)
    add("vee", -3, 0, 1.5, 0, 1.5, 4, 20)
    # The chord is shortest inside the range.
    add("ridge", -10, 6, 1, 0, 2, 0, 25)
    add("ridge", 5, -12, 0.2, 1, 1.4, 2, 30)
    for _ in range(10):
        vx, vy = draw(0.2, 1.4), draw(-0.6, 0.6)
        s = round(math.hypot(vx, vy) * draw(1.01, 3.0), 6)
        y0 = draw(0, 20)
        add("ordinary", draw(5, 60), draw(-10, 10), vx, vy, s, y0, y0 + draw(1, 60))
    for g in (0.0, 1e-16, 1e-13, 1e-10, 1e-8, 1e-7, 1e-6):
        add("parallel", 35, 0, g, 0, 2, 0, 30)
    for g in (1e-12, 1e-9, 1e-6):
        add("parallel", 28, -9, 0.6 * g, 0.8 * g, 2, 5, 40)
    add("parallel", 1e-3, 0, 1e-6, 0, 2, 0, 20)
    for width in (1e-9, 1e-7, 1e-5, 1e-3):
        add("small-window", 12, 3, 1.1, -0.3, 2, 10, 10 + width)
    add("small-window", 0, 0, 1.6, 0, 2, 1e-6, 1e-3)
    add("small-window", 2e-7, 1e-7, 1.2, 0.4, 2, 0, 1e-5)
    add("small-window", 20, 0, 1e-6, 1e-6, 2, 0, 1e-4)
    add("small-window", 20, 0, 0.9, 0, 0.9, 0, 1e-3)
    return rows


def write(name, columns, cases, closed, quadrature):
    """Computes every row twice, checks the two against each other and writes the CSV."""
    lines, worst = [",".join(("case", *columns, "gain"))], mp.mpf(0)
    for case, *inputs in cases:
        assert inputs[-2] < inputs[-1], (case, inputs)
        gain, check = closed(*inputs), quadrature(*inputs)
        worst = max(worst, abs(gain - check))
        assert abs(gain - check) < AGREE, (case, inputs, mp.nstr(gain - check, 5))
        lines.append(",".join((case, *(repr(z) for z in inputs), mp.nstr(gain, DIGITS))))
    path = pathlib.Path(__file__).with_name(name)
    path.write_text("\n".join(lines) + "\n", encoding="utf-8", newline="\n")
    print(f"{name}: {len(cases)} rows, closed form and quadrature within {mp.nstr(worst, 2)}")


if __name__ == "__main__":
    write("gain.csv", ("c", "d", "u0", "u1"), one_front_cases(), closed_one, quadrature_one)
    write(
        "gain2.csv",
        ("w0x", "w0y", "vx", "vy", "s", "y0", "y1"),
        two_front_cases(),
        closed_two,
        quadrature_two,
    )

"""The front equation by SciPy, as one would who knows the mechanics: quadrature, and an ODE."""

import math

import front


def quadrature(name, tolerance):
    from scipy.integrate import quad

    return front.peak(name, lambda gain, a, b: math.exp(quad(gain, a, b, epsabs=tolerance, epsrel=tolerance)[0]))


def ode(name, tolerance):
    """ln lambda carried along the front, a piece of the way at a time."""
    from scipy.integrate import solve_ivp

    def integral(gain, a, b):
        found = solve_ivp(lambda t, _: [gain(t)], (a, b), [0.0], method="DOP853", rtol=tolerance, atol=tolerance)
        return math.exp(found.y[0, -1])

    return front.peak(name, integral)

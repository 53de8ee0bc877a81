"""A membrane in plane strain of quadratic elements in scikit-fem: its elements, weak forms, condensation and solver.

Per mm of channel, unknown is where each piece of flat film lies, a place of two coordinates;
the line tension of an incompressible neo-Hookean film is lambda - 1 / lambda^3.
"""

import numpy as np
from skfem import Basis, BilinearForm, ElementLineP2, ElementVector, LinearForm, MeshLine, condense, solve

ELEMENT = ElementVector(ElementLineP2(), 2)


def along(w):
    """The tangent r' (two components at each point) and its length, the stretch."""
    tangent = w["place"].grad[:, 0]
    return tangent, np.sqrt(tangent[0] ** 2 + tangent[1] ** 2)


@LinearForm
def pull(v, w):
    tangent, stretch = along(w)
    force = (stretch - stretch**-3) / stretch
    return force * (tangent[0] * v.grad[0, 0] + tangent[1] * v.grad[1, 0])


@BilinearForm
def stiffness(u, v, w):
    tangent, stretch = along(w)
    force = (stretch - stretch**-3) / stretch
    bend = ((1 + 3 * stretch**-4) - force) / stretch**2
    du, dv = u.grad[:, 0], v.grad[:, 0]
    both = (tangent[0] * du[0] + tangent[1] * du[1]) * (tangent[0] * dv[0] + tangent[1] * dv[1])
    return force * (du[0] * dv[0] + du[1] * dv[1]) + bend * both


def equilibrium(rest, places, held):
    places = np.array(places)
    mesh = MeshLine(np.array(rest))
    basis = Basis(mesh, ELEMENT, intorder=4)
    x = np.zeros(basis.N)
    x[basis.nodal_dofs] = places.T
    x[basis.interior_dofs] = (0.5 * (places[1:] + places[:-1])).T
    fixed = basis.nodal_dofs[:, held].ravel()
    for _ in range(30):
        place = basis.interpolate(x)
        step = solve(*condense(stiffness.assemble(basis, place=place), -pull.assemble(basis, place=place), D=fixed))
        x += step
        if np.abs(step).max() < 1e-10 * mesh.p.max():
            return x[basis.nodal_dofs].T
    raise ArithmeticError("the membrane found no equilibrium")

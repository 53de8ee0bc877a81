"""Trusses of FElupe: its truss body, its linear elastic law, its assembly and Newton solver."""

import felupe
import numpy as np


def equilibrium(rest, places, held):
    rest = np.stack([rest, np.zeros(len(rest))], axis=1)
    mesh = felupe.Mesh(rest, np.stack([np.arange(len(rest) - 1), np.arange(1, len(rest))], axis=1), "line")
    field = felupe.Field(felupe.RegionTruss(mesh), dim=2).as_container()
    field[0].values[:] = places - rest
    truss = felupe.TrussBody(felupe.LinearElastic1D(E=1.0), field, area=1.0)
    fixed = (2 * np.array(held)[:, None] + [0, 1]).ravel()
    felupe.newtonraphson(
        x0=field,
        items=[truss],
        dof0=fixed,
        dof1=np.setdiff1d(np.arange(rest.size), fixed),
        ext0=field[0].values.ravel()[fixed],
        tol=1e-8,
        verbose=0,
    )
    return rest + field[0].values

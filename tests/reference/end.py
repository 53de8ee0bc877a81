#!/usr/bin/env python3
"""Reference for tests: elastic film laid deepest-first into a channel with a rounded end.

WHAT    A flat film (incompressible neo-Hookean membrane; tension field where it would be
        compressed; no regularisation of the energy) is bonded 35 mm outside the lip of a
        recess, pressed to the floor by a pad 10 mm wide whose round end (radius 5) is centred
        at z=-P, then laid outwards over the floor to the foot and up the wall to the lip.
        Behind the front it is frozen; ahead of it, it is in frictionless equilibrium.
        Panel: channel along z, mouth 80, floor 40, depth 25 mm, closed at z=0 by a half cone
        (lip radius 40, foot radius 20 round z=-40).  Cases P=40, P=25, and the full round
        conical pocket ('cone', pad disc radius 5), which has a one-dimensional answer.

METHOD  Part A, one dimension: plane-strain strip (closed form + ODE) and axisymmetric cone
        (shooting, sharp lip).
        Part B, Lagrangian finite elements: nodes are film particles X, unknowns their places
        x; Newton with line search (the relaxed energy is convex in the gradient).
        - Lip: rounded with radius r, tangent to flat and wall; unilateral penalty at nodes.
          Points of integration lie on the mesh lines that cross the lip (Lobatto along the
          front): with Gauss points there neighbouring lines slide in a false zigzag.
          Results for r=2 and 1 mm are extrapolated to the sharp lip, r=0.
        - Press: pad edge sharp; the film particles at the (fixed) places of the pad edge are
          found by making the energy stationary in them.
        - Front: the level sets of d_pad/(d_pad+d_foot) on the floor (plan distances), then of
          the way up the wall.  dX/ds at the front is F^-1 of the front's velocity after the
          panel's tangent plane is turned about the front's tangent into that of the hanging
          film: film at the front goes down with the stretch it has.  Second-order linearly
          implicit steps; the free film is meshed anew each step (elastic: nothing is lost).
        - Mesh factor m: 12 m columns round the end, 60 m rows, 16 m steps per stage; mesh
          extrapolated with second order.
        - The channel is cut at z=-250 (held in z); the pull along z dies out slowly (roughly
          e-fold per 85 mm, estimated), so the far column is about 0.05 low.  A cut at -300
          lowers the greatest area by 0.06 (P=25) and 0.02 (P=40); -375 (--zend) is untried.

RUN     python end.py --all        all of end.csv: about 30 min on one core (numpy, scipy)
        python end.py --one-d      the one-dimensional answers only (about 20 s)
        python end.py --case 40,2,1 -v     one case: P (or "cone"), lip radius, mesh factor

RESULTS (extrapolated to sharp lip and fine mesh; per cent; errors are estimates)
        cone    area under the pad       96.4   (one dimension: 96.46)
                foot, along / across     19.75 / 24.76   (19.76 / 24.78)
                half wall                17.08 /  1.29   (17.07 /  1.30)
        strip   far column at the foot   17.01 (P=40)    (one dimension: 17.06)
        P=40    greatest area 55.7 +- 0.3 at the pad's tip (0,-25,-35)
                greatest l1   33.0 +- 0.2 on the floor past the tip, z about -33, across
        P=25    greatest area 106 +- 1    at the pad's tip = foot's tip (0,-25,-20)
                greatest l1   49.5 +- 0.4 there, across
        Rows 'extrapolated' of end.csv have the profile; places of that profile are on x=0,
        'along' is the stretch in the plane x=0, 'across' the one along x.
        For P=25 all floor fronts pass through the tip, so 'profile floor' there is the state
        of the hanging film at that one point as the sides are laid; what is laid on either
        side of the point is floor 0.00 (pad) and wall 0.00.
"""
import argparse
import csv
import math
import os
import sys
import time

os.environ.setdefault("OMP_NUM_THREADS", "1")
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
import numpy as np
from scipy.integrate import solve_ivp
from scipy.linalg import LinAlgError, solveh_banded
from scipy.optimize import brentq, fsolve
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import splu

# ------------------------------------------------------------------ panel (mm)
R_LIP, R_FOOT, DEPTH, R_BOND, PAD = 40.0, 20.0, 25.0, 75.0, 5.0
ZC = -40.0                                   # centre of lip, foot and bond arcs
ALPHA = math.atan2(DEPTH, R_LIP - R_FOOT)    # slope of the wall


# =====================================================================
# Part A.  One-dimensional references
# =====================================================================
def strip_1d(n=4000):
    """Plane-strain column: returns press stretch, stretch laid at foot, at lip."""
    def lam(u, Xf):        # u: 0..1 pad edge->foot, 1..2 foot->lip
        if u <= 1:
            xf, yf = PAD + u * (R_FOOT - PAD), -DEPTH
        else:
            xf, yf = R_FOOT + (u - 1) * (R_LIP - R_FOOT), -DEPTH * (2 - u)
        return (math.hypot(R_LIP - xf, yf) + R_BOND - R_LIP) / (R_BOND - Xf)

    l0 = (PAD + math.hypot(R_LIP - PAD, DEPTH) + R_BOND - R_LIP) / R_BOND
    sol = solve_ivp(lambda u, X: [(R_FOOT - PAD) / lam(u, X[0])], (0, 1), [PAD / l0],
                    rtol=1e-11, atol=1e-11)
    Xfoot = sol.y[0, -1]
    sol = solve_ivp(lambda u, X: [math.hypot(R_LIP - R_FOOT, DEPTH) / lam(u, X[0])], (1, 2),
                    [Xfoot], rtol=1e-11, atol=1e-11, max_step=0.02)
    return l0, lam(1.0, Xfoot), lam(2 - 1e-9, sol.y[0, -1])


def l1_from_w1(w, l2):
    """Meridional stretch from nominal tension W1 (unit G h) and hoop stretch."""
    # tension field: w = l1 - 1/l1^2, valid where l2 < l1^-1/2
    l = max(1.0, w)
    for _ in range(60):
        d = (l - l ** -2 - w) / (1 + 2 * l ** -3)
        l -= d
        if abs(d) < 1e-15:
            break
    if l2 < l ** -0.5:
        return l, 0.0
    for _ in range(60):
        d = (l - l ** -3 * l2 ** -2 - w) / (1 + 3 * l ** -4 * l2 ** -2)
        l -= d
        if abs(d) < 1e-15:
            break
    return l, l2 - l ** -2 * l2 ** -3


class Cone1D:
    """Axisymmetric film over the round conical pocket (sharp lip), by shooting.

    State along the material radius R: r, y, Q = R W1 cos(phi); R W1 sin(phi) = V
    is constant in the hanging film (no pressure) and 0 on the flats."""

    def shoot(self, Rf, rf, yf, l1, phi):
        """Integrate from the front; returns (y at lip, r at bond), and film at the lip."""
        l2 = rf / Rf
        w1 = l1 - l1 ** -3 * l2 ** -2 if l2 > l1 ** -0.5 else l1 - l1 ** -2
        V, Q = Rf * w1 * math.sin(phi), Rf * w1 * math.cos(phi)

        def rhs(R, s, V):
            r, y, Q = s
            T = math.hypot(Q, V)
            a, w2 = l1_from_w1(T / R, r / R)
            return [a * Q / T, a * V / T, w2]

        ev = lambda R, s, V: s[0] - R_LIP
        ev.terminal, ev.direction = True, 1
        if rf < R_LIP - 1e-12:
            h = solve_ivp(rhs, (Rf, R_BOND), [rf, yf, Q], args=(V,), events=ev,
                          rtol=1e-11, atol=1e-12, max_step=1.0)
            R, (r, y, Q) = h.t[-1], h.y[:, -1]
        else:
            R, r, y = Rf, rf, yf
        T = math.hypot(Q, V)
        lip = (R, l1_from_w1(T / R, r / R)[0], r / R)
        f = solve_ivp(rhs, (R, R_BOND), [r, 0.0, T], args=(0.0,), rtol=1e-11, atol=1e-12,
                      max_step=1.0)
        return y, f.y[0, -1], lip

    def press(self):
        def f(u):
            y, rb, self.lip = self.shoot(PAD / u[0], PAD, -DEPTH, u[0], u[1])
            return [y, rb - R_BOND]
        u, _, ok, msg = fsolve(f, [1.4, 0.9], xtol=1e-12, full_output=True)
        f(u)
        return u

    def front(self, Rf, rf, yf, guess):
        def f(u):
            y, rb, self.lip = self.shoot(Rf, rf, yf, u[0], u[1])
            return [y, rb - R_BOND]
        u, _, ok, msg = fsolve(f, guess, xtol=1e-12, full_output=True)
        f(u)
        return u

    def run(self, n=40):
        """Fronts from pad to lip; rows (r, y, l_mer, l_hoop, slope)."""
        u = self.press()
        self.press_l = u[0]
        R = PAD / u[0]
        rows = [(PAD, -DEPTH, u[0], PAD / R, u[1])]
        wall = math.hypot(R_LIP - R_FOOT, DEPTH)
        for stage in (0, 1):
            # the last point is kept a little short of the lip (film length -> 0)
            smax = 1.0 if stage == 0 else 1 - 2e-4
            L = R_FOOT - PAD if stage == 0 else wall

            def place(s):
                if stage == 0:
                    return PAD + s * (R_FOOT - PAD), -DEPTH
                return R_FOOT + s * (R_LIP - R_FOOT), -DEPTH * (1 - s)
            ds = smax / n
            for k in range(n):              # classical RK4 in the front place
                s = k * ds
                ks = []
                for c, prev in ((0, None), (.5, 0), (.5, 1), (1, 2)):
                    Rk = R if prev is None else R + c * ds * ks[prev]
                    uk = self.front(Rk, *place(s + c * ds), u)
                    ks.append(L / uk[0])
                    u = uk
                R += ds / 6 * (ks[0] + 2 * ks[1] + 2 * ks[2] + ks[3])
                r, y = place(s + ds)
                u = self.front(R, r, y, u)
                rows.append((r, y, u[0], r / R, u[1]))
        self.rows = np.array(rows)
        return self.rows


# =====================================================================
# Part B.  Film as a Lagrangian finite-element membrane
# =====================================================================
EYE = np.eye(2)


def membrane(F, hess=True):
    """Relaxed (tension-field) neo-Hookean membrane, unit G h.
    F (m,3,2) -> W (m), P (m,3,2), A (m,2,3,3,2) ordered [alpha, a, b, beta]."""
    m = len(F)
    C = np.einsum('gai,gaj->gij', F, F)
    tr, K = C[:, 0, 0] + C[:, 1, 1], C[:, 0, 0] * C[:, 1, 1] - C[:, 0, 1] ** 2
    hd = 0.5 * (C[:, 0, 0] - C[:, 1, 1])
    rad = np.sqrt(hd ** 2 + C[:, 0, 1] ** 2)
    e1, e2 = 0.5 * tr + rad, 0.5 * tr - rad          # squares of the stretches
    K = np.maximum(K, 1e-12)
    slack = e1 <= 1.0
    tf = (~slack) & (e2 * np.sqrt(np.maximum(e1, 1e-9)) < 1.0)
    full = ~(slack | tf)
    W = np.zeros(m)
    S = np.zeros((m, 2, 2))
    W[full] = 0.5 * (tr[full] + 1 / K[full] - 3)
    Ci = np.empty_like(C)
    Ci[:, 0, 0], Ci[:, 1, 1], Ci[:, 0, 1] = C[:, 1, 1] / K, C[:, 0, 0] / K, -C[:, 0, 1] / K
    Ci[:, 1, 0] = Ci[:, 0, 1]
    S[full] = EYE - Ci[full] / K[full, None, None]
    a = e1[tf]
    W[tf] = 0.5 * (a + 2 / np.sqrt(a) - 3)
    th = 0.5 * np.arctan2(C[tf, 0, 1], hd[tf])
    N1 = np.stack([np.cos(th), np.sin(th)], 1)
    N2 = np.stack([-np.sin(th), np.cos(th)], 1)
    NN = N1[:, :, None] * N1[:, None, :]
    wp, wpp = 0.5 * (1 - a ** -1.5), 0.75 * a ** -2.5
    S[tf] = 2 * wp[:, None, None] * NN
    P = F @ S
    if not hess:
        return W, P, None
    D = np.zeros((m, 2, 2, 2, 2))
    c, k = Ci[full], K[full][:, None, None, None, None]
    D[full] = (0.5 * (np.einsum('gpd,gab->gpadb', c, c) + np.einsum('gpb,gad->gpadb', c, c))
               + np.einsum('gpa,gdb->gpadb', c, c)) / k
    M = N1[:, :, None] * N2[:, None, :]
    M = M + M.transpose(0, 2, 1)
    D[tf] = (2 * wpp[:, None, None, None, None] * np.einsum('gpa,gdb->gpadb', NN, NN)
             + (wp / (2 * rad[tf]))[:, None, None, None, None] * np.einsum('gpa,gdb->gpadb', M, M))
    # A[alpha,a,b,beta] = delta_ab S + 2 F_ap D_{p alpha, d beta} F_bd
    FD = np.matmul(F, D.reshape(m, 2, 8)).reshape(m, 3, 2, 2, 2)      # [a,alpha,d,beta]
    A = 2 * np.einsum('gaidj,gbd->giabj', FD, F)
    Sr = S + 1e-5 * EYE                     # tangent only: keeps slack film non-singular
    for q in range(3):
        A[:, :, q, q, :] += Sr
    return W, P, A


def stadium(x, z, zc):
    """Plan distance from the line x=0, z<=zc; gradient (2) and second derivative (3)."""
    dz = z - zc
    out = dz > 0
    rr = np.maximum(np.where(out, np.hypot(x, dz), np.abs(x)), 1e-12)
    gx, gz = np.where(out, x / rr, 1.0), np.where(out, dz / rr, 0.0)
    i = np.where(out, 1 / rr, 0.0)
    return np.where(out, rr, x), gx, gz, (gz * gz * i, -gx * gz * i, gx * gx * i)


def corner(u, v, r, ang):
    """Signed distance (outside >0) to a corner rounded with radius r: top side v=r for
    u<=0, the other side falling with slope angle ang; with derivatives in u, v."""
    h = np.maximum(np.hypot(u, v), 1e-12)
    A = u <= 0
    B = (~A) & (v > 0) & (u * math.cos(ang) < v * math.sin(ang))
    s, c = math.sin(ang), math.cos(ang)
    g = np.where(A, v, np.where(B, h, u * s + v * c)) - r
    gu = np.where(A, 0.0, np.where(B, u / h, s))
    gv = np.where(A, 1.0, np.where(B, v / h, c))
    ih = np.where(B, 1 / h, 0.0)
    return A, g, gu, gv, (gv * gv * ih, -gu * gv * ih, gu * gu * ih)


class Contact:
    """Penalty contact of the nodes with the rounded lip (radius r), frictionless,
    unilateral: flat, arc and wall in section, by plan distance from the lip line."""

    def __init__(self, r, k=200.0):          # k: G h per mm^2 of film and mm
        self.r, self.k, self.t = r, k, r * math.tan(0.5 * ALPHA)

    def __call__(self, x, area, curv=True):
        dist, gx, gz, hd = stadium(x[:, 0], x[:, 2], ZC)
        flat, g, gu, gv, (huu, huv, hvv) = corner(R_LIP + self.t - dist, x[:, 1] + self.r, self.r, ALPHA)
        w = self.k * area * (g < 0)
        dg = np.stack([-gu * gx, gv, -gu * gz], 1)
        E, G = 0.5 * np.sum(w * g * g), (w * g)[:, None] * dg
        H = w[:, None, None] * dg[:, :, None] * dg[:, None, :]
        if curv:
            h = np.empty_like(H)
            h[:, 0, 0], h[:, 2, 2] = huu * gx * gx - gu * hd[0], huu * gz * gz - gu * hd[2]
            h[:, 0, 2] = h[:, 2, 0] = huu * gx * gz - gu * hd[1]
            h[:, 0, 1] = h[:, 1, 0] = -huv * gx
            h[:, 2, 1] = h[:, 1, 2] = -huv * gz
            h[:, 1, 1] = hvv
            H += (w * g)[:, None, None] * h
        return E, G, H


class Mesh:
    """Bilinear quads on an (ni x nj) grid of film particles X (plan); 2 x 2 points, Lobatto
    along the front and Gauss across."""

    def __init__(self, X, ids=None):
        ni, nj = X.shape[:2]
        self.ids = np.arange(ni * nj).reshape(ni, nj) if ids is None else ids
        nn = self.ids.max() + 1
        self.nn, self.X = nn, np.zeros((nn, 2))
        self.X[self.ids.ravel()] = X.reshape(-1, 2)
        q = np.stack([self.ids[:-1, :-1], self.ids[1:, :-1], self.ids[1:, 1:], self.ids[:-1, 1:]], -1)
        self.q = q.reshape(-1, 4)
        Xe = self.X[self.q]
        g = 1 / math.sqrt(3)
        dN, w = [], []
        for a, b in ((-1, -g), (1, -g), (1, g), (-1, g)):
            n = 0.25 * np.array([[-(1 - b), -(1 - a)], [1 - b, -(1 + a)], [1 + b, 1 + a], [-(1 + b), 1 - a]])
            J = np.einsum('eni,nk->eik', Xe, n)
            det = J[:, 0, 0] * J[:, 1, 1] - J[:, 0, 1] * J[:, 1, 0]
            Ji = np.linalg.inv(J)
            dN.append(np.einsum('nk,eki->eni', n, Ji))
            w.append(np.abs(det))
            if np.any(det * np.sign(np.median(det)) <= 0):
                raise RuntimeError('film mesh folded over')
        self.dN = np.stack(dN, 1).reshape(-1, 4, 2)       # [e*4+gp, node, i]
        self.w = np.stack(w, 1).ravel()
        self.area = np.bincount(self.q.ravel(), np.repeat(0.25 * self.w.reshape(-1, 4).sum(1), 4), nn)
        n = 0.25 * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
        J = np.einsum('eni,nk->eik', Xe, n)
        self.dN0 = np.einsum('nk,eki->eni', n, np.linalg.inv(J))

    def F(self, x):
        xe = np.repeat(x[self.q], 4, axis=0)
        return np.matmul(xe.transpose(0, 2, 1), self.dN)

    def Fcentre(self, x):
        return np.matmul(x[self.q].transpose(0, 2, 1), self.dN0)

    def energy(self, x):
        W, P, _ = membrane(self.F(x), False)
        return np.sum(W * self.w)

    def full(self, x):
        W, P, A = membrane(self.F(x))
        m = len(W)
        f = np.matmul(P * self.w[:, None, None], self.dN.transpose(0, 2, 1))      # [g,a,n]
        f = f.reshape(-1, 4, 3, 4).sum(1).transpose(0, 2, 1)                      # [e,n,a]
        G = np.stack([np.bincount(self.q.ravel(), f[:, :, a].ravel(), self.nn) for a in range(3)], 1)
        T = np.matmul(self.dN, (A * self.w[:, None, None, None, None]).reshape(m, 2, 18))
        T = np.matmul(T.reshape(m, 36, 2), self.dN.transpose(0, 2, 1))            # [n a b | m]
        Ke = T.reshape(-1, 4, 4, 3, 3, 4).sum(1).transpose(0, 1, 2, 4, 3)         # [e,n,a,m,b]
        return np.sum(W * self.w), G, Ke.reshape(-1, 12, 12)


def equilibrium(mesh, x, free, contact, banded=True, tol=1e-7, itmax=80, factor=False):
    """Newton with line search. free: (nn,3) bool. Returns x, iterations."""
    nn = mesh.nn
    eq = np.full((nn, 3), -1)
    eq[free] = np.arange(free.sum())
    n = int(free.sum())
    dof = (3 * mesh.q[:, :, None] + np.arange(3)).reshape(-1, 12)
    e = eq.ravel()[dof]
    rows, cols = np.repeat(e, 12, 1).ravel(), np.tile(e, (1, 12)).ravel()
    ok = (rows >= 0) & (cols >= 0)
    if banded:
        ok &= rows >= cols
    rows, cols = rows[ok], cols[ok]
    nr, nc = np.repeat(eq, 3, 1).ravel(), np.tile(eq, (1, 3)).ravel()
    nok = (nr >= 0) & (nc >= 0)
    if banded:
        nok &= nr >= nc
    nr, nc = nr[nok], nc[nok]
    R, Cc = np.concatenate([rows, nr]), np.concatenate([cols, nc])
    bw = int((R - Cc).max()) if banded else 0

    def energy(y):
        return mesh.energy(y) + contact(y, mesh.area)[0]

    res = None
    for it in range(itmax):
        E, G, Ke = mesh.full(x)
        Ec, Gc, Hc = contact(x, mesh.area)
        E += Ec
        g = (G + Gc)[free]
        res = np.abs(g).max()
        if res < tol:
            if not factor:
                return x, it
            V = np.concatenate([Ke.ravel()[ok], Hc.ravel()[nok]])
            return x, it, splu(coo_matrix((V, (R, Cc)), (n, n)).tocsc(), permc_spec='MMD_AT_PLUS_A',
                               diag_pivot_thresh=0.0, options=dict(SymmetricMode=True))
        for curv in (True, False):
            if not curv:
                Hc = contact(x, mesh.area, False)[2]
            V = np.concatenate([Ke.ravel()[ok], Hc.ravel()[nok]])
            if banded:
                ab = np.bincount((R - Cc) * n + Cc, V, (bw + 1) * n).reshape(bw + 1, n)
                try:
                    dx = solveh_banded(ab, -g, lower=True, overwrite_ab=True, check_finite=False)
                except LinAlgError:
                    continue
            else:
                K = coo_matrix((V, (R, Cc)), (n, n)).tocsc()
                dx = splu(K, permc_spec='MMD_AT_PLUS_A', diag_pivot_thresh=0.0,
                          options=dict(SymmetricMode=True)).solve(-g)
            slope = dx @ g
            if slope < 0:
                break
        step = min(1.0, 3.0 / np.abs(dx).max())
        d = np.zeros((nn, 3))
        d[free] = dx
        for _ in range(30):
            y = x + step * d
            if energy(y) <= E + 1e-4 * step * slope + 1e-12 * abs(E):
                break
            step *= 0.5
        x = y
    print('   no convergence: residual %.2e' % res, file=sys.stderr)
    return x, itmax


def graded(L, feats, n, c=0.22, hmax=6.0):
    """n+1 places on 0..L with spacing ~ min(hmax, h_k + c |s - s_k|)."""
    s = np.concatenate([np.linspace(0, L, 1500)] + [np.clip(k + np.linspace(-3, 3, 241), 0, L) for k, _ in feats])
    s = np.unique(s)
    h = np.full_like(s, hmax)
    for k, hk in feats:
        h = np.minimum(h, hk + c * np.abs(s - k))
    q = np.concatenate([[0], np.cumsum(0.5 * (1 / h[1:] + 1 / h[:-1]) * np.diff(s))])
    return np.interp(np.linspace(0, q[-1], n + 1), q, s)


def part(L, hf, hl, w, n, rev=False):
    """Places 0..L (vector over columns, n intervals): spacing hl within w of the far end,
    growing from there (and, if hf, from hf at the near end) at the rate that gives n."""
    u = np.linspace(0, 1, 161)
    u = np.concatenate([0.02 * u[:-1], 0.02 + 0.96 * u, 0.98 + 0.02 * u[1:]])
    s = L[:, None] * u
    d = np.maximum(L[:, None] - s - w, 0.0)

    def count(c):
        h = hl + c[:, None] * d
        if hf:
            h = np.minimum(h, hf + c[:, None] * s)
        h = np.minimum(h, 8.0)
        q = np.zeros_like(s)
        q[:, 1:] = np.cumsum(0.5 * (1 / h[:, 1:] + 1 / h[:, :-1]) * np.diff(s), axis=1)
        return q
    lo, hi = np.full(len(L), 1e-6), np.full(len(L), 1.5)
    for _ in range(26):
        c = np.sqrt(lo * hi)
        more = count(c)[:, -1] > n
        lo, hi = np.where(more, c, lo), np.where(more, hi, c)
    q = count(np.sqrt(lo * hi))
    q *= n / q[:, -1:]
    out = np.stack([np.interp(np.arange(n + 1.0), q[i], s[i]) for i in range(len(L))])
    out[:, 0], out[:, -1] = 0.0, L
    return out


def rows(L, sl, n, hf, hl, w):
    """Film distances from the front of the nodes: one node at sl (middle of the lip
    contact), rows symmetric about it, fine there and at the front."""
    n1 = int(round(0.6 * n))
    a = part(sl, hf, hl, w, n1)
    b = part(L - sl, None, hl, w, n - n1)
    return np.concatenate([a, (L[:, None] - b[:, ::-1])[:, 1:]], 1)


def ray_offset(ax, az, dx, dz, rho):
    """Distance q along the ray a+q d to the offset curve {plan distance = rho} of the
    axis x=0, z<=ZC."""
    az = az - ZC
    b, c = ax * dx + az * dz, ax * ax + az * az - rho * rho
    q = -b + np.sqrt(np.maximum(b * b - c, 0.0))
    side = az + q * dz < 0
    with np.errstate(divide='ignore', invalid='ignore'):
        return np.where(side & (dx > 1e-12), (rho - ax) / dx, q)


class Film:
    k, nrep = 200.0, 4            # penalty of the lip; passes to centre the rows on it

    def __init__(self, P, nth, nrow, r, zend, nstep, shift=0.0, h0=0.25, cone=False, log=True):
        self.P, self.r, self.cone = P, r, cone
        self.nth, self.nrow, self.nstep, self.log, self.h0 = nth, nrow, nstep, log, h0
        th = np.linspace(0, math.pi / 2, nth + 1)
        zs = []
        if not cone:
            h, z = 0.55 * R_LIP * (math.pi / 2) / nth * 0.5, -P
            while z > zend:
                z -= h
                h = min(h * (1 + 2.2 / nth), 14.0)
                zs.append(z)
            zs = np.array(zs)
            zs = -P + (zs + P) * (zend + P) / (zs[-1] + P)
        else:
            zs = np.zeros(0)
        o = np.ones(len(zs))
        self.sx = np.zeros(nth + 1 + len(zs))
        self.sz = np.concatenate([np.full(nth + 1, -float(P)), zs])
        self.dx = np.concatenate([np.sin(th), o])
        self.dz = np.concatenate([np.cos(th), 0 * o])
        self.dx[0], self.dz[nth] = 0.0, 0.0
        self.ni = len(self.sx)
        # film particles of the pad's axis (the film is drawn under the pad towards the end)
        self.sm = self.sz - shift * np.exp((self.sz + P) / 25.0)
        self.sm[-1] = self.sz[-1]
        off = lambda rho: ray_offset(self.sx, self.sz, self.dx, self.dz, rho)
        self.q_foot, self.q_lip, self.q_bond = off(R_FOOT), off(R_LIP), off(R_BOND)
        self.q_foot = np.maximum(self.q_foot, PAD)
        self.B = self.plan(self.q_bond)
        self.rec = []                      # laid records

    def plan(self, q):
        return np.stack([self.sx + q * self.dx, self.sz + q * self.dz], -1)

    # ---------------------------------------------------------------- press
    # The pad edge is sharp.  The film particles Xf that lie at the (given) places of the pad
    # edge are found by making the film's energy stationary in them: inside, the film slides
    # in the plane y=-DEPTH; outside it hangs; every other node is a fixed film particle.
    def press_film(self, Xf, i0, i1):
        """Film particles of the columns i0..i1-1."""
        S = np.stack([self.sx, self.sm], -1)[i0:i1, None]
        X, B = Xf[:, None], self.B[i0:i1, None]
        a, b = self.pa[None, :, None], self.pb[i0:i1, 1:, None]
        return np.concatenate([S + a * (X - S), X + b * (B - X)], 1)

    def press_ids(self, i0, i1, nj):
        ids = np.zeros((i1 - i0, nj), int)
        nxt = 0
        hub = -1
        for i in range(i0, i1):
            if i <= self.nth:
                if hub < 0:
                    hub, nxt = nxt, nxt + 1
                ids[i - i0, 0] = hub
            else:
                ids[i - i0, 0] = nxt
                nxt += 1
            ids[i - i0, 1:] = nxt + np.arange(nj - 1)
            nxt += nj - 1
        return ids

    def film_force(self, mesh, x, ids, i0, i1):
        """dE/dXf of the columns (through every film particle of the column)."""
        W, P, _ = membrane(mesh.F(x), False)
        F = mesh.F(x)
        Es = (W[:, None, None] * EYE - np.matmul(F.transpose(0, 2, 1), P)) * mesh.w[:, None, None]
        f = np.matmul(mesh.dN, Es.transpose(0, 2, 1)).reshape(-1, 4, 4, 2).sum(1)
        c = np.stack([np.bincount(mesh.q.ravel(), f[:, :, a].ravel(), mesh.nn) for a in (0, 1)], 1)
        wt = np.concatenate([np.tile(self.pa, (i1 - i0, 1)), 1 - self.pb[i0:i1, 1:]], 1)
        wt[:, 0] = 0.0
        g = np.matmul(P * mesh.w[:, None, None], mesh.dN.transpose(0, 2, 1))
        g = g.reshape(-1, 4, 3, 4).sum(1).transpose(0, 2, 1)
        G = np.stack([np.bincount(mesh.q.ravel(), g[:, :, a].ravel(), mesh.nn) for a in range(3)], 1)
        return np.einsum('ij,ija->ia', wt, c[ids]), G

    def press(self):
        t0 = time.time()
        ni, nin, nout = self.ni, max(6, self.nrow // 4), self.nrow
        nj = nin + nout + 1
        S = np.stack([self.sx, self.sm], -1)
        p = self.place(0, 0.0)
        hang = np.hypot(self.q_lip - PAD, DEPTH)
        tot = PAD + hang + self.q_bond - self.q_lip
        k = self.q_bond / tot
        Xf = S + (PAD * k * 0.97)[:, None] * np.stack([self.dx, self.dz], -1)
        self.sl_bond = (self.q_bond - self.q_lip) * k
        ids = self.press_ids(0, ni, nj)
        self.pa = graded(1.0, [(1.0, self.h0 * 0.15)], nin, c=0.2)
        x = None
        freeX = np.ones((ni, 2), bool)
        freeX[0, 0] = False
        freeX[-1, 1] = False
        tot_it = 0
        for rnd in range(3):
            L = np.linalg.norm(self.B - Xf, axis=1)
            old = None if x is None else (self.pb, x)
            self.pb = rows(L, L - self.sl_bond, nout, self.h0 * 2.5, self.h0 * 0.5 * self.r, 0.6 * self.r) / L[:, None]
            X = self.press_film(Xf, 0, ni)
            if old is None:
                x = np.zeros((ids.max() + 1, 3))
                for i in range(ni):
                    sp, sl = PAD * k[i], L[i] - self.sl_bond[i]
                    s = self.pb[i, 1:] * L[i]
                    q = np.interp(s, [0, sl, L[i]], [PAD, self.q_lip[i], self.q_bond[i]])
                    y = np.interp(s, [0, sl, L[i]], [-DEPTH, 0, 0])
                    q = np.concatenate([self.pa * PAD, q])
                    x[ids[i], 0] = self.sx[i] + q * self.dx[i]
                    x[ids[i], 1] = np.concatenate([np.full(nin + 1, -DEPTH), y])
                    x[ids[i], 2] = self.sz[i] + q * self.dz[i]
            else:
                for i in range(ni):
                    for a in range(3):
                        x[ids[i, nin:], a] = np.interp(self.pb[i], old[0][i], x[ids[i, nin:], a])
            free = np.ones((ids.max() + 1, 3), bool)
            free[ids[0], 0] = False
            free[ids[self.nth:, 0], 0] = False
            free[ids[-1], 2] = False
            free[ids[:, :nin + 1], 1] = False
            free[ids[:, nin]] = False
            free[ids[:, -1]] = False
            x[ids[:, nin]] = p
            fx = free.ravel()
            for outer in range(40):
                mesh = Mesh(self.press_film(Xf, 0, ni), ids)
                if old is None and outer == 0:            # soft lip first: far initial guess
                    for kk in (0.3, 3.0, 30.0):
                        x = equilibrium(mesh, x, free, Contact(self.r, k=kk), banded=False, tol=1e-3)[0]
                x, it, lu = equilibrium(mesh, x, free, Contact(self.r, k=self.k), banded=False, factor=True)
                tot_it += it
                g = self.film_force(mesh, x, ids, 0, ni)[0]
                res = np.abs(g[freeX]).max()
                if self.log:
                    print('   press %d.%d  film force at pad edge %.2e' % (rnd, outer, res), flush=True)
                if res < 1e-6:
                    break
                J = np.zeros((ni, 2, ni, 2))
                Gx = np.zeros((x.size, ni, 2))
                e = 1e-5
                for i in range(ni):
                    i0, i1 = max(i - 1, 0), min(i + 2, ni)
                    sub = self.press_ids(i0, i1, nj)
                    xs = np.zeros((sub.max() + 1, 3))
                    xs[sub] = x[ids[i0:i1]]
                    back = np.zeros(sub.max() + 1, int)
                    back[sub] = ids[i0:i1]
                    for a in (0, 1):
                        r = []
                        for sg in (1, -1):
                            Y = Xf[i0:i1].copy()
                            Y[i - i0, a] += sg * e
                            r.append(self.film_force(Mesh(self.press_film(Y, i0, i1), sub), xs, sub, i0, i1))
                        J[i0:i1, :, i, a] = (r[0][0] - r[1][0]) / (2 * e)
                        gx = np.zeros_like(x)
                        gx[back] = (r[0][1] - r[1][1]) / (2 * e)
                        Gx[:, i, a] = gx.ravel()
                Gf = Gx.reshape(x.size, -1)[fx]
                J = J.reshape(2 * ni, 2 * ni) - Gf.T @ lu.solve(Gf)
                m = freeX.ravel()
                J = 0.5 * (J + J.T)[np.ix_(m, m)]
                w, V = np.linalg.eigh(J)
                w = np.maximum(np.abs(w), 1e-4 * np.abs(w).max())
                d = np.zeros(2 * ni)
                d[m] = -V @ ((V.T @ g.ravel()[m]) / w)
                step = min(1.0, 0.35 / np.abs(d).max())
                while True:
                    try:
                        Mesh(self.press_film(Xf + step * d.reshape(ni, 2), 0, ni), ids)
                        break
                    except RuntimeError:
                        step *= 0.5
                Xf = Xf + step * d.reshape(ni, 2)
            L = np.linalg.norm(self.B - Xf, axis=1)
            self.sl_bond = L - self.lip(x[ids[:, nin:]], self.pb * L[:, None])
        self.Xf = Xf
        self.guess = [(L[i] * (1 - self.pb[i][::-1]), x[ids[i, nin:]][::-1]) for i in range(ni)]
        # stretches under the pad, at element centres
        own = np.zeros((ni - 1, nj - 1), bool)
        own[:, :nin] = True
        own = own.ravel()
        l1, l2 = principal(mesh.Fcentre(x))
        self.pad = dict(X=mesh.X[mesh.q].mean(1)[own], x=x[mesh.q].mean(1)[own], l1=l1[own], l2=l2[own])
        if self.log:
            print(' press: %d nodes, %d its, %.1f s' % (mesh.nn, tot_it, time.time() - t0), flush=True)
        return self.pad

    # ---------------------------------------------------------------- fronts
    def place(self, stage, s):
        """Front: places (ni,3) and the panel's tangent plane is given by finite difference."""
        if stage == 1:
            q = ray_offset(self.sx, self.sz, self.dx, self.dz, R_FOOT + s * (R_LIP - R_FOOT))
            y = np.full(self.ni, -DEPTH * (1 - s))
        else:
            # level s of d_pad / (d_pad + d_foot) along each ray
            lo, hi = np.full(self.ni, PAD), self.q_foot.copy()
            for _ in range(60):
                q = 0.5 * (lo + hi)
                pl = self.plan(q)
                df = R_FOOT - stadium(pl[:, 0], pl[:, 1], ZC)[0]
                up = (1 - s) * (q - PAD) > s * df
                hi, lo = np.where(up, q, hi), np.where(up, lo, q)
            q = 0.5 * (lo + hi)
            if s <= 0:
                q = np.full(self.ni, PAD)
            if s >= 1:
                q = self.q_foot
            y = np.full(self.ni, -DEPTH)
        pl = self.plan(q)
        return np.stack([pl[:, 0], y, pl[:, 1]], -1)

    def velocity(self, stage, s):
        e = 1e-5
        a, b = max(s - e, 0.0), min(s + e, 1.0)
        return (self.place(stage, b) - self.place(stage, a)) / (b - a)

    def along(self, f, p, kind):
        """Derivative of f along the front (arc length of p), 3-point, mirrored at both ends."""
        def ext(v, flip):
            a, b = v[1].copy(), v[-2].copy()
            if flip is not None:
                a[0] = -a[0]
                b[flip] = 2 * v[-1][flip] - b[flip]
            return np.vstack([a, v, b])
        pe, fe = ext(p, 2), ext(f, kind)
        d = np.linalg.norm(np.diff(pe, axis=0), axis=1)
        h1, h2 = d[:-1, None], d[1:, None]
        return (fe[2:] * h1 ** 2 - fe[:-2] * h2 ** 2 + fe[1:-1] * (h2 ** 2 - h1 ** 2)) / (h1 * h2 * (h1 + h2))

    def lip(self, x, sg):
        """Film distance from the front of the middle of the contact with the lip."""
        t = self.r * math.tan(0.5 * ALPHA)
        rho = stadium(x[:, :, 0], x[:, :, 2], ZC)[0]
        out = np.empty(self.ni)
        for i in range(self.ni):
            # slope of the film just inside the lip
            b = np.interp(R_LIP - 0.7 * self.r, rho[i], np.arange(rho.shape[1]))
            j = min(max(int(b), 0), rho.shape[1] - 2)
            phi = math.atan2(x[i, j + 1, 1] - x[i, j, 1], rho[i, j + 1] - rho[i, j])
            phi = min(max(phi, 0.1), ALPHA)
            out[i] = np.interp(R_LIP + t - self.r * math.sin(0.5 * phi), rho[i], sg[i])
        return out

    def solve(self, stage, s, Xf):
        """Equilibrium of the free film for the front at s with film Xf; returns the rate
        dXf/ds and the front's stretches."""
        ni, nj = self.ni, self.nrow + 1
        p = self.place(stage, s)
        col = self.B - Xf
        L = np.linalg.norm(col, axis=1)
        dirn = col / L[:, None]
        here = stage + s
        slb = self.sl_bond.copy()
        if self.hist is not None and here > self.hist[0] + 1e-12:
            if self.hist[2] is not None:
                slb = slb + (here - self.hist[0]) * self.hist[2]
        free = np.ones((ni, nj, 3), bool)
        free[:, 0] = free[:, -1] = False
        free[0, :, 0] = False
        free[-1, :, 2] = False
        for rep in range(self.nrep):
            sg = rows(L, np.maximum(L - slb, 0.02), self.nrow, self.h0 * 2.5, self.h0 * 0.5 * self.r, 0.6 * self.r)
            X = Xf[:, None, :] + sg[:, :, None] * dirn[:, None, :]
            mesh = Mesh(X)
            x = np.zeros((ni, nj, 3))
            for i in range(ni):
                so, xo = self.guess[i]
                for a in range(3):
                    x[i, :, a] = np.interp(L[i] - sg[i], so, xo[:, a])
            x[:, 0] = p
            x[0, :, 0] = 0.0
            x[-1, :, 2] = self.sz[-1]
            x, it = equilibrium(mesh, x.reshape(-1, 3), free.reshape(-1, 3), Contact(self.r, k=self.k))
            self.its += it
            x = x.reshape(ni, nj, 3)
            self.guess = [(L[i] - sg[i][::-1], x[i, ::-1]) for i in range(ni)]
            new = L - self.lip(x, sg)
            err = np.abs(new - slb).max()
            self.liperr = err
            slb = new
            if err < 0.05 * self.h0 * self.r:
                break
        if self.hist is None or here > self.hist[0] + 1e-12:
            self.hist = (here, slb, None if self.hist is None else (slb - self.hist[1]) / (here - self.hist[0]))
        self.sl_bond = slb
        rho = stadium(x[:, :, 0], x[:, :, 2], ZC)[0]
        self.mesh, self.x, self.sg, self.s_lip = mesh, x, sg, L - self.sl_bond
        # deepest pass below the panel (posterior check)
        dpt = np.where(rho < R_FOOT, -DEPTH, np.where(rho < R_LIP, -DEPTH * (R_LIP - rho) / (R_LIP - R_FOOT), 0.0))
        self.dip = min(self.dip, float(((x[:, :, 1] - dpt) * (rho < R_LIP - 2 * self.r)).min()))
        # gradient at the front: 3-point along and across
        xs, Xs = self.along(p, p, 2), self.along(Xf, p, 1)
        nx = np.linalg.norm(xs, axis=1)[:, None]
        xs, Xs = xs / nx, Xs / nx
        t = xs
        h1, h2 = sg[:, 1:2], sg[:, 2:3]
        xz = (-x[:, 0] * (h2 ** 2 - h1 ** 2) + x[:, 1] * h2 ** 2 - x[:, 2] * h1 ** 2) / (h1 * h2 * (h2 - h1))
        # F in the basis (t, m): F [Xs dirn] = [t xz]
        xt = np.sum(xz * t, 1)
        nrm = xz - xt[:, None] * t
        xm = np.linalg.norm(nrm, axis=1)
        M = np.stack([Xs, dirn], -1)
        f = np.zeros((ni, 2, 2))
        f[:, 0, 0], f[:, 0, 1], f[:, 1, 1] = 1.0, xt, xm
        F2 = f @ np.linalg.inv(M)
        v = self.velocity(stage, s)
        a = np.sum(v * t, 1)
        b = np.linalg.norm(v - a[:, None] * t, axis=1)
        dX = np.linalg.solve(F2, np.stack([a, b], -1)[:, :, None])[:, :, 0]
        dX[0, 0] = 0.0
        dX[-1, 1] = 0.0
        l1, l2 = principal(F2)
        # angle between the hanging film and the panel, at the front
        vm = v - a[:, None] * t
        with np.errstate(divide='ignore', invalid='ignore'):
            ang = np.degrees(np.arccos(np.clip(np.sum(vm * nrm, 1) / (b * xm), -1, 1)))
        return dX, dict(stage=stage, s=s, p=p, X=Xf.copy(), l1=l1, l2=l2, F=F2, ang=ang)

    def stiff(self, Xf, rate):
        """Model of the front's relaxation, -speed * sqrt(-d2/darc2), one matrix per component."""
        ni = self.ni
        d = np.linalg.norm(np.diff(Xf, axis=0), axis=1)
        K = np.zeros((ni, ni))
        i = np.arange(ni - 1)
        K[i, i] += 1 / d
        K[i + 1, i + 1] += 1 / d
        K[i, i + 1] -= 1 / d
        K[i + 1, i] -= 1 / d
        m = np.zeros(ni)
        m[:-1] += d / 2
        m[1:] += d / 2
        sp = np.linalg.norm(rate, axis=1)
        out = []
        for fix in (0, ni - 1):
            keep = np.arange(ni) != fix
            S = 1 / np.sqrt(m[keep])
            w, V = np.linalg.eigh(S[:, None] * K[np.ix_(keep, keep)] * S)
            Q = S[:, None] * (V * np.sqrt(np.maximum(w, 0))) @ V.T / S
            A = np.zeros((ni, ni))
            A[np.ix_(keep, keep)] = -sp[keep, None] * Q
            out.append(A)
        return out

    def imp(self, A, h, rhs):
        return np.stack([np.linalg.solve(np.eye(self.ni) - h * A[a], rhs[:, a]) for a in (0, 1)], -1)

    def lay(self):
        t0 = time.time()
        self.its, self.dip, self.hist = 0, 0.0, None
        Xf = self.Xf
        for stage in (0, 1):
            send = 1.0 if stage == 0 else 1 - (1.05 * self.r * math.tan(ALPHA / 2) + 0.05) / math.hypot(20, 25)
            ds, old = send / self.nstep, None
            for k in range(self.nstep + 1):
                rate, rec = self.solve(stage, k * ds, Xf)
                self.rec.append(rec)
                if self.log and k % 8 == 0:
                    print('  stage %d s %.4f  its %d le %.4f  l1 max %.4f  area max %.4f  tip %.4f x %.4f far %.4f dip %.3f  %.0f s' % (
                        stage, k * ds, self.its, self.liperr, rec['l1'].max() - 1, (rec['l1'] * rec['l2']).max() - 1,
                        rec['l1'][0], rec['l2'][0], rec['l1'][-1], self.dip, time.time() - t0), flush=True)
                if k == self.nstep:
                    break
                # SBDF2 with the stiff (pseudo-differential, ~ -|k|) part implicit; started
                # by a linearly implicit trapezoidal step
                A = self.stiff(Xf, rate)
                if old is None:
                    Xs = Xf + self.imp(A, ds, ds * rate)
                    r2, _ = self.solve(stage, (k + 1) * ds, Xs)
                    new = Xs + self.imp(A, 0.5 * ds, Xf + 0.5 * ds * (rate + r2) - Xs)
                else:
                    ex = 2 * Xf - old[0]
                    rhs = (4 * Xf - old[0]) / 3 + 2 / 3 * ds * (2 * rate - old[1])
                    new = ex + self.imp(A, 2 / 3 * ds, rhs - ex)
                old, Xf = (Xf, rate), new
        return self


def principal(F):
    C = np.einsum('gai,gaj->gij', F, F)
    m, h = 0.5 * (C[:, 0, 0] + C[:, 1, 1]), 0.5 * (C[:, 0, 0] - C[:, 1, 1])
    r = np.hypot(h, C[:, 0, 1])
    return np.sqrt(m + r), np.sqrt(np.maximum(m - r, 0))



# =====================================================================
# Runs
# =====================================================================
BASE = dict(nth=12, nrow=60, nstep=16, h0=0.25)


def run(P, r, m, cone=False, zend=-250.0, log=False):
    """One case; m scales the mesh and the number of front steps.
    Returns rows (quantity, x, y, z, value, unit)."""
    t0 = time.time()
    f = Film(P, int(round(BASE['nth'] * m)), int(round(BASE['nrow'] * m)), r, ZC if cone else zend,
             int(round(BASE['nstep'] * m)), shift=0.0 if P > 32 else 3.5, h0=BASE['h0'] / m,
             cone=cone, log=log)
    f.press()
    f.lay()
    out = []
    pc = lambda v: 100.0 * (v - 1.0)

    def add(name, place, value, unit='%'):
        out.append((name, float(place[0]), float(place[1]), float(place[2]), float(value), unit))

    # --- under the pad
    p = f.pad
    a = p['l1'] * p['l2']
    k = int(np.argmax(a))
    add('pad: area greatest element', p['x'][k], pc(a[k]))
    k = int(np.argmax(p['l1']))
    add('pad: l1 greatest element', p['x'][k], pc(p['l1'][k]))
    # --- at the front, whole history
    for stage, name in ((0, 'floor'), (1, 'wall')):
        rec = [q for q in f.rec if q['stage'] == stage]
        for what in ('l1', 'area'):
            v = np.array([q['l1'] if what == 'l1' else q['l1'] * q['l2'] for q in rec])
            i, j = np.unravel_index(np.argmax(v), v.shape)
            add('laid on %s: greatest %s' % (name, what), rec[i]['p'][j], pc(v[i, j]))
    first = f.rec[0]
    add('pad edge tip: l1', first['p'][0], pc(first['l1'][0]))
    add('pad edge tip: area', first['p'][0], pc(first['l1'][0] * first['l2'][0]))
    rec = [q for q in f.rec if q['stage'] == 0]
    foot = rec[-1]
    for what in ('l1', 'area'):
        v = foot['l1'] if what == 'l1' else foot['l1'] * foot['l2']
        j = int(np.argmax(v))
        add('laid at foot: greatest ' + what, foot['p'][j], pc(v[j]))
    # --- profile in the plane x=0 past the end: along z and across
    for stage, name in ((0, 'floor'), (1, 'wall')):
        rec = [q for q in f.rec if q['stage'] == stage]
        s = np.array([q['s'] for q in rec])
        lt = np.array([abs(q['F'][0, 0, 0]) for q in rec])
        ln = np.array([q['F'][0, 1, 1] for q in rec])
        for u in (0.0, 0.25, 0.5, 0.75, 1.0):
            def at(v):
                if u > s[-1]:
                    return v[-1] + (v[-1] - v[-2]) / (s[-1] - s[-2]) * (u - s[-1])
                return float(np.interp(u, s, v)) if len(s) < 4 else cubic(s, v, u)
            pl = f.place(stage, u)[0]
            add('profile %s %.2f: along' % (name, u), pl, pc(at(ln)))
            add('profile %s %.2f: across' % (name, u), pl, pc(at(lt)))
    # --- far column
    for stage, u, name in ((0, 0.0, 'pad edge'), (0, 1.0, 'foot'), (1, 0.5, 'half wall'), (1, 1.0, 'wall last')):
        rec = [q for q in f.rec if q['stage'] == stage]
        q = rec[int(round(u * (len(rec) - 1)))]
        add('far column %s: l1' % name, q['p'][-1], pc(q['l1'][-1]))
    # --- flats, last equilibrium
    X = f.mesh.X.reshape(f.ni, -1, 2)
    x, sg = f.x, f.sg
    rho = stadium(x[0, :, 0], x[0, :, 2], ZC)[0]
    mid = 0.5 * (rho[1:] + rho[:-1])
    al = np.linalg.norm(np.diff(x[0], axis=0), axis=1) / np.diff(sg[0])
    # across: x of the next column over its film X, by angle round the axis
    ac = np.interp(mid, rho, x[1, :, 0] / X[1, :, 0])
    for d in (2.0, 10.0, 25.0):
        pl = (0, 0, d)
        add('profile flats %g mm past lip: along' % d, pl, pc(np.interp(R_LIP + d, mid, al)))
        add('profile flats %g mm past lip: across' % d, pl, pc(np.interp(R_LIP + d, mid, ac)))
    l1, l2 = principal(f.mesh.Fcentre(x.reshape(-1, 3)))
    xc = x.reshape(-1, 3)[f.mesh.q].mean(1)
    on = stadium(xc[:, 0], xc[:, 2], ZC)[0] > R_LIP + f.r
    for what, v in (('l1', l1), ('area', l1 * l2)):
        k = np.flatnonzero(on)[np.argmax(v[on])]
        add('flats: greatest ' + what, xc[k], pc(v[k]))
    # --- check: metric of the film as laid, from the laid places alone
    for stage, name in ((0, 'floor'), (1, 'wall')):
        rec = [q for q in f.rec if q['stage'] == stage]
        worst = 0.0
        for n in range(2, len(rec) - 1):
            dp, dX = rec[n + 1]['p'] - rec[n - 1]['p'], rec[n + 1]['X'] - rec[n - 1]['X']
            tp, tX = f.along(rec[n]['p'], rec[n]['p'], 2), f.along(rec[n]['X'], rec[n]['p'], 1)
            for i in range(2, f.ni - 2):
                if i == f.nth or np.linalg.norm(dp[i]) < 0.05:
                    continue
                G = np.stack([tp[i], dp[i]], 1) @ np.linalg.inv(np.stack([tX[i], dX[i]], 1))
                sv = np.linalg.svd(G, compute_uv=False)
                worst = max(worst, abs(sv[0] - rec[n]['l1'][i]))
        add('check %s: greatest difference l1 (laid places - front)' % name, (0, 0, 0), 100 * worst)
    add('check: deepest pass through the panel', (0, 0, 0), f.dip, 'mm')
    add('run time', (0, 0, 0), time.time() - t0, 's')
    return out


def cubic(s, v, u):
    from scipy.interpolate import CubicSpline
    return float(CubicSpline(s, v)(u))


def one_d():
    out = []
    l0, lf, ll = strip_1d()
    for name, v in (('press', l0), ('foot', lf), ('lip', ll)):
        out.append(('strip 1D: l1 at ' + name, 0., 0., 0., 100 * (v - 1), '%'))
    c = Cone1D()
    n = 12
    rows_ = c.run(n)
    out.append(('cone 1D: area under pad', 0., -DEPTH, 0., 100 * (c.press_l ** 2 - 1), '%'))
    for k, name in ((0, 'pad edge'), (n // 2, 'half floor'), (n, 'foot'), (n + n // 2, 'half wall'), (2 * n, 'lip')):
        r, y, a, h, _ = rows_[k]
        if name == 'half wall':       # rows stop a hair short of the lip: interpolate
            w = rows_[n:]
            a, h, r, y = [cubic(w[:, 0], w[:, q], 30.0) for q in (2, 3, 0, 1)]
        out.append(('cone 1D: %s along' % name, 0., float(y), ZC + float(r), 100 * (a - 1), '%'))
        out.append(('cone 1D: %s across' % name, 0., float(y), ZC + float(r), 100 * (h - 1), '%'))
    R, a, h = c.lip
    out.append(('cone 1D: flats at lip along', 0., 0., ZC + R_LIP, 100 * (a - 1), '%'))
    out.append(('cone 1D: flats at lip across', 0., 0., ZC + R_LIP, 100 * (h - 1), '%'))
    return out


FIELDS = ['case', 'lip_radius_mm', 'mesh', 'quantity', 'x_mm', 'y_mm', 'z_mm', 'value', 'unit']


def load(path):
    if not os.path.exists(path):
        return []
    with open(path, newline='') as fh:
        return [dict(r) for r in csv.DictReader(fh)]


def save(path, table):
    with open(path, 'w', newline='') as fh:
        w = csv.DictWriter(fh, FIELDS, lineterminator='\n')
        w.writeheader()
        w.writerows(table)


def put(table, case, r, m, out):
    table = [t for t in table if not (t['case'] == case and t['lip_radius_mm'] == str(r) and t['mesh'] == str(m))]
    for q, x, y, z, v, u in out:
        table.append(dict(zip(FIELDS, (case, str(r), str(m), q, '%.3f' % x, '%.3f' % y, '%.3f' % z, '%.5f' % v, u))))
    return table


def extrapolate(table):
    """Mesh (second order) and lip radius (first order) to nought, quantity by quantity."""
    table = [t for t in table if t['mesh'] != 'extrapolated']
    for case in dict.fromkeys(t['case'] for t in table):
        runs = {}
        for t in table:
            if t['case'] == case and t['lip_radius_mm'] not in ('', '0'):
                runs.setdefault((float(t['lip_radius_mm']), float(t['mesh'])), {})[t['quantity']] = t
        if not runs:
            continue
        r = min(k[0] for k in runs)
        ms = sorted(k[1] for k in runs if k[0] == r)
        common = [m for m in ms if any(k[1] == m and k[0] > r for k in runs)]
        if not common:
            continue
        mb = common[-1]
        r2 = min(k[0] for k in runs if k[1] == mb and k[0] > r)
        best = runs[(r, ms[-1])]
        for q, t in best.items():
            if q.startswith(('check', 'run')):
                continue
            v = float(t['value'])
            dr = (float(runs[(r, mb)][q]['value']) - float(runs[(r2, mb)][q]['value'])) * r / (r2 - r)
            # mesh: two finest at the small radius, else at the larger one
            pair = ms[-2:] if len(ms) > 1 else None
            if pair:
                src = r
            else:
                m2 = sorted(k[1] for k in runs if k[0] == r2)[-2:]
                pair, src = (m2, r2) if len(m2) > 1 else (None, r)
            dm = 0.0
            if pair:
                a, b = (float(runs[(src, p)][q]['value']) for p in pair)
                dm = (b - a) / ((pair[1] / pair[0]) ** 2 - 1)
            e = dict(t)
            e.update(lip_radius_mm='0', mesh='extrapolated', value='%.4f' % (v + dr + dm))
            table.append(e)
    return table


def main():
    ap = argparse.ArgumentParser(description='reference for film laid into a channel end')
    ap.add_argument('--out', default=os.path.join(os.path.dirname(os.path.abspath(__file__)), 'end.csv'))
    ap.add_argument('--one-d', action='store_true', help='strip and cone in one dimension')
    ap.add_argument('--case', action='append', default=[], metavar='P,r,m',
                    help='one run; P in mm or "cone", lip radius in mm, mesh factor')
    ap.add_argument('--all', action='store_true', help='everything in end.csv')
    ap.add_argument('--zend', type=float, default=-250.0, help='plane where the channel is cut')
    ap.add_argument('-v', action='store_true')
    o = ap.parse_args()
    table = load(o.out)
    cases = [c.split(',') for c in o.case]
    if o.all:
        cases += [(p, r, m) for p, r, m in ALL]
    if o.one_d or o.all:
        table = put(table, '1D', 0, '', one_d())
    for P, r, m in cases:
        cone = P == 'cone'
        out = run(40.0 if cone else float(P), float(r), float(m), cone=cone, zend=o.zend, log=o.v)
        name = 'cone' if cone else 'P=%g' % float(P)
        table = put(table, name, float(r), float(m), out)
        print(name, 'lip radius', r, 'mesh', m)
        for q, x, y, z, v, u in out:
            print('  %-52s (%8.3f %8.3f %8.3f)  %10.4f %s' % (q, x, y, z, v, u), flush=True)
        save(o.out, extrapolate(table))
    table = extrapolate(table)
    save(o.out, table)


# (the lip radius is extrapolated at mesh 1.5, the mesh at lip radius 1)
ALL = [(p, r, m) for p in ('cone', '40', '25') for r, m in (('2', '1'), ('2', '1.5'), ('1', '1.5'), ('1', '2'))]

if __name__ == '__main__':
    main()

"""Eddy-current probe (air core) at the straight edge of a thick conducting block, finite skin depth, in 3-D.

Lowest-order hexahedral edge elements with lumped mass (finite integration) on a graded tensor grid, unknown the
scattered electric field:  curl curl Es + j w mu0 sigma Es = -j w mu0 sigma E0,  E0 = -j w A0 the field of the winding
in air (elliptic integrals), so the winding needs no mesh;  dZ = - integral of E0 . sigma (E0 + Es).
Half model: y = 0 is the plane of symmetry, where the tangential field vanishes. On the outer box Es = 0 in air and E0 + Es = 0 in metal.
Lengths in millimetres inside, metres in the equations.

    python3 eddy3d.py run RAWDIR SIGMA LIFTOFF SCALE D [D ...]   (D: distance of the axis from the edge)
    python3 eddy3d.py sheet RAWDIR SIGMA LIFTOFF SCALE T D ...   (same for a sheet of thickness T)
    python3 eddy3d.py write RAWDIR OUTDIR                        (the tables)
"""
import json
import math
import os
import sys
import time

import numpy as np
import scipy.sparse as sp
from scipy.interpolate import RectBivariateSpline
from scipy.special import ellipe, ellipk, j1

MU0 = 4e-7 * math.pi
P = dict(r1=0.8, r2=1.6, H=1.0, N=40, g=0.2, f=1e6)
BOX = 24.0


def march(start, stop, size):
    """Grid lines from start to stop with steps size(x); the last step is fitted."""
    s = 1 if stop > start else -1
    x = [start]
    while s * (stop - x[-1]) > 0:
        h = size(x[-1])
        h = size(x[-1] + s * h / 2)
        x.append(x[-1] + s * h)
    x = np.array(x)
    return start + (x - start) * (stop - start) / (x[-1] - start)


def vector_potential(h):
    """A_phi of the winding for one ampere, metres and tesla metres, as a spline over r >= 0 and z <= 0.05 mm."""
    r = np.concatenate([np.linspace(0, 5, 251), np.geomspace(5.05, 1.5 * BOX, 80)])
    z = -np.concatenate([np.linspace(0, 3, 151), np.geomspace(3.05, BOX, 60)])[::-1]
    gx, gw = np.polynomial.legendre.leggauss(10)
    n = P["N"] / ((P["r2"] - P["r1"]) * P["H"])
    A = np.zeros((len(r), len(z)))
    R, Z = np.meshgrid(r, z, indexing="ij")
    Rs = np.maximum(R, 1e-9)
    for a, wa in zip((P["r1"] + P["r2"]) / 2 + (P["r2"] - P["r1"]) / 2 * gx, gw * (P["r2"] - P["r1"]) / 2):
        for c, wc in zip(h + P["g"] + P["H"] / 2 * (1 + gx), gw * P["H"] / 2):
            m = 4 * a * Rs / ((a + Rs) ** 2 + (Z - c) ** 2)
            k = np.sqrt(m)
            A += wa * wc * n * MU0 / (math.pi * k) * np.sqrt(a / Rs) * ((1 - m / 2) * ellipk(m) - ellipe(m))
    A[0] = 0
    return RectBivariateSpline(r, z, A, kx=5, ky=5)


def flat_exact(sigma, h, t=None):
    """Dodd and Deeds' integral for a half-space (or plate), 400 nodes."""
    w = 2 * math.pi * P["f"]
    gx, gw = np.polynomial.legendre.leggauss(400)
    x = (gx + 1) / 2
    amax = 40 / ((P["r1"] + P["r2"]) / 2e3)
    a, da = amax * x * x, gw * amax * x
    rg, rw = np.polynomial.legendre.leggauss(40)
    r1, r2, H, g = (P[k] * 1e-3 for k in ("r1", "r2", "H", "g"))
    r = (r1 + r2) / 2 + (r2 - r1) / 2 * rg
    c = ((r * rw * (r2 - r1) / 2)[None, :] * j1(a[:, None] * r)).sum(axis=1)
    n = P["N"] / ((r2 - r1) * H)
    a1 = np.sqrt(a * a + 1j * w * MU0 * sigma)
    G = (a - a1) / (a + a1)
    if t is not None:
        e = np.exp(-2 * a1 * t * 1e-3)
        G = G * (1 - e) / (1 - G * G * e)
    return 1j * w * math.pi * MU0 * n * n * np.sum(
        da * c ** 2 * ((1 - np.exp(-a * H)) / a) ** 2 * G * np.exp(-2 * a * (h * 1e-3 + g)))


def solve(sigma, h, scale, inside, lines_x, lines_y, lines_z, verbose=True):
    w = 2 * math.pi * P["f"]
    X, Y, Z = (np.asarray(v) for v in (lines_x, lines_y, lines_z))
    d = [np.diff(v) * 1e-3 for v in (X, Y, Z)]
    n = [len(v) for v in d]
    dual = []
    for v in d:
        q = np.zeros(len(v) + 1)
        q[:-1] += v / 2
        q[1:] += v / 2
        dual.append(q)
    cx, cy, cz = ((v[1:] + v[:-1]) / 2 for v in (X, Y, Z))
    sig = sigma * inside(cx[:, None, None], cy[None, :, None], cz[None, None, :]).astype(float)

    I = [sp.identity(k, format="csr") for k in n]
    J = [sp.identity(k + 1, format="csr") for k in n]
    Dd = [sp.diags([-np.ones(k), np.ones(k)], [0, 1], shape=(k, k + 1), format="csr") for k in n]
    kr = lambda a, b, c: sp.kron(sp.kron(a, b), c, format="csr")
    # curl: faces from edges
    C = sp.bmat([[None, -kr(J[0], I[1], Dd[2]), kr(J[0], Dd[1], I[2])],
                 [kr(I[0], J[1], Dd[2]), None, -kr(Dd[0], J[1], I[2])],
                 [-kr(I[0], Dd[1], J[2]), kr(Dd[0], I[1], J[2]), None]], format="csr")
    out3 = lambda a, b, c: (a[:, None, None] * b[None, :, None] * c[None, None, :]).ravel()
    nu = np.concatenate([out3(dual[0], 1 / d[1], 1 / d[2]), out3(1 / d[0], dual[1], 1 / d[2]),
                         out3(1 / d[0], 1 / d[1], dual[2])])
    # conductance of each edge: a quarter of every neighbouring cell's section
    def section(axis):
        s = sig
        for k in range(3):
            if k == axis:
                continue
            sh = [1, 1, 1]
            sh[k] = n[k]
            s = s * (d[k] / 2).reshape(sh)
            pad = [(0, 0)] * 3
            pad[k] = (1, 0)
            lo = np.pad(s, pad)
            pad[k] = (0, 1)
            s = lo + np.pad(s, pad)
        sh = [1, 1, 1]
        sh[axis] = n[axis]
        return (s / d[axis].reshape(sh)).ravel()
    ms = np.concatenate([section(0), section(1), section(2)])
    K = (C.T @ sp.diags(nu) @ C).tocsr()

    # boundary: tangential field zero on the six faces (y = 0 is the plane of symmetry)
    def face(axis):
        f = np.zeros([n[k] + (k != axis) for k in range(3)], bool)
        for k in range(3):
            if k != axis:
                i = [slice(None)] * 3
                i[k] = [0, -1]
                f[tuple(i)] = True
        return f.ravel()
    free = ~np.concatenate([face(0), face(1), face(2)])

    # source: line integral of E0 = -j w A0 along the conducting edges
    A = vector_potential(h)
    e0 = np.zeros(len(ms), complex)
    ex = np.nonzero(ms[:n[0] * (n[1] + 1) * (n[2] + 1)])[0]
    gq, gw = np.polynomial.legendre.leggauss(3)
    i, j, k = np.unravel_index(ex, (n[0], n[1] + 1, n[2] + 1))
    for q, wq in zip(gq, gw):
        x = cx[i] + (X[i + 1] - X[i]) / 2 * q
        r = np.hypot(x, Y[j])
        a = A.ev(r, Z[k])
        e0[ex] += -1j * w * wq / 2 * d[0][i] * a * np.where(r > 0, -Y[j] / np.maximum(r, 1e-12), 0)
    base = n[0] * (n[1] + 1) * (n[2] + 1)
    ey = np.nonzero(ms[base:base + (n[0] + 1) * n[1] * (n[2] + 1)])[0]
    i, j, k = np.unravel_index(ey, (n[0] + 1, n[1], n[2] + 1))
    for q, wq in zip(gq, gw):
        y = cy[j] + (Y[j + 1] - Y[j]) / 2 * q
        r = np.hypot(X[i], y)
        a = A.ev(r, Z[k])
        e0[base + ey] += -1j * w * wq / 2 * d[1][j] * a * np.where(r > 0, X[i] / np.maximum(r, 1e-12), 0)

    idx = np.nonzero(free)[0]
    S = (K[idx][:, idx] + sp.diags(1j * w * MU0 * ms[idx])).tocsr()
    # the metal ends at the box: there the total field, not the scattered one, is zero (else E0 heats the far faces)
    wall = np.nonzero(~free)[0]
    b = -1j * w * MU0 * (ms * e0)[idx] + K[idx][:, wall] @ e0[wall]
    x, its = cocg(S, b, verbose)
    e = e0.copy()
    e[wall] = 0
    e[idx] += x
    return -2 * np.sum(e0 * ms * e), its, len(idx)


def cocg(S, b, verbose, tol=1e-6):
    """Conjugate orthogonal conjugate gradients (complex symmetric matrix) with diagonal preconditioning."""
    M = 1 / np.sqrt(S.diagonal())
    T = (sp.diags(M) @ S @ sp.diags(M)).tocsr()
    r = M * b
    x = np.zeros_like(r)
    p = r.copy()
    rho = r @ r
    r0 = np.linalg.norm(r)
    t = time.time()
    for k in range(30000):
        q = T @ p
        al = rho / (p @ q)
        x += al * p
        r -= al * q
        nr = np.linalg.norm(r)
        if verbose and k % 500 == 0:
            print(f"#   {k} {nr / r0:.2e} {time.time() - t:.0f} s", flush=True)
        if nr < tol * r0:
            break
        new = r @ r
        p = r + (new / rho) * p
        rho = new
    else:
        raise RuntimeError("no convergence")
    return x * M, k


def grid(sigma, scale, edges, thickness):
    """Grid lines; every edge position is a line, so that one grid serves them all and the flat block too."""
    delta = 503.292 / math.sqrt(P["f"] * sigma * 1e-6)
    h0 = min(delta / 6, 0.06)
    if thickness:
        h0 = min(h0, thickness / 5)
    grow = 0.12
    centre = lambda v: 0.12 + 0.25 * max(0, abs(v) - 2.2)
    fx = lambda x: scale * min(min(h0 + grow * abs(x - d) for d in edges), centre(x))
    fy = lambda y: scale * centre(y)
    faces = [0.0] + ([-thickness] if thickness else [])
    fz = lambda z: scale * min(min(h0 + grow * abs(z - f) for f in faces), 0.2 + 0.3 * max(0, abs(z) - 1.5))
    return through(sorted(edges), fx), march(0, BOX, fy), through(sorted(faces), fz)


def through(marks, size):
    """Grid lines over the whole box with a line at every mark."""
    parts = [march(marks[0], -BOX, size)[::-1]]
    for a, b in zip(marks, marks[1:]):
        mid = (a + b) / 2
        parts += [march(a, mid, size)[1:], march(b, mid, size)[::-1][1:]]
    parts.append(march(marks[-1], BOX, size)[1:])
    return np.concatenate(parts)


def write(rawdir, outdir):
    import glob
    runs = [json.load(open(f)) for f in sorted(glob.glob(os.path.join(rawdir, "eddy_*.json")))]
    for T in sorted({r["thickness"] or 0 for r in runs}):
        group = {}
        for r in runs:
            if (r["thickness"] or 0) == T:
                group.setdefault((r["sigma"], r["h"], r["d"]), []).append(r)
        rows, worst = [], 0.0
        for k in sorted(group, key=lambda k: (-k[0], k[1], k[2])):
            q = sorted(group[k], key=lambda r: r["scale"])
            f = q[0]
            ratio = [complex(*r["edge"]) / complex(*r["flat"]) for r in q]
            exact = complex(*f["exact"])
            flaterr = [abs(complex(*r["flat"]) - exact) / abs(exact) for r in q]
            worst = max(worst, flaterr[0])
            best, step = ratio[0], float("nan")
            if len(q) > 1:
                # the flat block shows errors of second order in the step, so the ratio is extrapolated likewise
                best += (ratio[0] - ratio[1]) / ((q[1]["scale"] / q[0]["scale"]) ** 2 - 1)
                step = abs(best - ratio[0])
            z = best * exact
            rows.append(f"{k[1]:g},{P['f']:g},1,{k[0]:g},{k[2]:g},{z.real:.6e},{z.imag:.6e},{abs(best):.5f},"
                        f"{best.real:.5f},{best.imag:.5f},{abs(ratio[-1]) if len(q) > 1 else float('nan'):.5f},"
                        f"{abs(ratio[0]):.5f},{step:.5f},{flaterr[0]:.1e},{f['unknowns']}")
        base = "right-angle edge of a thick block (air angle 3pi/2), probe axis at distance d inside the edge" if not T else \
            f"straight edge of a flat sheet {T:g} mm thick, air below and beside it, probe axis at distance d inside the edge"
        head = ["source: independent 3-D finite elements (lowest-order hexahedral edge elements with lumped mass, scattered "
                "electric field, finite skin depth), made for this project by scripts/eddy3d.py",
                f"coil_inner_radius_mm: {P['r1']:g}", f"coil_outer_radius_mm: {P['r2']:g}", f"coil_height_mm: {P['H']:g}",
                f"coil_turns: {P['N']}", f"coil_recess_mm: {P['g']:g}", "core: none", f"base: {base}",
                "ratio: dZ / dZ_flat, both on the same grid (flat: the air beside the edge filled with metal), complex; "
                "ratio_coarse and ratio_fine are its absolute values on the two grids (all steps x 2 and x 1.4), "
                "ratio_abs, ratio_re and ratio_im its extrapolation to zero step (error of second order); nan: one grid only",
                "dR and dX: ratio_re + j ratio_im times Dodd and Deeds' flat dZ (exact integral)",
                "extrapolation_step: |extrapolated - fine| of the complex ratio; flat_error: |dZ_flat on the fine grid - exact| "
                "/ |exact|, which fell as the square of the step",
                f"outer_boundary: box of half-width {BOX:g} mm, scattered field 0 in air, total field 0 in the metal; plane of symmetry y = 0; time factor exp(+j w t)",
                "units: lift-off and d mm, frequency Hz, conductivity S/m, dR and dX ohm"]
        name = "eddy_air_edge_3d.csv" if not T else f"eddy_air_sheet_edge_{T:g}_3d.csv"
        with open(os.path.join(outdir, name), "w") as f:
            f.writelines(f"# {l}\n" for l in head)
            f.write("liftoff_mm,freq_Hz,mur,sigma_S_per_m,d_mm,dR_ohm,dX_ohm,ratio_abs,ratio_re,ratio_im,"
                    "ratio_coarse,ratio_fine,extrapolation_step,flat_error,unknowns\n" + "\n".join(rows) + "\n")
        print(name, len(rows), "rows, flat error up to", worst)


def main():
    if sys.argv[1] == "write":
        return write(sys.argv[2], sys.argv[3])
    mode, rawdir, sigma, h, scale = sys.argv[1], sys.argv[2], float(sys.argv[3]), float(sys.argv[4]), float(sys.argv[5])
    rest = [float(v) for v in sys.argv[6:]]
    T = rest.pop(0) if mode == "sheet" else None
    g = grid(sigma, scale, rest, T)
    deep = -T if T else -1e9
    print("grid lines", [len(v) for v in g], flush=True)
    ex = flat_exact(sigma, h, T)
    flat, its, n = solve(sigma, h, scale, lambda x, y, z: (x < 1e9) & (z < 0) & (z > deep) & (y > -1), *g)
    print("flat", sigma, h, scale, n, "unknowns", its, "steps", flat, "exact", ex, "relative error",
          abs(flat - ex) / abs(ex), flush=True)
    for d in rest:
        Z, its, n = solve(sigma, h, scale, lambda x, y, z: (x < d) & (z < 0) & (z > deep) & (y > -1), *g)
        print("edge", d, sigma, h, scale, its, "steps", Z, "ratio", Z / flat, abs(Z / flat), flush=True)
        tag = f"sheet{T:g}" if T else "block"
        with open(os.path.join(rawdir, f"eddy_{tag}_{sigma:g}_{h:g}_{scale:g}_{d:g}.json"), "w") as f:
            json.dump(dict(sigma=sigma, h=h, scale=scale, d=d, thickness=T, unknowns=n, exact=[ex.real, ex.imag],
                           edge=[Z.real, Z.imag], flat=[flat.real, flat.imag]), f)


if __name__ == "__main__":
    main()

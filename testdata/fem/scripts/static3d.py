"""Static magnetic probe over parts without rotational symmetry, by tetrahedral finite elements.

Formulation: H = T0 - grad(Omega), where T0 points along the probe axis inside the cylinder bounded by the
winding, T0 = turns density * min(r2 - r, r2 - r1), so curl T0 is the winding's current density. Omega is
continuous everywhere (also inside the core), P2 on curved (isoparametric) tetrahedra, and div(mur H) = 0.
Nothing here is shared with the axisymmetric script, which solves for the vector potential.
gmsh makes the mesh, numpy the matrices, PETSc (conjugate gradients) the solution.
Lengths in millimetres.
"""
import math
import sys

import numpy as np
import scipy.sparse as sp

sys.path.insert(0, "/usr/lib/petscdir/petsc3.18/x86_64-linux-gnu-real/lib/python3/dist-packages")
import petsc4py  # noqa: E402

petsc4py.init([])
from petsc4py import PETSc  # noqa: E402
import gmsh  # noqa: E402

MU0 = 4e-7 * math.pi
AIR = dict(r1=1.5, r2=3.5, H=4.0, N=500, g=0.3)
CORED = dict(AIR, rc=1.25, lc=8.0, cap=0.05)
CORE_MUR = 1000.0


def quadrature():
    """14 points, exact to degree 5 on the unit tetrahedron (Walkington)."""
    pts, wts = [], []
    for a, w in ((0.31088591926330060980, 0.11268792571801585080), (0.092735250310891226402, 0.073493043116361949544)):
        for k in range(4):
            b = [a] * 4
            b[k] = 1 - 3 * a
            pts.append(b[1:])
            wts.append(w / 6)
    a = 0.045503704125649649492
    for i in range(4):
        for j in range(i + 1, 4):
            b = [a] * 4
            b[i] = b[j] = 0.5 - a
            pts.append(b[1:])
            wts.append(0.042546020777081466438 / 6)
    return np.array(pts), np.array(wts)


def shape_gradients(pt):
    """Values and gradients of the 10 P2 functions in gmsh's node order."""
    x, y, z = pt
    l = np.array([1 - x - y - z, x, y, z])
    dl = np.array([[-1, -1, -1], [1, 0, 0], [0, 1, 0], [0, 0, 1.0]])
    val = list(l * (2 * l - 1))
    g = [(4 * l[i] - 1) * dl[i] for i in range(4)]
    for i, j in ((0, 1), (1, 2), (0, 2), (0, 3), (2, 3), (1, 3)):
        val.append(4 * l[i] * l[j])
        g.append(4 * (l[i] * dl[j] + l[j] * dl[i]))
    return np.array(val), np.array(g)


class Model:
    """A meshed probe over a part; solve() is called once for each choice of permeabilities."""

    def __init__(self, probe, h, build, region, sizes, symmetry, D=100.0, verbose=True):
        """build(occ) adds the part's volumes and returns their tags, region(x, y, z) names the region of a point
        of the part or returns None (air), sizes are texts of the element size in x, y, z (the least rules),
        symmetry is 2 (y >= 0 kept) or 4 (x >= 0 and y >= 0 kept)."""
        self.p, self.h, self.symmetry, self.D = probe, h, symmetry, D
        gmsh.initialize()
        gmsh.option.setNumber("General.Verbosity", 1)
        occ = gmsh.model.occ
        x0 = 0 if symmetry == 4 else -D
        keep = lambda: [(3, occ.addBox(x0, 0, -D, D - x0, D, 2 * D))]
        dom = keep()
        tools = []
        zb = h + probe["g"]
        tools.append((3, occ.addCylinder(0, 0, zb, 0, 0, probe["H"], probe["r1"])))
        tools.append((3, occ.addCylinder(0, 0, zb, 0, 0, probe["H"], probe["r2"])))
        if "rc" in probe:
            zt, rc = h + probe["cap"], probe["rc"]
            a = occ.addSphere(0, 0, zt + rc, rc)
            b = occ.addCylinder(0, 0, zt + rc, 0, 0, probe["lc"] - rc, rc)
            u, _ = occ.fuse([(3, a)], [(3, b)])
            tools += u
        tools += [(3, t) for t in build(occ)]
        clipped = []
        for t in tools:
            o, _ = occ.intersect([t], keep())
            clipped += o
        occ.fragment(dom, clipped)
        occ.synchronize()
        for k in ("FromPoints", "FromCurvature", "ExtendFromBoundary"):
            gmsh.option.setNumber("Mesh.CharacteristicLength" + k, 0)
        gmsh.option.setNumber("Mesh.CharacteristicLengthMax", D)
        gmsh.option.setNumber("Mesh.Algorithm3D", 1)
        gmsh.option.setNumber("Mesh.Optimize", 1)
        # size fields as text for gmsh's own evaluator: a Python call-back made meshing ten times slower
        fld = gmsh.model.mesh.field
        made = []
        for text in self._probe_sizes() + list(sizes):
            k = fld.add("MathEval")
            fld.setString(k, "F", f"{probe.get('scale', 1.0)}*({text})")
            made.append(k)
        k = fld.add("Min")
        fld.setNumbers(k, "FieldsList", made)
        fld.setAsBackgroundMesh(k)
        gmsh.model.mesh.generate(3)
        gmsh.model.mesh.setOrder(2)
        ids, xyz, _ = gmsh.model.mesh.getNodes()
        pos = np.zeros(int(ids.max()) + 1, int)
        pos[ids.astype(int)] = np.arange(len(ids))
        xyz = xyz.reshape(-1, 3)
        tets, names = [], []
        for _, vol in gmsh.model.getEntities(3):
            _, _, conn = gmsh.model.mesh.getElements(3, vol)
            if not conn:
                continue
            t = pos[conn[0].astype(int).reshape(-1, 10)]
            v = xyz[t[:, :4]]
            vol6 = abs(np.einsum("ij,ij->i", v[:, 1] - v[:, 0], np.cross(v[:, 2] - v[:, 0], v[:, 3] - v[:, 0])))
            c = v[np.argmax(vol6)].mean(axis=0)
            tets.append(t)
            names += [self._name(c, region)] * len(t)
        gmsh.finalize()
        t = np.vstack(tets)
        used = np.unique(t)
        new = np.zeros(len(xyz), int)
        new[used] = np.arange(len(used))
        self.xyz, self.tet = xyz[used], new[t]
        self.names = np.array(names)
        self._assemble()
        if verbose:
            print(f"# {len(self.tet)} tetrahedra, {len(self.xyz)} unknowns, smallest detJ {self.mindet:.2e}, "
                  f"volumes { {n: round(float(self.vol[self.names == n].sum()), 4) for n in np.unique(self.names)} }",
                  flush=True)

    def _probe_sizes(self):
        p, h = self.p, self.h
        zb, r = h + p["g"], "Sqrt(x^2+y^2)"
        zm, rm = zb + p["H"] / 2, p["r2"] / 2
        # distance from the winding's cylinder, as half of (|d| + d) for each direction
        dr = f"((Fabs({r}-{p['r2']})+{r}-{p['r2']})/2)"
        dz = f"((Fabs(Fabs(z-{zm})-{p['H'] / 2})+Fabs(z-{zm})-{p['H'] / 2})/2)"
        out = [f"0.55+0.35*Sqrt({dr}^2+{dz}^2)+0.1*(Fabs(z-{zb})+z-{zb})/2"]
        if "rc" in p:
            zt, rc = h + p["cap"], p["rc"]
            down = f"((Fabs(z-{zt + rc})-(z-{zt + rc}))/2)"
            over = f"((Fabs(z-{zt + p['lc']})+z-{zt + p['lc']})/2)"
            out.append(f"{0.3 * rc}+0.35*Fabs(Sqrt(x^2+y^2+{down}^2)-{rc})+0.25*{over}")
            out.append(f"{0.45 * zt + 0.02}+0.25*Sqrt(x^2+y^2+(z-{zt / 2})^2)")
        return out

    def _name(self, c, region):
        p, h = self.p, self.h
        r, z = math.hypot(c[0], c[1]), c[2]
        zb = h + p["g"]
        inside = zb < z < zb + p["H"] and r < p["r2"]
        if "rc" in p:
            zt, rc = h + p["cap"], p["rc"]
            if math.hypot(r, z - zt - rc) < rc or (r < rc and zt + rc < z < zt + p["lc"]):
                return "core in winding" if inside else "core"
        if inside:
            return "winding"
        return region(*c) or "air"

    def _assemble(self):
        pts, wts = quadrature()
        p = self.p
        n = p["N"] / ((p["r2"] - p["r1"]) * p["H"])
        E = len(self.tet)
        self.Ke = np.zeros((E, 10, 10))
        self.vol = np.zeros(E)
        self.load = np.zeros(len(self.xyz))
        self.energy0, self.mindet = 0.0, np.inf
        src = np.isin(self.names, ["winding", "core in winding"])
        mu = np.where(np.char.startswith(self.names, "core"), CORE_MUR, 1.0)
        for lo in range(0, E, 40000):
            e = slice(lo, lo + 40000)
            X = self.xyz[self.tet[e]]
            ms, me = src[e], mu[e]
            for pt, w in zip(pts, wts):
                val, dN = shape_gradients(pt)
                J = np.einsum("eni,nj->eij", X, dN)
                det = np.linalg.det(J)
                self.mindet = min(self.mindet, det.min())
                G = np.einsum("nj,eji->eni", dN, np.linalg.inv(J))
                wd = w * abs(det)
                self.Ke[e] += np.einsum("eni,emi->enm", G * wd[:, None, None], G)
                self.vol[e] += wd
                if ms.any():
                    q = np.einsum("eni,n->ei", X[ms], val)
                    r = np.hypot(q[:, 0], q[:, 1])
                    T = n * np.minimum(p["r2"] - r, p["r2"] - p["r1"]) * me[ms] * wd[ms]
                    np.add.at(self.load, self.tet[e][ms].ravel(), (G[ms][:, :, 2] * T[:, None]).ravel())
        rows = np.repeat(self.tet, 10, axis=1).ravel()
        cols = np.tile(self.tet, (1, 10)).ravel()
        N = len(self.xyz)
        key = rows.astype(np.int64) * N + cols
        uniq, inv = np.unique(key, return_inverse=True)
        self.slot = inv.astype(np.int32)
        self.indices = (uniq % N).astype(np.int32)
        self.indptr = np.searchsorted(uniq // N, np.arange(N + 1)).astype(np.int32)
        self.rowof = (uniq // N).astype(np.int32)
        D = self.D
        self.fixed = (np.abs(np.abs(self.xyz[:, 0]) - D) < 1e-6) | (np.abs(self.xyz[:, 1] - D) < 1e-6) \
            | (np.abs(np.abs(self.xyz[:, 2]) - D) < 1e-6)
        self.guess = np.zeros(N)

    def solve(self, mur, preconditioner="sor"):
        """mur maps region names to relative permeability (missing: air). Returns u.b, so that
        dL = mu0 * symmetry * (u.b without part - u.b with part). "sor" (symmetric Gauss-Seidel) needs about 200
        steps on blocks; on sheets it needs 10 000, so choose "hypre" (algebraic multigrid, 30 dearer steps)."""
        m = np.ones(len(self.tet))
        for k in np.unique(self.names):
            m[self.names == k] = CORE_MUR if k.startswith("core") else mur.get(k, 1.0)
        data = np.bincount(self.slot, weights=(self.Ke * m[:, None, None]).ravel(), minlength=len(self.indices))
        fr, fc = self.fixed[self.rowof], self.fixed[self.indices]
        diag = self.rowof == self.indices
        data[(fr | fc) & ~diag] = 0
        data[fr & diag] = 1
        N = len(self.xyz)
        A = PETSc.Mat().createAIJ((N, N), csr=(self.indptr, self.indices, data))
        b = np.where(self.fixed, 0, self.load)
        ksp = PETSc.KSP().create()
        ksp.setOperators(A)
        ksp.setType("cg")
        ksp.getPC().setType(preconditioner)
        ksp.setTolerances(rtol=1e-6, max_it=20000)  # the error of u.b is of second order
        ksp.setNormType(PETSc.KSP.NormType.NATURAL)
        ksp.setInitialGuessNonzero(True)
        x, bb = PETSc.Vec().createWithArray(self.guess.copy()), PETSc.Vec().createWithArray(b)
        ksp.solve(bb, x)
        u = x.getArray().copy()
        if ksp.getConvergedReason() < 0:
            raise RuntimeError(f"no convergence: {ksp.getConvergedReason()}")
        self.guess = u
        self.iterations = ksp.getIterationNumber()
        for o in (ksp, A, x, bb):
            o.destroy()
        return float(u @ b)

    def inductance_change(self, air, with_part):
        return MU0 * 1e-3 * self.symmetry * (air - with_part)


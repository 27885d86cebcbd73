"""Axisymmetric finite-element reference tables for probes over round parts.

gmsh makes the mesh, axisym.edp (FreeFEM) solves; this script describes the
probes and parts, labels the regions and writes the tables. Run it as
    python3 axisym.py OUTDIR [NAME ...]   (default: every table; existing files are kept)
Lengths in millimetres, conductivity in S/m.
"""
import math
import os
import subprocess
import sys
import tempfile

import numpy as np

MU0 = 4e-7 * math.pi
HERE = os.path.dirname(os.path.abspath(__file__))
DOMAIN = float(os.environ.get("FEM_DOMAIN", "240"))

PROBES = {
    "magnetic_air": dict(r1=1.5, r2=3.5, H=4.0, N=500, g=0.3, f=300.0),
    "eddy_air": dict(r1=0.8, r2=1.6, H=1.0, N=40, g=0.2, f=1e6),
    "magnetic_cored": dict(r1=1.5, r2=3.5, H=4.0, N=500, g=0.3, f=300.0,
                           rc=1.25, lc=8.0, cap=0.05),
    "eddy_cored": dict(r1=0.8, r2=1.6, H=1.0, N=40, g=0.2, f=1e6,
                       rc=0.6, lc=2.5, cap=0.05),
}
CORE_MUR = 1000.0


class Part:
    """One base: OpenCASCADE surfaces, a label for each point, mesh sizes."""

    def __init__(self, shapes, label, fields, header):
        self.shapes, self.label, self.fields, self.header = shapes, label, fields, header


def disc(tag, zc, R):
    return (f"Disk({tag}) = {{0,{zc},0,{R}}};\n"
            f"Rectangle({tag + 500}) = {{0,{zc - R - 1},0,{R + 1},{2 * R + 2}}};\n"
            f"BooleanIntersection({tag + 600}) = {{ Surface{{{tag}}}; Delete; }}{{ Surface{{{tag + 500}}}; Delete; }};\n",
            tag + 600)


def rect(tag, r0, z0, dr, dz):
    return f"Rectangle({tag}) = {{{r0},{z0},0,{dr},{dz}}};\n", tag


# Size fields as text for gmsh's MathEval: x is the radius, y the height.
def near_line(h, z, grow=0.25, along=0.05):
    return f"{h}+{grow}*Fabs(y-({z}))+{along}*x"


def near_circle(h, zc, R, top, grow=0.25, along=0.02):
    # top: height of the point of the circle on the axis nearest the probe
    return f"{h}+{grow}*Fabs(Sqrt(x^2+(y-({zc}))^2)-{R})+{along}*Sqrt(x^2+(y-({top}))^2)"


def near_point(h, r, z, grow=0.2):
    return f"{h}+{grow}*Sqrt((x-({r}))^2+(y-({z}))^2)"


def skin(p):
    return 0.06 if p["f"] < 1e4 else 0.015


def half(p):
    D = DOMAIN
    return Part([rect(10, 0, -2 * D, 2 * D, 2 * D)],
                lambda r, z: 4 if z < 0 else 1,
                [near_line(skin(p), 0)], ["base: half-space"])


def plate(p, t):
    D = DOMAIN
    return Part([rect(10, 0, -t, 2 * D, t)],
                lambda r, z: 4 if -t < z < 0 else 1,
                [near_line(min(skin(p), t / 4), 0), near_line(min(skin(p), t / 4), -t)],
                ["base: plate", f"base_thickness_mm: {t:g}"])


def duplex(p, t, hs):
    D = DOMAIN
    return Part([rect(10, 0, -t, 2 * D, t), rect(11, 0, -2 * D, 2 * D, 2 * D - t)],
                lambda r, z: 4 if -t < z < 0 else (5 if z < 0 else 1),
                [near_line(min(skin(p), t / 4), 0, along=0.03), near_line(min(hs, t / 4), -t, along=0.02)],
                None)


def sphere(p, R):
    return Part([disc(10, -R, R)],
                lambda r, z: 4 if math.hypot(r, z + R) < R else 1,
                [near_circle(skin(p), -R, R, 0)],
                ["base: sphere", f"base_radius_mm: {R:g}"])


def bowl(p, R):
    D = DOMAIN
    return Part([rect(11, 0, -2 * D, 2 * D, 2 * D + R), disc(10, R, R)],
                lambda r, z: 1 if math.hypot(r, z - R) < R or z > R else 4,
                [near_circle(skin(p), R, R, 0)],
                ["base: spherical hollow (bowl) in a thick block; the block fills everything below the equator of the "
                 "sphere outside it and the air everything above the equator", f"base_radius_mm: {R:g}"])


def shell(p, R, t):
    h = min(skin(p), t / 3)
    return Part([disc(10, -R, R), disc(11, -R, R - t)],
                lambda r, z: 4 if R - t < math.hypot(r, z + R) < R else 1,
                [near_circle(h, -R, R, 0, along=0.03), near_circle(h, -R, R - t, -t, along=0.03)],
                ["base: spherical shell, air inside, probe outside (convex)", f"base_radius_mm: {R:g}",
                 f"base_thickness_mm: {t:g}"])


def hole(p, a):
    D = DOMAIN
    s = skin(p)
    return Part([rect(10, a, -2 * D, 2 * D, 2 * D)],
                lambda r, z: 4 if z < 0 and r > a else 1,
                [near_line(max(s, 0.03), 0, grow=0.3), near_point(0.25 * s, a, 0, 0.15),
                 f"{s}+0.25*Fabs(x-{a})+0.08*Fabs(y)"],
                ["base: thick block (to the outer boundary) with a round through hole, probe axis on the hole axis; "
                 "lift-off is counted from the plane of the block's face", f"hole_radius_mm: {a:g}"])


def bar(p, a, length=50.0):
    s = skin(p)
    return Part([rect(10, 0, -length, a, length)],
                lambda r, z: 4 if -length < z < 0 and r < a else 1,
                [near_line(s, 0), near_point(0.25 * s, a, 0, 0.15),
                 f"{s}+0.25*Fabs(x-{a})+0.08*Fabs(y)"],
                ["base: flat end face of a round bar, probe axis on the bar axis, air all round",
                 f"base_radius_mm: {a:g}", f"base_length_mm: {length:g}"])


def make_mesh(p, part, h, scale, path):
    D = DOMAIN
    zb = h + p["g"]
    geo = ['SetFactory("OpenCASCADE");\n']
    s, dom = disc(1, 0, D)
    geo.append(s)
    tools = []
    for text, tag in part.shapes:
        # clip the part to the domain
        c, d = disc(tag + 1000, 0, D)
        geo += [text, c, f"BooleanIntersection({tag + 3000}) = {{ Surface{{{tag}}}; Delete; }}"
                f"{{ Surface{{{d}}}; Delete; }};\n"]
        tools.append(tag + 3000)
    s, tag = rect(100, p["r1"], zb, p["r2"] - p["r1"], p["H"])
    geo.append(s)
    tools.append(tag)
    big = 0.12 * p["r2"]
    fields = list(part.fields)
    fields.append(f"{0.09 * p['r2'] / 3.5 * 1.5}+0.15*Sqrt((x-{(p['r1'] + p['r2']) / 2})^2+(y-{zb})^2)")
    fields.append(f"{big}+0.2*Sqrt(x^2+(y-{zb + p['H'] / 2})^2)")
    for r in (p["r1"], p["r2"]):
        fields.append(near_point(0.03 * p["r2"], r, zb))
    if "rc" in p:
        zt, rc = h + p["cap"], p["rc"]
        s, tag = disc(110, zt + rc, rc)
        geo.append(s)
        t2, tag2 = rect(111, 0, zt + rc, rc, p["lc"] - rc)
        geo.append(t2)
        geo.append(f"BooleanUnion(112) = {{ Surface{{{tag}}}; Delete; }}{{ Surface{{{tag2}}}; Delete; }};\n")
        tools.append(112)
        fields.append(near_point(0.22 * zt + 0.002, 0, (zt if zt < 1 else zt), 0.1))
        fields.append(f"{0.03 * rc}+0.2*Fabs(Sqrt(x^2+(y-{zt + rc})^2)-{rc})+0.03*Sqrt(x^2+(y-{zt})^2)")
        fields.append(f"{0.08 * rc}+0.2*Fabs(x-{rc})+0.1*Fabs(y-{zt + p['lc'] / 2})/{p['lc']}")
        fields.append(near_point(0.02 * rc, rc, zt + p["lc"], 0.2))
    geo.append(f"BooleanFragments{{ Surface{{{dom}}}; Delete; }}{{ Surface{{{','.join(map(str, tools))}}}; Delete; }}\n")
    for i, f in enumerate(fields):
        geo.append(f'Field[{i + 1}] = MathEval; Field[{i + 1}].F = "{scale}*({f})";\n')
    n = len(fields)
    geo.append(f"Field[{n + 1}] = Min; Field[{n + 1}].FieldsList = {{{','.join(str(i + 1) for i in range(n))}}};\n")
    geo.append(f"Background Field = {n + 1};\nMesh.CharacteristicLengthExtendFromBoundary = 0;\n"
               "Mesh.CharacteristicLengthFromPoints = 0;\nMesh.CharacteristicLengthFromCurvature = 0;\n"
               f"Mesh.CharacteristicLengthMax = {scale * D / 8};\nMesh.Algorithm = 5;\n"
               "Mesh.MshFileVersion = 2.2;\nMesh.SaveAll = 1;\n")
    open(path + ".geo", "w").write("".join(geo))
    subprocess.run(["gmsh", "-2", "-v", "1", path + ".geo", "-o", path + ".msh"], check=True,
                   stdout=subprocess.DEVNULL)
    return write_freefem(p, part, h, path)


def region(p, part, h, r, z):
    zb = h + p["g"]
    if p["r1"] < r < p["r2"] and zb < z < zb + p["H"]:
        return 2
    if "rc" in p:
        zt, rc = h + p["cap"], p["rc"]
        if math.hypot(r, z - zt - rc) < rc or (r < rc and zt + rc < z < zt + p["lc"]):
            return 3
    return part.label(r, z)


def write_freefem(p, part, h, path):
    """Label every gmsh surface by its largest triangle and write FreeFEM's own mesh format."""
    lines = open(path + ".msh").read().split("\n")
    i = lines.index("$Nodes")
    nn = int(lines[i + 1])
    xy, ids = np.zeros((nn, 2)), {}
    for k in range(nn):
        a = lines[i + 2 + k].split()
        ids[int(a[0])] = k
        xy[k] = float(a[1]), float(a[2])
    i = lines.index("$Elements")
    tri, surf = [], []
    for k in range(int(lines[i + 1])):
        a = lines[i + 2 + k].split()
        if a[1] == "2":
            nt = int(a[2])
            surf.append(int(a[2 + nt]))
            tri.append([ids[int(b)] for b in a[3 + nt:6 + nt]])
    tri, surf = np.array(tri), np.array(surf)
    swap_flat_triangles(xy, tri, surf)
    return write_labels(p, part, h, path, xy, tri, surf)


def swap_flat_triangles(xy, tri, surf):
    """gmsh now and then leaves a triangle of three points on one line: swap its longest side with the neighbour's."""
    for _ in range(50):
        P = xy[tri]
        side = np.linalg.norm(P[:, [1, 2, 0]] - P[:, [2, 0, 1]], axis=2)
        u, v = P[:, 1] - P[:, 0], P[:, 2] - P[:, 0]
        flat = np.nonzero(abs(u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]) < 1e-4 * side.max(axis=1) ** 2)[0]
        if len(flat) == 0:
            return
        t = flat[0]
        k = int(np.argmax(side[t]))
        b, a, c = tri[t, k], tri[t, (k + 1) % 3], tri[t, (k + 2) % 3]
        near = [n for n in np.nonzero(((tri == a) | (tri == c)).sum(axis=1) == 2)[0] if n != t]
        if not near:
            raise RuntimeError("flat triangle at the rim of the mesh")
        n = near[0]
        d = [w for w in tri[n] if w not in (a, c)][0]
        tri[t], tri[n] = (a, b, d), (b, c, d)
        surf[t] = surf[n]
    raise RuntimeError("too many flat triangles")


def write_labels(p, part, h, path, xy, tri, surf):
    nn = len(xy)
    P = xy[tri]
    area = 0.5 * ((P[:, 1, 0] - P[:, 0, 0]) * (P[:, 2, 1] - P[:, 0, 1])
                  - (P[:, 2, 0] - P[:, 0, 0]) * (P[:, 1, 1] - P[:, 0, 1]))
    flip = area < 0
    tri[flip] = tri[flip][:, [0, 2, 1]]
    cen = P.mean(axis=1)
    lab = np.zeros(len(tri), int)
    for s in np.unique(surf):
        m = np.where(surf == s)[0]
        c = cen[m[np.argmax(abs(area[m]))]]
        lab[m] = region(p, part, h, c[0], c[1])
    used = np.unique(tri)
    new = -np.ones(nn, int)
    new[used] = np.arange(len(used))
    xy, tri = xy[used], new[tri]
    e = np.sort(np.vstack([tri[:, [0, 1]], tri[:, [1, 2]], tri[:, [2, 0]]]), axis=1)
    e, c = np.unique(e, axis=0, return_counts=True)
    e = e[c == 1]
    with open(path + ".mesh", "w") as f:
        f.write(f"MeshVersionFormatted 1\n\nDimension 2\n\nVertices\n{len(xy)}\n")
        f.writelines(f"{a:.15g} {b:.15g} 0\n" for a, b in xy)
        f.write(f"\nEdges\n{len(e)}\n")
        f.writelines(f"{a + 1} {b + 1} 1\n" for a, b in e)
        f.write(f"\nTriangles\n{len(tri)}\n")
        f.writelines(f"{a + 1} {b + 1} {c + 1} {l}\n" for (a, b, c), l in zip(tri, lab))
        f.write("\nEnd\n")
    return len(tri), {int(l): float(abs(area[lab == l]).sum()) for l in np.unique(lab)}


def solve(p, part, h, materials, scale=1.0, work=None):
    """Return L_air and the list of dL (henry, complex), one for each material."""
    with tempfile.TemporaryDirectory() as d:
        path = os.path.join(d, "m")
        make_mesh(p, part, h, scale, path)
        with open(path + ".cases", "w") as f:
            f.write(f"{len(materials) + 1}\n")
            for m in [{}] + list(materials):
                row = [p["f"]]
                for l in range(1, 10):
                    row += list(m.get(l, (CORE_MUR if l == 3 else 1.0, 0.0)))
                f.write(" ".join(f"{v:.17g}" for v in row) + "\n")
        subprocess.run(["FreeFem++", "-nw", "-v", "0", os.path.join(HERE, "axisym.edp"),
                        path + ".mesh", path + ".cases", path + ".out"], check=True, stdout=open(path + ".log", "w"))
        v = np.loadtxt(path + ".out", ndmin=2)
    n = p["N"] / ((p["r2"] - p["r1"]) * p["H"])
    L = 2 * math.pi * MU0 * 1e-3 * n * n * (v[:, 0] + 1j * v[:, 1])
    return L[0].real, L[1:] - L[0]


STEEL = {4: (300.0, 5e6)}
IRON = {4: (1e5, 0.0)}
AL = {4: (1.0, 3.5e7)}
POOR = {4: (1.0, 1.4e6)}
MAGNETIC = [STEEL, IRON]
EDDY = [AL, POOR]
LIFTOFFS = [0, 0.1, 0.3, 1]


def jobs():
    """Name -> (probe name, part builder, materials, extra columns of each material)."""
    j = {}
    for core in ("air", "cored"):
        M, E = f"magnetic_{core}", f"eddy_{core}"
        j[f"{M}_half"] = (M, lambda p: half(p), MAGNETIC)
        j[f"{E}_half"] = (E, lambda p: half(p), EDDY)
        j[f"{M}_sphere_5"] = (M, lambda p: sphere(p, 5), MAGNETIC)
        j[f"{E}_sphere_5"] = (E, lambda p: sphere(p, 5), EDDY)
        for a in (3, 6, 12):
            j[f"{M}_hole_{a}"] = (M, lambda p, a=a: hole(p, a), MAGNETIC)
        for a in (1, 2, 3, 6):
            j[f"{E}_hole_{a}"] = (E, lambda p, a=a: hole(p, a), EDDY)
        for a in (5, 8, 12, 20):
            j[f"{M}_bar_{a}"] = (M, lambda p, a=a: bar(p, a), MAGNETIC)
        for a in (2, 3, 5, 8):
            j[f"{E}_bar_{a}"] = (E, lambda p, a=a: bar(p, a), EDDY)
        for R in (25, 50):
            j[f"{M}_bowl_{R}"] = (M, lambda p, R=R: bowl(p, R), MAGNETIC)
        for R in (10, 25, 50):
            j[f"{E}_bowl_{R}"] = (E, lambda p, R=R: bowl(p, R), EDDY)
        for R in (10, 25):
            for t in (0.3, 0.5, 1):
                j[f"{M}_shell_{R}_{t:g}"] = (M, lambda p, R=R, t=t: shell(p, R, t), [STEEL])
            for t in (0.05, 0.1, 0.2):
                j[f"{E}_shell_{R}_{t:g}"] = (E, lambda p, R=R, t=t: shell(p, R, t), [AL])
        for t in (0.05, 0.1):
            j[f"{M}_zinc_on_steel_{t:g}"] = (M, lambda p, t=t: duplex(p, t, 0.05),
                                             [{4: (1, 1.7e7), 5: (300, 5e6)}, {4: (1, 0), 5: (300, 5e6)}])
            j[f"{E}_zinc_on_steel_{t:g}"] = (E, lambda p, t=t: duplex(p, t, 0.005),
                                             [{4: (1, 1.7e7), 5: (100, 5e6)}])
        for t in (0.05, 0.1, 0.2):
            j[f"{E}_aluminium_on_steel_{t:g}"] = (E, lambda p, t=t: duplex(p, t, 0.005),
                                                  [{4: (1, 3.5e7), 5: (100, 5e6)}])
    return j


def run(name, outdir):
    probe, build, mats = jobs()[name]
    p = PROBES[probe]
    final, coarse = (0.8, 1.1) if p["f"] < 1e4 else (0.75, 1.05)
    part = build(p)
    rows, change = [], 0.0
    w = 2 * math.pi * p["f"]
    for h in LIFTOFFS:
        L0, dL = solve(p, part, h, mats, final)
        if h == 0:
            c = solve(p, part, h, mats, coarse)[1]
            change = max(change, float(np.max(abs(c - dL) / abs(dL))))
        for m, z in zip(mats, 1j * w * dL):
            tail = ""
            if 5 in m:
                tail = f",{m[5][0]:g},{m[5][1]:g}"
            rows.append(f"{h:g},{p['f']:g},{m[4][0]:g},{m[4][1]:g}{tail},{L0:.9e},{z.real:.9e},{z.imag:.9e}")
    duplexed = 5 in mats[0]
    out = ["source: independent axisymmetric finite elements (P2, u = r*A_phi, gmsh mesh, FreeFEM), made for this project "
           "by scripts/axisym.py",
           f"coil_inner_radius_mm: {p['r1']:g}", f"coil_outer_radius_mm: {p['r2']:g}", f"coil_height_mm: {p['H']:g}",
           f"coil_turns: {p['N']}", f"coil_recess_mm: {p['g']:g}"]
    if "rc" in p:
        out += [f"core_radius_mm: {p['rc']:g}", f"core_length_mm: {p['lc']:g}", "core_tip: hemisphere",
                f"core_recess_mm: {p['cap']:g}", f"core_relative_permeability: {CORE_MUR:g}",
                "core_conductivity_S_per_m: 0"]
    else:
        out += ["core: none"]
    if duplexed:
        t = float(name.rsplit("_", 1)[1])
        out += ["base: metal sheet (layer 1) without gap on a thick half-space (layer 2); lift-off is counted from layer 1",
                f"layer1_thickness_mm: {t:g}"]
    else:
        out += part.header
    out += [f"mesh_refinement_relative_change_max: {change:.1e}",
            f"mesh_refinement: element sizes x {coarse / final:.2f} against the table's mesh, lift-off 0",
            f"outer_boundary: half-disc of radius {DOMAIN:g} mm, A = 0; dZ is Z(with base) - Z(base replaced by air) "
            "on the same mesh; time factor exp(+j w t)",
            "units: lift-off mm, frequency Hz, conductivity S/m, L_air H (self-inductance of the probe with no base), "
            "dR and dX ohm"]
    cols = "liftoff_mm,freq_Hz,mur,sigma_S_per_m,L_air_H,dR_ohm,dX_ohm"
    if duplexed:
        cols = "liftoff_mm,freq_Hz,mur,sigma_S_per_m,mur_2,sigma_2_S_per_m,L_air_H,dR_ohm,dX_ohm"
    with open(os.path.join(outdir, name + ".csv"), "w") as f:
        f.writelines(f"# {l}\n" for l in out)
        f.write(cols + "\n" + "\n".join(rows) + "\n")
    print(name, f"{change:.1e}", flush=True)


if __name__ == "__main__":
    for n in sys.argv[2:] or jobs():
        if not os.path.exists(os.path.join(sys.argv[1], n + ".csv")):
            run(n, sys.argv[1])

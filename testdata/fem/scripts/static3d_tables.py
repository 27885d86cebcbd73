"""Runs static3d.py over edges, sheet edges, steps, holes and cylinders.

    python3 static3d_tables.py run RAWDIR FAMILY air|cored LIFTOFF SCALE   (one mesh, all its solutions, as JSON)
    python3 static3d_tables.py write RAWDIR OUTDIR [RAWDIR2]              (the tables; RAWDIR2 holds pairs of meshes in
                                                                          a smaller box, for the mesh error only)
FAMILY: edge, plate, skin, wall, hole_D (D distance to the rim), cylinder_R, sphere_R, flat. edge holds thin sheets, plate those too
thick to be thin and too thin to be thick; skin, of which no table is written, a block whose flux keeps to its surface.
"""
import glob
import json
import os
import sys

D = float(os.environ.get("FEM_BOX", "400"))
EDGES = [1, 2, 3, 4, 5, 8, 10]
SHEETS = [0.5, 1]
PLATES = [2, 3, 4, 6]
PLATE_EDGES = [1, 2, 3, 5, 10]
WALLS = [4, 6, 8]
STEP = 1.0
HOLE = 5.0
FLAT = "0.3+0.35*Fabs(z)+0.12*Sqrt(x^2+y^2)"


def slab(occ, x0, x1, z0, z1):
    return occ.addBox(x0, -D, z0, x1 - x0, 2 * D, z1 - z0)


def cells(xs, zs):
    """Blocks between the edges xs and the depths zs, each a region of its own, and how to fill some of them."""
    nx, nz = len(xs) - 1, len(zs) - 1

    def build(occ):
        return [slab(occ, xs[i], xs[i + 1], zs[k + 1], zs[k]) for i in range(nx) for k in range(nz)]

    def region(x, y, z):
        if z > 0:
            return None
        i = max(i for i in range(nx) if x > xs[i])
        k = max(k for k in range(nz) if z < zs[k])
        return f"{i}/{k}"

    def fill(keep, mur):
        return {f"{i}/{k}": mur for i in range(nx) for k in range(nz) if keep(i, k)}

    return build, region, fill


def edge():
    """One mesh with every edge position and sheet depth as inner faces: each part is a choice of materials."""
    xs = [-D] + EDGES + [D]
    zs = [0] + [-t for t in SHEETS] + [-D]
    build, region, fill = cells(xs, zs)
    sizes = [FLAT]
    for d in EDGES[:-1]:
        sizes.append(f"0.1+0.3*Sqrt((x-{d})^2+z^2)+0.08*Sqrt(x^2+y^2+z^2)")
        for t in SHEETS:
            sizes.append(f"0.25+0.35*Sqrt((x-{d})^2+(z+{t})^2)+0.08*Sqrt(x^2+y^2+z^2)")
    sizes += [f"0.25+0.35*Fabs(z+{t})+0.12*Sqrt(x^2+y^2)" for t in SHEETS]
    nz = len(zs) - 1
    cases = []
    for mur in (300, 1e5):
        cases.append(("flat", "inf", mur, fill(lambda i, k: True, mur)))
        for n, d in enumerate(EDGES):
            if mur == 300 or d in (1, 3, 10):
                cases.append(("edge", d, mur, fill(lambda i, k: i <= n, mur)))
    mur = 300
    for m, t in enumerate(SHEETS):
        cases.append((f"sheet_edge_{t:g}", "inf", mur, fill(lambda i, k: k <= m, mur)))
        for n, d in enumerate(EDGES):
            if d not in (4, 8):
                cases.append((f"sheet_edge_{t:g}", d, mur, fill(lambda i, k: i <= n and k <= m, mur)))
    for n, d in enumerate(EDGES):
        if d in (1, 2, 4, 8):
            cases.append(("step_upper", d, mur, fill(lambda i, k: i <= n or k == nz - 1, mur)))
    return build, region, sizes, 2, cases


def plate():
    """As edge(), for plates between thin and thick."""
    xs = [-D] + PLATE_EDGES + [D]
    zs = [0] + [-t for t in PLATES] + [-D]
    build, region, fill = cells(xs, zs)
    sizes = [FLAT]
    for d in PLATE_EDGES[:-1]:
        sizes.append(f"0.1+0.3*Sqrt((x-{d})^2+z^2)+0.08*Sqrt(x^2+y^2+z^2)")
        for t in PLATES:
            sizes.append(f"0.4+0.3*Sqrt((x-{d})^2+(z+{t})^2)+0.12*Sqrt(x^2+y^2)")
    sizes += [f"0.4+0.35*Fabs(z+{t})+0.15*Sqrt(x^2+y^2)" for t in PLATES]
    cases = []
    for mur in (100, 300):
        cases.append(("flat", "inf", mur, fill(lambda i, k: True, mur)))
        cases += [("edge", d, mur, fill(lambda i, k: i <= n, mur)) for n, d in enumerate(PLATE_EDGES)]
        for m, t in enumerate(PLATES):
            cases.append((f"sheet_edge_{t:g}", "inf", mur, fill(lambda i, k: k <= m, mur)))
            cases += [(f"sheet_edge_{t:g}", d, mur, fill(lambda i, k: i <= n and k <= m, mur)) for n, d in enumerate(PLATE_EDGES)]
    return build, region, sizes, 2, cases


def skin(depth=0.5):
    """A block of which only a skin of this depth is iron, on top and down the side of its edge."""
    ds = [1.5, 3, 5]
    xs = [-D] + [x for d in ds for x in (d - depth, d)] + [D]
    build, region, fill = cells(xs, [0, -depth, -D])
    sizes = [FLAT, f"0.25+0.35*Fabs(z+{depth})+0.12*Sqrt(x^2+y^2)"]
    for d in ds:
        sizes.append(f"0.1+0.3*Sqrt((x-{d})^2+z^2)+0.08*Sqrt(x^2+y^2+z^2)")
        sizes.append(f"0.25+0.35*Sqrt((x-{d - depth})^2+(z+{depth})^2)+0.08*Sqrt(x^2+y^2+z^2)")
        sizes.append(f"0.5+0.35*Fabs(x-{d - depth / 2})+0.12*Sqrt(x^2+y^2+z^2)")
    cases = []
    for mur in (300, 1e5):
        cases.append(("flat", "inf", mur, fill(lambda i, k: True, mur)))
        cases.append(("skin_sheet", "inf", mur, fill(lambda i, k: k == 0, mur)))
        for n, d in enumerate(ds):
            last = 2 * n + 1
            cases.append(("edge", d, mur, fill(lambda i, k: i <= last, mur)))
            cases.append(("skin_sheet", d, mur, fill(lambda i, k: i <= last and (k == 0 or i == last), mur)))
    return build, region, sizes, 2, cases


def wall():
    """Lower side of a step: floor z = 0, wall of height STEP at distance d."""
    xs = WALLS + [D]

    def build(occ):
        return [slab(occ, -D, D, -D, 0)] + [slab(occ, xs[i], xs[i + 1], 0, STEP) for i in range(len(WALLS))]

    def region(x, y, z):
        if z < 0:
            return "floor"
        if z < STEP and x > WALLS[0]:
            return f"{max(i for i in range(len(WALLS)) if x > xs[i])}"
        return None

    sizes = [FLAT] + [f"0.12+0.3*Sqrt((x-{d})^2+(z-{STEP})^2)+0.06*Sqrt((x-3.5)^2+y^2+z^2)" for d in WALLS]
    cases = []
    for mur in (300,):
        cases.append(("flat", "inf", mur, {"floor": mur}))
        for n, d in enumerate(WALLS):
            cases.append(("step_lower", d, mur, dict({"floor": mur}, **{f"{i}": mur for i in range(n, len(WALLS))})))
    return build, region, sizes, 2, cases


def hole(d):
    c = HOLE + d

    def build(occ):
        return [slab(occ, -D, D, -D, 0), occ.addCylinder(c, 0, -D, 0, 0, D, HOLE)]

    def region(x, y, z):
        if z > 0:
            return None
        return "plug" if (x - c) ** 2 + y * y < HOLE * HOLE else "block"

    sizes = [FLAT, f"0.1+0.3*Sqrt((Sqrt((x-{c})^2+y^2)-{HOLE})^2+z^2)+0.08*Sqrt(x^2+y^2+z^2)",
             f"0.5+0.35*Fabs(Sqrt((x-{c})^2+y^2)-{HOLE})+0.15*Sqrt(x^2+y^2+z^2)",
             f"{0.5 * HOLE}+0.4*Fabs(Sqrt((x-{c})^2+y^2)-{HOLE})"]
    cases = []
    for mur in (300, 1e5):
        cases.append(("flat", "inf", mur, {"block": mur, "plug": mur}))
        cases.append(("hole", d, mur, {"block": mur}))
    return build, region, sizes, 2, cases


def rounded(kind, R):
    def build(occ):
        if kind == "flat":
            return [slab(occ, -D, D, -D, 0)]
        if kind == "sphere":
            return [occ.addSphere(0, 0, -R, R)]
        return [occ.addCylinder(0, -D, -R, 0, 2 * D, 0, R)]

    def region(x, y, z):
        inside = {"flat": z < 0, "sphere": x * x + y * y + (z + R) ** 2 < R * R, "cylinder": x * x + (z + R) ** 2 < R * R}
        return "base" if inside[kind] else None

    depth = {"flat": "z", "sphere": f"(Sqrt(x^2+y^2+(z+{R})^2)-{R})", "cylinder": f"(Sqrt(x^2+(z+{R})^2)-{R})"}[kind]
    sizes = [f"0.25+0.35*Fabs({depth})+0.1*Sqrt(x^2+y^2+z^2)"]
    if kind != "flat":
        sizes.append(f"{0.5 * R}+0.4*Fabs({depth})")  # far along a cylinder the section must stay round
    cases = [(kind, "inf" if kind == "flat" else R, mur, {"base": mur}) for mur in (300, 1e5)]
    return build, region, sizes, 4, cases


def family(name):
    if name == "edge":
        return edge()
    if name == "plate":
        return plate()
    if name == "skin":
        return skin()
    if name == "wall":
        return wall()
    if name == "flat":
        return rounded("flat", 0.0)
    kind, v = name.split("_")
    return hole(float(v)) if kind == "hole" else rounded(kind, float(v))


def run(rawdir, name, core, h, scale):
    import static3d as S
    probe = dict(S.CORED if core == "cored" else S.AIR, scale=scale)
    build, region, sizes, symmetry, cases = family(name)
    m = S.Model(probe, h, build, region, sizes, symmetry, D)
    air = m.solve({})
    out = []
    only = os.environ.get("FEM_ONLY")  # "edge": only flat and block edges, and so on
    for shape, d, mur, mat in cases:
        if only and shape not in ("flat", only):
            continue
        out.append(dict(shape=shape, d=d, mur=mur, dL=m.inductance_change(air, m.solve(mat, "hypre" if "sheet" in shape else "sor"))))
        print(shape, d, mur, f"{out[-1]['dL']:.6e}", m.iterations, flush=True)
    with open(os.path.join(rawdir, f"{core}_{name}_{h:g}_{scale:g}.json"), "w") as f:
        json.dump(dict(core=core, family=name, h=h, scale=scale, unknowns=len(m.xyz), rows=out), f)


def sheet_edge(t, fam):
    return (f"straight edge of a flat sheet {t:g} mm thick with air below and beside it, probe axis at distance d inside the edge; "
            "d = inf is the endless sheet (to the outer boundary)", "d_mm", fam)


HEAD = {
    "edge": ("right-angle edge of a thick block (air angle 3pi/2), probe axis at distance d inside the edge; d = inf is flat",
             "d_mm", "edge"),
    **{f"sheet_edge_{t:g}": sheet_edge(t, "edge") for t in SHEETS},
    **{f"sheet_edge_{t:g}": sheet_edge(t, "plate") for t in PLATES},
    "step_upper": ("step 1 mm high in a thick block, probe on the upper level with its axis at distance d from the step",
                   "d_mm", "edge"),
    "step_lower": ("step 1 mm high in a thick block, probe on the lower level with its axis at distance d from the wall "
                   "(the winding's outer radius is 3.5 mm, so d = 2 does not fit)", "d_mm", "wall"),
    "hole": ("thick block with a round through hole of radius 5 mm, probe axis outside the hole at distance d from its rim "
             "(5 + d from its axis)", "d_mm", "hole"),
    "cylinder": ("long convex cylinder, probe axis radial", "radius_mm", "cylinder"),
    "sphere": ("sphere, probe axis radial", "radius_mm", "sphere"),
}


def refinements(rawdir, core, shape):
    """(lift-off, d, mur) -> change of the ratio between the two finest meshes of a family with its own flat block."""
    got = {}
    for f in sorted(glob.glob(os.path.join(rawdir, f"{core}_*.json"))):
        r = json.load(open(f))
        flat = {w["mur"]: w["dL"] for w in r["rows"] if w["shape"] == "flat"}
        for w in r["rows"]:
            if w["shape"] == shape and w["mur"] in flat:
                got.setdefault((r["h"], w["d"], w["mur"]), []).append((r["scale"], w["dL"] / flat[w["mur"]]))
    two = {k: sorted(v)[:2] for k, v in got.items() if len(v) > 1}
    return {k: abs(v[0][1] - v[1][1]) for k, v in two.items()}


def write(rawdir, outdir, rawdir2=None):
    runs = [json.load(open(f)) for f in sorted(glob.glob(os.path.join(rawdir, "*.json"))) if "eddy" not in f]
    for core in ("air", "cored"):
        for shape, (text, column, fam) in HEAD.items():
            # every value with the ratio to thick flat metal of the same permeability
            got = {}
            for r in runs:
                if r["core"] != core or r["family"].split("_")[0] != fam:
                    continue
                near = [r] + [q for q in runs if q["core"] == core and q["family"] == "flat"
                              and q["h"] == r["h"] and q["scale"] == r["scale"]]
                flat = {w["mur"]: w["dL"] for q in near for w in q["rows"] if w["shape"] == "flat"}
                for w in r["rows"]:
                    if w["shape"] == shape and w["mur"] in flat:
                        got.setdefault((r["h"], w["d"], w["mur"]), []).append(
                            (r["scale"], flat[w["mur"]], w["dL"], w["dL"] / flat[w["mur"]], r["unknowns"]))
            if not got:
                continue
            key = lambda k: (k[0], k[2], float("inf") if k[1] == "inf" else k[1])
            pairs = {k: sorted(v)[:2] for k, v in got.items()}
            err = {k: abs(v[0][3] - v[1][3]) for k, v in pairs.items() if len(v) == 2}
            if rawdir2 and not err:
                err = refinements(rawdir2, core, shape)
            rows = []
            for k in sorted(pairs, key=key):
                scale, flat, dL, ratio, _ = pairs[k][0]
                like = [e for q, e in err.items() if q[1] == k[1]] or list(err.values())
                e = err.get(k, max(like) if like else float("nan"))
                rows.append(f"{k[0]:g},{k[1] if k[1] == 'inf' else format(k[1], 'g')},{k[2]:g},"
                            f"{flat:.6e},{dL:.6e},{ratio:.5f},{e:.5f}")
            fine = [v[0] for v in pairs.values()]
            both = sorted({k[0] for k in err})
            own = "the flat block of the same mesh (the air-filled cells filled with iron)" if fam in ("edge", "plate", "hole", "wall") \
                else "a flat block on a mesh of its own with the same element sizes"
            head = ["source: independent 3-D finite elements (curved P2 tetrahedra, H = T0 - grad Omega, static), made for this "
                    "project by scripts/static3d.py",
                    "coil_inner_radius_mm: 1.5", "coil_outer_radius_mm: 3.5", "coil_height_mm: 4", "coil_turns: 500",
                    "coil_recess_mm: 0.3"]
            head += ["core: none"] if core == "air" else [
                "core_radius_mm: 1.25", "core_length_mm: 8", "core_tip: hemisphere", "core_recess_mm: 0.05",
                "core_relative_permeability: 1000", "core_conductivity_S_per_m: 0"]
            head += [f"base: {text}", "base_conductivity_S_per_m: 0 (static; compare ratios, not dL, with 300 Hz)",
                     f"ratio: dL / dL_flat, dL_flat on {own}",
                     "mesh_error: |change of the ratio| when the element sizes grow by 1.3, measured at lift-off "
                     f"{', '.join(format(h, 'g') for h in both) or '(none: nan)'}; a row without a pair of its own shows the "
                     "largest of its distance, or of all",
                     f"unknowns: {min(f[4] for f in fine)} to {max(f[4] for f in fine)}; element sizes x "
                     f"{min(f[0] for f in fine):g} to {max(f[0] for f in fine):g} of scripts/static3d_tables.py",
                     f"outer_boundary: box of half-width {D:g} mm, Omega = 0; plane of symmetry y = 0"
                     + (" and x = 0" if fam in ("cylinder", "sphere") else ""),
                     "units: mm, H"]
            with open(os.path.join(outdir, f"magnetic_{core}_{shape}_3d.csv"), "w") as f:
                f.writelines(f"# {l}\n" for l in head)
                f.write(f"liftoff_mm,{column},mur,dL_flat_H,dL_H,ratio,mesh_error\n" + "\n".join(rows) + "\n")
            print(core, shape, len(rows), "rows, largest mesh error", max(err.values()) if err else None)


if __name__ == "__main__":
    if sys.argv[1] == "run":
        run(sys.argv[2], sys.argv[3], sys.argv[4], float(sys.argv[5]), float(sys.argv[6]))
    elif sys.argv[1] == "write":
        write(*sys.argv[2:5])

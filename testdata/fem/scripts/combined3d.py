"""Static 3-D tables of combined shapes, and of metal that repels the field, with the model of static3d.py.

    python3 combined3d.py run RAWDIR FAMILY air|cored SCALE    (one mesh, all its solutions, as JSON)
    python3 combined3d.py write RAWDIR OUTDIR                  (a table for each family and probe)

FAMILY: repel_edge   straight right-angle edge of a block of relative permeability 1e-5, which keeps all flux out as a conductor
                     of vanishing skin depth does
        corner_D     corner of a thick plate, both edges at distance D from the axis
        strip_D      strip of a thick plate, both edges at distance D
        pipe_end_R   end of a long solid cylinder of radius R, axis at distances 1, 2, 3, 5 from the end
Lift-off 0.5 mm. Lengths in millimetres.
"""
import glob
import json
import math
import os
import sys

D = float(os.environ.get("FEM_BOX", "200"))
H = 0.5
NEAR = "0.08*Sqrt(x^2+y^2+z^2)"
FLAT = "0.3+0.35*Fabs(z)+0.12*Sqrt(x^2+y^2)"


def steps(edges):
    """Blocks between edges at x = d, each a region of its own."""
    xs = [-D] + edges + [D]

    def build(occ):
        return [occ.addBox(xs[i], -D, -D, xs[i + 1] - xs[i], 2 * D, D) for i in range(len(xs) - 1)]

    def region(x, y, z):
        return None if z > 0 else f"{max(i for i in range(len(xs) - 1) if x > xs[i])}"

    sizes = [FLAT] + [f"0.1+0.3*Sqrt((x-{d})^2+z^2)+{NEAR}" for d in edges]
    n = len(xs) - 1
    cases = [("flat", "inf", {f"{i}": 1 for i in range(n)})]
    cases += [("part", d, {f"{i}": 1 for i in range(k + 1)}) for k, d in enumerate(edges)]
    return build, region, sizes, 2, cases


def corner(d):
    c = d * math.sqrt(2)

    def build(occ):
        whole = occ.addBox(-D, -D, -D, 2 * D, 2 * D, D)
        part = occ.addBox(c - 4 * D, -4 * D, -2 * D, 4 * D, 4 * D, 2 * D)
        # the block's corner at (c, 0), turned by 45 degrees so that y = 0 halves it
        occ.translate([(3, part)], -c, 0, 0)
        occ.rotate([(3, part)], 0, 0, 0, 0, 0, 1, -math.pi / 4)
        occ.translate([(3, part)], c, 0, 0)
        return [whole, part]

    def region(x, y, z):
        if z > 0:
            return None
        return "part" if abs(y) < c - x else "rest"

    away = f"(Fabs({c}-x-Fabs(y))/1.41421356)"
    sizes = [FLAT, f"0.1+0.3*Sqrt({away}^2+z^2)+{NEAR}"]
    return build, region, sizes, 2, [("flat", "inf", {"part": 1, "rest": 1}), ("part", d, {"part": 1})]


def strip(d):
    def build(occ):
        return [occ.addBox(-D, -D, -D, 2 * D, 2 * D, D), occ.addBox(-d, -D, -D, 2 * d, 2 * D, D)]

    def region(x, y, z):
        if z > 0:
            return None
        return "part" if abs(x) < d else "rest"

    sizes = [FLAT, f"0.1+0.3*Sqrt((Fabs(x)-{d})^2+z^2)+{NEAR}"]
    return build, region, sizes, 4, [("flat", "inf", {"part": 1, "rest": 1}), ("part", d, {"part": 1})]


def pipe_end(R):
    xs = [-D, 1, 2, 3, 5, D]

    def build(occ):
        return [occ.addCylinder(xs[i], 0, -R, xs[i + 1] - xs[i], 0, 0, R) for i in range(len(xs) - 1)]

    def region(x, y, z):
        if y * y + (z + R) ** 2 > R * R:
            return None
        return f"{max(i for i in range(len(xs) - 1) if x > xs[i])}"

    depth = f"(Sqrt(y^2+(z+{R})^2)-{R})"
    sizes = [f"0.25+0.35*Fabs({depth})+0.1*Sqrt(x^2+y^2+z^2)", f"{0.5 * R}+0.4*Fabs({depth})"]
    sizes += [f"0.12+0.3*Sqrt((x-{d})^2+{depth}^2)+0.1*Sqrt(x^2+y^2+z^2)" for d in xs[1:-1]]
    n = len(xs) - 1
    cases = [("whole", "inf", {f"{i}": 1 for i in range(n)})]
    cases += [("part", d, {f"{i}": 1 for i in range(k + 1)}) for k, d in enumerate(xs[1:-1])]
    return build, region, sizes, 2, cases


def family(name):
    kind, *v = name.split("_")
    if name == "repel_edge":
        return steps([1, 2, 3, 5])
    if name.startswith("pipe_end_"):
        return pipe_end(float(v[1]))
    return {"corner": corner, "strip": strip}[kind](float(v[0]))


def run(rawdir, name, core, scale):
    import static3d as S
    probe = dict(S.CORED if core == "cored" else S.AIR, scale=scale)
    build, region, sizes, symmetry, cases = family(name)
    m = S.Model(probe, H, build, region, sizes, symmetry, D)
    air = m.solve({})
    rows = []
    for mur in [1e-5] if name.startswith("repel") else [300]:
        for shape, d, names in cases:
            rows.append(dict(shape=shape, d=d, mur=mur, dL=m.inductance_change(air, m.solve({k: mur for k in names}))))
            print(name, core, shape, d, mur, f"{rows[-1]['dL']:.6e}", m.iterations, flush=True)
    os.makedirs(rawdir, exist_ok=True)
    with open(os.path.join(rawdir, f"combined_{core}_{name}_{scale:g}.json"), "w") as f:
        json.dump(dict(core=core, family=name, scale=scale, unknowns=len(m.xyz), rows=rows), f)


TEXT = {
    "repel_edge": "right-angle edge of a thick block of relative permeability 1e-5 (all flux kept out, the limit of a conductor of "
                  "vanishing skin depth), probe axis at distance d inside the edge",
    "corner": "corner of a thick plate (two edges at a right angle, seen from above), probe axis at distance d from both",
    "strip": "strip of a thick plate, probe axis at distance d from both edges",
    "pipe_end": "end of a long solid cylinder, probe axis radial at distance d from the end; the ratio is to the endless cylinder",
}


def write(rawdir, outdir):
    runs = {}
    for f in sorted(glob.glob(os.path.join(rawdir, "combined_*.json"))):
        r = json.load(open(f))
        runs.setdefault((r["core"], r["family"]), []).append(r)
    for (core, name), group in runs.items():
        group.sort(key=lambda r: r["scale"])
        kind = next(k for k in TEXT if name.startswith(k))
        v = name[len(kind):].strip("_").split("_")
        ratios = []
        for r in group:
            flat = next(w["dL"] for w in r["rows"] if w["shape"] in ("flat", "whole"))
            ratios.append([(w["d"], w["mur"], flat, w["dL"], w["dL"] / flat) for w in r["rows"] if w["shape"] == "part"])
        head = ["source: independent 3-D finite elements (curved P2 tetrahedra, H = T0 - grad Omega, static), made for this project by "
                "scripts/combined3d.py", "coil_inner_radius_mm: 1.5", "coil_outer_radius_mm: 3.5", "coil_height_mm: 4", "coil_turns: 500",
                "coil_recess_mm: 0.3"]
        head += ["core: none"] if core == "air" else ["core_radius_mm: 1.25", "core_length_mm: 8", "core_tip: hemisphere",
                                                      "core_recess_mm: 0.05", "core_relative_permeability: 1000", "core_conductivity_S_per_m: 0"]
        head += [f"base: {TEXT[kind]}"]
        if kind == "pipe_end":
            head.append(f"base_radius_mm: {float(v[0]):g}")
        head += ["base_conductivity_S_per_m: 0 (static; compare ratios, not dL)", "ratio: dL / dL_flat, dL_flat on the whole part of the same mesh",
                 "mesh_error: |change of the ratio| against the next coarser mesh; nan where there is none",
                 f"unknowns: {group[0]['unknowns']}; element sizes x {group[0]['scale']:g} of scripts/combined3d.py",
                 f"outer_boundary: box of half-width {D:g} mm, Omega = 0", "units: mm, H"]
        rows = []
        for i, (d, mur, flat, dL, ratio) in enumerate(ratios[0]):
            e = abs(ratio - ratios[1][i][4]) if len(ratios) > 1 else float("nan")
            rows.append(f"{H:g},{d:g},{mur:g},{flat:.6e},{dL:.6e},{ratio:.5f},{e:.5f}")
        path = f"magnetic_{core}_{name}_3d.csv"
        with open(os.path.join(outdir, path), "w") as f:
            f.writelines(f"# {l}\n" for l in head)
            f.write("liftoff_mm,d_mm,mur,dL_flat_H,dL_H,ratio,mesh_error\n" + "\n".join(rows) + "\n")
        print(path, rows)


if __name__ == "__main__":
    if sys.argv[1] == "run":
        run(sys.argv[2], sys.argv[3], sys.argv[4], float(sys.argv[5]))
    else:
        write(*sys.argv[2:4])

"""Writes the tables of what iron of finite permeability lacks from what lack3d.py and lack_axisym.py computed.

    python3 lack_tables.py RAW3D RAWAXISYM OUTDIR
"""
import glob
import json
import math
import os
import sys

RAW3D, RAWAXI, OUT = sys.argv[1:4]
COIL = ["coil_inner_radius_mm: 1.5", "coil_outer_radius_mm: 3.5", "coil_height_mm: 4", "coil_turns: 500", "coil_recess_mm: 0.3"]
CORE = {"air": ["core: none"],
        "cored": ["core_radius_mm: 1.25", "core_length_mm: 8", "core_tip: hemisphere", "core_recess_mm: 0.05",
                  "core_relative_permeability: 1000", "core_conductivity_S_per_m: 0"]}
LACK = ("lack: mur (dL_flat / dL_flat_ideal - dL / dL_ideal), sizes |dL|; what the part's metal lacks more of ideal metal's signal than "
        "flat metal does, times permeability; ideal is mur 1e5, not conducting")
UNITS = "units: mm, S/m, H; lack and its mesh_error have no unit; nan where there is no second mesh"
IDEAL = 1e5


def lack(mur, flat, flat_ideal, here, here_ideal):
    return mur * (flat / flat_ideal - here / here_ideal)


def write(name, source, core, base, notes, column, rows):
    with open(os.path.join(OUT, name + ".csv"), "w") as f:
        f.writelines(f"# {line}\n" for line in [source] + COIL + CORE[core] + [f"base: {base}", LACK] + notes + [UNITS])
        f.write(f"liftoff_mm,{column},mur,sigma_S_per_m,dL_flat_H,dL_flat_ideal_H,dL_H,dL_ideal_H,lack,mesh_error\n")
        for place, mur, sigma, values, error in sorted(rows, key=lambda r: (r[2], r[1], r[0])):
            f.write(f"0.5,{place:g},{mur:g},{sigma:g}," + ",".join(f"{v:.6e}" for v in values)
                    + f",{lack(mur, *values):.3f},{error:.3f}\n")
    print(name, len(rows), "rows")


def solid(core, shape):
    """(distance, mur) -> the values on each mesh, finest first."""
    got = {}
    for path in glob.glob(os.path.join(RAW3D, f"{core}_*.json")):
        run = json.load(open(path))
        dL = {(w["shape"], w["d"], w["mur"]): w["dL"] for w in run["rows"]}
        for (s, d, mur), v in dL.items():
            if s == shape and mur != IDEAL and (s, d, IDEAL) in dL:
                values = (dL["flat", "inf", mur], dL["flat", "inf", IDEAL], v, dL[s, d, IDEAL])
                got.setdefault((d, mur), []).append((run["scale"], values))
    return {k: sorted(v) for k, v in got.items()}


def solids():
    source = ("source: independent 3-D finite elements (curved P2 tetrahedra, H = T0 - grad Omega, static), made for this project by "
              "scripts/lack3d.py")
    bases = {
        "edge": "right-angle edge of a thick block (air angle 3pi/2), probe axis at distance d inside the edge, beyond it where negative",
        "step_upper": "step 1 mm high in a thick block, probe on the upper level with its axis at distance d from the step",
        "hole": "thick block with a round through hole of radius 5 mm, probe axis outside the hole at distance d from its rim "
                "(5 + d from its axis)",
    }
    for core in CORE:
        for shape, base in bases.items():
            rows = []
            for (d, mur), meshes in solid(core, shape).items():
                values = meshes[0][1]
                error = abs(lack(mur, *values) - lack(mur, *meshes[1][1])) if len(meshes) > 1 else math.nan
                rows.append((d, mur, 0, values, error))
            boxes = "300 mm at d = -2.6, -0.8, 0.3, 1, 3, else 200 mm" if (core, shape) == ("air", "edge") else "200 mm"
            finer = " (x 1.1, family beyond, at d = -2.6, -0.8, 0.3, 1, 3)" if (core, shape) == ("air", "edge") else ""
            notes = [f"mesh: element sizes x 1.2{finer} of scripts/lack3d.py; all permeabilities on one mesh",
                     "mesh_error: |change of lack| between the two meshes that hold the place. The like of it, from permeability 100 and 300, "
                     "changes by 0.005 at most at edges 1 to 3 mm off between element sizes x 1 and x 1.4 (scripts/static3d_tables.py, plate)",
                     f"outer_boundary: box of half-width {boxes}, Omega = 0; plane of symmetry y = 0"]
            write(f"magnetic_{core}_lack_{shape.split('_')[0]}_3d", source, core, base, notes, "d_mm", rows)


def turned(shape):
    """(radius, mur, sigma) -> |dL| on each mesh, finest first, and the same of flat iron."""
    got, flat = {}, {}
    for path in glob.glob(os.path.join(RAWAXI, "*.json")):
        run = json.load(open(path))
        for w in run["rows"]:
            into = {shape: got, "flat": flat}.get(w["shape"])
            if into is not None:
                into.setdefault((w["radius"], w["mur"], w["sigma"]), []).append((run["scale"], math.hypot(*w["dL"])))
    return {k: sorted(v) for k, v in got.items()}, {k: sorted(v) for k, v in flat.items()}


def axisymmetric():
    source = "source: independent axisymmetric finite elements (P2, u = r*A_phi, gmsh mesh, FreeFEM), made for this project by scripts/lack_axisym.py"
    bases = {
        "hole": "thick block (to the outer boundary) with a round through hole of radius radius_mm, probe axis on the hole axis; lift-off is "
                "counted from the plane of the block's face",
        "bar": "flat end face of a round bar of radius radius_mm, 50 mm long, probe axis on the bar axis, air all round",
    }
    for shape, base in bases.items():
        got, flat = turned(shape)
        rows = []
        for (radius, mur, sigma), meshes in got.items():
            if mur == IDEAL:
                continue
            # flat iron of the same mesh; a bar's mesh has none, so it takes the hole's of 8 mm radius
            beside = radius if shape == "hole" else 8.0
            both = []
            for (scale, v), (_, ideal) in zip(meshes, got[radius, IDEAL, 0]):
                of = {s: f for s, f in flat[beside, mur, sigma]}
                ideals = {s: f for s, f in flat[beside, IDEAL, 0]}
                both.append((of[scale], ideals[scale], v, ideal))
            error = abs(lack(mur, *both[0]) - lack(mur, *both[1])) if len(both) > 1 else math.nan
            rows.append((radius, mur, sigma, both[0], error))
        notes = ["frequency_Hz: 300", "mesh: element sizes x 0.8 of scripts/axisym.py; flat iron on "
                 + ("the same mesh, the hole filled" if shape == "hole" else "the mesh of a hole of 8 mm radius, filled"),
                 "mesh_error: |change of lack| when the element sizes grow by 1.38",
                 "outer_boundary: half-disc of radius 240 mm, A = 0; dL is L(with base) - L(base replaced by air) on the same mesh"]
        name = f"magnetic_air_lack_{'hole_axis' if shape == 'hole' else 'bar'}"
        write(name + "_rest", source, "air", base, notes, "radius_mm", [r for r in rows if r[2] == 0])
        write(name + "_300Hz", source, "air", base, notes, "radius_mm", [r for r in rows if r[2] > 0])


if __name__ == "__main__":
    solids()
    axisymmetric()

"""What iron of finite permeability lacks beside edges, steps and holes, by static3d.py: every part at permeability 100, 300 and
1e5 on one mesh, so that the mesh's bias cancels in the comparison of permeabilities.

    python3 lack3d.py RAWDIR FAMILY air|cored LIFTOFF SCALE      (one mesh, all its solutions, as JSON; FEM_BOX as in static3d_tables.py)

FAMILY: beyond (edge, its axis from 2.6 mm outside to 3 mm inside), step (1 mm high, and the edge at the same places), hole_D (radius
5 mm, D distance to the rim). Lengths in millimetres. lack_tables.py writes the tables.
"""
import sys

import static3d_tables as T

MURS = (100, 300, 1e5)
BEYOND = [-2.6, -0.8, 0.3, 1, 3]
STEPS = [1, 2, 4, 6]


def at_rim(d, z=0, least=0.1, grow=0.3):
    return f"{least}+{grow}*Sqrt((x-({d}))^2+(z-({z}))^2)+0.08*Sqrt(x^2+y^2+z^2)"


def beyond():
    build, region, fill = T.cells([-T.D] + BEYOND + [T.D], [0, -T.D])
    cases = []
    for mur in MURS:
        cases.append(("flat", "inf", mur, fill(lambda i, k: True, mur)))
        cases += [("edge", d, mur, fill(lambda i, k: i <= n, mur)) for n, d in enumerate(BEYOND)]
    return build, region, [T.FLAT] + [at_rim(d) for d in BEYOND], 2, cases


def step():
    build, region, fill = T.cells([-T.D] + STEPS + [T.D], [0, -T.STEP, -T.D])
    sizes = [T.FLAT] + [at_rim(d) for d in STEPS] + [at_rim(d, -T.STEP, 0.25, 0.35) for d in STEPS]
    cases = []
    for mur in MURS:
        cases.append(("flat", "inf", mur, fill(lambda i, k: True, mur)))
        cases += [("step_upper", d, mur, fill(lambda i, k: i <= n or k == 1, mur)) for n, d in enumerate(STEPS)]
        cases += [("edge", d, mur, fill(lambda i, k: i <= n, mur)) for n, d in enumerate(STEPS) if d <= 2]
    return build, region, sizes, 2, cases


def hole(d):
    build, region, sizes, symmetry, cases = T.hole(d)
    parts = {shape: (where, metal) for shape, where, _, metal in cases}
    return build, region, sizes, symmetry, [(shape, where, mur, {k: mur for k in metal})
                                            for mur in MURS for shape, (where, metal) in parts.items()]


def family(name):
    return {"beyond": beyond, "step": step}[name]() if "_" not in name else hole(float(name.split("_")[1]))


if __name__ == "__main__":
    T.family = family
    T.run(sys.argv[1], sys.argv[2], sys.argv[3], float(sys.argv[4]), float(sys.argv[5]))

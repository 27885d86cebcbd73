"""What iron of finite permeability lacks at the middle of a round hole and on the flat end of a round bar, by axisym.py.

    python3 lack_axisym.py RAWDIR hole|bar RADIUS SCALE      (one mesh, all its solutions, as JSON)

Flat iron is solved on the hole's own mesh, its cells filled. A bar is 50 mm long; flat iron beside it comes from a hole's mesh.
Lengths in millimetres, lift-off 0.5, element sizes x SCALE. lack_tables.py writes the tables.
"""
import json
import os
import sys

import axisym as A

METALS = [(100, 0), (300, 0), (1e5, 0), (100, 5e6), (300, 5e6)]
DEPTH = 3.0  # of the inner line at which the mesh is refined again
LIFTOFF = 0.5


def hole(p, a):
    D, s = A.DOMAIN, A.skin(p)
    shapes = [A.rect(10, 0, -DEPTH, a, DEPTH), A.rect(11, a, -DEPTH, 2 * D, DEPTH),
              A.rect(12, 0, -2 * D, a, 2 * D - DEPTH), A.rect(13, a, -2 * D, 2 * D, 2 * D - DEPTH)]

    def label(r, z):
        if z > 0:
            return 1
        return (4 if r < a else 5) if z > -DEPTH else (6 if r < a else 7)

    fields = [A.near_line(s, 0, along=0.02), A.near_point(0.25 * s, a, 0, 0.15), f"{s}+0.25*Fabs(x-{a})+0.08*Fabs(y)",
              A.near_point(0.5 * s, a, -DEPTH, 0.2), f"{2 * s}+0.25*Fabs(y+{DEPTH})+0.06*x"]
    return A.Part(shapes, label, fields, [])


def main(out, shape, radius, scale):
    p = dict(A.PROBES["magnetic_air"])
    regions = {"flat": (4, 5, 6, 7), "hole": (5, 7)} if shape == "hole" else {"bar": (4,)}
    part = hole(p, radius) if shape == "hole" else A.bar(p, radius)
    keys = [(s,) + m for s in regions for m in METALS]
    L0, dL = A.solve(p, part, LIFTOFF, [{l: m for l in regions[s]} for s, *m in keys], scale)
    rows = [dict(shape=k[0], radius=radius, mur=k[1], sigma=k[2], dL=[d.real, d.imag]) for k, d in zip(keys, dL)]
    with open(os.path.join(out, f"{shape}_{radius:g}_{scale:g}.json"), "w") as f:
        json.dump(dict(shape=shape, scale=scale, L0=L0, rows=rows), f)


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2], float(sys.argv[3]), float(sys.argv[4]))

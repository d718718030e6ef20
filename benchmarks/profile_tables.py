"""The colorimetric PCS-to-device table of profiles, through an independent colour engine: 8 bits, and clipped nodes.

    python benchmarks/profile_tables.py PROFILE.icc …

20 000 printable colours. 8 bits: the error of the table's device values rounded to 8 bits over that of the exact inverse's,
without any device link. Clipped nodes: the mean error of the fitted table over that of a table of the same grid whose nodes
hold the exact inverse, clipped, with the spacing of the fitted table and with one that is even over all of CIELAB. The exact
inverse and the clipped tables are computed with the package; what is judged runs through the engine.
"""

import sys
from pathlib import Path

import imagecodecs
import numpy as np
from gamut_mapping import FLAGS, INTENT, LAB, convert, printable

from spectro.colour.difference import delta_e_2000
from spectro.maths.lattice import n_linear
from spectro.profile.inversion import invert
from spectro.profile.pcs_table import fitted_spacing, sample_points

GRID = 33


def main() -> None:
    for path in map(Path, sys.argv[1:]):
        profile = path.read_bytes()
        inverse, evaluate = printable(profile)
        for words, device in (
            ("inside", np.random.default_rng(8).random((20_000, 3))),
            ("a third on faces and edges", sample_points(20_000, 8)),
        ):
            lab = evaluate(device)
            exact = invert(inverse, lab)[0]
            found = np.clip(convert(lab, LAB, profile, ("lab", "rgb"), INTENT.RELATIVE_COLORIMETRIC), 0, 1)
            bytes_ = imagecodecs.cms_transform(
                lab[None], LAB, profile, colorspace="lab", outcolorspace="rgb", outdtype="uint8",
                intent=INTENT.RELATIVE_COLORIMETRIC, flags=FLAGS,
            )[0]  # fmt: skip
            error = delta_e_2000(lab, evaluate(found)).mean()
            floor = delta_e_2000(lab, evaluate(np.round(exact * 255) / 255)).mean()
            eight = delta_e_2000(lab, evaluate(bytes_ / 255)).mean()
            spacing = fitted_spacing(inverse, GRID)
            even = np.stack(np.meshgrid(*[np.linspace(0, 1, GRID)] * 3, indexing="ij"), axis=-1).reshape(-1, 3)
            even = even * (100, 256, 256) - (0, 128, 128)
            clipped = []
            for nodes, places in (
                (spacing.node_lab(), spacing.positions(lab)),
                (even, np.add(lab, (0, 128, 128)) / (100, 256, 256) * (GRID - 1)),
            ):
                table = invert(inverse, nodes)[0].reshape(GRID, GRID, GRID, 3)
                clipped.append(delta_e_2000(lab, evaluate(np.clip(n_linear(table, places), 0, 1))).mean())
            print(
                f"{path.name}, {words}: mean {error:.4f}; 8 bits {eight:.4f}, {eight / floor:.3f} x the floor {floor:.4f}; "
                f"clipped nodes {clipped[0]:.3f} with its spacing ({error / clipped[0]:.2f} x), {clipped[1]:.3f} evenly spaced "
                f"({error / clipped[1]:.2f} x)"
            )


if __name__ == "__main__":
    main()

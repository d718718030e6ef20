"""Black and paper on a wall, where the surface mirrors some of the light."""

from collections.abc import Sequence

from spectro.colour.lab import D50_PCS, lab_to_xyz, xyz_to_lab
from spectro.colour.viewing import with_surface_reflection
from spectro.records.arrays import ArrayLike
from spectro.records.paper_sheet import WallBlack

REFLECTED = (0.0, 0.0025, 0.005, 0.01, 0.02)  # shares mirrored by a surface; common practice, no source


def wall_blacks(black: ArrayLike, paper: ArrayLike, reflected: Sequence[float] = REFLECTED) -> tuple[WallBlack, ...]:
    """Return what becomes of the black and the contrast for each share of mirrored light. black, paper: (3,) Lab."""
    rows = []
    for share in reflected:
        dark, light = (with_surface_reflection(lab_to_xyz(lab), D50_PCS, share) for lab in (black, paper))
        rows.append(
            WallBlack(reflected=share, lightness=float(xyz_to_lab(dark)[0]), contrast=float(light[1] / max(dark[1], 1e-6)))
        )
    return tuple(rows)

"""Where a colour of the source gamut goes in print under the perceptual intent: smooth, and with its hue.

Black is scaled from the source's to the printer's, linear in tristimulus values [ISO-18619]; of that, lightness and chroma are
taken, the hue stays. Then every colour moves along the straight line to a mid grey in the edge space: up to a share of the way
to the printer's surface nothing moves; beyond, the source gamut's surface comes to lie on the printer's, and what lies between
shares the room. Along the neutral axis only black is scaled; seen along the straight axis of `boundary/straight_axis.py` it
ends in the printer's darkest colour, into which greys bend. Colours beyond the source gamut go to the printer's surface.
Within it the mapping has an inverse. Greys take the tint of a grey aim, where one was given, and what is near them moves along
(grey_shift.py).
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from spectro.boundary.radial import RadialBoundary, radial_boundary
from spectro.colour.black_point import scale_black
from spectro.colour.hue_straight import edge_space_to_lab, lab_to_edge_space
from spectro.colour.lab import lab_to_xyz, xyz_to_lab
from spectro.colour.source_gamut import source_surface
from spectro.profile.device_table import DeviceTable
from spectro.profile.grey_shift import GreyShift, grey_shift
from spectro.profile.printed_gamut import PrintedGamut, printed_gamut, surface_points
from spectro.records.arrays import FloatArray
from spectro.records.grey_aim import GreyAim

KNEE = 0.70
"""Share of the way to the surface that stays as it is, for chromatic colours; 1 along the neutral axis. Ours; no source."""
HUE_KEPT = 0.8
"""Share of the turn of hue by the scaling of black that is taken back; all of it moves dark midtones. Ours, accuracy.md."""
REFERENCE_BLACK_Y = 0.0034731
"""Y of the black of the perceptual reference medium, white 1. [ICC.1-2022] perceptual rendering intent."""
_SURFACE_STEPS = 65


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GamutMapping:
    """A mapping from a source gamut to a printer's. Immutable; both ways are pure functions of it."""

    gamut: PrintedGamut
    source: RadialBoundary  # in the edge space, its black scaled to the printer's
    black_from: float  # Y of the source's black, white 1
    black_to: float  # of the printer's
    hue_kept: float  # share of the turn of hue by the scaling of black that is taken back
    greys: GreyShift | None = None  # None: neutral relative to the paper

    def mapped(self, lab: FloatArray) -> FloatArray:
        """Return where Lab (n, 3), media-relative, of the source goes: colours (n, 3) of the edge space."""
        points = self.scaled(lab)
        return self.printed(self._bent(points, compress))

    def source_lab(self, printed: FloatArray) -> FloatArray:
        """Return the Lab (n, 3) of the source that goes to printed colours, Lab (n, 3): the inverse of `mapped`."""
        points = lab_to_edge_space(printed)
        if self.greys is not None:
            points = self.greys.undone(points)
        points = self.gamut.axis.straightened(points)
        scaled = self._bent(points, expand)
        nearly_none = self.black_to + self.hue_kept * (self.black_from - self.black_to)
        lab = edge_space_to_lab(scaled, lambda xyz: lab_to_xyz(scale_black(xyz_to_lab(xyz), self.black_to, nearly_none)))
        return scale_black(lab, self.black_to, self.black_from)

    def _bent(self, points: FloatArray, curve: Callable[[FloatArray, FloatArray, FloatArray], FloatArray]) -> FloatArray:
        """Return points (n, 3) moved along their directions by a curve of distance, knee and limit, over the reach there."""
        hue, elevation, distance = self.gamut.straight.directions(points)
        reach = self.gamut.straight.distance(hue, elevation)
        limit = self.source.distance(hue, elevation) / reach
        share = curve(distance / reach, _knees(elevation), limit)
        return self._moved(points, share * reach / np.maximum(distance, 1e-9))

    def scaled(self, lab: FloatArray) -> FloatArray:
        """Return Lab (n, 3) of the source with its black scaled to the printer's and its own hue, in the edge space."""
        return _scaled(lab, self.black_from, self.black_to, self.hue_kept)

    def printed(self, points: FloatArray) -> FloatArray:
        """Return the printer's points (n, 3) for those seen along a straight and neutral axis (n, 3)."""
        bent = self.gamut.axis.bent(points)
        return bent if self.greys is None else self.greys.applied(bent)

    def _moved(self, points: FloatArray, scale: FloatArray) -> FloatArray:
        centre = self.gamut.straight.centre
        moved: FloatArray = centre + (points - centre) * scale[:, None]
        return moved


def gamut_mapping(
    table: DeviceTable,
    source: str | FloatArray,
    black_from: float = 0.0,
    aim: GreyAim | None = None,
    gamut: PrintedGamut | None = None,
    hue_kept: float | None = None,
) -> GamutMapping:
    """Return the mapping from a source gamut to that of a device table.

    source: a name, or Lab (n, 3) dense on the surface of any other gamut. black_from: Y of the source's black, white 1.
    aim: the tint of greys; None: neutral relative to the paper. gamut: that of the table, where it is known.
    hue_kept: share of the turn of hue by the scaling of black that is taken back; None: HUE_KEPT.
    Raises InputError for an unknown source, and as `grey_shift`.
    """
    gamut = gamut or printed_gamut(table)
    kept = HUE_KEPT if hue_kept is None else hue_kept
    return GamutMapping(
        gamut=gamut,
        source=source_boundary(source, gamut, kept),
        black_from=black_from,
        black_to=_black_y(gamut),
        greys=None if aim is None else grey_shift(aim, table.white_xyz),
        hue_kept=kept,
    )


def source_boundary(source: str | FloatArray, gamut: PrintedGamut, hue_kept: float | None = None) -> RadialBoundary:
    """Return the surface of a source gamut, its black scaled to that of a printer, seen along the printer's straight axis.

    hue_kept: as for `gamut_mapping`.
    """
    kept = HUE_KEPT if hue_kept is None else hue_kept
    straight = gamut.straight
    lightest = float(straight.centre[0] + straight.distances[0, -1])
    surface = _scaled(source_points(source, _SURFACE_STEPS), 0.0, _black_y(gamut), kept)
    return radial_boundary(surface, straight.centre).with_poles(gamut.darkest, lightest)


def _black_y(gamut: PrintedGamut) -> float:
    return float(lab_to_xyz(np.array([gamut.darkest, 0.0, 0.0]))[1]) / 100


def source_points(source: str | FloatArray, steps: int) -> FloatArray:
    """Return Lab (n, 3) on the surface of a source gamut: of a named one in steps, or the points that were given."""
    return source_surface(source, surface_points(steps)) if isinstance(source, str) else source


def _scaled(lab: FloatArray, black_from: float, black_to: float, hue_kept: float) -> FloatArray:
    nearly_none = black_to + hue_kept * (black_from - black_to)
    return lab_to_edge_space(scale_black(lab, black_from, black_to), hue_of=scale_black(lab, black_from, nearly_none))


def compress(share: FloatArray, knee: FloatArray, limit: FloatArray) -> FloatArray:
    """Return the compressed share (n,) of the way to the surface: itself up to knee (n,), 1 at limit (n,) and beyond.

    Between, it rises smoothly, with slope 1 at the knee. A limit of 1 or less changes nothing within the surface.

    >>> compress(np.array([0.5, 1.0, 2.0, 50.0]), np.full(4, 0.75), np.full(4, 2.0)).round(3).tolist()
    [0.5, 0.889, 1.0, 1.0]
    """
    room = np.maximum(1 - knee, 1e-6)
    past = np.maximum(share - knee, 0) / room
    return np.where(share <= knee, share, np.minimum(knee + room * past / (1 + _bend(room, limit) * past), 1.0))


def expand(share: FloatArray, knee: FloatArray, limit: FloatArray) -> FloatArray:
    """Return the share (n,) that `compress` takes to a share (n,), up to 1.

    knee, limit: (n,), as for `compress`. What lies beyond 1 counts as 1: nothing of the print is outside its surface.

    >>> knee, limit = np.full(2, 0.75), np.full(2, 2.0)
    >>> expand(compress(np.array([0.5, 0.9]), knee, limit), knee, limit).round(6).tolist()
    [0.5, 0.9]
    """
    room = np.maximum(1 - knee, 1e-6)
    past = np.clip((share - knee) / room, 0, 1)
    return np.where(share <= knee, share, knee + room * past / (1 - _bend(room, limit) * past))


def _knees(elevation: FloatArray) -> FloatArray:
    knees: FloatArray = 1 - (1 - KNEE) * np.cos(elevation)
    return knees


def _bend(room: FloatArray, limit: FloatArray) -> FloatArray:
    """Return how strongly what lies beyond the knee is bent (n,): 0 where the source reaches no farther than the print."""
    reach = np.maximum((limit - 1 + room) / room, 1.0)
    bend: FloatArray = 1 - 1 / reach
    return bend

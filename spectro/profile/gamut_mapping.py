"""Where a colour of the source gamut goes in print under the perceptual and the saturation intent: smooth, and with its hue.

Black is scaled from the source's to the printer's, linear in tristimulus values [ISO-18619]. Then every colour moves along
the straight line to a mid grey in a hue-straight space: up to a share of the way to the printer's surface nothing moves;
beyond, the source gamut's surface comes to lie on the printer's, and what lies between shares the room. Along the neutral
axis only black is scaled. Colours beyond the source gamut go to the printer's surface. Within it the mapping has an inverse.
Last, greys take the tint of a grey aim, where one was given, and what is near them moves along (grey_shift.py).
"""

from dataclasses import dataclass, replace

import numpy as np

from spectro.boundary.radial import RadialBoundary, radial_boundary
from spectro.colour.black_point import scale_black
from spectro.colour.hue_straight import hue_straight_to_lab, lab_to_hue_straight
from spectro.colour.lab import lab_to_xyz
from spectro.colour.source_gamut import source_surface
from spectro.profile.device_table import DeviceTable
from spectro.profile.grey_shift import GreyShift, grey_shift
from spectro.records.arrays import FloatArray
from spectro.records.grey_aim import GreyAim

KNEE = {"perceptual": 0.75, "saturation": 0.93}
"""Share of the way to the surface that stays as it is, for chromatic colours; 1 along the neutral axis. Ours; no source."""
REFERENCE_BLACK_Y = 0.0034731
"""Y of the black of the perceptual reference medium, white 1. [ICC.1-2022] perceptual rendering intent."""
_SURFACE_STEPS = 65


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GamutMapping:
    """A mapping from a source gamut to a printer's. Immutable; both ways are pure functions of it."""

    printed: RadialBoundary
    source: RadialBoundary
    knee: float
    black_from: float  # Y of the source's black, white 1
    black_to: float  # of the printer's
    greys: GreyShift | None = None  # None: neutral relative to the paper

    def mapped(self, lab: FloatArray) -> FloatArray:
        """Return where Lab (n, 3), media-relative, of the source goes: colours (n, 3) of the hue-straight space."""
        points = lab_to_hue_straight(scale_black(lab, self.black_from, self.black_to))
        hue, elevation, distance = self.printed.directions(points)
        reach = self.printed.distance(hue, elevation)
        limit = self.source.distance(hue, elevation) / reach
        share = compress(distance / reach, self._knees(elevation), limit)
        moved = self._moved(points, share * reach / np.maximum(distance, 1e-9))
        return moved if self.greys is None else self.greys.applied(moved)

    def with_intent(self, intent: str, black_from: float = 0.0) -> "GamutMapping":
        """Return the mapping of the same gamuts for another intent. Arguments as for `gamut_mapping`."""
        return replace(self, knee=KNEE[intent], black_from=black_from)

    def source_lab(self, printed: FloatArray) -> FloatArray:
        """Return the Lab (n, 3) of the source that goes to printed colours, Lab (n, 3): the inverse of `mapped`."""
        points = lab_to_hue_straight(printed)
        if self.greys is not None:
            points = self.greys.undone(points)
        hue, elevation, distance = self.printed.directions(points)
        reach = self.printed.distance(hue, elevation)
        limit = self.source.distance(hue, elevation) / reach
        share = expand(distance / reach, self._knees(elevation), limit)
        lab = hue_straight_to_lab(self._moved(points, share * reach / np.maximum(distance, 1e-9)))
        return scale_black(lab, self.black_to, self.black_from)

    def _knees(self, elevation: FloatArray) -> FloatArray:
        knees: FloatArray = 1 - (1 - self.knee) * np.cos(elevation)
        return knees

    def _moved(self, points: FloatArray, scale: FloatArray) -> FloatArray:
        centre = self.printed.centre
        moved: FloatArray = centre + (points - centre) * scale[:, None]
        return moved


def gamut_mapping(
    table: DeviceTable, source: str | FloatArray, intent: str, black_from: float = 0.0, aim: GreyAim | None = None
) -> GamutMapping:
    """Return the mapping from a source gamut to that of a device table. intent: a key of KNEE.

    source: a name, or Lab (n, 3) dense on the surface of any other gamut. black_from: Y of the source's black, white 1.
    aim: the tint of greys; None: neutral relative to the paper. Raises InputError for an unknown source, and as `grey_shift`.
    """
    darkest = table.lab.reshape(-1, 3)[:, 0].min()
    black_to = float(lab_to_xyz(np.array([darkest, 0.0, 0.0]))[1]) / 100
    surface = lab_to_hue_straight(table.evaluate(surface_points(_SURFACE_STEPS)))
    centre = np.array([(surface[:, 0].min() + surface[:, 0].max()) / 2, 0.0, 0.0])
    wanted = lab_to_hue_straight(scale_black(source_points(source, _SURFACE_STEPS), 0.0, black_to))
    return GamutMapping(
        printed=radial_boundary(surface, centre),
        source=radial_boundary(wanted, centre),
        knee=KNEE[intent],
        black_from=black_from,
        black_to=black_to,
        greys=None if aim is None else grey_shift(aim, table.white_xyz),
    )


def source_points(source: str | FloatArray, steps: int) -> FloatArray:
    """Return Lab (n, 3) on the surface of a source gamut: of a named one in steps, or the points that were given."""
    return source_surface(source, surface_points(steps)) if isinstance(source, str) else source


def surface_points(steps: int) -> FloatArray:
    """Return device values (6 * steps ** 2, 3) on the faces of the device cube."""
    first, second = (axis.ravel() for axis in np.meshgrid(*[np.linspace(0, 1, steps)] * 2, indexing="ij"))
    faces = []
    for axis in range(3):
        for level in (0.0, 1.0):
            faces.append(np.insert(np.column_stack([first, second]), axis, level, axis=1))
    return np.concatenate(faces)


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
    """Return the share (n,) that `compress` takes to a share (n,), up to 1."""
    room = np.maximum(1 - knee, 1e-6)
    past = np.clip((share - knee) / room, 0, 1)
    return np.where(share <= knee, share, knee + room * past / (1 - _bend(room, limit) * past))


def _bend(room: FloatArray, limit: FloatArray) -> FloatArray:
    """Return how strongly what lies beyond the knee is bent (n,): 0 where the source reaches no farther than the print."""
    reach = np.maximum((limit - 1 + room) / room, 1.0)
    bend: FloatArray = 1 - 1 / reach
    return bend

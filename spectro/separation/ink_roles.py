"""What each ink of a printer is for, told by the colours of the inks themselves: black, three primaries, others.

A file of readings names inks in its own way or not at all; what a full ink prints on its paper tells what it is.
"""

from dataclasses import dataclass

import numpy as np

from spectro.errors import InputError
from spectro.records.arrays import FloatArray

# usual hue angles, degrees, of full cyan, magenta and yellow relative to the paper: common practice, no source
_HUES = (235.0, 352.0, 93.0)
_NAMES = ("cyan", "magenta", "yellow")
_HUE_AWAY = 50.0  # degrees, within which an ink can be one of them
_OTHERS = {"red": 30.0, "orange": 58.0, "green": 160.0, "blue": 285.0, "violet": 308.0}
_LIGHT = 6.0  # L* by which a light ink lies above its full ink at least, of the same hue
_PALE = 0.75  # of its full ink's chroma that a light ink has at most
_GREY_CHROMA = 14.0  # up to which an ink is a grey or a black
_BLACK_BELOW = 55.0  # L*, relative to the paper, below which a grey ink is a black


@dataclass(frozen=True, slots=True, kw_only=True)
class InkRoles:
    """The places of inks among the channels."""

    primaries: tuple[int, int, int]  # cyan, magenta, yellow
    black: int | None
    lights: tuple[tuple[int, int], ...] = ()  # light inks, each with its full ink

    @property
    def core(self) -> tuple[int, ...]:
        """The primaries and black."""
        return self.primaries if self.black is None else (*self.primaries, self.black)


def roles_of(colour_space: str, solids: FloatArray) -> InkRoles:
    """Return the roles of inks. solids: (c, 3), media-relative Lab of every full ink alone.

    CMY and CMYK say them by their names. Raises InputError where three primaries cannot be told.
    """
    if colour_space in ("CMY", "CMYK"):
        return InkRoles(primaries=(0, 1, 2), black=3 if colour_space == "CMYK" else None)
    chroma = np.hypot(solids[:, 1], solids[:, 2])
    hue = np.degrees(np.arctan2(solids[:, 2], solids[:, 1]))
    greys = np.flatnonzero((chroma < _GREY_CHROMA) & (solids[:, 0] < _BLACK_BELOW))
    black = int(greys[solids[greys, 0].argmin()]) if len(greys) else None
    places: list[int] = []
    for name, usual in zip(_NAMES, _HUES, strict=True):
        away = np.abs((hue - usual + 180) % 360 - 180)
        near = [ink for ink in range(len(solids)) if ink not in (black, *places) and away[ink] <= _HUE_AWAY]
        near = [ink for ink in near if chroma[ink] >= _GREY_CHROMA]
        if not near:
            raise InputError(
                f"{len(solids)} inks of which none is {name} by its colour",
                "cyan, magenta and yellow among the inks",
                "Check that the device values stand in the right columns, and that the chart holds every ink at 100 %.",
            )
        places.append(max(near, key=lambda ink: chroma[ink] - 0.5 * away[ink]))
    primaries = (places[0], places[1], places[2])
    return InkRoles(primaries=primaries, black=black, lights=_lights(primaries, black, solids))


def _lights(primaries: tuple[int, int, int], black: int | None, solids: FloatArray) -> tuple[tuple[int, int], ...]:
    """Return light inks with their full inks: of the same hue and lighter by much, greys with black; one for each."""
    chroma = np.hypot(solids[:, 1], solids[:, 2])
    hue = np.degrees(np.arctan2(solids[:, 2], solids[:, 1]))
    found: dict[int, int] = {}
    for ink in range(len(solids)):
        if ink in (*primaries, black):
            continue
        if black is not None and chroma[ink] < _GREY_CHROMA and solids[ink, 0] > solids[black, 0] + _LIGHT:
            found.setdefault(black, ink)
            continue
        for full in primaries:
            near = abs((hue[ink] - hue[full] + 180) % 360 - 180) < _HUE_AWAY / 2
            if near and chroma[ink] <= _PALE * chroma[full] and solids[ink, 0] > solids[full, 0] + _LIGHT:
                found.setdefault(full, ink)
                break
    return tuple((light, full) for full, light in found.items())


def ink_names(roles: InkRoles, solids: FloatArray) -> tuple[str, ...]:
    """Return what inks are called, by what they print: (c, 3), media-relative Lab of every full ink alone.

    >>> roles = InkRoles(primaries=(0, 1, 2), black=3, lights=((5, 0),))
    >>> solids = [[57, -36, -46], [49, 75, -4], [92, -6, 95], [15, 1, 2], [65, 60, 80], [80, -18, -23]]
    >>> ink_names(roles, np.array(solids, dtype=float))
    ('cyan', 'magenta', 'yellow', 'black', 'orange', 'light cyan')
    """
    known = dict(zip(roles.core, (*_NAMES, "black"), strict=False))
    hue = np.degrees(np.arctan2(solids[:, 2], solids[:, 1]))
    chroma = np.hypot(solids[:, 1], solids[:, 2])
    usual = dict(zip(_NAMES, _HUES, strict=True))
    pale = dict(roles.lights)
    names = []
    for ink in range(len(solids)):
        name = known.get(ink, "grey" if chroma[ink] < _GREY_CHROMA else "")
        if not name and ink in pale:
            name = f"light {known[pale[ink]]}"
        if not name:
            every = _OTHERS | usual
            name = min(every, key=lambda one: abs((hue[ink] - every[one] + 180) % 360 - 180))
        names.append(name if name not in names else f"{name} {ink + 1}")
    return tuple(names)

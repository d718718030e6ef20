"""What a device link does, by sending inks through its bytes in a kept colour engine and printing them by the target's table.

Costs are told beside what the two profiles do without keeping anything, since colours that the target cannot print are off in
any case. A step is looked for along straight ways from kept inks to any others: the change of the print over that of the
source, from one sixty-fourth of the way to the next.
"""

import itertools

import numpy as np

from spectro.checks.statistics import difference_statistics
from spectro.colour.difference import delta_e_2000
from spectro.icc.link_profiles import INK_NAMES, inks_of_face
from spectro.profile.link_ends import INKS, LinkEnd, through_both, through_link, wanted_colours
from spectro.profile.link_families import BlendSettings, faces_kept
from spectro.records.arrays import BoolArray, FloatArray
from spectro.records.limits import Limits
from spectro.records.link import KeptInks, LinkFigures, LinkSettings

_COLOURS, _LIGHT_COLOURS = 8000, 6000
_WAYS, _STEPS = 240, 65


class LinkTrial:
    """A link with its two ends, and what it prints."""

    def __init__(self, data: bytes, ends: tuple[LinkEnd, LinkEnd], settings: LinkSettings, limits: Limits) -> None:
        """Keep what is asked again and again. limits: of links."""
        self.data, self.settings, self.limits = data, settings, limits
        self.source, self.target = ends
        self.faces = faces_kept(settings.keep)

    def figures(self) -> LinkFigures:
        """Return all figures."""
        inks = self._drawn(_COLOURS, np.random.default_rng(21))
        unkept = self._unkept(inks)
        sent = through_link(self.data, inks)
        apart = delta_e_2000(self.target.colours(np.clip(sent, 0, 1)), unkept)
        wanted = wanted_colours(self.source, self.target, inks, self.settings.intent)
        counted = self._away(inks)
        if wanted is not None and not self.settings.black_compensation:
            counted &= delta_e_2000(wanted, unkept) < self.limits["in_gamut"]
        step, largest, step_unkept = self._steps()
        return LinkFigures(
            kept=tuple(self._kept(face, point) for face, point in self.faces),
            agreement=difference_statistics(apart[counted]) if counted.any() else None,
            agreement_all=difference_statistics(apart),
            step=step,
            step_largest=largest,
            step_unkept=step_unkept,
            total=max(float(sent.sum(axis=1).max()), self._most()),
            lacked_in_light=self._lacked_in_light(),
        )

    def _unkept(self, inks: FloatArray) -> FloatArray:
        sent = through_both(
            self.source, self.target, inks, self.settings.intent, black_compensation=self.settings.black_compensation
        )
        return self.target.colours(sent)

    def _drawn(self, count: int, random: np.random.Generator) -> FloatArray:
        """Return inks that the source may hold, half of them drawn towards the paper."""
        inks = random.random((count, INKS))
        inks[count // 2 :] *= random.random((count - count // 2, 1))
        held: FloatArray = inks[inks.sum(axis=1) <= self.source.total]
        return held

    def _away(self, inks: FloatArray) -> BoolArray:
        """Return which inks (n,) lie farther from every kept face than their offsets reach."""
        away = np.ones(len(inks), dtype=np.bool_)
        for face, point in self.faces:
            foot = np.zeros_like(inks)
            foot[:, list(face)] = 1.0 if point else inks[:, list(face)]
            away &= np.linalg.norm(inks - foot, axis=1) > BlendSettings().reach
        return away

    def _kept(self, face: tuple[int, ...], point: bool) -> KeptInks:
        inks = np.eye(INKS)[list(face)] if point else inks_of_face(face)
        sent = through_link(self.data, inks)
        unkept = self._unkept(inks)
        wanted = (
            None if self.settings.black_compensation else wanted_colours(self.source, self.target, inks, self.settings.intent)
        )
        wanted = unkept if wanted is None else wanted
        off = delta_e_2000(wanted, self.target.colours(np.clip(sent, 0, 1)))
        others = [ink for ink in range(INKS) if ink not in face]
        return KeptInks(
            inks=tuple(INK_NAMES[ink] for ink in face),
            full_only=point,
            off=difference_statistics(off),
            unkept_off=difference_statistics(delta_e_2000(wanted, unkept)),
            largest_at=tuple(float(value) for value in inks[int(off.argmax())]),
            foreign=float(sent[:, others].max()) if others else 0.0,
        )

    def _steps(self) -> tuple[float, float, float]:
        """Return 95th percentile and largest of the steepest places of ways off kept inks, and the first by both profiles."""
        random = np.random.default_rng(23)
        way = np.linspace(0, 1, _STEPS)[:, None]
        found, plain = [], []
        places = [pair for pair in self.faces if pair[0]] or [((), False)]
        for number in range(_WAYS):
            face, point = places[number % len(places)]
            start = np.zeros(INKS)
            start[list(face)] = 1.0 if point else random.random(len(face))
            end = random.random(INKS)
            end *= min(1.0, self.source.total / end.sum())
            inks = start + (end - start) * way
            inks = inks[inks.sum(axis=1) <= self.source.total]
            source = self.source.colours(inks)
            sent = self.target.colours(np.clip(through_link(self.data, inks), 0, 1))
            found.append(self._steepest(sent, source))
            plain.append(self._steepest(self._unkept(inks), source))
        return float(np.percentile(found, 95)), float(max(found)), float(np.percentile(plain, 95))

    def _steepest(self, printed: FloatArray, source: FloatArray) -> float:
        change = np.maximum(delta_e_2000(source[1:], source[:-1]), self.limits["step_from"])
        return float((delta_e_2000(printed[1:], printed[:-1]) / change).max(initial=0.0))

    def _most(self) -> float:
        """Return the largest sum of inks at the corners of what the source can hold."""
        corners = np.array(list(itertools.product((0.0, 0.5, 1.0), repeat=INKS)))
        return float(through_link(self.data, corners).sum(axis=1).max())

    def _lacked_in_light(self) -> float:
        """Return the most of an ink that light colours get whose source lacks it and, every second one, another ink too."""
        random = np.random.default_rng(25)
        inks = random.random((_LIGHT_COLOURS, INKS)) * random.random((_LIGHT_COLOURS, 1))
        rows = np.arange(_LIGHT_COLOURS)
        lacked, other = rows % INKS, (rows + 1 + rows // INKS % (INKS - 1)) % INKS
        inks[rows, lacked] = 0.0
        inks[rows[::2], other[::2]] = 0.0
        light = self.source.colours(inks)[:, 0] > self.limits["light"]
        sent = through_link(self.data, inks[light])
        return float(np.where(inks[light] == 0.0, sent, 0.0).max(initial=0.0))


def link_figures(data: bytes, ends: tuple[LinkEnd, LinkEnd], settings: LinkSettings, limits: Limits) -> LinkFigures:
    """Return what a link does. data: its bytes. limits: of links. Raises TagError where the colour engine refuses it."""
    return LinkTrial(data, ends, settings, limits).figures()

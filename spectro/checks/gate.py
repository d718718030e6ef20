"""Laws that every print obeys, or nearly every one: what readings are held against before anything is made of them.

Each law may be broken singly by an odd but right paper (metallic, deeply tinted, black); the verdict rests on their
combination. What no law can show: a mistake that turns one possible print into another possible print, such as a tone
curve on the device values, a scale off by a few per cent, wavelengths off by a few nm, or the wrong paper.

The laws' limits: standards/limits/gate.toml, ours, from benchmarks/gate.py.
"""

import itertools
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from spectro.checks.full_inks import full_inks
from spectro.checks.ink_colours import InkColours, black_neutral, ink_colours
from spectro.checks.neighbour_colours import left_out_errors
from spectro.checks.spectra_laws import Judged, deepest_black, fine_values, paper_absorbs, smooth_spectra, whole_values
from spectro.checks.steady_readings import judged_steady
from spectro.colour.difference import delta_e_2000
from spectro.colour.lab import D50_PCS, lab_to_xyz, xyz_to_lab
from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError
from spectro.maths.row_blocks import one_thread
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.gate import BrokenLaw, GateCause, GateReport, Law
from spectro.records.limits import Limits
from spectro.records.measurement import MeasurementSet
from spectro.records.readings import Readings
from spectro.separation.ink_roles import roles_of

_PAIRS = 40_000
_BLOCK = 400  # recipes predicted from one another at a time: the cost grows with the cube
_SHIFTS = (1, -1, 2, -2, 3, -3)
# usual hue angles of cyan, magenta, yellow and their mixtures, relative to the paper, degrees: means of the solids of
# published characterization data and of measured inkjet prints, to the nearest 5 (common practice, no source)
_HUES = {"cyan": 235.0, "magenta": 352.0, "yellow": 93.0, "blue": 290.0, "green": 160.0, "red": 35.0}
_OF_NO_CAUSE = {  # no mistake of device values breaks these
    Law.NOT_CUT_OFF, Law.FINE_VALUES, Law.PAPER_ABSORBS, Law.ONE_PAPER, Law.STEADY, Law.NOT_TOO_DEEP,
}  # fmt: skip
_OF_PAPER = {Law.ONE_PAPER, Law.PAPER_LIGHTEST}  # a change partway breaks these; where others are broken it may be their sign
_NAMED = ("cyan", "magenta", "yellow")
_INKS_OF = {"cyan": (0,), "magenta": (1,), "yellow": (2,), "blue": (0, 1), "green": (0, 2), "red": (1, 2)}


def inks_of(colour_space: str, device: FloatArray) -> FloatArray:
    """Return how much ink device values (n, channels), 0 to 1, ask for: RGB counts light, everything else ink."""
    return 1.0 - device if colour_space == "RGB" else np.asarray(device, dtype=np.float64)


def gate_of(measurements: MeasurementSet | Readings, limits: Limits) -> GateReport:
    """Return which laws the readings of one print break, and the likeliest mistake; colours under D50, 2° observer."""
    if isinstance(measurements, Readings) and not measurements.has_spectra:
        return gate(measurements.sample_ids, measurements.colour_space, measurements.device, measurements.stated_lab, limits)
    return gate(
        measurements.sample_ids,
        measurements.colour_space,
        measurements.device,
        spectra_to_lab(measurements.reflectance, measurements.wavelengths),
        limits,
        spectra=measurements.reflectance,
        wavelengths=measurements.wavelengths,
        places=measurements.positions,
    )


def gate(
    ids: tuple[str, ...],
    colour_space: str,
    device: FloatArray,
    lab: FloatArray,
    limits: Limits,
    *,
    spectra: FloatArray | None = None,
    wavelengths: FloatArray | None = None,
    places: IntArray | None = None,
) -> GateReport:
    """Return which laws the readings of one print break, and the likeliest mistake.

    device: (n, channels), 0 to 1. lab: (n, 3), D50/2°, absolute. spectra: (n, bands), reflectance factors at wavelengths
    (bands,), nm, where there are any. places: (n, 3) page, row, column, where they are known.
    """
    ink = inks_of(colour_space, device)
    if ink.shape[1] == 1 and float(((ink[:, 0] - ink.mean()) * (lab[:, 0] - lab[:, 0].mean())).sum()) > 0:
        ink = 1.0 - ink  # one channel counts ink or light: charts of greys do either, and both are right
    if colour_space.endswith("CLR"):
        ink = _primaries_first(ink, lab, limits)
    black = 3 if colour_space == "CMYK" and ink.shape[1] == 4 else None
    with one_thread():
        return _report(_Print(ids=ids, ink=ink, lab=lab, black=black, places=places), limits, spectra, wavelengths)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Print:
    """What laws are held against."""

    ids: tuple[str, ...]
    ink: FloatArray  # (n, inks), 1 = full
    lab: FloatArray  # (n, 3), D50/2°
    black: int | None  # the place of black among the inks, where it is known
    places: IntArray | None = None  # (n, 3) page, row, column


def _primaries_first(ink: FloatArray, lab: FloatArray, limits: Limits) -> FloatArray:
    """Return inks (n, c) with cyan, magenta and yellow first: a file of many inks may hold them in any order.

    As they are where full inks alone do not tell which is which.
    """
    full, solids = full_inks(ink, lab, limits["corner_near"])
    if len(full) < len(_NAMED):
        return ink
    try:
        first = full[list(roles_of("CLR", solids).primaries)].tolist()
    except InputError:
        return ink
    return ink[:, [*first, *(place for place in range(ink.shape[1]) if place not in first)]]


def _report(one: _Print, limits: Limits, spectra: FloatArray | None, wavelengths: FloatArray | None) -> GateReport:
    judged, broken = _laws(one, spectra, wavelengths, limits)
    if not broken:
        return GateReport(judged=judged)
    cause, detail = _cause(one, limits, broken, _reversed_lab(one.ink, spectra, wavelengths, limits))
    return GateReport(broken=broken, cause=cause, cause_detail=detail, judged=judged)


def _laws(
    one: _Print, spectra: FloatArray | None, wavelengths: FloatArray | None, limits: Limits
) -> tuple[tuple[Law, ...], tuple[BrokenLaw, ...]]:
    bare = _bare(one, limits)
    found = [
        _brightness(one.lab, limits),
        smooth_spectra(spectra, wavelengths, limits, None if spectra is None else spectra[bare]),
    ]
    found += [whole_values(spectra, limits), fine_values(spectra, limits)]
    if len(one.ink) >= limits["patches"] and one.ink.shape[1]:
        found += [paper_absorbs(None if spectra is None else spectra[bare], limits), _one_paper(one, bare, limits)]
        found += [*_quick_laws(one, limits), _neighbours(one.ink, one.lab, limits)]
        found += [(None, None) if spectra is None else deepest_black(one.lab, limits)]
        if not any(broken is not None and broken.weight > 0 and law not in _OF_PAPER for law, broken in found):
            found.append(judged_steady(one.ids, one.ink, one.lab, one.places, limits))
    judged = tuple(dict.fromkeys(law for law, _ in found if law is not None))
    return judged, tuple(broken for _, broken in found if broken is not None)


def _bare(one: _Print, limits: Limits) -> IntArray:
    """Return the rows of the bare paper, none where the chart has none, all where nothing was asked for."""
    total = one.ink.sum(axis=1)
    return np.flatnonzero(total <= min(total.min() + 1e-6, limits["bare_ink"]))


def _one_paper(one: _Print, bare: IntArray, limits: Limits) -> Judged:
    """Bare paper read several times is one paper, under one condition, on one backing."""
    if len(bare) < 2:
        return None, None
    ends = [one.lab[bare[[place]]] for place in (int(one.lab[bare, 0].argmin()), int(one.lab[bare, 2].argmin()))]
    apart = max(float(delta_e_2000(one.lab[bare], np.broadcast_to(end, (len(bare), 3))).max()) for end in ends)
    if apart <= limits["papers_apart"]:
        return Law.ONE_PAPER, None
    patches = tuple(one.ids[row] for row in bare[:10])
    return Law.ONE_PAPER, BrokenLaw(law=Law.ONE_PAPER, found=apart, limit=limits["papers_apart"], weight=0.5, patches=patches)


def _quick_laws(one: _Print, limits: Limits) -> Iterator[Judged]:
    yield _paper(one.ids, one.ink, one.lab, limits)
    yield _full_ink(one.ids, one.ink, one.lab, limits)
    colours = ink_colours(one.ink, one.lab, limits)
    yield _hues(one.ink, one.lab, colours, limits)
    yield black_neutral(colours, one.black, limits)
    yield _order(one.ink, one.lab, limits)


def _brightness(lab: FloatArray, limits: Limits) -> Judged:
    brightest = float(lab_to_xyz(lab)[:, 1].max())
    if brightest < limits["dark_fault"]:
        return Law.NOT_TOO_DARK, BrokenLaw(law=Law.NOT_TOO_DARK, found=brightest, limit=limits["dark_fault"], weight=1.0)
    for name, weight in (("bright_fault", 1.0), ("bright_question", 0.0)):
        if brightest > limits[name]:
            return Law.NOT_TOO_BRIGHT, BrokenLaw(law=Law.NOT_TOO_BRIGHT, found=brightest, limit=limits[name], weight=weight)
    return Law.NOT_TOO_BRIGHT, None


def _paper(ids: tuple[str, ...], ink: FloatArray, lab: FloatArray, limits: Limits) -> Judged:
    total = ink.sum(axis=1)
    if total.min() > limits["bare_ink"]:  # no bare paper on the chart
        return None, None
    bare = np.flatnonzero(total <= total.min() + 1e-6)
    behind = float(lab[:, 0].max() - np.median(lab[bare, 0]))
    if behind <= limits["paper_below_lightest"]:
        return Law.PAPER_LIGHTEST, None
    weight = 0.5 if behind <= limits["paper_far_below_lightest"] else 0.75
    patches = tuple(ids[row] for row in bare[:10])
    return Law.PAPER_LIGHTEST, BrokenLaw(
        law=Law.PAPER_LIGHTEST, found=behind, limit=limits["paper_below_lightest"], weight=weight, patches=patches
    )


def _full_ink(ids: tuple[str, ...], ink: FloatArray, lab: FloatArray, limits: Limits) -> Judged:
    total = ink.sum(axis=1)
    span = float(lab[:, 0].max() - lab[:, 0].min())
    if (total.max() < limits["fullest_ink"] * ink.shape[1] and total.max() < 2.0) or span < 2:
        return None, None
    full = np.flatnonzero(total >= total.max() - 1e-6)
    above = float(np.median(lab[full, 0]) - lab[:, 0].min()) / span
    if above <= limits["full_ink_above_darkest"]:
        return Law.FULL_INK_DARK, None
    patches = tuple(ids[row] for row in full[:10])
    return Law.FULL_INK_DARK, BrokenLaw(
        law=Law.FULL_INK_DARK, found=above, limit=limits["full_ink_above_darkest"], weight=0.5, patches=patches
    )


def _order(ink: FloatArray, lab: FloatArray, limits: Limits) -> Judged:
    """Among pairs of recipes of which one has no less of every ink: how often, weighted by L*, that one is lighter."""
    draw = np.random.default_rng(20260101)
    first, second = draw.integers(0, len(ink), (2, _PAIRS))
    step = ink[second] - ink[first]
    more = (step >= -1e-9).all(axis=1) & (step.sum(axis=1) > limits["more_ink_step"])
    rise = (lab[second, 0] - lab[first, 0])[more]
    size = float(np.abs(rise).sum())
    if more.sum() < limits["more_ink_pairs"] or size == 0:
        return None, None
    share = float(rise[rise > 0].sum()) / size
    if share <= limits["more_ink_lighter"]:
        return Law.MORE_INK_DARKER, None
    weight = 1.0 if share > limits["more_ink_lighter_most"] else 0.5
    return Law.MORE_INK_DARKER, BrokenLaw(law=Law.MORE_INK_DARKER, found=share, limit=limits["more_ink_lighter"], weight=weight)


def _hues(ink: FloatArray, lab: FloatArray, colours: InkColours, limits: Limits) -> Judged:
    """Hues of full cyan, magenta, yellow and their mixtures relative to the paper, where the chart has them or nearly.

    A primary that no patch shows is judged by what it does in all of them.
    """
    if ink.shape[1] < 3:
        return None, None
    relative = xyz_to_lab(lab_to_xyz(lab) * (D50_PCS / colours.paper))
    corners = {name: _corner(ink, relative, inks, limits["corner_near"]) for name, inks in _INKS_OF.items()}
    for place, name in enumerate(_NAMED):
        if corners[name] is None and colours.unsure[place] <= limits["ink_known"]:
            corners[name] = (float(colours.lab[place, 1]), float(colours.lab[place, 2]))
    shown = {name: found for name, found in corners.items() if found is not None}
    chroma = {name: float(np.hypot(*found)) for name, found in shown.items()}
    colourful = max(chroma.values(), default=0.0) > limits["colourful"] * limits["hue_chroma"]
    wrong, seen, worst = [], 0, 0.0
    for name, (a, b) in shown.items():
        if chroma[name] < limits["hue_chroma"] and not colourful:
            continue
        seen += 1
        hue = float(np.degrees(np.arctan2(b, a)))
        off = 180.0 if chroma[name] < limits["hue_chroma"] else abs((hue - _HUES[name] + 180.0) % 360.0 - 180.0)
        if off > limits["hue_away"]:
            wrong.append(name)
            worst = max(worst, off)
    if not seen:
        return None, None
    if not wrong:
        return Law.HUES, None
    weight = 1.0 if len(wrong) > 1 else 0.5
    return Law.HUES, BrokenLaw(law=Law.HUES, found=worst, limit=limits["hue_away"], weight=weight, detail=", ".join(wrong))


def _corner(ink: FloatArray, relative: FloatArray, inks: tuple[int, ...], near: float) -> tuple[float, float] | None:
    """Return a*, b* of the patch that stands for these inks at full and no other, None where the chart has none near."""
    corner = np.zeros(ink.shape[1])
    corner[list(inks)] = 1.0
    away = np.abs(ink - corner).max(axis=1)
    row = int(away.argmin())
    return None if away[row] > near else (float(relative[row, 1]), float(relative[row, 2]))


def _neighbours(ink: FloatArray, lab: FloatArray, limits: Limits) -> Judged:
    left, recipes = unexplained(ink, lab, int(limits["patches"]))
    name = next((f"unlike_neighbours_{least}" for least in (500, 200, 80, 40) if recipes >= least), "")
    if not name or (ink.shape[1] > 4 and recipes < limits["many_inks_recipes"]):
        return None, None
    if left <= limits[name]:
        return Law.NEIGHBOURS, None
    return Law.NEIGHBOURS, BrokenLaw(law=Law.NEIGHBOURS, found=left, limit=limits[name], weight=1.0)


def unexplained(ink: FloatArray, lab: FloatArray, least: int) -> tuple[float, int]:
    """Return the share of the variance of Lab that predicting each recipe from the others leaves, and how many recipes.

    In blocks of 400 recipes (`neighbour_colours.py`); nothing for fewer recipes than least. A share above 1 is worse than
    saying the mean for all.
    """
    keys, index = np.unique(np.round(ink, 4), axis=0, return_inverse=True)
    counts = np.bincount(index.reshape(-1))
    colours = np.stack([np.bincount(index.reshape(-1), lab[:, axis]) / counts for axis in range(3)], axis=-1)
    recipes = len(keys)
    if recipes < least:
        return 0.0, recipes
    order = np.random.default_rng(20260102).permutation(recipes)
    blocks = np.array_split(order, -(-recipes // _BLOCK))
    squares = sum(float((left_out_errors(keys[block], colours[block])[0] ** 2).sum()) for block in blocks)
    variance = float(((colours - colours.mean(axis=0)) ** 2).sum())
    return (squares / variance if variance > 0 else 0.0), recipes


def _cause(
    one: _Print, limits: Limits, broken: tuple[BrokenLaw, ...], reversed_lab: FloatArray | None
) -> tuple[GateCause, str]:
    """Undo each mistake that is known; the first one after which no law is broken is the likeliest."""
    laws = {law.law for law in broken}
    if Law.SMOOTH_SPECTRA in laws:
        return GateCause.NOISE, ""
    if Law.NOT_TOO_DARK in laws:
        return GateCause.PERCENT, ""
    if Law.NOT_TOO_BRIGHT in laws:
        return (GateCause.PERCENT if broken[0].found > limits["percent_brightness"] else GateCause.SCALE), ""
    for law, named in ((Law.NOT_TOO_DEEP, GateCause.SQUARED), (Law.STEADY, GateCause.PARTWAY)):
        if law in laws:
            return named, ""
    if reversed_lab is not None and _obeys(replace(one, lab=reversed_lab), limits):
        return GateCause.REVERSED, ""
    told = laws - _OF_NO_CAUSE
    hued = {Law.HUES, Law.BLACK_NEUTRAL} & laws
    for cause, detail, other in _undone(one) if told else ():
        if (hued or cause is not GateCause.CHANNELS) and _obeys(other, limits):
            return cause, detail
    if laws == {Law.PAPER_LIGHTEST}:
        return GateCause.PAPER_PATCH, ""
    if Law.NEIGHBOURS in laws:
        return GateCause.ORDER, ""
    return GateCause.UNKNOWN, ""


def _obeys(one: _Print, limits: Limits) -> bool:
    """Whether no law is broken; the costliest is judged last, and on as many rows as one block holds."""
    if any(broken is not None for _, broken in _quick_laws(one, limits)):
        return False
    return _neighbours(one.ink[:_BLOCK], one.lab[:_BLOCK], limits)[1] is None


def _reversed_lab(
    ink: FloatArray, spectra: FloatArray | None, wavelengths: FloatArray | None, limits: Limits
) -> FloatArray | None:
    """Return Lab of the spectra read backwards where the bare paper asks for it, else None.

    A paper absorbs at the short end, below 420 nm, and hardly at the long one.
    """
    if spectra is None or wavelengths is None:
        return None
    if wavelengths[0] > limits["short_end"] or wavelengths[-1] < limits["long_end"]:
        return None
    total = ink.sum(axis=1)
    paper = np.median(spectra[total <= total.min() + 1e-6], axis=0)
    if paper[-1] >= limits["paper_absorbs"] * paper[0]:
        return None
    return spectra_to_lab(spectra[:, ::-1], wavelengths)


def _undone(one: _Print) -> Iterator[tuple[GateCause, str, _Print]]:
    yield GateCause.INVERTED, "", replace(one, ink=1.0 - one.ink)
    for place in range(one.ink.shape[1]) if one.ink.shape[1] > 1 else ():
        column = one.ink[:, place]
        for cause, values in ((GateCause.INVERTED, 1.0 - column), *_rescaled(column)):
            changed = one.ink.copy()
            changed[:, place] = values
            yield cause, str(place + 1), replace(one, ink=changed)
    if one.ink.shape[1] >= 3:
        mixed = 3 if one.black is None else 4
        for order in itertools.permutations(range(mixed)):
            if order != tuple(range(mixed)):
                exchanged = one.ink.copy()
                exchanged[:, :mixed] = one.ink[:, order]
                yield GateCause.CHANNELS, "".join(str(place + 1) for place in order), replace(one, ink=exchanged)
    for rows in _SHIFTS:
        kept = slice(rows, None) if rows > 0 else slice(None, rows)
        other = slice(None, -rows) if rows > 0 else slice(-rows, None)
        detail = f"{abs(rows)} {'later' if rows > 0 else 'earlier'}"
        yield GateCause.ROWS, detail, replace(one, ids=one.ids[kept], ink=one.ink[other], lab=one.lab[kept])


def _rescaled(column: FloatArray) -> Iterator[tuple[GateCause, FloatArray]]:
    """Return one channel as it is where it alone stood on another scale: 1 beside 100 or 255, 100 beside 255."""
    for light in (False, True):  # RGB counts light
        values = 1.0 - column if light else column
        for full in (1 / 255, 1 / 100, 100 / 255):
            if 0 < values.max() <= full + 1e-6:
                scaled = np.minimum(values / full, 1.0)
                yield GateCause.CHANNEL_SCALE, 1.0 - scaled if light else scaled

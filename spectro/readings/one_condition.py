"""Were readings made under one measurement condition? What bare paper says where files do not, or say it wrongly.

Ultraviolet makes a paper's brightener glow from 420 to 460 nm and nowhere beyond the blue [ISO-13655-2017]: two readings of
one paper that differ there alone were made with and without it. Limits: `standards/limits/condition.toml`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from spectro.errors import InputError
from spectro.readings.repeats import recipe_names
from spectro.records.arrays import FloatArray, keep_floats
from spectro.records.conditions import MeasurementCondition
from spectro.records.measurement import MeasurementSet
from spectro.records.readings import Readings
from spectro.standards.limits import shipped_limits

_GLOW, _PLAIN, _GREEN = (420.0, 460.0), (540.0, 680.0), (500.0, 560.0)  # nm
_M2 = (MeasurementCondition.M2, MeasurementCondition.M3)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BarePaper:
    """Readings of the bare paper of one file."""

    origin: str
    condition: MeasurementCondition | None  # as stated
    wavelengths: FloatArray  # (bands,)
    reflectance: FloatArray  # (k, bands), one row a reading

    def __post_init__(self) -> None:
        """Keep read-only copies."""
        keep_floats(self, "wavelengths", "reflectance")


def bare_paper(readings: MeasurementSet | Readings) -> BarePaper | None:
    """Return the readings of bare paper: of the unprinted patch, the lightest where device values are not known.

    None where there are no spectra.
    """
    if not readings.reflectance.size:
        return None
    lightest = int(np.argmax(readings.reflectance.mean(axis=1)))
    rows = [lightest]
    if readings.device.shape[1]:
        unprinted = 1.0 if readings.colour_space == "RGB" else 0.0
        bare = np.flatnonzero((np.abs(readings.device - unprinted) < 1e-6).all(axis=1))
        first = int(bare[0]) if len(bare) else lightest
        names = recipe_names(readings.device)
        rows = [row for row, name in enumerate(names) if name == names[first]]
    return BarePaper(
        origin=readings.origin,
        condition=readings.condition,
        wavelengths=readings.wavelengths,
        reflectance=readings.reflectance[rows],
    )


def glow_between(first: FloatArray, second: FloatArray, wavelengths: FloatArray, share: float) -> float:
    """Return by how much the second spectrum (bands,) glows more than the first, reflectance factor; 0 for another change.

    A difference beyond the blue is none of the brightener's: then two papers differ, not two conditions. share: of the glow
    that may be left there.
    """
    blue, rest_of = _within(wavelengths, _GLOW), _within(wavelengths, _PLAIN)
    if not blue.any() or not rest_of.any():
        return 0.0
    change = second - first
    glow = float(change[blue].mean())
    rest = float(np.abs(change[rest_of]).mean())
    return glow if rest <= share * abs(glow) else 0.0


def check_one_condition(papers: Sequence[BarePaper | None], *, same_paper: bool = True) -> None:
    """Refuse readings of which some do not state their measurement condition and the paper says that there are two.

    same_paper: they should be of one paper; else they may differ as two papers do. Raises InputError.
    """
    limits = shipped_limits("condition")
    share = limits["glow_share" if same_paper else "glow_share_papers"]
    known = [paper for paper in papers if paper is not None]
    for paper in known:
        if paper.condition is None and len(paper.reflectance) > 1:
            order = np.argsort(paper.reflectance[:, _within(paper.wavelengths, _GLOW)].mean(axis=1))
            _refuse(paper, paper, (paper.reflectance[order[0]], paper.reflectance[order[-1]]), limits["glow_share"])
    for first, second in combinations(known, 2):
        if first.condition and second.condition:
            continue
        for silent, other in ((first, second), (second, first)):
            if silent.condition is None and other.condition in _M2 and glow_alone(silent) > limits["glow_alone"]:
                raise _mixed(f"{other.condition} in {other.origin} and paper that glows in {silent.origin}", (silent, other))
        if np.array_equal(first.wavelengths, second.wavelengths):
            _refuse(first, second, (first.reflectance.mean(axis=0), second.reflectance.mean(axis=0)), share)


def _refuse(first: BarePaper, second: BarePaper, papers: tuple[FloatArray, FloatArray], share: float) -> None:
    glow = glow_between(*papers, first.wavelengths, share)
    if abs(glow) <= shipped_limits("condition")["glow_apart"]:
        return
    more, less = (second, first) if glow > 0 else (first, second)
    where = f"{more.origin} than in {less.origin}" if first is not second else f"some readings of {first.origin} than in others"
    raise _mixed(f"paper that glows {100 * abs(glow):.0f} % more in the blue in {where}", (first, second))


def _mixed(found: str, papers: tuple[BarePaper, BarePaper]) -> InputError:
    silent = " and ".join(dict.fromkeys(paper.origin for paper in papers if paper.condition is None))
    return InputError(
        f"{found}, and no measurement condition stated in {silent}",
        "one measurement condition: these look read with and without ultraviolet, such as M0 and M2",
        "Give files of one condition; if they are (the paper's brightener changed), say which with `measurement_condition`.",
    )


def glow_alone(paper: BarePaper) -> float:
    """Return by how much a bare paper is lighter in the blue than in the green, reflectance factor: no paper is by much."""
    mean = paper.reflectance.mean(axis=0)
    blue, green = (mean[_within(paper.wavelengths, band)] for band in (_GLOW, _GREEN))
    return float(blue.mean() - green.mean()) if len(blue) and len(green) else 0.0


def exchanged_labels(papers: Sequence[BarePaper | None]) -> str:
    """Return what is wrong with the labels of readings of one paper, a clause; "" where nothing is.

    Without ultraviolet nothing glows: a paper labelled M2 that glows more than under M0 or M1, or that is much lighter in the
    blue than in the green, was read with it.
    """
    known = [paper for paper in papers if paper is not None]
    limits = shipped_limits("condition")
    for first, second in combinations(known, 2):
        without, with_uv = (first, second) if first.condition in _M2 else (second, first)
        if without.condition not in _M2 or with_uv.condition in _M2 or with_uv.condition is None:
            continue
        if not np.array_equal(first.wavelengths, second.wavelengths):
            continue
        glow = glow_between(with_uv.reflectance.mean(axis=0), without.reflectance.mean(axis=0), without.wavelengths, 1.0)
        if glow > limits["glow_apart"]:
            return (
                f"the paper glows {100 * glow:.0f} % more under {without.condition} ({without.origin}) than under "
                f"{with_uv.condition} ({with_uv.origin}): the labels are exchanged"
            )
    for paper in known:
        if paper.condition in _M2 and glow_alone(paper) > limits["glow_alone"]:
            return f"{paper.origin} is labelled {paper.condition}, yet its paper glows in the blue as under ultraviolet"
    return ""


def check_labels(papers: Sequence[BarePaper | None]) -> None:
    """Refuse readings whose labels of measurement conditions cannot be right. Raises InputError."""
    wrong = exchanged_labels(papers)
    if wrong:
        raise InputError(wrong, "labels of the conditions that were used", "Correct the label in the file, or read again.")


def whites_by_lab(first: FloatArray, second: FloatArray) -> bool:
    """Whether two bare papers, Lab (3,), differ as readings with and without ultraviolet do: in b*, hardly in L*."""
    change = np.abs(np.asarray(second) - np.asarray(first))
    return bool(change[2] > shipped_limits("condition")["glow_alone_lab"] and change[0] < 0.3 * change[2])


def _within(wavelengths: FloatArray, band: tuple[float, float]) -> FloatArray:
    return np.asarray((wavelengths >= band[0]) & (wavelengths <= band[1]))

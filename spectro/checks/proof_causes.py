"""Why a proof page is not as its profile said: each mistake as the colours it would give, and the best explanation counts.

What is on the way of a picture is recomputed with the profile itself: converted twice, by another intent, with black point
compensation, not at all. What is not known is fitted: another paper from the white that was measured and from how densely
it takes ink, a moved printer from densities alone. Every explanation may be moved a little as any two sheets differ, and
none counts that gives another white than was measured. Limits stand in `standards/limits/proof.toml`.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from spectro.checks.colour_faults import CAP, after_sheet
from spectro.checks.misread_findings import Seems
from spectro.checks.printing_faults import printing_hypotheses
from spectro.colour.difference import delta_e_2000
from spectro.colour.lab import D50_PCS, lab_to_xyz, xyz_to_lab
from spectro.records.arrays import FloatArray
from spectro.records.limits import Limits
from spectro.records.proof_result import ProofCause, ProofExplanation, Sureness

LOST = (0.15, 0.3, 0.5, 0.75, 1.0)  # shares of an ink that may be missing
FREEDOM = 0.015  # what each fitted number costs, share of what is left
POWERS = (0.7, 0.78, 0.86, 1.16, 1.25, 1.36, 1.5)  # of device values; a smaller change is rather a printer that has moved
GLOW = np.array([0.19, 0.02, 1.0])  # X, Y, Z of an emission near 440 nm: ratios of the 2° functions there [CIE-018-2019]
GLOW_FADE = 1.2  # the exciting light is held back by ink as well; as in drift_moves
_FLOOR = 1e-4
_LIGHTS = 3  # channels of RGB
_ROUNDS = 5
_WHITES = {ProofCause.PAPER, ProofCause.CONDITION, ProofCause.WHITE_REFERENCE}
_PAPER_OR_WHITE = {ProofCause.PAPER, ProofCause.WHITE_REFERENCE}
_TWINS = {ProofCause.PRINTER, ProofCause.INK_AMOUNT}  # a little more or less of all inks, a little or more of it
_WHITE_MOVES = (ProofCause.WHITE_REFERENCE, ProofCause.TILTED, ProofCause.STRAY, ProofCause.DAMP)  # fitted with the white


@dataclass(frozen=True, slots=True, eq=False)
class Explaining:
    """One explanation: the Lab (n, 3) of every patch under it."""

    cause: ProofCause
    detail: str
    lab: FloatArray
    fitted: int = 0  # numbers that were fitted to the readings


def path_explanations(device: FloatArray, predict: Callable[[FloatArray], FloatArray], paper: FloatArray) -> list[Explaining]:
    """Return what conversions and enhancements of no known kind do to device values (n, channels) on their way.

    predict: device values to absolute Lab; both count light. paper: Lab (3,) of the unprinted sheet. None for inks: which
    other profile a printer's own software would put them through is not known, and tones are fitted.
    """
    if device.shape[1] != _LIGHTS:
        return []
    names = {Seems.THROUGH_PROFILE: ProofCause.CONVERTED, Seems.ENHANCED: ProofCause.ENHANCED}
    found = []
    for one in printing_hypotheses(device, predict, paper):
        if one.seems is Seems.INK_MISSING:
            plain, without = np.maximum(lab_to_xyz(predict(device)), _FLOOR), np.maximum(lab_to_xyz(one.lab[0]), _FLOOR)
            for share in LOST:
                lab = xyz_to_lab(plain ** (1 - share) * without**share)
                found.append(Explaining(ProofCause.INK, f"{100 * share:.0f} % of {one.detail} is missing", lab, 1))
        elif one.seems in names and not one.detail.endswith("tone curve"):
            found.append(Explaining(names[one.seems], one.detail, one.lab[0]))
    for exponent in POWERS:
        found.append(Explaining(ProofCause.TONES, f"as through a power of {exponent:g}", predict(device**exponent)))
    return found


def white_limit(limits: Limits, noise: float) -> float:
    """Return the ΔE00 from which a white is another one. noise: ΔE00 of a reading."""
    return max(limits["white"], limits["white_noises"] * noise)


def fitted_explanations(read: FloatArray, forecast: FloatArray, white: int, limit: float, limits: Limits) -> list[Explaining]:
    """Return a moved printer, and where the white differs another paper or condition, fitted to readings (n, 3).

    white: row of the unprinted paper. limit: ΔE00 from which its white is another one. limits: of proof pages.
    """
    measured, said = lab_to_xyz(read), lab_to_xyz(forecast)
    found = []
    found.append(Explaining(ProofCause.PRINTER, "inks by two or three percent", forecast, 3))
    same, bend = _densities(measured, said, said[white], said[white])
    words = _ink_words(same, limits["ink_named"])
    if _plausible(same, bend, limits):
        away = float(delta_e_2000(read, forecast).mean())
        cause = ProofCause.PRINTER if away <= limits["moved_most"] else ProofCause.INK_AMOUNT
        found.append(Explaining(cause, words, _denser(said, said[white], said[white], same, bend), 6))
    if float(delta_e_2000(read[white], forecast[white])) <= limit:
        return found
    own, bend = _densities(measured, said, said[white], measured[white])
    conditions = _conditions(measured, said, white, limits)
    alike = bool(conditions) and np.abs(own[:2] - 1).max() <= limits["same_ink"]  # another paper by its glow alone
    if _plausible(own, bend, limits) and not alike:
        lab = _denser(said, said[white], measured[white], own, bend)
        found.append(Explaining(ProofCause.PAPER, _paper_words(measured[white], said[white], own, limits["same_ink"]), lab, 7))
    return [*found, *conditions]


def _conditions(measured: FloatArray, said: FloatArray, white: int, limits: Limits) -> list[Explaining]:
    """Return the same print read with more or less ultraviolet, and without what the surface mirrors as well."""
    found = []
    darkest = int(np.argmin(said[:, 1]))
    mirrored = max(0.0, float((said[darkest] - measured[darkest]).mean()))
    for surface in (0.0, mirrored) if mirrored > limits["mirrored_share"] * said[darkest, 1] else (0.0,):
        bare = said - surface * D50_PCS / 100
        change = (measured[white] - bare[white]) / said[white]
        glow = float(change @ GLOW / (GLOW @ GLOW))
        if np.abs(change - glow * GLOW).max() > limits["glow"] + limits["glow_share"] * abs(glow):
            continue
        density = _shares(said, said[white])[:, 2]
        added = change * said[white] * 10 ** (-GLOW_FADE * density)[:, None]
        factor, _ = _densities(measured, np.maximum(bare + added, _FLOOR), measured[white], measured[white])
        if np.abs(factor[:2] - 1).max() > limits["same_ink"]:
            continue
        words = f"{'more' if glow > 0 else 'less'} ultraviolet{', no light from the surface' if surface else ''}"
        found.append(Explaining(ProofCause.CONDITION, words, xyz_to_lab(np.maximum(bare + added, _FLOOR)), 2))
    return found


def best_explanation(
    read: FloatArray, forecast: FloatArray, explanations: Sequence[Explaining], white: int, *, noise: float, limits: Limits
) -> ProofExplanation:
    """Return what explains readings (n, 3) best that are not as forecast (n, 3); UNKNOWN where nothing explains them.

    explanations: what the print would be under each. white: row of the unprinted paper. noise: ΔE00 of a reading. limits: of
    proof pages. None counts that gives another white than was measured, nor one that explains too little.
    """
    limit = white_limit(limits, noise)
    cap = max(CAP, 3 * float(np.median(delta_e_2000(read, forecast))))
    before = float(np.minimum(delta_e_2000(read, forecast), cap).mean())
    shift = float(delta_e_2000(read[white], forecast[white]))
    least = limits["least_gain"] if shift <= limit else limits["least_gain_white"]
    best: dict[ProofCause, tuple[float, Explaining]] = {}
    for one in _promising(read, explanations, cap, limits):
        if one.cause not in _WHITE_MOVES and float(delta_e_2000(read[white], one.lab[white])) > limit:
            continue
        left = _left(read, one.lab, cap) * (1 + FREEDOM * one.fitted)
        if one.cause not in best or left < best[one.cause][0]:
            best[one.cause] = (left, one)
    ranked = sorted(best.values(), key=lambda pair: pair[0])
    ranked = [pair for pair in ranked if pair[0] <= (1 - _least_gain(pair[1].cause, least, limits)) * before]
    bands = [pair for pair in ranked if pair[1].cause is ProofCause.BANDS]
    if bands and bands[0][0] <= limits["bands_lead"] * ranked[0][0]:  # told by more than chance, whatever else explains
        ranked = [*bands, *(pair for pair in ranked if pair not in bands)]
    if not ranked:
        return _unexplained(read, forecast, white, limit, before, limits)
    left, found = ranked[0]
    alike = _white_alike(ranked, limits["white_alike"] * before)
    rival = alike or _rival(ranked, limits["second_cause"] * max(left, noise))
    ahead = rival is None or (alike is None and rival[0] > limits["clear_lead"] * max(left, noise))
    clear = left <= (1 - limits["clear_gain"]) * before and ahead
    close = alike is not None or (rival is not None and rival[0] <= limits["second_cause"] * max(left, noise))
    close = close and rival is not None and _worth_telling(found, rival[1], limits)
    return ProofExplanation(
        cause=found.cause,
        detail=found.detail,
        sureness=Sureness.CLEAR if clear else Sureness.LIKELY,
        before=before,
        after=left,
        runner_up=str(rival[1].cause) if rival else "",
        runner_left=rival[0] if rival else None,
        also=str(rival[1].cause) if rival and close else "",
    )


def _white_alike(ranked: Sequence[tuple[float, Explaining]], most: float) -> tuple[float, Explaining] | None:
    """Return the other of another paper and a wrong white reference where one is best and the other leaves most at most.

    A paper has more freedoms, so it always explains a little more; no print tells them apart, and the one costs no paper.
    """
    if ranked[0][1].cause not in _PAPER_OR_WHITE:
        return None
    return next((one for one in ranked[1:] if one[1].cause in _PAPER_OR_WHITE and one[0] <= most), None)


def _rival(ranked: Sequence[tuple[float, Explaining]], close: float) -> tuple[float, Explaining] | None:
    """Return the explanation beside the best: not its own twin in other words, where another explains about as much."""
    if len(ranked) > 2 and {ranked[0][1].cause, ranked[1][1].cause} == _TWINS and ranked[2][0] <= close:
        return ranked[2]
    return ranked[1] if len(ranked) > 1 else None


def _worth_telling(first: Explaining, other: Explaining, limits: Limits) -> bool:
    """Whether a second cause that explains about as much is told: not one that needs more numbers for it than the first.

    Another paper, another condition and a wrong white reference are told beside one another whatever they need: no print
    tells them apart.
    """
    return {first.cause, other.cause} <= _WHITES or other.fitted <= first.fitted + limits["second_more"]


def _least_gain(cause: ProofCause, least: float, limits: Limits) -> float:
    """Return the share of the difference that a cause must take away; bands were found by chance's measure already."""
    return limits["least_gain_white"] if cause is ProofCause.BANDS else least


def _unexplained(
    read: FloatArray, forecast: FloatArray, white: int, limit: float, before: float, limits: Limits
) -> ProofExplanation:
    """Return what is told where nothing explains readings: another paper where the white is another one, else nothing."""
    shift = float(delta_e_2000(read[white], forecast[white]))
    row = int(np.argmin(forecast[:, 0]))
    other, dark = shift > limit and before <= limits["paper_most"], float(delta_e_2000(read[row], forecast[row]))
    words = f"the white differs by ΔE00 {shift:.1f}, the darkest colour by {dark:.1f}"
    return ProofExplanation(
        cause=ProofCause.PAPER if other else ProofCause.UNKNOWN,
        detail=words if other else "",
        sureness=Sureness.LIKELY if other else Sureness.NONE,
        before=before,
        after=before,
        runner_up="",
        runner_left=None,
    )


def _promising(read: FloatArray, explanations: Sequence[Explaining], cap: float, limits: Limits) -> list[Explaining]:
    """Return the explanations that may turn out best: what sheets differ by moves them by no more than so much."""
    raw = np.array([np.minimum(delta_e_2000(read, one.lab), cap).mean() for one in explanations])
    most = raw.min(initial=np.inf) + limits["sheet_moves"]
    return [one for one, left in zip(explanations, raw.tolist(), strict=True) if left <= most]


def _left(read: FloatArray, lab: FloatArray, cap: float) -> float:
    """Return the mean ΔE00 that is left when lab (n, 3) was moved as sheets differ."""
    return float(np.minimum(delta_e_2000(read, after_sheet(read, lab)), cap).mean())


def _shares(xyz: FloatArray, white: FloatArray) -> FloatArray:
    return np.asarray(-np.log10(np.clip(xyz / white, _FLOOR, 1.0)))


def _densities(
    measured: FloatArray, said: FloatArray, said_white: FloatArray, white: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Fit density by bands: (3,) what it is multiplied by at the densest, (3,) how much more at half of that. Robust."""
    factor, bend = np.ones(3), np.zeros(3)
    for band in range(3):
        x, y = _shares(said, said_white)[:, band], _shares(measured, white)[:, band]
        basis = np.column_stack([x, x * (1 - x / max(float(x.max()), 1e-6))])
        weights = 1 / (0.02 + x)  # a colour difference goes with the relative change of light
        for _ in range(_ROUNDS):
            gram = basis.T @ (basis * weights[:, None]) + np.diag([1e-9, 1e-4])
            size = np.linalg.solve(gram, basis.T @ (y * weights))
            away = np.abs(y - basis @ size)
            weights = 1 / (0.02 + x) / (1 + (away / max(2 * float(np.median(away)), 1e-3)) ** 2)
        factor[band], bend[band] = size
    return factor, bend


def _plausible(factor: FloatArray, bend: FloatArray, limits: Limits) -> bool:
    return bool(np.abs(factor - 1).max() <= limits["most_density"] and np.abs(bend).max() <= limits["most_bend"])


def _denser(said: FloatArray, said_white: FloatArray, white: FloatArray, factor: FloatArray, bend: FloatArray) -> FloatArray:
    x = _shares(said, said_white)
    dense = factor * x + bend * x * (1 - x / np.maximum(x.max(axis=0), 1e-6))
    return xyz_to_lab(white * 10**-dense)


def _ink_words(factor: FloatArray, least: float) -> str:
    parts = [
        f"{ink} {100 * (value - 1):+.0f} %"
        for ink, value in zip(("cyan", "magenta", "yellow"), factor.tolist(), strict=True)
        if abs(value - 1) >= least
    ]
    return f"density of {', '.join(parts)}" if parts else "mid-tones alone"


def _paper_words(measured: FloatArray, said: FloatArray, factor: FloatArray, same: float) -> str:
    new, old = xyz_to_lab(measured), xyz_to_lab(said)
    white = "its white is Lab {:.1f} {:.1f} {:.1f} where {:.1f} {:.1f} {:.1f} was profiled".format(*new, *old)
    more = float(factor.mean() - 1)
    if abs(more) < same:
        return white
    return f"{white}, and inks are {100 * abs(more):.0f} % {'denser' if more > 0 else 'weaker'} on it"

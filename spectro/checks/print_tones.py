"""White, black, contrast, first shadow and last highlight of a print: one definition each, for every command.

White is the unprinted paper. Black is full ink: RGB 0, the full grey channel, or black ink alone; a patch darker than that
is told beside it. Contrast is Y of white over Y of black. First shadow and last highlight are the first steps, of 255, that
leave black and paper by more than a limit and stay away. What was read is taken as it was read. A step that lies between
two greys that were read is predicted by the curve through the greys, and never lands outside those two.
"""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from spectro.colour.density import density
from spectro.colour.difference import delta_e_2000
from spectro.colour.lab import lab_to_xyz
from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import ShapeError, SpectroError
from spectro.maths.row_blocks import one_thread
from spectro.model.gaussian_process import fit_gaussian_process, least_to_predict
from spectro.readings.greys import SAME, check_greys, counts_light, grey_curve, grey_device, read_greys
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.limits import Limits
from spectro.records.print_tones import (
    GreyCurve,
    GreySteps,
    Origin,
    PrintedColour,
    PrintedRecipes,
    PrintTones,
    ToneStep,
)
from spectro.standards.limits import shipped_limits

_STEPS = 256
_NEAREST = 300  # recipes nearest to grey by which others are predicted
_DARKEST = 1e-4  # reflectance below which noise rules
_SPREAD = 20.0  # of the first component: about that of Lab, for which the model is made
_PREDICTED = 52  # steps of 5 of 255 at which greys are predicted


def find_greys(recipes: PrintedRecipes) -> GreySteps:
    """Return the greys of a print; where too few were read, the others as the colours nearest to grey predict them.

    Raises InputError where there are too few to draw a curve through, and too few colours to predict them.
    """
    read = read_greys(recipes)
    try:
        check_greys(read, recipes)
    except SpectroError:
        least = int(shipped_limits("model")["patches_without_paper"]) if recipes.paper is None else least_to_predict()
        if recipes.colour_space not in ("RGB", "CMYK") or len(recipes) < least:
            raise
        return _with_predicted(read, recipes)
    return read


def print_tones(
    recipes: PrintedRecipes, limits: Limits, *, greys: GreySteps | None = None, curve: GreyCurve | None = None
) -> PrintTones:
    """Return white, black, contrast and steps of what was read of a print.

    limits: of papers, `step` and `darker`. greys, curve: as `find_greys` and `grey_curve` found them,
    where a caller has them already.
    """
    if greys is None:
        try:
            greys = find_greys(recipes)
        except SpectroError:  # readings without greys tell white and black still
            greys = None
    if greys is not None and curve is None:
        curve = grey_curve(greys)
    white, black = _white(recipes, greys), _black(recipes, greys, curve)
    darkest = _read(recipes, int(np.argmin(recipes.lab[:, 0])))
    ends = _ends(white, black or darkest, recipes.condition, limits, darkest=darkest, full_ink=black is not None)
    if greys is None or curve is None:
        return ends
    ramp, ramp_lab = grey_ramp(curve)
    read = int(greys.measured.sum())
    return replace(
        ends,
        ramp_origin=f"{read} measured greys" + (" and the model of the colours nearest to grey" if greys.predicted else ""),
        ramp_of=greys.sent,
        ramp_device=ramp,
        ramp_lab=ramp_lab,
        first_shadow=_step(greys, ramp, ramp_lab, black or darkest, white, limits["step"], dark=True),
        last_highlight=_step(greys, ramp, ramp_lab, white, black or darkest, limits["step"], dark=False),
    )


def profile_tones(
    colour_space: str, unprinted: FloatArray, predict: Callable[[FloatArray], FloatArray], condition: str, limits: Limits
) -> PrintTones:
    """Return what a profile says of white, black and greys: all of it predicted.

    unprinted: (channels,) device values of bare paper; predict: device values (n, channels) to absolute Lab (n, 3).
    """
    sent = {"RGB": "equal RGB", "CMYK": "black ink", "GRAY": "grey"}.get(colour_space, "")
    ramp = np.linspace(0, 1, _STEPS)
    places = grey_device(sent, 1 - ramp if sent == "grey" and unprinted[0] < 0.5 else ramp)
    full = places[0] if sent else 1 - unprinted
    none = np.zeros(0)
    white, black = (printed_colour(one, predict(one[None])[0], none, none, Origin.PREDICTED) for one in (unprinted, full))
    ends = _ends(white, black, condition, limits)
    if not sent:
        return ends
    lab = predict(places)
    return replace(
        ends,
        ramp_origin="the profile",
        ramp_of=sent,
        ramp_device=ramp,
        ramp_lab=lab,
        first_shadow=first_shadow_step(ramp, lab, limits["step"], origin=Origin.PREDICTED),
        last_highlight=last_highlight_step(ramp, lab, limits["step"], origin=Origin.PREDICTED),
    )


def grey_ramp(curve: GreyCurve) -> tuple[FloatArray, FloatArray]:
    """Return 256 even steps and their Lab (256, 3) along a curve through greys."""
    ramp = np.linspace(0, 1, _STEPS)
    return ramp, np.column_stack([np.interp(ramp, curve.value, curve.lab[:, axis]) for axis in range(3)])


def first_shadow_step(
    device: FloatArray, lab: FloatArray, threshold: float | None = None, *, origin: str = Origin.MEASURED
) -> ToneStep | None:
    """Return the first step that leaves black by more than threshold, and stays away from it; None where none does.

    device: (m,) rising, 0 darkest; lab: (m, 3). threshold: ΔE00, None for the shipped limit. origin: of the colours.
    """
    return _leaving(device, lab, _limit(threshold), origin)


def last_highlight_step(
    device: FloatArray, lab: FloatArray, threshold: float | None = None, *, origin: str = Origin.MEASURED
) -> ToneStep | None:
    """Return the step nearest to paper that leaves it by more than threshold, seen from paper; None where none does.

    Arguments as for `first_shadow_step`, device rising towards paper too.
    """
    return _leaving(device[::-1], lab[::-1], _limit(threshold), origin)


def printed_colour(
    device: FloatArray, lab: FloatArray, reflectance: FloatArray, wavelengths: FloatArray, origin: str
) -> PrintedColour:
    """Return the record of one colour: device (channels,), lab (3,), reflectance (bands,), (0,) where it has no spectrum."""
    lightness, a, b = (float(value) for value in lab)
    return PrintedColour(
        device=tuple(float(value) for value in device),
        lab=(lightness, a, b),
        y=float(lab_to_xyz(lab)[1]),
        density=float(density(reflectance, wavelengths)[0]) if len(wavelengths) else None,
        origin=origin,
    )


def _with_predicted(read: GreySteps, recipes: PrintedRecipes) -> GreySteps:
    """Return the greys that were read, and predicted ones where none lies near."""
    rows = _nearest_to_grey(recipes.colour_space, recipes.device)
    value = np.linspace(0, 1, _PREDICTED)
    if len(read.value):
        value = value[np.abs(value[:, None] - read.value).min(axis=1) >= 0.5 / (_PREDICTED - 1)]
    places = grey_device(read.sent, value)
    device, counts = recipes.device[rows], recipes.counts[rows].astype(np.float64)
    if len(recipes.wavelengths):
        spectra = _predict_spectra(device, recipes.reflectance[rows], counts, places)
        lab = spectra_to_lab(spectra, recipes.wavelengths)
    else:
        spectra = np.zeros((len(value), 0))
        lab = _predict_colours(device, recipes.lab[rows], counts, places)
    order = np.argsort(np.concatenate([read.value, value]), kind="stable")
    return GreySteps(
        sent=read.sent,
        value=np.concatenate([read.value, value])[order],
        lab=np.concatenate([read.lab, lab])[order],
        reflectance=np.concatenate([read.reflectance, spectra])[order],
        counts=np.concatenate([read.counts, np.ones(len(value))])[order],
        rows=np.concatenate([read.rows, np.full(len(value), -1)])[order],
        readings=int(recipes.counts[rows].sum()),
    )


def _nearest_to_grey(colour_space: str, device: FloatArray) -> IntArray:
    """Return the rows of the recipes nearest to equal RGB, or to black ink alone, the nearest first."""
    away = np.ptp(device, axis=1) if colour_space == "RGB" else device[:, :-1].max(axis=1)
    return np.argsort(away, kind="stable")[:_NEAREST]


def _predict_spectra(device: FloatArray, reflectance: FloatArray, counts: FloatArray, places: FloatArray) -> FloatArray:
    """Return reflectance (n, bands) at device values (n, channels): spectra in six components of their cube roots.

    device: (m, channels); reflectance: (m, bands); counts: (m,) readings of each.
    Raises errors of `spectro.errors` where the recipes span too little.
    """
    roots = np.cbrt(np.maximum(reflectance, _DARKEST))
    mean = roots.mean(axis=0)
    _, sizes, shapes = np.linalg.svd(roots - mean, full_matrices=False)
    scale = _SPREAD / (sizes[0] / np.sqrt(len(roots)))
    scores = (roots - mean) @ shapes[:6].T * scale
    with one_thread():
        parts = [
            fit_gaussian_process(device, scores[:, part], counts, tables=False).predict(places)
            for part in (slice(0, 3), slice(3, 6))
        ]
    return np.asarray((np.hstack(parts) @ shapes[:6] / scale + mean) ** 3)


def _predict_colours(device: FloatArray, lab: FloatArray, counts: FloatArray, places: FloatArray) -> FloatArray:
    """Return Lab (n, 3) at device values (n, channels), from recipes (m, channels) without spectra. Errors as above."""
    with one_thread():
        return fit_gaussian_process(device, lab, counts).predict(places)


def _ends(
    white: PrintedColour,
    black: PrintedColour,
    condition: str,
    limits: Limits,
    *,
    darkest: PrintedColour | None = None,
    full_ink: bool = True,
) -> PrintTones:
    """Return what is told of both ends, without a ramp."""
    told = darkest is not None and darkest.lab[0] < black.lab[0] - limits["darker"]
    return PrintTones(
        white_lab=white.lab,
        white_origin=white.origin,
        black_device=black.device,
        black_lab=black.lab,
        black_y=black.y,
        black_density=black.density,
        black_origin=black.origin,
        full_ink=full_ink,
        darkest=darkest if told else None,
        contrast=white.y / max(black.y, 1e-6),
        contrast_origin=Origin.MEASURED if {white.origin, black.origin} == {Origin.MEASURED} else Origin.PREDICTED,
        contrast_condition=f"{condition}, D50, 2°, 45°/0° as read, no light mirrored by the surface",
        density_range=None if black.density is None or white.density is None else black.density - white.density,
        ramp_origin="",
        ramp_of="",
        ramp_device=np.zeros(0),
        ramp_lab=np.zeros((0, 3)),
        first_shadow=None,
        last_highlight=None,
        step_limit=limits["step"],
    )


def _read(recipes: PrintedRecipes, row: int) -> PrintedColour:
    return printed_colour(recipes.device[row], recipes.lab[row], recipes.reflectance[row], recipes.wavelengths, Origin.MEASURED)


def _white(recipes: PrintedRecipes, greys: GreySteps | None) -> PrintedColour:
    """Return bare paper: as it was read, else as predicted; the lightest patch where device values are not known."""
    if recipes.paper is not None:
        return _read(recipes, recipes.paper)
    if greys is None or greys.value[-1] < 1 - SAME:
        return _read(recipes, int(np.argmax(recipes.lab[:, 0])))
    return _grey(recipes, greys, -1)


def _black(recipes: PrintedRecipes, greys: GreySteps | None, curve: GreyCurve | None) -> PrintedColour | None:
    """Return full ink: as it was read, else as the model or the curve through the greys says; None where none tells."""
    full = _full_ink(recipes)
    if full is None:
        return None
    rows = np.flatnonzero((np.abs(recipes.device - full) < SAME).all(axis=1))
    if len(rows):
        return _read(recipes, int(rows[0]))
    if greys is None or curve is None:
        return None
    if greys.value[0] < SAME:
        return _grey(recipes, greys, 0)
    # the darkest grey's spectrum, brought to the lightness of the curve's end
    spectrum = greys.reflectance[0] * float(lab_to_xyz(curve.lab[0])[1] / max(lab_to_xyz(greys.lab[0])[1], 1e-6))
    return printed_colour(full, curve.lab[0], spectrum, recipes.wavelengths, Origin.PREDICTED)


def _full_ink(recipes: PrintedRecipes) -> FloatArray | None:
    """Return the device values (channels,) of black; None where they are not known."""
    if recipes.colour_space == "RGB":
        return np.zeros(3)
    if recipes.colour_space == "CMYK":
        return np.array([0.0, 0.0, 0.0, 1.0])
    if recipes.colour_space == "CMY":
        return np.ones(3)
    if recipes.colour_space == "GRAY":
        return np.array([0.0 if counts_light(recipes.device, recipes.lab[:, 0]) else 1.0])
    return None


def _grey(recipes: PrintedRecipes, greys: GreySteps, place: int) -> PrintedColour:
    device = grey_device(greys.sent, greys.value[[place]])[0]
    origin = Origin.MEASURED if greys.rows[place] >= 0 else Origin.PREDICTED
    return printed_colour(device, greys.lab[place], greys.reflectance[place], recipes.wavelengths, origin)


def _step(
    greys: GreySteps,
    ramp: FloatArray,
    ramp_lab: FloatArray,
    end: PrintedColour,
    other: PrintedColour,
    limit: float,
    *,
    dark: bool,
) -> ToneStep | None:
    """Return the first step that leaves an end: between the two measured greys around it, as the curve says.

    dark: the end is black. All is turned so that the end comes first; `away` is the way from it, 0 to 1.
    """
    read = greys.measured
    away, lab = (greys.value[read], greys.lab[read]) if dark else (1 - greys.value[read][::-1], greys.lab[read][::-1])
    between = (away > SAME) & (away < 1 - SAME)
    away, lab = np.concatenate([[0.0], away[between], [1.0]]), np.vstack([[end.lab], lab[between], [other.lab]])
    found = _leaving(away, lab, limit, end.origin)
    if found is None:
        return None
    along, curve = (ramp, ramp_lab) if dark else (1 - ramp[::-1], ramp_lab[::-1])
    difference = delta_e_2000(end.lab, curve)
    difference[0] = 0.0
    same = int(np.flatnonzero(difference <= limit)[-1])
    inside = np.flatnonzero((along > found.last_same + SAME) & (along < found.first_different - SAME))
    later = inside[inside > same]
    if len(later):
        first = int(later[0])
        found = ToneStep(
            last_same=max(float(along[first - 1]), found.last_same),
            first_different=float(along[first]),
            delta_e_2000=float(difference[first]),
            origin=Origin.PREDICTED,
        )
    return found if dark else replace(found, last_same=1 - found.last_same, first_different=1 - found.first_different)


def _limit(threshold: float | None) -> float:
    return shipped_limits("paper")["step"] if threshold is None else threshold


def _leaving(device: FloatArray, lab: FloatArray, threshold: float, origin: str) -> ToneStep | None:
    if device.ndim != 1 or lab.shape != (len(device), 3):
        raise ShapeError(f"device and Lab have shapes {device.shape} and {lab.shape}; expected (m,) and (m, 3)")
    if len(device) < 2:
        return None
    difference = delta_e_2000(lab[0], lab)
    same = np.flatnonzero(difference <= threshold)
    last = int(same[-1])  # a later return to the end's colour counts: the steps between are not told apart from it
    if last + 1 >= len(device):
        return None
    return ToneStep(
        last_same=float(device[last]),
        first_different=float(device[last + 1]),
        delta_e_2000=float(difference[last + 1]),
        origin=origin,
    )

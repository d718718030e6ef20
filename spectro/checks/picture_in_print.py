"""What a paper does to a picture: colours it cannot show, shadows that block, highlights that vanish, chroma that is lost."""

import numpy as np

from spectro.checks.print_tones import first_shadow_step, last_highlight_step
from spectro.colour.difference import delta_e_2000
from spectro.profile.picture_conversion import Step
from spectro.profile.picture_print import PrintedColours, nearest_printable, printed_colours
from spectro.records.arrays import AnyArray, BoolArray, FloatArray
from spectro.records.image import PictureInPrint
from spectro.standards.limits import shipped_limits

_HUES = ("reds", "oranges", "yellows", "greens", "cyans", "blues", "violets", "magentas")
_CENTRES = (35.0, 60.0, 95.0, 145.0, 200.0, 275.0, 305.0, 345.0)  # hue angles of CIELAB; common practice, no source
_TOLD = 3
_STEPS = 256
_NO_CHROMA = 128 * 257  # of a* and b* in 16 bits, [ICC.1-2022]


def picture_in_print(paper: str, values: AnyArray, step: Step, colours: PrintedColours | None = None) -> PictureInPrint:
    """Return what a paper does to a picture. values: (n, channels), uint8 or uint16, pixels of it on an even grid."""
    found = printed_colours(values, step) if colours is None else colours
    limit = shipped_limits("profile")["picture_outside"]
    outside_by = delta_e_2000(found.wanted, nearest_printable(found.wanted, step.target))
    outside = outside_by > limit
    change = delta_e_2000(found.wanted, found.relative)
    ramp_lab, black, white = _greys(step)
    ramp = np.linspace(0, 1, _STEPS)
    shadow, highlight = first_shadow_step(ramp, ramp_lab), last_highlight_step(ramp, ramp_lab)
    return PictureInPrint(
        paper=paper,
        intent=str(step.intent),
        black_compensation=step.compensated,
        outside=float(outside.mean()),
        outside_delta_e_2000=float(outside_by[outside].mean()) if outside.any() else 0.0,
        change_delta_e_2000=float(change.mean()),
        change_p95=float(np.percentile(change, 95)),
        blocked=_swallowed(found.wanted, found.relative, black, np.zeros(3), dark=True),
        blown=_swallowed(found.wanted, found.relative, white, np.array([100.0, 0.0, 0.0]), dark=False),
        lost_chroma=_lost(found),
        first_shadow=None if shadow is None else round(shadow.first_different * (_STEPS - 1)),
        last_highlight=None if highlight is None else round(highlight.first_different * (_STEPS - 1)),
    )


def outside_by(wanted: FloatArray, step: Step) -> FloatArray:
    """Return ΔE00 (n,) between colours (n, 3), relative Lab, and the nearest that a paper can show."""
    return delta_e_2000(wanted, nearest_printable(wanted, step.target))


def grey_numbers(step: Step) -> AnyArray:
    """Return the 256 greys of a picture's space as numbers (256, channels), uint16: equal RGB, grey, or black ink alone."""
    ramp = np.round(np.linspace(0, 65535, _STEPS)).astype(np.uint16)
    if step.source.space == "cmyk":
        return np.stack([0 * ramp, 0 * ramp, 0 * ramp, 65535 - ramp], axis=1)
    if step.source.space == "lab":
        return np.stack([ramp, 0 * ramp + _NO_CHROMA, 0 * ramp + _NO_CHROMA], axis=1)
    return np.repeat(ramp[:, None], step.source.channels, axis=1)


def _greys(step: Step) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return Lab (256, 3) of a ramp of greys as printed, and of black and paper."""
    lab = printed_colours(grey_numbers(step), step).relative
    return lab, lab[0], lab[-1]


def _swallowed(wanted: FloatArray, printed: FloatArray, end: FloatArray, origin: FloatArray, *, dark: bool) -> float:
    """Return the share of pixels that print as an end does although the picture tells them from its own end."""
    told = shipped_limits("paper")["step"]
    near: BoolArray = delta_e_2000(printed, end) < told
    meant: BoolArray = delta_e_2000(wanted, origin) > told
    middle = shipped_limits("picture")["middle"]
    side = wanted[:, 0] < middle if dark else wanted[:, 0] > middle
    return float((near & meant & side).mean())


def _lost(colours: PrintedColours) -> tuple[tuple[str, float, float], ...]:
    """Return the hues that lose most chroma: name, share of the pixels, mean C* lost."""
    limits = shipped_limits("picture")
    chroma = np.hypot(colours.wanted[:, 1], colours.wanted[:, 2])
    lost = chroma - np.hypot(colours.relative[:, 1], colours.relative[:, 2])
    hue = np.degrees(np.arctan2(colours.wanted[:, 2], colours.wanted[:, 1]))
    apart = np.abs((hue[:, None] - np.array(_CENTRES) + 180) % 360 - 180)
    nearest = np.where(chroma >= limits["colourful"], apart.argmin(axis=1), -1)
    found = []
    for number, name in enumerate(_HUES):
        here = nearest == number
        if here.mean() >= limits["least_hue"] and lost[here].mean() > limits["lost_chroma"]:
            found.append((name, float(here.mean()), float(lost[here].mean())))
    return tuple(sorted(found, key=lambda one: -one[1] * one[2])[:_TOLD])

"""White and black of a paper in a light, from readings, from a profile, or from a Lab value."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from spectro.checks.print_view import USUAL_Y, light_white
from spectro.colour.adaptation import bradford_matrix
from spectro.colour.brightener import under_light
from spectro.colour.lab import D50_PCS, lab_to_xyz
from spectro.colour.tristimulus import tristimulus
from spectro.colour.weights import tristimulus_weights
from spectro.errors import InputError, ProfileFileError, TagError
from spectro.icc.evaluate import device_to_lab, lab_to_device, media_white
from spectro.icc.profile_file import is_profile, read_profile, read_profile_bytes
from spectro.readings.paper_readings import read_paper
from spectro.records.arrays import FloatArray
from spectro.records.conditions import MeasurementCondition
from spectro.records.light import Light
from spectro.records.reading_options import ReadingOptions
from spectro.records.shown_text import shown_name


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PaperWhite:
    """A paper in a light, perfect diffuser Y = 100, 2° observer."""

    origin: str
    white: FloatArray  # (3,), XYZ
    black_y: float | None
    notes: tuple[str, ...]


def paper_white(
    sources: Sequence[Path],
    lab: tuple[float, float, float] | None,
    light: Light,
    options: ReadingOptions,
) -> PaperWhite:
    """Return the paper's white and black in a light.

    sources: files of readings, read by options, or one profile; lab: D50, 2°, absolute, in their place. With neither, a usual
    white paper.
    """
    if sources and lab is not None:
        raise InputError("readings or a profile together with `paper_white`", "one of them", "Leave one out.")
    if lab is not None:
        return _of_lab(lab, light)
    if not sources:
        note = f"No paper was given: one of Y {100 * USUAL_Y:.0f} without tint was taken."
        white = light_white(light) * USUAL_Y
        return PaperWhite(origin="a usual white paper", white=white, black_y=None, notes=(note,))
    if any(is_profile(path) for path in sources):
        if len(sources) > 1:
            raise InputError("a profile together with other files", "one profile, or readings", "Name one of them.")
        return _of_profile(sources[0], light)
    found = read_paper(sources, options)
    main = found[0]
    reflectance = main.reflectance
    notes = [f"Paper from readings {main.word}."]
    by_condition = {one.condition: one for one in found}
    exciting = by_condition.get(MeasurementCondition.M1) or by_condition.get(MeasurementCondition.M0)
    without = by_condition.get(MeasurementCondition.M2)
    weights = tristimulus_weights(main.wavelengths, light)
    paper = reflectance[main.paper]
    if exciting is not None and exciting.condition is not None and without is not None:
        paper = under_light(
            exciting.reflectance[exciting.paper],
            without.reflectance[without.paper],
            main.wavelengths,
            light,
            exciting.condition,
        )
        notes = [f"Paper estimated for {light.name} from readings {exciting.word} and M2."]
    black = float(tristimulus(reflectance, weights)[:, 1].min()) if len(reflectance) > 1 else None
    return PaperWhite(origin=main.origin, white=tristimulus(paper, weights), black_y=black, notes=tuple(notes))


def _in_light(xyz_d50: FloatArray, light: Light) -> tuple[FloatArray, tuple[str, ...]]:
    """XYZ in a light of a colour known under D50 only, and the caution that goes with it."""
    if light.name == "D50":
        return xyz_d50, ()
    white = light_white(light)
    note = (
        f"The paper is known under D50 only; its colour in {light.name} is an estimate. Readings of its spectrum tell better."
    )
    return bradford_matrix(D50_PCS, white) @ xyz_d50, (note,)


def _of_lab(lab: tuple[float, float, float], light: Light) -> PaperWhite:
    if not (0 < lab[0] <= 110 and max(abs(lab[1]), abs(lab[2])) <= 60):
        raise InputError(f"a paper white of Lab {lab}", "L* of 1 to 110, a* and b* within 60", "Correct `paper_white`.")
    white, notes = _in_light(lab_to_xyz(lab), light)
    text = "Lab {:g} {:g} {:g}".format(*lab)
    return PaperWhite(origin=text, white=white, black_y=None, notes=notes)


def _of_profile(path: Path, light: Light) -> PaperWhite:
    if len(read_profile_bytes(path)) == 0:
        raise ProfileFileError(path, "an empty file", "an ICC profile", "Get the file again.")
    profile = read_profile(path)
    if profile.header.device_class != b"prtr":
        raise ProfileFileError(
            path, "a profile that is not of a printer", "an output profile", "Name the profile of printer and paper."
        )
    try:
        white, notes = _in_light(media_white(profile), light)
    except TagError as error:
        raise ProfileFileError(path, str(error), "an undamaged ICC profile", "Get the file again.") from error
    black = None
    try:
        darkest = np.clip(lab_to_device(profile, np.zeros((1, 3))), 0, 1)
        black = float(lab_to_xyz(device_to_lab(profile, darkest, absolute=True))[0, 1])
    except (TagError, ValueError):
        notes = (*notes, "The profile's tables do not tell the darkest black.")
    return PaperWhite(
        origin=shown_name(path),
        white=white,
        black_y=None if black is None else max(black, 0.0),
        notes=("Paper from a profile.", *notes),
    )

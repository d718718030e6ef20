"""A black-and-white print judged: its greys, how they keep to the curve aimed at, and how near the tint comes."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from spectro.checks.fitted_printer import fit_printer
from spectro.checks.grey_neutrality import grey_neutrality
from spectro.checks.misread_greys import greys_apart, without_misread
from spectro.checks.print_tones import find_greys, print_tones
from spectro.colour.difference import delta_e_2000
from spectro.colour.grey_aim import aimed_greys
from spectro.profile.linearising import can_tone, linearising_curve, tone_aim, toned_curve
from spectro.readings.greys import grey_curve, grey_noise, printed_recipes
from spectro.records.arrays import FloatArray
from spectro.records.conditions import NOT_STATED
from spectro.records.grey_aim import GreyAim
from spectro.records.light import Light
from spectro.records.limits import Limits
from spectro.records.measurement import MeasurementSet
from spectro.records.monochrome import AimMatch, LinearisingCurve, MonochromePrint
from spectro.records.print_tones import GreyCurve, GreySteps, PrintTones
from spectro.standards.limits import Tolerances


def judge_monochrome(
    measurements: MeasurementSet,
    *,
    name: str,
    aim: GreyAim | None,
    tones: FloatArray | None,
    entries: int,
    lights: Sequence[str | Light],
    tolerances: Tolerances,
) -> tuple[MonochromePrint, GreyCurve, float]:
    """Return what was found of greys, without words; the curve through them; by how much an own tone aim is out of reach.

    aim: the tint aimed at, or None. tones: (k, 2) value and L* aimed at, or None for even steps. entries: of the linearising
    curve. lights: in which neutrality is judged. tolerances: limits of papers and monochrome.
    Raises InputError where there are too few greys, or other rows of tones.
    """
    recipes = printed_recipes(measurements)
    greys, misread = without_misread(find_greys(recipes), tolerances.of("monochrome"))
    curve = grey_curve(greys)
    printed = print_tones(recipes, tolerances.of("paper"), greys=greys, curve=curve)
    wanted = np.linspace(0, 1, entries)
    ends = (float(curve.lab[0, 0]), float(curve.lab[-1, 0]))
    aimed, out_of_reach = tone_aim(tones, wanted, *ends)
    made, match = linearising_curve(wanted, aimed, curve.value, curve.lab), None
    if aim is not None:
        match = _match(printed.ramp_lab, aim)
        if can_tone(measurements):
            made, reached = toned_curve(fit_printer(measurements).model.predict, aim, wanted, aimed, ends)
            match = replace(match, toned_mean=reached[0], toned_largest=reached[1])
    neutrality = grey_neutrality(
        greys.value, greys.reflectance, greys.counts, measurements.wavelengths,
        lights, printed.ramp_device, printed.ramp_lab[:, 0], tolerances.of("monochrome"),
    )  # fmt: skip
    found = _print(measurements, greys, printed, made, tolerances.of("monochrome"))
    return (
        replace(found, name=name, lights=neutrality, match=match, curve_noise=curve.left_out, misread=misread),
        curve,
        out_of_reach,
    )


def _match(printed: FloatArray, aim: GreyAim) -> AimMatch:
    difference = delta_e_2000(aimed_greys(aim, printed[:, 0], printed[-1]), printed)
    return AimMatch(aim=aim.words, mean=float(difference.mean()), largest=float(difference.max()))


def _print(
    measurements: MeasurementSet, greys: GreySteps, tones: PrintTones, curve: LinearisingCurve, limits: Limits
) -> MonochromePrint:
    """Return what the greys and their curve say, without lights, aim and words."""
    lightness = greys.lab[:, 0]
    apart = np.abs(tones.ramp_lab[:, 0] - np.interp(tones.ramp_device, curve.wanted, curve.lightness))
    apart_lightness, apart_tint = greys_apart(greys)
    return MonochromePrint(
        verdict="",
        name="",
        origin=measurements.origin,
        measurement_condition=measurements.condition or NOT_STATED,
        sent=greys.sent,
        steps=len(greys.value),
        readings=greys.readings,
        predicted=greys.predicted,
        repeat_noise=grey_noise(measurements, greys),
        curve_noise=0.0,
        apart=apart_lightness,
        tint_apart=apart_tint,
        turn=float((np.maximum.accumulate(lightness) - lightness).max()),
        device=greys.value,
        lab=greys.lab,
        ramp=tones.ramp_device,
        ramp_lab=tones.ramp_lab,
        paper_lab=tones.white_lab,
        black_lab=tones.black_lab,
        black_value=float(greys.value[int(np.argmin(lightness))]),
        black_density=tones.black_density,
        contrast=tones.contrast,
        first_shadow=tones.first_shadow,
        last_highlight=tones.last_highlight,
        uneven=float(apart.max()),
        lights=(),
        limits=limits,
        step_limit=tones.step_limit,
        match=None,
        curve=curve,
        white_origin=tones.white_origin,
        black_origin=tones.black_origin,
        black_device=tones.black_device,
        darkest=tones.darkest,
        contrast_origin=tones.contrast_origin,
        contrast_condition=tones.contrast_condition,
        ramp_origin=tones.ramp_origin,
    )

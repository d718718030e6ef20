"""What one paper of a comparison is: white, black, contrast, gamut, greys, constancy, noise."""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from spectro.boundary.cube_surface import MOST_CHANNELS
from spectro.boundary.solid import HUES, LIGHTNESS, GamutSolid, gamut_solid
from spectro.checks.brightener import paper_brightener, paper_reading
from spectro.checks.compared_paper import ComparedPaper, recipe_counts
from spectro.checks.print_constancy import print_constancy
from spectro.checks.print_tones import print_tones, profile_tones
from spectro.checks.wall_black import REFLECTED, wall_blacks
from spectro.colour.difference import delta_e_2000
from spectro.files.light_file import find_light
from spectro.readings.greys import printed_recipes
from spectro.records.arrays import FloatArray
from spectro.records.light import Light
from spectro.records.limits import Limits
from spectro.records.paper_comparison import PaperFacts
from spectro.records.paper_sheet import Constancy
from spectro.records.print_tones import PrintedRecipes, PrintTones

_RAMP = np.linspace(0, 1, 256)
_DARK_EIGHTH = 1 / 8


def paper_facts(
    paper: ComparedPaper, lights: Sequence[Light], limits: Limits, *, cost: float | None, wall: float
) -> tuple[PaperFacts, GamutSolid | None]:
    """Return the facts of a paper and its gamut, None where it cannot be told.

    limits: of papers. wall: share mirrored by the surface.
    """
    tones = _tones(paper, limits)
    solid = None
    if paper.predicts and 3 <= paper.channels <= MOST_CHANNELS:
        solid = gamut_solid(paper.predict, paper.channels)
    sheet = brightener = constancy = None
    if paper.spectra:
        main = paper.spectra[0]
        sheet = paper_reading(main.word, main.paper_readings, main.reflectance[main.paper], main.wavelengths)
        brightener = paper_brightener(paper.spectra, find_light("D50"), limits)[0]
        if main.measurements is not None:
            constancy = constancy_of(paper, lights)
    ramp = tones.ramp_lab
    grey = tones.ramp_of != ""
    facts = PaperFacts(
        name=paper.name,
        origin=paper.origin,
        kind=paper.kind,
        condition=paper.condition,
        colour_space=paper.colour_space,
        recipes=len(paper.recipe_device),
        white_lab=tones.white_lab,
        whiteness=None if sheet is None else sheet.whiteness,
        tint=None if sheet is None else sheet.tint,
        whiteness_outside=() if sheet is None else sheet.outside,
        brightener=brightener,
        black_lab=tones.black_lab,
        contrast=tones.contrast,
        wall=wall_blacks(tones.black_lab, tones.white_lab, sorted({*REFLECTED, wall})),
        volume=None if solid is None else solid.volume,
        lightness=np.zeros(0) if solid is None else LIGHTNESS,
        hues=np.zeros(0) if solid is None else HUES,
        reach=np.zeros((0, 0)) if solid is None else solid.reach,
        faces=np.zeros((0, 0, 0, 3)) if solid is None else solid.faces,
        ramp_of=tones.ramp_of,
        ramp_device=tones.ramp_device,
        ramp_lab=ramp,
        grey_cast=_grey_cast(ramp) if grey else None,
        first_shadow=tones.first_shadow,
        last_highlight=tones.last_highlight,
        shadow_separation=_separation(ramp) if grey else None,
        light_change={} if constancy is None else _mean_change(constancy),
        light_rows={} if constancy is None else {row.name: dict(row.change) for row in constancy.rows},
        noise=paper.noise,
        noise_from=paper.noise_from,
        model_error=paper.left_out(),
        cost=cost,
        white_origin=tones.white_origin,
        black_origin=tones.black_origin,
        black_device=tones.black_device,
        full_ink=tones.full_ink,
        darkest=tones.darkest,
        contrast_origin=tones.contrast_origin,
        contrast_condition=tones.contrast_condition,
        ramp_origin=tones.ramp_origin,
    )
    return facts, solid


def constancy_of(paper: ComparedPaper, lights: Sequence[Light]) -> Constancy:
    """Return the inconstancy of paper, greys and memory colours of a paper with spectra of a print."""
    main = paper.spectra[0]
    return print_constancy(main.device, main.reflectance, main.wavelengths, main.paper, tuple(lights), condition=main.word)


def constancy_rows(paper: ComparedPaper, lights: Sequence[Light]) -> list[int]:
    """Return the rows of the recipes that constancy is told of."""
    main = paper.spectra[0]
    devices = [row.device for row in constancy_of(paper, lights[:1]).rows]
    return [int(np.argmin(np.abs(main.device - np.array(device)).sum(axis=1))) for device in devices]


def _mean_change(constancy: Constancy) -> dict[str, float]:
    return {light: float(np.mean([row.change[light] for row in constancy.rows])) for light in constancy.rows[0].change}


def _tones(paper: ComparedPaper, limits: Limits) -> PrintTones:
    """Return white, black and greys: of readings as they were read, of a profile as it says."""
    if paper.profile is not None:
        return profile_tones(paper.colour_space, paper.recipe_device[paper.paper], paper.predict, paper.condition, limits)
    if paper.spectra and paper.spectra[0].measurements is not None:
        return print_tones(printed_recipes(paper.spectra[0].measurements, paper.condition), limits)
    recipes = PrintedRecipes(
        colour_space=paper.colour_space,
        device=paper.recipe_device,
        lab=paper.recipe_lab,
        counts=recipe_counts(paper.device),
        paper=paper.paper,
        condition=paper.condition,
        origin=paper.origin,
        reflectance=np.zeros((len(paper.recipe_lab), 0)),
        wavelengths=np.zeros(0),
    )
    return print_tones(recipes, limits)


def _grey_cast(ramp: FloatArray) -> float:
    share = (ramp[:, 0] - ramp[0, 0]) / max(ramp[-1, 0] - ramp[0, 0], 1e-9)
    line = ramp[0, 1:] + share[:, None] * (ramp[-1, 1:] - ramp[0, 1:])
    return float(np.linalg.norm(ramp[:, 1:] - line, axis=1).mean())


def _separation(ramp: FloatArray) -> float:
    """Return ΔE00 summed along the darkest eighth; steps back are counted off."""
    dark = ramp[_RAMP <= _DARK_EIGHTH + 1e-9]
    steps = [float(delta_e_2000(first, second)) * (1 if second[0] >= first[0] else -1) for first, second in pairwise(dark)]
    return float(sum(steps))

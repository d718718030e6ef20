"""Two papers held against each other: patches they share, gamuts, the use of the old profile, metamerism."""

from collections.abc import Sequence

import numpy as np

from spectro.boundary.solid import GamutSolid
from spectro.checks.compared_paper import ComparedPaper
from spectro.checks.gamut_difference import gamut_change
from spectro.checks.pair_metamerism import pair_metamerism
from spectro.checks.paper_facts import constancy_rows
from spectro.checks.profile_reuse import profile_reuse
from spectro.checks.statistics import difference_statistics
from spectro.colour.difference import delta_e_2000
from spectro.readings.repeats import recipe_keys, recipe_names
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.light import Light
from spectro.records.paper_comparison import PairMetamerism, PaperFacts, PaperPair, ProfileReuse

_LEAST_JOINED = 3


def paper_pair(
    old: ComparedPaper,
    new: ComparedPaper,
    facts: tuple[PaperFacts, PaperFacts],
    solids: tuple[GamutSolid | None, GamutSolid | None],
    lights: Sequence[Light],
) -> PaperPair:
    """Return what sets a new paper apart from the old one; its verdict is left to the room of words.

    facts, solids: of the old one and the new one, as `paper_facts` found them. lights: in which metamerism is told.
    """
    (old_facts, new_facts), (old_solid, new_solid) = facts, solids
    joined, of_old, of_new, lab_old, lab_new = _joined(old, new)
    measured = None
    if len(of_old):
        measured = difference_statistics(delta_e_2000(lab_old[of_old], lab_new[of_new]))
    reuse = _reuse(old, new)
    gamut = gamut_change(old_solid, new_solid) if old_solid and new_solid else None
    return PaperPair(
        old=old.name,
        new=new.name,
        verdict="",
        white_apart=float(delta_e_2000(old_facts.white_lab, new_facts.white_lab)),
        black_apart=float(delta_e_2000(old_facts.black_lab, new_facts.black_lab)),
        joined=joined,
        common=len(of_old),
        measured=measured,
        predicted_on_common=_predicted(old, new, of_old, of_new) if joined == "by device values" else None,
        gamut=gamut,
        reuse=reuse,
        metamerism=_metamerism(old, new, lights),
    )


def _joined(old: ComparedPaper, new: ComparedPaper) -> tuple[str, IntArray, IntArray, FloatArray, FloatArray]:
    """Return how patches of both were joined, their rows in both, and the Lab those rows are of.

    Row by row where both list the same device values in the same order (published sets, repeats included); else recipes
    by device values; without device values by their names, or in file order where there are equally many.
    """
    nothing = np.zeros(0, dtype=np.int64)
    if old.kind == "profile" or new.kind == "profile":
        return "", nothing, nothing, old.lab, new.lab
    every = np.arange(len(old.lab))
    if old.colour_space and old.colour_space == new.colour_space:
        if np.array_equal(recipe_keys(old.device), recipe_keys(new.device)):
            return "row by row", every, every, old.lab, new.lab
        places = {key: row for row, key in enumerate(recipe_names(new.recipe_device))}
        pairs = [(row, places[key]) for row, key in enumerate(recipe_names(old.recipe_device)) if key in places]
        rows = np.array(pairs, dtype=np.int64).reshape(-1, 2)
        return "by device values" if pairs else "", rows[:, 0], rows[:, 1], old.recipe_lab, new.recipe_lab
    if old.colour_space and new.colour_space:
        return "", nothing, nothing, old.lab, new.lab
    named = {identity: row for row, identity in enumerate(new.ids)}
    if len(named) == len(new.ids) and len(set(old.ids)) == len(old.ids) > _LEAST_JOINED and set(old.ids) & set(named):
        pairs = [(row, named[identity]) for row, identity in enumerate(old.ids) if identity in named]
        rows = np.array(pairs, dtype=np.int64)
        return "by name", rows[:, 0], rows[:, 1], old.lab, new.lab
    if len(old.lab) == len(new.lab) > _LEAST_JOINED:
        return "in file order", every, every, old.lab, new.lab
    return "", nothing, nothing, old.lab, new.lab


def _predicted(old: ComparedPaper, new: ComparedPaper, of_old: IntArray, of_new: IntArray) -> float | None:
    """Return the mean ΔE00 of common patches as the models say that have not seen them."""
    if old.model is None or new.model is None:
        return None
    return float(delta_e_2000(old.model.left_out[of_old], new.model.left_out[of_new]).mean())


def _reuse(old: ComparedPaper, new: ComparedPaper) -> ProfileReuse | None:
    if not old.predicts or not new.colour_space or old.colour_space != new.colour_space:
        return None
    return profile_reuse(
        old.predict(new.recipe_device),
        new.recipe_lab,
        new.recipe_device,
        old.recipe_lab[old.paper],
        new.recipe_lab[new.paper],
        new_errors=new.left_out_errors(),
        predict=old.predict,
    )


def _metamerism(old: ComparedPaper, new: ComparedPaper, lights: Sequence[Light]) -> PairMetamerism | None:
    if not old.spectra or not new.spectra or old.spectra[0].measurements is None or new.spectra[0].measurements is None:
        return None
    first, second = old.spectra[0], new.spectra[0]
    if not np.array_equal(first.wavelengths, second.wavelengths):
        return None
    rows = [row for row in constancy_rows(old, lights) if row != first.paper]
    return pair_metamerism(first.reflectance, second.reflectance, first.wavelengths, rows, lights)

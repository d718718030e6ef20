"""From a change and its most likely cause to what it comes to, and what to do. Limits: `standards/limits/drift.toml`.

A tile or anchors tell printer from instrument: what they show moved is the instrument's.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from spectro.checks.drift_cause import ChangeModel
from spectro.checks.drift_chart import JudgedCheck, judge_checks
from spectro.checks.statistics import difference_statistics
from spectro.colour.difference import delta_e_2000
from spectro.colour.lab import lab_to_xyz, xyz_to_lab
from spectro.errors import InputError, ProfileFileError, TagError
from spectro.icc.evaluate import device_to_lab
from spectro.icc.profile_file import IccProfile
from spectro.records.arrays import FloatArray
from spectro.records.drift import (
    CauseFinding,
    ControlReading,
    DriftAdvice,
    DriftCause,
    DriftSettings,
    DriftState,
    InkChange,
    TileFinding,
)
from spectro.records.limits import Limits
from spectro.records.statistics import DifferenceStatistics
from spectro.standards.limits import shipped_limits


def drift_settings(
    limits: Limits | None = None,
    *,
    noise: float | None = None,
    sheet: float | None = None,
    instrument_agreement: float | None = None,
    warn: float | None = None,
    act: float | None = None,
) -> DriftSettings:
    """Return what is taken for noise and what counts: what is given, else the limits' (None: those shipped for drift).

    instrument_agreement: None: one instrument read all. Sizes are ΔE00. Raises InputError for sizes that say nothing.
    """
    limits = limits or shipped_limits("drift")
    return DriftSettings(
        noise=limits["noise"] if noise is None else noise,
        sheet=limits["sheet"] if sheet is None else sheet,
        instrument_agreement=instrument_agreement,
        warn=limits["warn"] if warn is None else warn,
        act=limits["act"] if act is None else act,
        limits=limits,
    )


def state_of(check: JudgedCheck, settings: DriftSettings) -> DriftState:
    """Return what one check comes to."""
    agreement, mean = settings.instrument_agreement, check.difference.mean
    if agreement is None:
        return DriftState.DRIFT if check.beyond else DriftState.FINE
    if mean <= agreement:
        return DriftState.INSTRUMENTS
    return DriftState.DRIFT if check.beyond else DriftState.SMALL


def tile_finding(before: FloatArray, after: FloatArray, settings: DriftSettings) -> TileFinding:
    """Return whether an instrument moved, from Lab (k, 3) of a tile or of anchors read then and now."""
    change = float(delta_e_2000(before, after).mean())
    limit = settings.instrument_agreement or settings.limits["tile_over_noise"] * settings.noise
    return TileFinding(delta_e_2000=change, limit=limit, moved=change > limit, left=None)


def without_instrument(lab: FloatArray, before: FloatArray, after: FloatArray) -> FloatArray:
    """Return Lab (n, 3) as the instrument would have read it before: X, Y, Z divided by the tile's or anchors' change."""
    ratio = (lab_to_xyz(after) / np.maximum(lab_to_xyz(before), 1e-3)).mean(axis=0)
    return xyz_to_lab(lab_to_xyz(lab) / ratio)


def cause_named(causes: Sequence[CauseFinding], limits: Limits) -> DriftCause:
    """Return the cause to act on: the most likely one, or nothing where even that explains little. limits: those of drift."""
    if not causes or causes[0].explains < limits["explains"]:
        return DriftCause.NONE
    return causes[0].cause


def advice_for(
    state: DriftState, cause: DriftCause, mean: float, paper: float, inks: Sequence[InkChange], settings: DriftSettings
) -> DriftAdvice:
    """Return what to do. mean: ΔE00 over all patches; paper: ΔE00 of the paper; inks: what they seem to do."""
    if state in (DriftState.FINE, DriftState.INSTRUMENTS):
        return DriftAdvice.FINE
    if state is DriftState.SMALL or cause in (DriftCause.WET, DriftCause.INSTRUMENT):
        return DriftAdvice.READ_AGAIN
    if cause is DriftCause.NOZZLES:
        return DriftAdvice.CLEAN
    if cause is DriftCause.PAPER:
        if paper <= settings.limits["paper_stays"] and mean <= settings.warn:
            return DriftAdvice.READ_AGAIN
        return DriftAdvice.REFRESH if paper <= settings.limits["paper_anew"] else DriftAdvice.PROFILE_ANEW
    if mean <= settings.warn:
        return DriftAdvice.READ_AGAIN
    if mean > settings.limits["anew"] * settings.act:
        return DriftAdvice.PROFILE_ANEW
    moved = [ink.percent for ink in inks if ink.certain]
    together = len(moved) >= 2 and (min(moved) > 0 or max(moved) < 0)
    return DriftAdvice.LINEARISE if cause is DriftCause.PRINTER and together and mean <= settings.act else DriftAdvice.REFRESH


def against_profile(
    profile: tuple[str, IccProfile] | None, reference: ControlReading, newest: ControlReading
) -> tuple[DifferenceStatistics | None, DifferenceStatistics | None]:
    """Return how far the newest and the reference print are from a profile, by name and contents; nothing without one.

    Raises InputError, ProfileFileError where the profile and the readings do not belong together.
    """
    if profile is None:
        return None, None
    name, parsed = profile
    if reference.colour_space is None:
        raise InputError(
            f"readings without device values beside the profile {name}", "device values", "Give the chart's table with `chart`."
        )
    space = parsed.header.colour_space.decode("latin-1").strip()
    if space != reference.colour_space:
        raise ProfileFileError(name, f"a profile for {space}", f"one for {reference.colour_space}", "Give the right profile.")
    try:
        predicted = device_to_lab(parsed, reference.device, absolute=True)
    except TagError as error:
        raise ProfileFileError(name, str(error), "an undamaged output profile", "Build it anew.") from error
    now, before = (difference_statistics(delta_e_2000(predicted, lab)) for lab in (newest.lab, reference.lab))
    return now, before


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Judgement:
    """What checks of one print come to, the newest last."""

    checks: tuple[JudgedCheck, ...]
    state: DriftState  # of the newest
    causes: tuple[CauseFinding, ...]  # of the newest, most likely first
    tile: TileFinding | None


def judge_newest(
    reference: ControlReading,
    checks: Sequence[ControlReading],
    model: ChangeModel,
    settings: DriftSettings,
    *,
    tile: tuple[FloatArray, FloatArray] | None = None,
) -> Judgement:
    """Judge checks, oldest first, and tell printer from instrument where a tile was read, Lab (k, 3) then and now.

    What the tile says of the instrument is known and taken out of the newest check. Where nothing is left then and something
    was seen before, the change is the instrument's.
    """
    finding = None if tile is None else tile_finding(*tile, settings)
    seen = list(checks)
    if tile is not None and finding is not None and finding.moved:
        seen[-1] = replace(seen[-1], lab=without_instrument(seen[-1].lab, *tile))
    known = () if tile is None else (DriftCause.INSTRUMENT,)
    judged = judge_checks(reference, seen, model, settings, without=known)
    state, causes = state_of(judged[-1], settings), judged[-1].causes
    if finding is not None and finding.moved:
        finding = replace(finding, left=judged[-1].difference.mean)
        raw = judge_checks(reference, checks, model, settings)[-1]
        if state is not DriftState.DRIFT and raw.beyond:
            judged, state = (*judged[:-1], raw), DriftState.DRIFT
            causes = (CauseFinding(cause=DriftCause.INSTRUMENT, detail="", share=1.0, explains=1.0),)
    return Judgement(checks=judged, state=state, causes=causes, tile=finding)

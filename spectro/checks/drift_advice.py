"""From a change and its most likely cause to what it comes to, and what to do. Limits: `standards/limits/drift.toml`.

A tile or anchors tell printer from instrument: what they show moved is the instrument's.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from spectro.checks.drift_cause import ChangeModel
from spectro.checks.drift_chart import JudgedCheck, judge_checks
from spectro.checks.drift_explanations import leaves_paper
from spectro.checks.drift_moves import paper_row
from spectro.checks.print_noise import print_noise
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

_MOST_INKS = 3  # of cyan, magenta, yellow and black that moved the same way for it to be said of them


def drift_settings(
    limits: Limits | None = None,
    *,
    noise_limits: Limits | None = None,
    noise: float | None = None,
    sheet: float | None = None,
    instrument_agreement: float | None = None,
    warn: float | None = None,
    act: float | None = None,
) -> DriftSettings:
    """Return what is taken for noise and what counts: what is given, else the limits' (None: those shipped for drift).

    noise_limits: of noise, from where noise and sheets are taken unless they are given; None: the shipped ones. A sheet counts
    here from the mean of many, there from another sheet: the square root of 2 lies between.
    instrument_agreement: None: one instrument read all. Sizes are ΔE00. Raises InputError for sizes that say nothing.
    """
    limits = limits or shipped_limits("drift")
    noises = noise_limits or shipped_limits("noise")
    known = print_noise(limits=noises)
    own = {name: noises.limit(name) for name in ("reading", "sheet") if noises.limit(name).own}  # to be named in the report
    return DriftSettings(
        noise=known.reading if noise is None else noise,
        sheet=round(known.sheet / math.sqrt(2), 2) if sheet is None else sheet,
        instrument_agreement=instrument_agreement,
        warn=limits["warn"] if warn is None else warn,
        act=limits["act"] if act is None else act,
        limits=Limits(limits.subject, {**own, **limits.by_name}),
    )


def matters(mean: float, p95: float, paper: float, settings: DriftSettings) -> bool:
    """Whether a change is worth acting on: its mean, its 95th percentile or its paper, ΔE00, is too large."""
    limits = settings.limits
    return mean > settings.warn or p95 > limits["p95_over_mean"] * settings.warn or paper > limits["paper_stays"]


def state_of(check: JudgedCheck, paper: float, settings: DriftSettings) -> DriftState:
    """Return what one check comes to. paper: ΔE00 of the bare paper."""
    agreement, mean = settings.instrument_agreement, check.difference.mean
    if agreement is None:
        if matters(mean, check.difference.p95, paper, settings):
            return DriftState.DRIFT
        return DriftState.MOVED if check.beyond else DriftState.FINE
    worst = settings.limits["p95_over_mean"] * math.hypot(agreement, settings.warn)
    far = check.difference.p95 > worst or paper > math.hypot(agreement, settings.limits["paper_stays"])
    if mean <= agreement and not far:
        return DriftState.INSTRUMENTS
    return DriftState.DRIFT if check.beyond or far else DriftState.SMALL


def tile_finding(before: FloatArray, after: FloatArray, settings: DriftSettings) -> TileFinding:
    """Return whether an instrument moved, from Lab (k, 3) of a tile or of anchors read then and now."""
    change = float(delta_e_2000(before, after).mean())
    limit = settings.instrument_agreement or settings.limits["tile_over_noise"] * settings.noise
    return TileFinding(delta_e_2000=change, limit=limit, moved=change > limit, left=None)


def without_instrument(lab: FloatArray, before: FloatArray, after: FloatArray) -> FloatArray:
    """Return Lab (n, 3) as the instrument would have read it before: X, Y, Z divided by the tile's or anchors' change."""
    ratio = (lab_to_xyz(after) / np.maximum(lab_to_xyz(before), 1e-3)).mean(axis=0)
    return xyz_to_lab(lab_to_xyz(lab) / ratio)


def with_names(causes: Sequence[CauseFinding], limits: Limits) -> tuple[CauseFinding, ...]:
    """Return the causes with those marked that a reader is given: one where it is clear, two where not, none that explains
    too little. limits: those of drift.
    """
    if not causes or (causes[0].explains < limits["explains"] and not _paper_alone(causes)):
        return tuple(replace(one, named=False) for one in causes)
    told = 1 if causes[0].share >= limits["clear"] or len(causes) < 2 else 2
    if len(causes) > 1 and {one.cause for one in causes[:2]} == {DriftCause.PAPER, DriftCause.INSTRUMENT}:
        alike = causes[1].explains >= limits["alike"] * causes[0].explains  # no print tells them apart: a tile does
        told = 2 if alike else told
    return tuple(replace(one, named=number < told) for number, one in enumerate(causes))


def cause_named(causes: Sequence[CauseFinding], limits: Limits) -> DriftCause:
    """Return the cause to act on: the most likely one, or nothing where even that explains little. limits: those of drift."""
    if not causes or (causes[0].explains < limits["explains"] and not _paper_alone(causes)):
        return DriftCause.NONE
    return causes[0].cause


def _paper_alone(causes: Sequence[CauseFinding]) -> bool:
    """Whether the bare paper moved so much that only another paper explains it, however roughly: inks differ on it too."""
    return causes[0].cause is DriftCause.PAPER and all(not leaves_paper(one.cause) for one in causes)


def risked(causes: Sequence[CauseFinding], limits: Limits) -> DriftCause:
    """Return the cause that is looked at first because acting on another would harm; nothing where none is likely enough.

    Nozzles come first: a profile over missing ones is wrong for every print after the next head clean. Before a head is
    cleaned or a profile changed, the instrument is calibrated where it explains about as much. limits: of drift.
    """
    first = _most_harm(causes, limits)
    if first in (DriftCause.NOZZLES, DriftCause.NONE) and _instrument_as_well(causes, limits):
        return DriftCause.INSTRUMENT
    return first


def _instrument_as_well(causes: Sequence[CauseFinding], limits: Limits) -> bool:
    """Whether an instrument that moved leaves hardly more unexplained than the likeliest cause does."""
    left = {one.cause: 1 - one.explains for one in causes}
    return bool(causes) and left.get(DriftCause.INSTRUMENT, np.inf) <= limits["instrument_leaves"] * left[causes[0].cause]


def _most_harm(causes: Sequence[CauseFinding], limits: Limits) -> DriftCause:
    """Return the cause that is named or likely enough over which acting on another would harm most; nothing for none."""
    shares = {one.cause: one.share for one in causes}
    named = {one.cause for one in causes if one.named}
    order = (DriftCause.NOZZLES, DriftCause.WET, DriftCause.SETTING, DriftCause.INSTRUMENT)
    for cause in order:
        if cause in named:
            return cause
    return next((cause for cause in order if shares.get(cause, 0.0) > limits["risk"]), DriftCause.NONE)


def advice_for(
    state: DriftState,
    causes: Sequence[CauseFinding],
    mean: float,
    paper: float,
    inks: Sequence[InkChange],
    settings: DriftSettings,
) -> DriftAdvice:
    """Return what to do. mean: ΔE00 over all patches; paper: ΔE00 of the paper; inks: what they seem to do.

    causes: the likeliest first. settings: with the limits of drift.
    """
    if state in (DriftState.FINE, DriftState.INSTRUMENTS, DriftState.MOVED):
        return DriftAdvice.FINE
    if state is DriftState.SMALL:
        return DriftAdvice.READ_AGAIN
    cause = cause_named(causes, settings.limits)
    if cause is DriftCause.NONE:
        return DriftAdvice.CHECK_SETTINGS
    first = risked(causes, settings.limits)
    if first is DriftCause.NOZZLES:
        return DriftAdvice.CLEAN
    if first in (DriftCause.WET, DriftCause.INSTRUMENT):
        return DriftAdvice.READ_AGAIN
    if first is DriftCause.SETTING:
        return DriftAdvice.CHECK_SETTINGS
    if cause is DriftCause.PAPER:
        if paper <= settings.limits["paper_stays"] and mean <= settings.warn:
            return DriftAdvice.READ_AGAIN
        near = paper <= settings.limits["paper_anew"] and mean <= settings.limits["anew"] * settings.act
        return DriftAdvice.REFRESH if near else DriftAdvice.PROFILE_ANEW
    if mean <= settings.warn:
        return DriftAdvice.READ_AGAIN
    if mean > settings.limits["anew"] * settings.act:
        return DriftAdvice.PROFILE_ANEW
    moved = {ink.name.partition(",")[0]: ink.percent for ink in inks if ink.certain}  # light and dark ones are one ink
    together = len(moved) >= _MOST_INKS and (min(moved.values()) > 0 or max(moved.values()) < 0)
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
            f"readings without device values, with the profile {name}", "device values", "Give the chart's table with `chart`."
        )
    space = parsed.header.colour_space.decode("latin-1").strip()
    if space != reference.colour_space:
        raise ProfileFileError(name, f"a profile for {space}", f"one for {reference.colour_space}", "Give the right profile.")
    try:
        predicted = device_to_lab(parsed, reference.device, absolute=True)
    except TagError as error:
        raise ProfileFileError(name, str(error), "an undamaged output profile", "Build it again.") from error
    now, before = (difference_statistics(delta_e_2000(predicted, lab)) for lab in (newest.lab, reference.lab))
    return now, before


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Judgement:
    """What checks of one print come to, the newest last."""

    checks: tuple[JudgedCheck, ...]
    state: DriftState  # of the newest
    causes: tuple[CauseFinding, ...]  # of the newest, most likely first, with those named that a reader is given
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
    row = paper_row(reference.lab, reference.device, reference.colour_space)
    paper = float(delta_e_2000(reference.lab[row], seen[-1].lab[row]))
    state, causes = state_of(judged[-1], paper, settings), with_names(judged[-1].causes, settings.limits)
    if finding is not None and finding.moved:
        finding = replace(finding, left=judged[-1].difference.mean)
        raw = judge_checks(reference, checks, model, settings)[-1]
        if state is not DriftState.DRIFT and raw.beyond:
            judged, state = (*judged[:-1], raw), DriftState.DRIFT
            causes = (CauseFinding(cause=DriftCause.INSTRUMENT, detail="", share=1.0, explains=1.0, named=True),)
    return Judgement(checks=judged, state=state, causes=causes, tile=finding)

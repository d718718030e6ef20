"""What was delivered against what was asked for: which patches the readings are of, what they seem to be, what to do."""

from dataclasses import dataclass

import numpy as np

from spectro.checks.live_judging import judge_afterwards, judge_patch, judge_strip
from spectro.checks.misread_findings import Offer, Seems, StripResult
from spectro.colour.tristimulus import spectra_to_lab
from spectro.readings.sitting_state import unpacked_wavelengths
from spectro.records.arrays import FloatArray
from spectro.records.chart import ReadingMode
from spectro.records.instrument import Delivery
from spectro.records.sitting import Answer
from spectro.workflow.sitting import Sitting
from spectro.workflow.sitting_plan import SittingPlan, Unit

OFFERS = {Offer.KEEP: Answer.KEEP, Offer.TURN: Answer.TURN, Offer.SWAP: Answer.SWAP, Offer.READ_AGAIN: Answer.AGAIN}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Judged:
    """Readings that belong to a unit, with what they seem to be."""

    unit: Unit  # what they are taken for
    reflectance: FloatArray  # (k, bands)
    fits: bool
    seems: str
    confidence: float
    sentence: str
    answers: tuple[Answer, ...]  # what can be done, what is offered first in front
    partner: Unit | None = None  # what a swap would take them for


def judged_delivery(sitting: Sitting, unit: Unit, delivery: Delivery) -> Judged:
    """Return what a delivery seems to be. unit: what was asked for."""
    plan = sitting.plan
    target, problem = _target(plan, unit, delivery)
    if problem:
        return Judged(
            unit=target, reflectance=delivery.reflectance, fits=False, seems="not taken", confidence=1.0, sentence=problem,
            answers=(Answer.AGAIN,),
        )  # fmt: skip
    reflectance = _in_order(plan, target, delivery)
    lab = spectra_to_lab(reflectance, delivery.wavelengths)
    before = sitting.lab(trusted=True)
    reference = sitting.state.reference
    if reference is not None:
        anchors = spectra_to_lab(np.array(reference.reflectance), unpacked_wavelengths(reference.wavelengths))
        before = {**dict(zip(reference.rows, anchors, strict=True)), **before}
    if plan.mode == ReadingMode.BY_STRIP and len(target.rows) > 1:
        return _strip(plan, target, reflectance, judge_strip(plan.colours, _number(plan, target), lab, before))
    if len(reflectance) != len(target.rows):
        words = f"{target.words}: {len(reflectance)} readings where there are {len(target.rows)} patches."
        return Judged(
            unit=target, reflectance=reflectance, fits=False, seems=str(Seems.UNSURE), confidence=0.9, sentence=words,
            answers=(Answer.AGAIN,),
        )  # fmt: skip
    if len(target.rows) == 1:
        return _patch(plan, target, reflectance, judge_patch(plan.colours, target.rows[0], lab[0], before))
    return _page(plan, target, reflectance, lab, before)


def _target(plan: SittingPlan, unit: Unit, delivery: Delivery) -> tuple[Unit, str]:
    """Return the unit a delivery is of, and why it cannot be taken, or ""."""
    if delivery.spoilt:
        more = f" and {len(delivery.spoilt) - 1} more lines" if len(delivery.spoilt) > 1 else ""
        return unit, f"{unit.words}: a line in it could not be taken ({delivery.spoilt[0]}){more}."
    name = delivery.strip
    if name and name.lower() not in (unit.name.lower(), "anchors"):
        found = next((one for one in plan.units if one.name.lower() == name.lower()), None)
        if found is None:
            return unit, f"There is no {name} among the {'pages' if ' ' in name else 'strips'} of this chart."
        unit = found
    if not delivery.names:
        return unit, ""
    rows = {own_name.lower(): row for row, own_name in enumerate(plan.chart.sample_names)}
    unknown = [word for word in delivery.names if word.lower() not in rows]
    if unknown:
        shown = next((word for word in unknown if word), "without a name")
        return unit, f"{unit.words}: a reading of patch {shown}, which this chart does not have; name all patches or none."
    wanted = [rows[word.lower()] for word in delivery.names]
    if len(wanted) == 1 and len(unit.rows) == 1 and wanted[0] != unit.rows[0]:
        word = plan.chart.sample_names[wanted[0]]
        return Unit(words=f"patch {word}", name=word, rows=(wanted[0],)), ""
    if len(wanted) == 1 and len(unit.rows) > 1:  # one patch of a strip, read by itself
        word = plan.chart.sample_names[wanted[0]]
        return Unit(words=f"patch {word}", name=word, rows=(wanted[0],)), ""
    if len(set(wanted)) != len(wanted):
        return unit, f"{unit.words}: a patch named twice."
    if set(wanted) != set(unit.rows):
        other = next((one for one in plan.units if set(one.rows) == set(wanted)), None)
        if other is None:
            return unit, f"{unit.words}: the readings are named otherwise, {delivery.names[0]} to {delivery.names[-1]}."
        return other, ""
    return unit, ""


def _in_order(plan: SittingPlan, unit: Unit, delivery: Delivery) -> FloatArray:
    """Return the readings in the order of the unit's rows where they are named, else as they came."""
    if not delivery.names or len(delivery.names) != len(unit.rows):
        return delivery.reflectance
    places = {name.lower(): place for place, name in enumerate(delivery.names)}
    return delivery.reflectance[[places[plan.chart.sample_names[row].lower()] for row in unit.rows]]


def _number(plan: SittingPlan, unit: Unit) -> int:
    return int(plan.colours.strip[unit.rows[0]])


def _strip(plan: SittingPlan, unit: Unit, reflectance: FloatArray, result: StripResult) -> Judged:
    whole = len(reflectance) == len(unit.rows)
    partner = None
    if result.partner is not None:
        found = next((one for one in plan.units if _number(plan, one) == result.partner), None)
        partner = found if found is not None and len(found.rows) == len(reflectance) else None
    answers = [OFFERS.get(result.offer, Answer.AGAIN), Answer.AGAIN]
    if whole:
        answers += [Answer.KEEP, Answer.TURN]
    if partner is not None:
        answers.append(Answer.SWAP)
    answers = [one for one in answers if one != Answer.SWAP or partner is not None]
    return Judged(
        unit=unit, reflectance=reflectance, fits=result.seems == Seems.FITS and whole, seems=str(result.seems),
        confidence=result.confidence, sentence=result.sentence, answers=tuple(dict.fromkeys(answers)), partner=partner,
    )  # fmt: skip


def _patch(plan: SittingPlan, unit: Unit, reflectance: FloatArray, result: StripResult) -> Judged:
    partner = None
    sentence = f"Patch {unit.name}: {result.sentence[0].lower()}{result.sentence[1:]}"
    if result.partner is not None:
        name = plan.chart.sample_names[result.partner]
        partner = Unit(words=f"patch {name}", name=name, rows=(result.partner,))
        sentence = f"Patch {unit.name}: it seems to be {name}."
    answers = (Answer.AGAIN, Answer.KEEP, *((Answer.SWAP,) if partner else ()))
    return Judged(
        unit=unit, reflectance=reflectance, fits=result.seems == Seems.FITS, seems=str(result.seems),
        confidence=result.confidence, sentence=sentence, answers=answers, partner=partner,
    )  # fmt: skip


def _page(plan: SittingPlan, unit: Unit, reflectance: FloatArray, lab: FloatArray, before: dict[int, FloatArray]) -> Judged:
    """Judge a page, or anchors of one, that an instrument read by itself: strip by strip, the page at once."""
    rows = {**before, **dict(zip(unit.rows, lab, strict=True))}
    page = int(plan.colours.page[unit.rows[0]])
    whole = set(np.flatnonzero(plan.colours.page == page).tolist()) <= set(unit.rows)
    if whole:
        results, findings = judge_afterwards(plan.colours, page, rows)
        wrong = [result for result in results if result.seems != Seems.FITS]
        if findings or wrong:
            sentence = findings[0].sentence if findings else " ".join(result.sentence for result in wrong[:3])
            seems = findings[0].seems if findings else wrong[0].seems
            return Judged(
                unit=unit, reflectance=reflectance, fits=False, seems=str(seems),
                confidence=wrong[0].confidence if wrong else 0.9,
                sentence=f"{unit.words}: {sentence}", answers=(Answer.AGAIN, Answer.KEEP),
            )  # fmt: skip
    words = unit.words[0].upper() + unit.words[1:]
    return Judged(
        unit=unit, reflectance=reflectance, fits=True, seems=str(Seems.FITS), confidence=0.9 if whole else 0.5,
        sentence=f"{words} fits.", answers=(Answer.KEEP,),
    )  # fmt: skip

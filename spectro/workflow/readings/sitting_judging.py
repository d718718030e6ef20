"""What was delivered as an event of the sitting: which patches it is of, what it seems to be, what can be done with it.

What fits is an event that is taken at once. What does not is held with its offers. Each offer was judged itself: nothing is
offered as a repair that does not repair.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from msgspec.structs import replace as structs_replace

from spectro.checks.anchor_agreement import anchor_agreement, least_anchors
from spectro.checks.live_judging import judge_afterwards, judge_patch, judge_strip
from spectro.checks.misread_findings import Offer, Seems
from spectro.colour.difference import delta_e_2000
from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError
from spectro.readings.sitting_journal import packed_wavelengths, spectra_tuple, unpacked_wavelengths
from spectro.readings.sitting_state import SittingState
from spectro.records.arrays import FloatArray
from spectro.records.chart import ReadingMode
from spectro.records.instrument import Delivery
from spectro.records.sitting import AnchorPart, AnchorsRead, Answer, Held, Offered, PatchesRead, Refused, Stated, Unit
from spectro.standards.limits import shipped_limits
from spectro.words.sitting import (
    anchors_sentence,
    contradiction_words,
    far_anchors,
    insisting_words,
    patch_sentence,
    strip_sentence,
)
from spectro.workflow.readings.sitting import check_wavelengths, counted_lab, sitting_measurements
from spectro.workflow.readings.sitting_plan import SittingPlan
from spectro.workflow.steps.strip_check import doubtful_strips

_LENGTH = (Seems.SKIPPED_PATCH, Seems.REPEATED_PATCH)


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What readings seem to be that were taken for a unit."""

    fits: bool
    seems: str
    confidence: float
    sentence: str
    offer: Offer = Offer.KEEP
    partner: Unit | None = None  # the unit they seem to be, where that is another


Judge = Callable[[Unit, FloatArray], Seen]


def reading_event(
    plan: SittingPlan, state: SittingState, asked: Unit, delivery: Delivery, time: str, *, anchors: bool
) -> PatchesRead | AnchorsRead | AnchorPart | Held:
    """Return the event that a delivery is. asked: what was asked for; anchors: as anchors.

    plan, state: of the sitting. delivery: spectra (k, bands) and what the source said with them. time: ISO. Returns readings
    that were taken, or what is held until somebody decides.
    """
    unit, problem = _unit(plan, asked, delivery)
    anchors = anchors and unit.rows == asked.rows
    if state.contradiction:
        problem = f"{unit.words}: {contradiction_words(state)}"
    elif not problem:
        try:
            check_wavelengths(state, delivery.wavelengths)
        except InputError as error:
            problem = f"{unit.words}: {error}"
    if problem:
        seen = Seen(fits=False, seems="not taken", confidence=1.0, sentence=problem)
        offers = [_again(unit, delivery.reflectance, seen, time)]
        if state.contradiction:
            result = f"{insisting_words(state.contradiction)}; read {unit.words} again"
            offers.append(Offered(answer=Answer.INSIST, result=result, event=Stated(time=time, insisted=True)))
        return _hold(unit, seen, tuple(offers), time, anchors=anchors)
    maker = _Maker(plan, state, delivery.wavelengths, time, anchors)
    return maker.event(unit, _in_order(plan, unit, delivery))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Reading:
    """Readings in the order of a unit's rows, and what they seem to be."""

    unit: Unit
    reflectance: FloatArray  # (k, bands)
    seen: Seen


class _Maker:
    """Makes events of readings of one delivery."""

    def __init__(self, plan: SittingPlan, state: SittingState, wavelengths: FloatArray, time: str, anchors: bool) -> None:
        self._plan, self._state, self._wavelengths, self._time, self._anchors = plan, state, wavelengths, time, anchors
        self._before = counted_lab(state, trusted=True)

    def event(self, unit: Unit, reflectance: FloatArray) -> PatchesRead | AnchorsRead | AnchorPart | Held:
        """Return readings that fit as taken, others as held."""
        seen = self._judge(unit, reflectance)
        if not seen.fits and not (self._anchors and self._as_before(unit, reflectance)):
            return _hold(unit, seen, self._offers(unit, reflectance, seen), self._time, anchors=self._anchors)
        reading = _Reading(unit=unit, reflectance=reflectance, seen=seen)
        return self._as_anchors(reading) if self._anchors else self._as_patches(reading, Answer.FITS)

    def _as_before(self, unit: Unit, reflectance: FloatArray) -> bool:
        """Tell whether anchors read what they read at first: then they are the anchors, whatever else is expected of them."""
        reference = self._state.reference
        if reference is None or self._state.new_anchors or not set(unit.rows) <= set(reference.rows):
            return False
        spectra = dict(zip(reference.rows, reference.reflectance, strict=True))
        first = np.array([spectra[row] for row in unit.rows])
        if first.shape != reflectance.shape:
            return False
        lab = spectra_to_lab(first, unpacked_wavelengths(reference.wavelengths))
        off = delta_e_2000(lab, spectra_to_lab(reflectance, self._wavelengths))
        return bool(off.mean() <= shipped_limits("misreads")["strip_near"])

    def _judge(self, unit: Unit, reflectance: FloatArray) -> Seen:
        return judge(self._plan, unit, spectra_to_lab(reflectance, self._wavelengths), self._before)

    def _as_patches(self, reading: _Reading, answer: Answer) -> PatchesRead:
        seen = reading.seen
        return PatchesRead(
            time=self._time, words=reading.unit.words, rows=reading.unit.rows,
            wavelengths=packed_wavelengths(self._wavelengths), reflectance=spectra_tuple(reading.reflectance), answer=answer,
            seems=seen.seems, confidence=round(seen.confidence, 3), sentence="" if answer == Answer.FITS else seen.sentence,
        )  # fmt: skip

    def _as_anchors(self, reading: _Reading) -> AnchorsRead | AnchorPart | Held:
        """Return anchors that were read whole, or one part of them; held where they are farther off than instruments move."""
        unit = reading.unit
        part = AnchorPart(
            time=self._time, words=unit.words, rows=unit.rows, wavelengths=packed_wavelengths(self._wavelengths),
            reflectance=spectra_tuple(reading.reflectance),
        )  # fmt: skip
        parts = {one.words: one for one in (*self._state.anchor_parts, part)}
        if any(one.words not in parts for one in self._plan.anchors):
            return part
        spectra = [np.array(parts[one.words].reflectance) for one in self._plan.anchors]
        whole = anchors_event(self._state, np.concatenate(spectra), self._wavelengths, self._time)
        if whole.shift <= self._state.limits["anchors_farthest"]:
            return whole
        first_fits = self._reference_fits()
        seen = Seen(fits=False, seems="too far", confidence=0.99, sentence=far_anchors(whole.shift, first_fits))
        again = _again(unit, reading.reflectance, seen, self._time)
        renewed = AnchorsRead(
            time=self._time, rows=whole.rows, wavelengths=whole.wavelengths, reflectance=whole.reflectance, agree=True,
            shift=0.0, renewed=True,
        )  # fmt: skip
        result = "take these as the anchors: all later ones are compared with them"
        offers = (again, Offered(answer=Answer.NEW_ANCHORS, result=result, event=renewed))
        return _hold(unit, seen, offers if first_fits else offers[::-1], self._time, anchors=True)

    def _reference_fits(self) -> bool:
        """Tell whether the first anchors are what the chart expects of them."""
        reference = self._state.reference
        if reference is None or self._plan.mode != ReadingMode.BY_STRIP:
            return True
        spectra = dict(zip(reference.rows, reference.reflectance, strict=True))
        before = counted_lab(self._state)
        wavelengths = unpacked_wavelengths(reference.wavelengths)
        return all(
            judge(self._plan, unit, spectra_to_lab(np.array([spectra[row] for row in unit.rows]), wavelengths), before).fits
            for unit in self._plan.anchors
            if set(unit.rows) <= spectra.keys()
        )

    def _offers(self, unit: Unit, reflectance: FloatArray, seen: Seen) -> tuple[Offered, ...]:
        """Return what can be done with readings that do not fit, the most likely first; each was judged by itself."""
        again = _again(unit, reflectance, seen, self._time)
        place = self._in_its_place(reflectance, seen.partner)
        turned = None
        if self._plan.mode == ReadingMode.BY_STRIP and len(reflectance) == len(unit.rows) > 1:
            turned = self._turned(unit, reflectance)
        keep = None
        if len(reflectance) == len(unit.rows) and not (self._anchors and (place or turned or seen.partner)):
            result = f"keep it as {unit.words} as it was read, and mark it as questionable"
            reading = _Reading(unit=unit, reflectance=reflectance, seen=seen)
            event = self._as_patches(reading, Answer.KEEP)
            if self._anchors:
                taken = self._as_anchors(reading)
                if not isinstance(taken, Held):
                    taken = structs_replace(taken, kept=True) if isinstance(taken, AnchorsRead) else taken
                    result = "keep them as anchors: all later ones are compared with these"
                    keep = Offered(answer=Answer.KEEP, result=result, event=taken)
            else:
                keep = Offered(answer=Answer.KEEP, result=result, event=event)
        repeated = seen.partner is not None and set(seen.partner.rows) <= self._state.counted.keys()
        first = (again, place) if repeated else (place, again)
        return tuple(one for one in (turned, *first, keep) if one is not None)

    def _in_its_place(self, reflectance: FloatArray, partner: Unit | None) -> Offered | None:
        """Return the offer to take readings for what they seem to be; None where they do not fit there either way."""
        if partner is None or len(partner.rows) != len(reflectance):
            return None
        for spectra, how in ((reflectance, ""), (reflectance[::-1], ", turned round")):
            seen = self._judge(partner, spectra)
            if seen.fits:
                result = f"keep it as {partner.words}{how}"
                if set(partner.rows) <= self._state.counted.keys():
                    result += ", in place of the reading before"
                reading = _Reading(unit=partner, reflectance=spectra, seen=seen)
                return Offered(answer=Answer.SWAP, result=result, event=self._as_patches(reading, Answer.SWAP))
            if len(partner.rows) == 1:
                break
        return None

    def _turned(self, unit: Unit, reflectance: FloatArray) -> Offered | None:
        """Return the offer to turn a strip round; None where it does not fit then either."""
        seen = self._judge(unit, reflectance[::-1])
        if not seen.fits:
            return None
        reading = _Reading(unit=unit, reflectance=reflectance[::-1], seen=seen)
        event = self._as_anchors(reading) if self._anchors else self._as_patches(reading, Answer.TURN)
        if isinstance(event, Held):
            return None
        return Offered(answer=Answer.TURN, result=f"turn it round: it fits {unit.words} then", event=event)


def _hold(unit: Unit, seen: Seen, offers: tuple[Offered, ...], time: str, *, anchors: bool = False, late: bool = False) -> Held:
    return Held(
        time=time, words=unit.words, rows=unit.rows, seems=seen.seems, confidence=round(seen.confidence, 3),
        sentence=seen.sentence, offers=offers, elsewhere=seen.partner.words if seen.partner is not None else "",
        anchors=anchors, late=late,
    )  # fmt: skip


def _again(unit: Unit, reflectance: FloatArray, seen: Seen, time: str, *, late: bool = False) -> Offered:
    event = Refused(
        time=time, words=unit.words, reflectance=spectra_tuple(reflectance), seems=seen.seems, sentence=seen.sentence, late=late
    )
    return Offered(
        answer=Answer.AGAIN, result=f"read {'the ' if 'anchor' in unit.words else ''}{unit.words} again", event=event
    )


def _unit(plan: SittingPlan, unit: Unit, delivery: Delivery) -> tuple[Unit, str]:
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
    if (len(wanted) == 1 and wanted[0] != unit.rows[0]) or len(wanted) == 1 < len(unit.rows):
        word = plan.chart.sample_names[wanted[0]]  # another patch, or one of a strip read by itself
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


def judge(plan: SittingPlan, unit: Unit, lab: FloatArray, before: Mapping[int, FloatArray]) -> Seen:
    """Return what readings, Lab (k, 3), seem to be that are taken for a unit. before: Lab of all rows that are known."""
    if plan.mode == ReadingMode.BY_STRIP and len(unit.rows) > 1:
        number = int(plan.colours.strip[unit.rows[0]])
        result = judge_strip(plan.colours, number, lab, before)
        count = len(lab) if result.seems in _LENGTH and not result.patches else None
        partner = None
        if result.partner is not None and result.partner != number:
            partner = next(one for one in plan.units if plan.colours.strip[one.rows[0]] == result.partner)
        return Seen(
            fits=result.seems == Seems.FITS and len(lab) == len(unit.rows), seems=str(result.seems),
            confidence=result.confidence, offer=result.offer, partner=partner,
            sentence=strip_sentence(result, plan.colours.names, read=count, wanted=len(unit.rows)),
        )  # fmt: skip
    if len(lab) != len(unit.rows):
        words = f"{unit.words}: {len(lab)} readings where there are {len(unit.rows)} patches."
        return Seen(fits=False, seems=str(Seems.UNSURE), confidence=0.9, sentence=words, offer=Offer.READ_AGAIN)
    if len(unit.rows) > 1:
        return _judge_page(plan, unit, lab, before)
    result = judge_patch(plan.colours, unit.rows[0], lab[0], before)
    name = plan.chart.sample_names[result.partner] if result.partner is not None else None
    return Seen(
        fits=result.seems == Seems.FITS, seems=str(result.seems), confidence=result.confidence, offer=result.offer,
        partner=Unit(words=f"patch {name}", name=name, rows=(result.partner or 0,)) if name is not None else None,
        sentence=patch_sentence(result, unit.name, name),
    )  # fmt: skip


def _judge_page(plan: SittingPlan, unit: Unit, lab: FloatArray, before: Mapping[int, FloatArray]) -> Seen:
    """Judge a page, or anchors of one, that an instrument read by itself: strip by strip, the page at once."""
    page = int(plan.colours.page[unit.rows[0]])
    whole = set(np.flatnonzero(plan.colours.page == page).tolist()) <= set(unit.rows)
    if whole:
        results, findings = judge_afterwards(plan.colours, page, {**before, **dict(zip(unit.rows, lab, strict=True))})
        wrong = [result for result in results if result.seems != Seems.FITS]
        if findings or wrong:
            sentences = [strip_sentence(result, plan.colours.names) for result in wrong[:3]]
            return Seen(
                fits=False, seems=str(findings[0].seems if findings else wrong[0].seems),
                confidence=wrong[0].confidence if wrong else 0.9, offer=Offer.READ_AGAIN,
                sentence=f"{unit.words}: {findings[0].sentence if findings else ' '.join(sentences)}",
            )  # fmt: skip
    sentence = f"{unit.words[:1].upper()}{unit.words[1:]} fits."
    return Seen(fits=True, seems=str(Seems.FITS), confidence=0.9 if whole else 0.5, sentence=sentence)


def anchors_event(state: SittingState, reflectance: FloatArray, wavelengths: FloatArray, time: str) -> AnchorsRead:
    """Return the event of anchors (n, bands) that were read now. The first ones agree by definition.

    Anchors read once more because they did not agree are averaged with those just before: what is left is not noise.
    """
    agree, shift, sentence = True, 0.0, ""
    reference = None if state.new_anchors else state.reference
    if reference is not None and len(reflectance) >= least_anchors(state.limits):
        first = spectra_to_lab(np.array(reference.reflectance), unpacked_wavelengths(reference.wavelengths))
        before = [np.array(event.reflectance) for event in state.anchors[len(state.anchors) - state.just_disagreed :]]
        together = np.mean([*before, reflectance], axis=0)
        lab = spectra_to_lab(together, wavelengths)
        found = anchor_agreement(first, lab, limit=state.rules.anchor_limit, limits=state.limits)
        agree, shift = found.agree, round(found.shift, 4)
        sentence = anchors_sentence(found.shift, agree)
    return AnchorsRead(
        time=time, rows=state.layout.anchor_rows, wavelengths=packed_wavelengths(wavelengths),
        reflectance=spectra_tuple(reflectance), agree=agree, shift=shift, sentence=sentence, renewed=state.new_anchors,
    )  # fmt: skip


def late_findings(plan: SittingPlan, state: SittingState, time: str) -> tuple[dict[str, str], list[Held]]:
    """Return what concerns whole pages, a sentence a page, and the units that look wrong beside all others, held again.

    All patches are read. By patch, a bad patch is found by itself; by table a page was judged as a whole when it was read.
    What somebody kept although it seemed wrong is not asked about again. A single patch of a strip is asked about where the
    check at the end finds it, too: that one knows the print better than what was learned on the way.
    """
    pages: dict[str, str] = {}
    if plan.mode == ReadingMode.BY_TABLE:
        return pages, []
    lab = counted_lab(state)
    wrong: dict[str, tuple[Unit, Seen]] = {}
    doubtful: set[str] | None = None
    for page in range(1, plan.chart.pages + 1):
        results, findings = judge_afterwards(plan.colours, page, lab)
        pages.update({f"page {page}": f"Page {page}: {finding.sentence}" for finding in findings})
        for result in results:
            rows = plan.colours.rows(result.strip).tolist()
            if plan.mode == ReadingMode.BY_PATCH and result.seems == Seems.BAD_PATCH:
                rows = [rows[patch] for patch in result.patches]
            elif result.seems == Seems.BAD_PATCH:
                doubtful = _doubtful(plan, state) if doubtful is None else doubtful
                if not doubtful & {plan.chart.sample_names[rows[patch]] for patch in result.patches}:
                    continue
            sentence = f"Now that all is read: {strip_sentence(result, plan.colours.names)}"
            seen = Seen(fits=False, seems=str(result.seems), confidence=result.confidence, sentence=sentence)
            for unit in plan.units if result.seems != Seems.FITS else ():
                kept = state.counted[unit.rows[0]].answer in (Answer.KEEP, Answer.QUESTIONABLE)
                if set(unit.rows) & set(rows) and not kept:
                    wrong[unit.words] = unit, seen
    return pages, [_hold_late(plan, state, unit, seen, lab, time) for unit, seen in wrong.values()]


def _doubtful(plan: SittingPlan, state: SittingState) -> set[str]:
    """Return the names of the patches that the check at the end of a sitting finds doubtful."""
    found = doubtful_strips(sitting_measurements(state, plan, ""), shipped_limits("gate"))
    return {name for one in found for name in one.patches}


def _hold_late(
    plan: SittingPlan, state: SittingState, unit: Unit, seen: Seen, lab: Mapping[int, FloatArray], time: str
) -> Held:
    spectra = state.spectra(unit.rows)
    offers = [_again(unit, spectra, seen, time, late=True)]
    wavelengths = state.counted[unit.rows[0]].wavelengths
    keep = PatchesRead(
        time=time, words=unit.words, rows=unit.rows, wavelengths=wavelengths, reflectance=spectra_tuple(spectra),
        answer=Answer.KEEP, seems=seen.seems, confidence=round(seen.confidence, 3), sentence=seen.sentence,
    )  # fmt: skip
    offers.append(Offered(answer=Answer.KEEP, result=f"keep {unit.words} as it is, and mark it as questionable", event=keep))
    others = {row: value for row, value in lab.items() if row not in unit.rows}
    own = np.array([lab[row] for row in unit.rows])
    if (
        plan.mode == ReadingMode.BY_STRIP
        and judge(plan, unit, own[::-1], others).fits
        and not judge(plan, unit, own, others).fits
    ):
        turned = PatchesRead(
            time=time, words=unit.words, rows=unit.rows, wavelengths=wavelengths, reflectance=spectra_tuple(spectra[::-1]),
            answer=Answer.TURN, seems=seen.seems, confidence=round(seen.confidence, 3), sentence=seen.sentence,
        )  # fmt: skip
        offers.insert(0, Offered(answer=Answer.TURN, result=f"turn it round: it fits {unit.words} then", event=turned))
    return _hold(unit, seen, tuple(offers), time, late=True)

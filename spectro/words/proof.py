"""What a proof page is and what its readings mean, in sentences: the verdict, what to do next, what to mind."""

from collections import Counter
from collections.abc import Sequence

from spectro.chart.page_text import how_to_print
from spectro.checks.proof import JudgedProof
from spectro.records.chart import Chart
from spectro.records.conditions import MeasurementCondition
from spectro.records.limits import Limits
from spectro.records.proof import ProofAims, ProofColours, ProofGroup, ProofWay
from spectro.records.proof_result import Breach, ProofCause, ProofExplanation, ProofShare, ProofUse, Sureness
from spectro.records.shown_text import short_name
from spectro.records.statistics import DifferenceStatistics
from spectro.words.chart import layout_sentences
from spectro.words.numbers import joined
from spectro.words.quality import Quality, judged_words, quality_clause, quality_of

_MOST_BREACHES = 3
_USES = {
    ProofUse.EDITION: "an edition",
    ProofUse.EVERYDAY: "everyday prints",
    ProofUse.CONTRACT_PROOF: "a contract proof",
}
_PHRASES = {
    ProofCause.CONVERTED: "it was converted once more than it should be",
    ProofCause.ENHANCED: "the driver enhanced it",
    ProofCause.TONES: "tones were changed on the way",
    ProofCause.PRINTER: "the printer has moved",
    ProofCause.CONDITION: "it was read under another measurement condition",
    ProofCause.DAMP: "it was read before it was dry",
}


def proof_verdict(
    found: ProofExplanation,
    share: ProofShare,
    within: DifferenceStatistics,
    from_forecast: float,
    judged: JudgedProof,
    limits: Limits,
    good: Limits,
) -> str:
    """Return the first sentences of the report.

    from_forecast: mean ΔE00 of the print from the forecast, all colours. limits: of proofs; good: of profiles, for the word.
    """
    aims = judged.aims
    figures = f"ΔE00 {within.mean:.2f} on average and {within.p95:.2f} at the 95th percentile from what was asked for"
    expected = "" if share.expected is None else f"; {share.expected:.2f} was to be expected"
    word = max(quality_of(within, good), Quality.USABLE)
    flawed = judged_words(Quality.USABLE)
    if found.cause is ProofCause.NONE:
        inside = f"{within.n} colours inside the gamut came out {figures}{expected}."
        if share.tables > limits["poor_tables"]:
            return (
                f"{flawed}: the printer does what the profile says, but the profile's own tables lose ΔE00 {share.tables:.2f} "
                f"on average: {inside}"
            )
        if judged.breaches:
            return f"{flawed}: as forecast, but not good enough for {_USES[judged.use]}: {_over(judged.breaches)}. {inside}"
        unproven = f" Too few colours of the page stand for {joined(judged.unproven)}: unproven." if judged.unproven else ""
        clause = quality_clause(word, proven=True)
        return f"{clause}: the profile prints what it promises. {inside} Greys do for {_USES[judged.use]}.{unproven}"
    usual = "" if share.expected is None else f", where {_of_the_print(share.expected, share.tables):.2f} was to be expected"
    start = (
        f"{judged_words(Quality.NO)} as it prints now: ΔE00 {from_forecast:.1f} on average from what the profile said of "
        f"it{usual}."
    )
    return f"{start} Over limit: {_over(judged.breaches)}. {cause_words(found, aims)}"


def _over(breaches: Sequence[Breach]) -> str:
    """Return what is over its limit, the worst first."""
    worst = sorted(breaches, key=lambda one: -one.value / max(one.limit, 1e-9))[:_MOST_BREACHES]
    return ", ".join(f"{one.what} {one.value:.1f} (limit {one.limit:.1f})" for one in worst)


def _of_the_print(expected: float, tables: float) -> float:
    """Return what is expected of the print alone: the parts add up as squares."""
    return float((expected**2 - tables**2) ** 0.5)


def cause_words(found: ProofExplanation, aims: ProofAims) -> str:
    """Return the sentence that names the cause, and how much of the difference it explains."""
    sure = {Sureness.CLEAR: "", Sureness.LIKELY: "Most likely ", Sureness.NONE: ""}[found.sureness]
    sentence = _sentence(found, aims)
    if sure:
        sentence = sure + sentence[0].lower() + sentence[1:]
    if found.cause is ProofCause.UNKNOWN:
        return sentence
    return f"{sentence} (with this taken into account ΔE00 {found.after:.2f} is left).{second_cause(found)}"


def cause_in_short(cause: ProofCause) -> str:
    """Return a second cause as a phrase."""
    return _PHRASES.get(cause, str(cause))


def page_cause(found: ProofExplanation) -> str:
    """Return the sentence that names the cause for any page of patches, printed as it is, without its full stop."""
    return _sentence(found, None).rstrip(".")


def second_cause(found: ProofExplanation) -> str:
    """Return the second cause as a sentence with a space before it, "" where there is none."""
    return f" Or: {cause_in_short(ProofCause(found.also))}, which explains about as much." if found.also else ""


def _sentence(found: ProofExplanation, aims: ProofAims | None) -> str:
    detail = f": {found.detail}" if found.detail else ""
    match found.cause:
        case ProofCause.CONVERTED:
            once = (
                "although it was converted already"
                if aims is None or aims.way is ProofWay.DEVICE
                else "once more than it should be"
            )
            return f"The page was converted on its way to the printer, {once}{detail}"
        case ProofCause.ENHANCED:
            return f"The driver enhanced the page{detail}"
        case ProofCause.TONES:
            by = "other curves or limits behind the RIP do" if found.inks else "a brightness or gamma setting does"
            return f"Tones were changed on the way, as {by}{detail}"
        case ProofCause.NOT_CONVERTED:
            return f"The page was not converted with the profile{detail}"
        case ProofCause.OTHER_SOURCE:
            return f"The colours of the page were taken for {found.detail}: its own profile was not looked at"
        case ProofCause.INTENT:
            return f"The page was converted by another intent, {found.detail} instead of {aims.intent if aims else 'its own'}"
        case ProofCause.BLACK:
            return "The page was converted with black point compensation"
        case ProofCause.PAPER:
            return f"This is another paper, or another batch of it{detail}"
        case ProofCause.CONDITION:
            whose = "those it is compared with" if aims is None else "the profile's readings"
            return f"The page was read under another measurement condition than {whose}{detail}"
        case ProofCause.PRINTER:
            return f"The printer has moved since it was profiled{detail}"
        case ProofCause.INK:
            return f"An ink fails: {found.detail}"
        case ProofCause.BANDS:
            return f"An ink fails in bands: {found.detail}"
        case ProofCause.OTHER_PRINTER:
            return f"This is another printer or other ink than was profiled{detail}"
        case ProofCause.LOCAL:
            return f"Colours of one hue alone are off: {found.detail}"
        case ProofCause.PATCH:
            return f"One patch alone is off{detail}"
        case ProofCause.DAMP:
            return f"The page was read before it was dry{detail}"
        case ProofCause.WHITE_REFERENCE:
            return f"The page was read with a wrong white reference{detail}"
        case ProofCause.TILTED:
            return f"The instrument's light was uneven over the page, or it did not lie flat{detail}"
        case ProofCause.STRAY:
            return f"Stray light was read with it, or the black reference is wrong{detail}"
        case ProofCause.INK_AMOUNT:
            return f"The paper got another amount of ink, as by another media setting or on another paper{detail}"
    if found.detail:
        return f"Of the cause no more is known than that {found.detail}: another paper, batch or measurement condition."
    return "No cause that is known explains it."


_CALIBRATED = "First clean the reference, calibrate the instrument and read the page again."
_READ_FIRST = {
    ProofCause.WHITE_REFERENCE: _CALIBRATED,
    ProofCause.STRAY: _CALIBRATED,
    ProofCause.TILTED: _CALIBRATED,
    ProofCause.DAMP: "First let the page dry, a day is safe, and read it again.",
    ProofCause.CONDITION: "First read the page again under the condition of the profile's readings.",
}
"""What is done first where the second cause is one of reading: it costs no paper, and no profile is made over it."""


def proof_next(found: ProofExplanation, share: ProofShare, aims: ProofAims, limits: Limits) -> str:
    """Return what to do next, nozzles first where an ink may fail. limits: of proofs.

    found: the best explanation of the print, and what else may be wrong. share: what the difference is made of. aims: what the
    page asked for and by which way it was printed.
    """
    nozzles = (ProofCause.INK, ProofCause.BANDS)
    said = _next(found, share, aims, limits)
    if found.also in nozzles and found.cause not in nozzles:
        return f"Check the nozzles first. {said}"
    return f"{_READ_FIRST[ProofCause(found.also)]} If it says the same: {said}" if found.also in _READ_FIRST else said


def _next(found: ProofExplanation, share: ProofShare, aims: ProofAims, limits: Limits) -> str:
    raw = aims.way is ProofWay.DEVICE
    path = (
        "Print the page again with all colour management off (spectro chart path-test finds the path that does so)."
        if raw
        else "Let one place convert, your program or the driver, and print the page again."
    )
    match found.cause:
        case ProofCause.NONE:
            if share.tables > limits["poor_tables"]:
                return "Build the profile again; its tables are the weak part, not the printer."
            return "Print with it. Keep this page: drift and refresh can be compared with it later."
        case ProofCause.CONVERTED:
            return path
        case ProofCause.TONES if found.inks:
            return "Set limits and curves as they were for the chart (spectro inks), then print the page again."
        case ProofCause.ENHANCED | ProofCause.TONES:
            return "Take back enhancement, brightness and contrast in the driver, then print the page again."
        case ProofCause.NOT_CONVERTED | ProofCause.OTHER_SOURCE:
            return "Choose this profile, and honour the picture's own colours, in your program; then print the page again."
        case ProofCause.INTENT | ProofCause.BLACK:
            return f"Choose the intent {aims.intent} without black point compensation, or make the page for what you chose."
        case ProofCause.PAPER:
            return "Load the paper that was profiled, or profile this one (spectro paper compare says what it costs)."
        case ProofCause.CONDITION:
            return "Read the page again under the condition of the profile's readings; if it was that, it is another paper."
        case ProofCause.PRINTER:
            return (
                "Check the nozzles and that media and quality are set as for the chart, let the print dry, print a control "
                "chart (spectro drift), and only then refresh the profile."
            )
        case ProofCause.INK | ProofCause.BANDS:
            return "Check the nozzles, clean the head, and print the page again."
        case ProofCause.INK_AMOUNT:
            return "Set media and quality as for the chart, load the same paper, and print the page again."
        case ProofCause.OTHER_PRINTER:
            return "Print the page by the printer, with the inks, that were profiled, or profile this one."
        case ProofCause.LOCAL:
            return "Print the page again; if these colours stay off, print and read a chart with more of them and build again."
        case ProofCause.PATCH:
            return "Read this patch again, and look for a scratch or a spot on it; print the page again if it stays so."
        case ProofCause.DAMP:
            return "Let the page dry, a day is safe, and read it again."
        case ProofCause.WHITE_REFERENCE | ProofCause.STRAY | ProofCause.TILTED:
            return "Clean the reference, calibrate the instrument, lay the page flat out of the light, and read it again."
    return "Print and read the page again; if it stays so, read the chart again and build the profile again."


def proof_cautions(
    aims: ProofAims,
    *,
    read: int,
    page: int,
    condition: MeasurementCondition | None,
    profiled: str | None,
    proven: bool,
    light_note: str,
    unsteady: bool,
    sheet: float,
) -> tuple[str, ...]:
    """Return what to mind. read, page: colours that were read, and that the page holds. unsteady: repeats differ too
    much. sheet: mean ΔE00 by which another sheet differs."""
    found = []
    if unsteady:
        found.append(
            "Repeats of one colour differ far more than readings do: check with spectro readings add what was misread."
        )
    if read < page:
        found.append(f"{page - read} of {page} colours of the page were not read.")
    if condition is None or profiled is None:
        found.append("The measurement condition is not stated on both sides; readings under two conditions cannot agree.")
    elif str(condition) != profiled:
        found.append(f"Read under {condition}, while the profile was made from {profiled}: the two differ on brightened paper.")
    if proven and aims.way is ProofWay.DEVICE:
        found.append(
            "The page was converted here and printed without colour management: it proves the profile, not your program's "
            "settings. A page of CIELAB colours, which your program converts, proves these."
        )
    if aims.intent == "perceptual":
        found.append("Perceptual tables move colours on purpose: the aim is the profile's own rendering of what was asked for.")
    if light_note:
        found.append(light_note)
    found.append(
        f"One sheet on one day; another sheet differs by about ΔE00 {sheet:.2f} on average, another day or batch by more."
    )
    return tuple(found)


def proof_page_verdict(chart: Chart, profile: str) -> str:
    """Return what to do with a proof page that was made. profile: the file's name."""
    sheets = "1 page" if chart.pages == 1 else f"{chart.pages} pages"
    made = f"A proof page of {short_name(profile)}, {len(chart)} patches on {sheets}, is ready."
    if chart.recipe.proof.way == ProofWay.DEVICE:
        how = (
            "Its colours went through the profile already: print the TIFF pages (or the PDF) without colour management at "
            "100 %, by the path the chart was printed by"
        )
    else:
        words = how_to_print(chart.recipe).removesuffix(".").replace("Print through the profile", "through this profile")
        how = f"Print the TIFF pages from your own program as you print pictures: {words}"
    return f"{made} {how}; measure the scale bars, let it dry, then read it."


def proof_page_choices(chart: Chart, colours: ProofColours, told: DifferenceStatistics) -> tuple[str, ...]:
    """Return one sentence a choice, what and why. told: ΔE00 of the profile's forecast from the aim, inside the gamut."""
    counts = Counter(colours.aims.groups)
    parts = ", ".join(f"{counts[group]} {group}" for group in ProofGroup if counts[group])
    repeats = sum(colours.copies)
    who = {
        ProofWay.DEVICE: "Converted here, by the profile's own tables, rounded to 8 bits: the page tests the profile alone.",
        ProofWay.LAB: "CIELAB, 8 and 16 bits: your program converts, so the page tests the whole way of a picture.",
        ProofWay.OPRGB: "opRGB, its profile embedded, 8 and 16 bits: your program converts, so the page tests the whole way.",
    }[colours.aims.way]
    how = "tables and rounding" if colours.aims.way is ProofWay.DEVICE else "tables"
    return (
        f"{len(chart)} patches: {parts}, and {repeats} of them twice, for the noise.",
        who,
        f"Intent {colours.aims.intent}: {_meaning(colours.aims.intent)}",
        f"What the {how} of the profile lose already, colours inside its gamut: ΔE00 {told.mean:.2f} on average, "
        f"{told.p95:.2f} at the 95th percentile.",
        *(sentence for sentence in layout_sentences(chart) if not sentence.startswith("No colour")),
    )


def _meaning(intent: str) -> str:
    return {
        "relative": "colours are meant relative to the paper's white.",
        "absolute": "colours are meant as they are, whatever the paper.",
        "perceptual": "colours are moved into the gamut, and compared with the profile's own rendering of them.",
    }[intent]

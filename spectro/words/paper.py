"""The sentences of a paper's sheet: the verdict, and what the readings cannot see."""

from collections.abc import Sequence

from spectro.records.conditions import NOT_STATED, MeasurementCondition
from spectro.records.limits import Limits
from spectro.records.paper_sheet import BrightenerFinding, LightMatch, PaperReading
from spectro.records.print_tones import PrintTones
from spectro.standards.limits import shipped_limits
from spectro.words.tones import black_cautions

_STRONG_PAIR = 6.2  # ΔE00 of M0 and M2 on one strongly brightened matte paper, the project's own figure from [Balci-2025]

BLIND_SPOTS = (
    "Readings at 45°/0° do not see gloss, bronzing or the texture of the surface, and nothing that comes later: "
    "glass, varnish, lamination. Judge these by eye, under the light the print will hang in.",
    "On textured paper the reading depends on which way the sheet lies: read it at turned angles (0°, 90°, 180°, 270°) "
    "and average the readings.",
)


def paper_verdict(
    paper: PaperReading, brightener: BrightenerFinding, match: LightMatch, tones: PrintTones | None, limits: Limits
) -> str:
    """Return the first sentence of the sheet: how white, how brightened, how black, what to do.

    paper: the bare sheet under the condition that counts. match: which readings fit the light of the place. tones: white, black
    and greys as printed; None for a blank sheet. limits: those of papers.
    """
    parts = [f"{_white_words(paper)}, {_brightener_words(brightener, limits['seen'])}"]
    if tones is not None:
        parts.append(f"its black has L* {tones.black_lab[0]:.1f}, a contrast of {tones.contrast:.0f} : 1")
    text = "; ".join(parts) + "."
    return text + _light_words(brightener, match, limits["seen"])


def _light_words(brightener: BrightenerFinding, match: LightMatch, seen: float) -> str:
    """What to profile from for the person's light; nothing where no pair of readings tells."""
    if not match.errors:
        return ""
    worst = max(match.errors, key=lambda error: error.paper)
    if worst.paper < seen or brightener.level == "none":
        return f" For {match.light} it makes little difference which measurement condition you profile from."
    off = f"from {worst.condition} readings the paper would be off by ΔE00 {worst.paper:.1f}"
    best = next(error for error in match.errors if error.condition == match.nearest)
    if best.measured:
        return f" For {match.light} profile from {match.nearest} readings; {off}."
    mine = min((error for error in match.errors if error.measured), key=lambda error: error.paper)
    return (
        f" For {match.light} profile from {match.nearest} readings, which are not among these; of these {mine.condition} is "
        f"nearest (paper off by ΔE00 {mine.paper:.1f}); {off}."
    )


def _white_words(paper: PaperReading) -> str:
    lightness, a, b = paper.lab
    limits = shipped_limits("colours")
    if lightness < limits["paper_plain_light"] or max(abs(a), abs(b)) > limits["paper_plain_tint"]:
        return f"A paper of L* {lightness:.1f}, a* {a:.1f}, b* {b:.1f}".replace("-", "−")
    tone = "bluish" if b < -limits["paper_bluish"] else "warm" if b > limits["paper_warm"] else "neutral"
    white = "white" if lightness >= limits["paper_white"] else "greyish white"
    if lightness >= limits["paper_bright"]:
        white = "bright white"
    return f"A {tone}, {white} paper (L* {lightness:.1f}, b* {b:.1f})".replace("-", "−")


def _brightener_words(brightener: BrightenerFinding, seen: float) -> str:
    if brightener.level == "none":
        return "without optical brightener"
    if brightener.level == "not known":
        least = brightener.delta_e_2000
        return "probably brightened" if least is not None and least >= seen else "brightener not known from these readings"
    amount = {"faint": "faintly", "low": "slightly", "moderate": "clearly", "high": "strongly"}[brightener.level]
    return f"{amount} brightened (b* changes by {brightener.delta_b:+.1f} through ultraviolet)".replace("-", "−")


def paper_cautions(
    condition: MeasurementCondition | None,
    papers: Sequence[PaperReading],
    brightener: BrightenerFinding,
    match: LightMatch,
    tones: PrintTones | None,
    limits: Limits,
) -> tuple[str, ...]:
    """Return what a reader must know before trusting the numbers, most important first.

    condition: the one of the readings that count, None where it is not stated. papers: the bare sheet under each condition;
    match: which of them fits the light of the place. tones: None for a blank sheet. limits: those of papers.
    """
    cautions = []
    one_sided = _one_sided_caution(condition, brightener, limits["seen"])
    if one_sided:
        cautions.append(one_sided)
    for error in match.errors:
        if error.condition != match.nearest and error.measured and error.paper >= limits["seen"]:
            mean = "" if error.mean is None else f", {error.mean:.1f} on average over all colours"
            cautions.append(
                f"A profile from {error.condition} readings, seen under {match.light}, is off by ΔE00 {error.paper:.1f} "
                f"at the paper{mean}."
            )
    outside = [f"{paper.condition}: {'; '.join(paper.outside)}" for paper in papers if paper.outside]
    if outside:
        cautions.append(f"CIE whiteness is outside the limits of its formula and not comparable ({', '.join(outside)}).")
    cautions.append(
        "Whiteness, brightness and yellowness are estimates: their standards want a diffuse geometry and D65 with its "
        "ultraviolet, the readings are 45°/0° under the instrument's own light."
    )
    if tones is not None and tones.first_shadow is None:
        cautions.append("The readings hold too few greys to say where shadows leave black and highlights leave paper.")
    if tones is not None:
        cautions += black_cautions(
            tones.ramp_of, tones.black_lab, tones.black_origin, full_ink=tones.full_ink, darkest=tones.darkest
        )
    return (*cautions, *BLIND_SPOTS)


def _one_sided_caution(condition: MeasurementCondition | None, brightener: BrightenerFinding, seen: float) -> str:
    if brightener.level != "not known":
        return ""
    word = condition or NOT_STATED
    if condition in (MeasurementCondition.M2, MeasurementCondition.M3):
        return (
            f"{word} readings cut the ultraviolet and cannot see a brightener: if there is one, a profile from them is "
            f"wrong by as much as it adds, ΔE00 {_STRONG_PAIR:.1f} at the paper on one strongly brightened matte paper."
        )
    least = brightener.delta_e_2000 or 0.0
    if least >= seen:
        return (
            f"The paper reflects more blue than green, so it is brightened: at least ΔE00 {least:.1f} of its colour comes "
            f"from ultraviolet, and {word} readings alone cannot say how much is left under another light. Read M2 too."
        )
    return f"From {word} readings alone a weak brightener cannot be distinguished from a white pigment. Read M2 too."

"""Sentences of a refresh that asks: what fresh patches look like, what to look at, what was looked at."""

from collections.abc import Sequence

from spectro.checks.ink_settings import CURVES
from spectro.records.drift import CauseFinding, DriftCause
from spectro.words.drift import cause_text
from spectro.words.gate import CHECKED

EXPECTED = "dry prints of the same driver and media setting, with all nozzles"
EXPECTED_INKS = "dry prints with the same inks, paper, limits and curves, with all nozzles"


def changed_text(finding: CauseFinding, *, inks: bool = False) -> str:
    """Return what fresh patches changed by, as a phrase. inks: they are of inks behind a RIP.

    >>> one = CauseFinding(cause=DriftCause.SETTING, detail=CURVES, share=1.0, explains=0.9)
    >>> changed_text(one, inks=True)
    'another setting of the press (curves of the RIP)'
    """
    if inks and finding.cause is DriftCause.SETTING:
        return "another setting of the press" + (f" ({finding.detail})" if finding.detail else "")
    return cause_text(finding)


def small_setting_words(finding: CauseFinding | None, *, inks: bool = False) -> tuple[str, ...]:
    """Return what to keep in mind of fresh patches whose small change may be another setting; nothing without one."""
    if finding is None:
        return ()
    if inks:
        return (
            f"The fresh patches changed a little as by another setting (ΔE00 {finding.mean:.1f} on average), which a press "
            "also does by itself: compare the RIP's limits and curves with those of the old chart. Where they differ, set them "
            "right and print the patches again.",
        )
    return (
        f"The fresh patches changed a little as by another setting (ΔE00 {finding.mean:.1f} on average), which a printer also "
        "does by itself: compare media setting and colour management with those of the old chart. Where they differ, set them "
        "right and print the patches again.",
    )


def checked_caution(finding: CauseFinding, *, inks: bool = False) -> str:
    """Return what fresh patches look like although that was looked at, to be kept in mind."""
    return (
        f"The fresh patches changed as by {changed_text(finding, inks=inks)}, which a printer that moved by itself can look "
        f"like: they are followed, for it was said ({CHECKED}). If that is not so, print and read them again."
    )


def spoilt_advice(finding: CauseFinding, every: Sequence[str], *, inks: bool = False) -> str:
    """Return what to do about fresh patches that a refresh must not be made over. every: what can be said to be checked.

    inks: the print is one of inks behind a RIP.
    """
    first = {
        DriftCause.WET: "Let the print dry for a day and read it again.",
        DriftCause.NOZZLES: "Print a nozzle check; where it shows gaps, clean the head and print the patches again.",
    }.get(
        finding.cause,
        _settings_advice(finding, inks=inks),
    )
    settings = "the RIP's limits and curves, the inks and the paper" if inks else "the settings"
    return (
        f"{first} A printer that moved by itself can look the same: if the print is dry, {settings} are the old ones and no "
        f"nozzle is missing, say so with `checked` {' '.join(every)}."
    )


def _settings_advice(finding: CauseFinding, *, inks: bool) -> str:
    if not inks:
        return (
            "Compare media setting, driver and colour management with those of the old chart; where they differ, set them "
            "right and print the patches again, or print a whole chart for a new setting that is meant to stay."
        )
    again = "where they differ, set them right and print the patches again"
    if finding.detail == CURVES:
        return (
            f"Compare the RIP's limits and curves with those of the old chart; {again}. Where the press itself moved in its "
            "tones alone, new curves bring the old ramps back and keep the profile: spectro inks curves --curve-aim."
        )
    return f"Compare the RIP's limits and curves, the inks and the paper with those of the old chart; {again}."


DISAGREEMENT_ADVICE = (
    "Print a nozzle check and look at the print for bands; clean the head where it shows gaps, then print and read the patches "
    "again. Or go on with `insist` REASON."
)


def disagreement_words(origin: str, left: float, usual: float) -> str:
    """Return that fresh patches disagree. left: ΔE00, 95th percentile, from what the others say after a smooth change; usual:
    the same of the old chart's patches.
    """
    return (
        f"fresh patches of {origin} that disagree: after a smooth change they lie ΔE00 {left:.1f} at the 95th percentile from "
        f"what the others say of them, those of the old chart {usual:.1f}"
    )

"""The command that comes next, ready to be copied: what follows each command, with the names of the files just made.

What does not exist yet stands in capitals: READINGS is the file that an instrument's software is going to export.
"""

import os
import shlex
from collections.abc import Sequence
from pathlib import Path

from spectro.records.batch import BatchResult, TaskState
from spectro.records.chart import ChartPurpose
from spectro.records.drift import DriftAdvice
from spectro.records.ink_stages import light_channels
from spectro.records.proof_result import ProofCause, ProofResult
from spectro.records.shelf import ConditionState, EntryKind
from spectro.words.batch import by_need

READINGS = "READINGS.txt"
"""The name of a file that is not there yet: readings as an instrument's software is going to export them."""

STAGES = "STAGES.toml"
"""What a press is set to so far, as the last command of `inks` wrote it."""


def command(*words: object) -> str:
    """Return a command of ours as it is typed; words with blanks in them in quotes.

    >>> command("profile", "build", Path("my readings.txt"))
    "spectro profile build 'my readings.txt'"
    """
    quoted = (f'"{word}"' if os.name == "nt" and " " in str(word) else shlex.quote(str(word)) for word in words)
    return " ".join(("spectro", *quoted))


def _kept(shelved: str) -> tuple[str, ...]:
    return ("--on-shelf", shelved) if shelved else ()


def after_chart(folder: Path | str, purpose: ChartPurpose, *, shelved: str = "", profile: object = "PROFILE.icc") -> str:
    """Return what to do with a chart that was made, once it is printed and read.

    shelved: name of the condition on the shelf that it was printed with. profile: of a proof page.
    """
    if purpose is ChartPurpose.PATH_TEST:
        return command("chart", "path-test", "--readings", f"PATH={READINGS}", "--scale-bar", "PATH=100.0")
    if purpose is ChartPurpose.PROOF:
        return command("profile", "assess", shelved or profile, "--proof", READINGS, "--chart", folder)
    return command("readings", "add", READINGS, "--chart", folder, *_kept(shelved))


def after_readings(
    readings: Sequence[Path | str],
    purpose: ChartPurpose,
    *,
    shelved: str = "",
    chart: object = "CHART",
    through: bool = False,
) -> str:
    """Return what to do with finished readings of a chart.

    chart: its folder. through: ink limits and curves of a press were on when it was printed.
    """
    stages = ("--stages", STAGES) if through else ()
    match purpose:
        case ChartPurpose.PROOF:
            return command("profile", "assess", shelved or "PROFILE.icc", "--proof", *readings, "--chart", chart)
        case ChartPurpose.CONTROL:
            return command("drift", shelved or "REFERENCE.txt", *readings)
        case ChartPurpose.REFRESH:
            return command("profile", "refresh", shelved or "PROFILE.icc", *readings)
        case ChartPurpose.TOP_UP:
            return command("profile", "build", "OLD.txt", *readings)
        case ChartPurpose.GREY:
            return command("profile", "monochrome", *readings, "--out", "greys.icc", "--curve", "curve.csv")
        case ChartPurpose.INKS:
            return command("profile", "build", *([shelved] if shelved else readings), *stages)
        case ChartPurpose.SET_UP if through:
            return command("inks", "limits", *readings, *stages, "--on", "limits", "curves", "--out", "total.toml")
        case ChartPurpose.SET_UP:
            return command("inks", "limits", *readings, "--out", "limits.toml")
        case ChartPurpose.PATH_TEST:
            return command("chart", "path-test", "--readings", *(f"{Path(one).stem}={one}" for one in readings))
    return command("profile", "build", *([shelved] if shelved else readings))


def after_faults(given: Sequence[str], *, misread: bool, mendable: bool, chart: object = "CHART") -> str:
    """Return what to do with readings of which something is open.

    given: the words of the command that was run, without the program's name. misread: strips, patches or pages look wrong; else
    readings of the same patches disagree, and a third one tells which is wrong. mendable: something that looks wrong can be
    mended without a new reading; else pages are read or printed again, and what comes of that is added in the same way.
    """
    if mendable:
        return command(*given, "--accept-offers")
    if not misread:
        return command(*given[:2], READINGS, *given[2:])
    return command("readings", "add", READINGS, "--chart", chart)


def after_profile(profile: Path | str, *, shelved: str = "") -> str:
    """Return what to do with a profile that is not proven in print."""
    return command("profile", "proof-page", shelved or profile, "--out", "proof")


def after_show(profile: Path | str, device_class: str, colour_space: str) -> str:
    """Return what to do with a profile that no fault was found in, "" for one that is of no printer.

    device_class, colour_space: as the profile's listing has them.
    """
    if device_class == "device link":
        return command("image", "convert", "PICTURE.tif", "--link", profile)
    if device_class != "output":
        return ""
    if colour_space == "GRAY":
        return command("image", "convert", "PICTURE.tif", "--curve", profile)
    return after_profile(profile)


def after_limits(readings: Sequence[Path | str], inks: Sequence[str], *, out: object = None, curved: bool) -> str:
    """Return what to do once ink limits are found: curves within them; the chart for the profile where curves were on.

    inks: by name. out: the file that holds them, None for none. curved: curves were on when the chart was printed.
    """
    kept = ("--stages", out) if out else ()
    if not curved:
        return command("inks", "curves", *readings, *kept, "--out", "curves.toml", "--csv", "curves.csv")
    own = ("--light-inks", "own") if light_channels(tuple(inks)) else ()
    return command("chart", "new", "--channels", ink_words(inks), *own, *kept, "--out", "chart")


def ink_words(inks: Sequence[str]) -> str:
    """Return inks as `channels` takes them."""
    return "CMYK" if tuple(inks) == ("cyan", "magenta", "yellow", "black") else ",".join(inks)


def chart_of_inks(made_by: Sequence[str], inks: Sequence[str]) -> str:
    """Return the command for a chart of inks.

    >>> chart_of_inks(("inks", "chart"), ["cyan", "black"])
    'spectro inks chart --channels cyan,black'
    """
    return command(*made_by, "--channels", ink_words(inks))


def after_assessment(profile: Path | str, *, describes: bool, shelved: str = "") -> str:
    """Return what to do after a profile was compared with readings. describes: it describes the print."""
    if describes:
        return after_profile(profile, shelved=shelved)
    return command("profile", "refresh", shelved or profile, "--chart-out", "fresh")


def after_proof(profile: Path | str, result: ProofResult, *, shelved: str = "") -> str:
    """Return what to do after a proof page was judged.

    result: what was found. shelved: the condition on the shelf that keeps it, "" for none. Returns a whole command to copy:
    where the print went another way than it should, what finds the right one; else the same page again, once it is mended.
    """
    if result.proven:
        return command("profile", "install", shelved or profile)
    if result.explanation.cause in (ProofCause.CONVERTED, ProofCause.ENHANCED, ProofCause.TONES):
        if result.explanation.inks:
            return command("inks", "chart", "--out", "ramps")
        return command("chart", "path-test", "--out", "path-test")
    again = command("profile", "assess", shelved or profile, "--proof", READINGS, "--chart", result.chart)
    return " ".join((again, *_kept(shelved)))


def after_comparison(paper: str, kind: str) -> str:
    """Return what to do after papers were compared. paper: the new one, as it was given; kind: what is known of it.

    Colours without spectra make no profile: their print is to be read first.
    """
    if kind == "colours":
        return command("chart", "new")
    file = paper.rpartition("=")[2].partition(",")[0]
    return command("profile", "build", file)


def after_path_pages(paths: Sequence[str]) -> str:
    """Return what to do once the pages of a path test are printed and read. paths: as named; none: one page for all."""
    named = paths or ("PATH",)
    readings = (f"{path}={path.upper().replace(' ', '-')}.txt" for path in named)
    return command("chart", "path-test", "--readings", *readings, "--scale-bar", *(f"{path}=100.0" for path in named))


def after_refresh(profile: Path | str, *, enough: bool, shelved: str = "") -> str:
    """Return what to do after a refresh; one that is not enough asks for a new chart.

    profile: the file that was written. shelved: the condition on the shelf that keeps it, "" for none. Returns a whole command
    to copy.
    """
    if enough:
        return after_profile(profile, shelved=shelved)
    return command("chart", "new", *_kept(shelved))


def pages_of_recipe(recipe: str, *, shelved: str = "") -> str:
    """Return what makes the pages of a recipe that a command has just written, in a folder beside it."""
    return command("chart", "new", recipe, "--out", Path(recipe).parent / "pages", *_kept(shelved))


def after_drift(
    advice: DriftAdvice,
    old: Path | str,
    checks: Sequence[Path | str],
    *,
    profile: Path | str | None = None,
    shelved: str = "",
) -> str:
    """Return what to do after a check of drift. old: the reference; checks: the newer readings; profile: of the print.

    profile, shelved: the profile of the print, or its condition on the shelf, "" for none; the command names what there is.
    Returns a whole command to copy.
    """
    if advice is DriftAdvice.REFRESH:
        return command("profile", "refresh", shelved or profile or "PROFILE.icc", "--chart-out", "fresh")
    if advice is DriftAdvice.PROFILE_ANEW:
        return command("chart", "new", *_kept(shelved))
    if shelved:
        return command("drift", shelved, READINGS)
    return command("drift", old, *checks, READINGS)


def after_condition(name: str) -> str:
    """Return what to do with a printing condition that was just put on the shelf."""
    return command("chart", "new", "--on-shelf", name)


def of_condition(state: ConditionState) -> tuple[str, str]:
    """Return what is unfinished or due of a condition on the shelf, in words, and the command; empty where nothing is."""
    name = state.stored.name
    kinds = {(entry.kind, entry.role) for entry in state.stored.entries}
    charted = (EntryKind.READINGS, "chart") in kinds or (EntryKind.READINGS, "") in kinds
    if state.last_profile is None:
        if charted:
            return "read, and no profile yet", command("profile", "build", name)
        return "no chart read yet", after_condition(name)
    if (EntryKind.REPORT, "proof") not in kinds:
        return "the profile is not proven in print", after_profile("", shelved=name)
    if state.days_past_due:
        return f"a check was due on {state.due}", command("drift", name, READINGS)
    return "", ""


def after_batch(result: BatchResult, plan: str, out: str) -> str:
    """Return what comes after a plan: the proof of a profile where all went well, else the plan again, once that is mended.

    plan, out: as they were given; "" where they were not.
    """
    again = command("batch", plan, *(["--out", out] if out else [])) if plan else command("batch", "--on-shelf")
    ranked = by_need(result.outcomes)
    if result.dry_run or any(one.state in (TaskState.FAILED, TaskState.HELD) for one in ranked):
        return again
    made = [name for one in ranked for name in one.written if name.endswith(".icc")]
    return command("profile", "proof-page", str(Path(result.out) / made[0]), "--out", "proof") if made else again

"""Sentences of building, assessing, refreshing, topping up, showing and installing a profile."""

from collections.abc import Mapping, Sequence
from pathlib import Path

from spectro.checks.assessment import Fit
from spectro.checks.edge_effect import FALLS
from spectro.checks.refresh import Refreshed
from spectro.checks.top_up import FurtherPatches
from spectro.icc.profile_file import IccProfile
from spectro.icc.tag_types import Lut16, LutAToB, LutBToA
from spectro.profile.evidence import UnderD50
from spectro.records.edge_effect import EdgeEffect
from spectro.records.limits import Limits
from spectro.records.picture import PictureReach
from spectro.records.profile_listing import ProfileFinding, Severity
from spectro.records.profile_result import PathLattice, PrintForecast, SuspectPatch
from spectro.records.shown_text import short_name
from spectro.records.statistics import DifferenceStatistics
from spectro.standards.limits import shipped_limits
from spectro.words.gate import CHECKED
from spectro.words.limits import own_limits
from spectro.words.numbers import joined
from spectro.words.quality import Quality, judged_words, quality, quality_clause, quality_of
from spectro.words.reading_notes import listed

NOT_PROVEN = "Not yet proven in print: make a page with spectro profile proof-page, print and read it."
RESTART = (
    "Programs read the list of profiles when they start: close and open again the program you print from, and any other that "
    "is to offer the profile (picture editors, layout and raw converters).",
    "Close and open the print dialog again; where the system keeps its own list of a printer's profiles, sign out and in once.",
)
STILL_SHOWN = "Programs that are open go on offering it until they are closed and opened again."
_MOST_COLOURS = 3  # kinds of colour that a sentence names
_FITS = {
    Fit.CLOSE: "describes this print closely",
    Fit.WELL: "describes this print well",
    Fit.ROUGH: "describes this print roughly; read it again or make a new profile where colour matters",
    Fit.NONE: "does not describe this print (another paper, ink, setting or measurement condition, or a printer that moved)",
}


def build_verdict(
    patches: int, found: PrintForecast, tables: DifferenceStatistics, limits: Limits, sheets: str = "", separation: str = ""
) -> str:
    """Return what a new profile is expected to do.

    limits: of profiles. sheets: what is said of the sheets that were read; separation: of that of inks.
    patches: how many recipes it was built from. found: the forecast of prints. tables: the round trip, ΔE00. The first word is
    one of the four of `words/quality.py`; what is not printed yet is never called proven.
    """
    verdict = (
        f"{quality_clause(quality(found.mean, found.p95, limits), proven=False)}: prints should be off by ΔE00 "
        f"{with_range(found.mean, found.mean_range)} on average, {with_range(found.p95, found.p95_range)} at the 95th "
        f"percentile. Built from {patches} patches; its tables agree to {tables.mean:.2f}; not yet proven in print."
    )
    verdict += unsampled_words(found)
    return " ".join(part for part in (verdict, separation, sheets) if part)


def unsampled_words(found: PrintForecast) -> str:
    """Return which colours no patch is near to, as a sentence with a space before it; "" where there are none.

    >>> from types import SimpleNamespace
    >>> unsampled_words(SimpleNamespace(unsampled=0.0, unsampled_mean=0.0, unsampled_colours=("deep blue", "deep purple")))
    ' No patch lies near deep blue and deep purple: nothing is known of those colours.'
    """
    if not found.unsampled_colours:
        return ""
    first, more = found.unsampled_colours[:_MOST_COLOURS], len(found.unsampled_colours) - _MOST_COLOURS
    named = f"{', '.join(first)} and {more} more kinds of colour" if more > 0 else joined(first)
    if not found.unsampled:
        return f" No patch lies near {named}: nothing is known of those colours."
    return (
        f" No patch lies near {named}, {100 * found.unsampled:.0f} % of all device values: nothing is known of those colours, "
        f"and prints may be off there by ΔE00 {found.unsampled_mean:.1f} on average. Add patches there (spectro profile "
        "top-up) or print a chart that spans the printer."
    )


def suspects_heading(suspects: Sequence[SuspectPatch], patches: int) -> str:
    """Return what is said above a list of readings that do not fit their neighbours: calm where they do no harm."""
    limits = shipped_limits("profile")
    one = len(suspects) == 1
    said = f"{len(suspects)} of {patches} readings {'does' if one else 'do'} not fit {'its' if one else 'their'} neighbours"
    if max(patch.delta_e_2000 for patch in suspects) <= limits["suspect_small"]:
        return f"{said}, all by little; nothing needs to be done:"
    if len(suspects) <= limits["suspect_share"] * patches:
        return f"{said}, too few to harm the rest; read {'it' if one else 'them'} again when you can:"
    return f"{said}; read {'it' if one else 'them'} again before you trust the profile:"


def with_range(value: float, span: tuple[float, float] | None) -> str:
    """Return a forecast with the range in which it will come true.

    >>> with_range(0.48, (0.36, 0.6))
    '0.48 (0.36 to 0.60)'
    """
    return f"{value:.2f}" if span is None else f"{value:.2f} ({span[0]:.2f} to {span[1]:.2f})"


def parts_words(noise: float, noise_from: str, model: float, tables: float, sheet: float, sheet_from: str) -> str:
    """Return the parts of a forecast, each with how it is known.

    All figures are average ΔE00. noise: of a reading; model, tables: what they add; sheet: what another sheet differs by.
    noise_from, sheet_from: how these two are known, such as "stated".
    """
    return (
        f"noise of a reading {noise:.2f} ({noise_from}), model {model:.2f}, tables {tables:.2f}, "
        f"another sheet {sheet:.2f} ({sheet_from})"
    )


def repeats_words(noise: float | None, readings: int) -> str:
    """Return what repeated patches tell of the noise of one reading. readings: of recipes that were read more than once."""
    if noise is not None:
        return f"ΔE00 {noise:.2f}"
    return f"{readings} readings of repeated patches, too few to tell it" if readings else "no repeated patches"


def light_note(found: UnderD50 | None) -> str:
    """Return what prints made for another light are under D50; "" where the light is D50."""
    if found is None:
        return ""
    return (
        f"Made for {found.light}: assumes eyes adapted to that light (linear Bradford). Under D50 the same "
        f"prints differ from what the profile says by ΔE00 {found.mean:.1f} on average, {found.largest:.1f} at most "
        f"(paper: Δa* {found.paper_a:+.1f}, Δb* {found.paper_b:+.1f}), and in a D50 booth the profile looks wrong by as much."
    )


def _too_few(unsampled: Sequence[str]) -> str:
    """Return which colours too few readings stand for, as a sentence with a space before it; "" for none."""
    if not unsampled:
        return ""
    return f" Too few readings of {listed(tuple(unsampled))}: of those it says nothing."


def assess_verdict(
    fit: Fit,
    overall: DifferenceStatistics,
    tables: DifferenceStatistics,
    conditions: tuple[str | None, str | None],
    limits: Limits,
    *,
    own: int = 0,
    unsampled: Sequence[str] = (),
    groups: int = 0,
) -> str:
    """Return how well a profile describes a print.

    conditions: of the readings and of the profile's own. own: how many readings the profile was built from. limits: of
    profiles. unsampled: colours that too few readings stand for, of so many groups of the printer's.
    """
    if own:
        which = "These are the readings" if own >= overall.n else f"{own} of these {overall.n} readings are those"
        return (
            f"{which} the profile was built from: ΔE00 {overall.mean:.2f} on average and {overall.p95:.2f} at the 95th "
            "percentile. That says how well its tables keep them, and nothing about prints. Print a page through the profile "
            "and read it (spectro profile proof-page), or give readings of another sheet."
        )
    condition, profile_condition = conditions
    caution = _too_few(unsampled)
    if condition and profile_condition and condition != profile_condition:
        caution += f" Note that the readings are {condition} and the profile was made from {profile_condition}."
    found = quality_of(overall, limits)
    found = min(found, Quality.USABLE) if 2 * len(unsampled) > groups else found
    if fit in (Fit.CLOSE, Fit.WELL) and overall.max > limits["single_patch"]:
        found = min(found, Quality.GOOD)
        most = overall.max
        caution += (
            f" Yet one patch or more is off by up to ΔE00 {most:.1f}: look at those that differ most before you trust it."
        )
    return (
        f"{quality_clause(found, proven=False)}: the profile {_FITS[fit]}, ΔE00 {overall.mean:.2f} on "
        f"average, {overall.p95:.2f} at the 95th percentile over {overall.n} patches.{caution} Its tables agree to "
        f"{tables.mean:.2f}; it is not yet proven in print."
    )


def refresh_verdict(found: Refreshed, in_print: PrintForecast, limits: Limits, paper: float | None = None) -> str:
    """Return what a refresh came to. in_print: what prints through it are expected to be off by; limits: of profiles.

    paper: ΔE00 by which bare paper reads other than before; None: not by more than one paper does.
    """
    word, patches, enough = quality(in_print.mean, in_print.p95, limits), len(found.repeats.device), found.enough(limits)
    doubtful = paper is not None or not (enough or found.open(limits))
    clause = quality_clause(min(word, Quality.USABLE) if doubtful else word, proven=False)
    if paper is not None:
        clause += f", and right only if this is another batch of paper (its white reads ΔE00 {paper:.1f} other than before)"
    refreshed = f"{clause}: refreshed from {patches} fresh patches; a colour is expected to be off by ΔE00 {found.told:.2f}"
    if found.open(limits):
        return (
            f"{refreshed} on average, with a new chart by {found.reach_even(limits):.2f} to {found.reach:.2f}. Whether that "
            "would be clearly better is open: the old page was uneven, or may have been. Print and read a new chart where it "
            f"matters. {NOT_PROVEN}"
        )
    if not enough:
        return (
            f"{clause}, and the refresh is not enough: a colour is expected to be off by ΔE00 {found.told:.2f} on average, "
            f"with a new chart by about {found.reach:.2f}. The profile was written, but print and read a new chart."
        )
    if not found.needed(limits):
        return (
            f"{clause}: refreshed, though there was little need. The old readings predict the {patches} fresh patches to ΔE00 "
            f"{found.before.mean:.2f} on average, left-out patches of their own to {found.new_chart.mean:.2f}."
        )
    return (
        f"{refreshed} on average. Without the refresh it is {found.before.mean:.2f}; a new chart would reach about "
        f"{found.reach:.2f}. {NOT_PROVEN}"
    )


def other_paper_words(paper: float | None) -> str:
    """Return what else moves bare paper. paper: ΔE00 by which it did; None: not by more than one paper does."""
    if paper is None:
        return ""
    return (
        "Another measurement condition and a wrong white reference change bare paper as another batch does: if it is none, "
        "calibrate the instrument and read the fresh patches again."
    )


def refresh_cautions(*, paper: bool, fresh: int, old: int, limits: Limits, inks: bool = False) -> tuple[str, ...]:
    """Return what to mind. paper: bare paper is among the fresh patches; fresh, old: different patches of each.

    inks: the print is one of inks behind a RIP.
    """
    found = []
    if not paper:
        found.append("Bare paper is not among the fresh patches: the new profile's white rests on the old reading of it.")
    if fresh < limits["refresh_patches"]:
        found.append(f"{fresh} different fresh patches; 40 to 80 are common practice.")
    if old < limits["refresh_old"]:
        found.append("The old chart is small: what it did not see, a refresh does not see either.")
    setting = "another setting of the RIP" if inks else "another driver setting"
    found.append(f"A refresh follows smooth changes. A nozzle that misses now and then, banding or {setting} are not.")
    return tuple(found)


def refresh_chart_verdict(patches: int, recipe: str) -> str:
    """Return what to do with the patches that were chosen for a refresh."""
    return f"A refresh of {patches} patches is chosen. Make its pages with: spectro chart new {recipe}"


def top_up_verdict(found: FurtherPatches, file: str, in_print: PrintForecast, limits: Limits) -> str:
    """Return whether further patches are worth a chart. file: the recipe that was written, "" for none.

    in_print: what prints are expected to be off by without them; limits: of profiles.
    """
    clause = quality_clause(quality(in_print.mean, in_print.p95, limits), proven=False)
    figures = (
        f"{len(found.device)} further patches take what the model is off by from ΔE00 {found.before:.2f} to "
        f"{found.after:.2f}, with a noise of {found.noise:.2f}"
    )
    next_step = f"Next: spectro chart new {file}" if file else "Write its recipe with `out`"
    verdict = f"{clause}, and worth a small chart: {figures}. {next_step}; read it, and build from both files together."
    if found.gain < limits["top_up_worth"]:
        verdict = (
            f"{clause}, and not worth a chart: {figures}. A second sheet of the old chart, printed another day, brings more."
        )
    return " ".join((verdict, *own_limits(limits)))


def built_all_the_same(kept: str) -> str:
    """Return that a profile rests on readings that somebody insisted on using, as a clause. kept: "REASON; found: WHAT"."""
    reason, _, found = kept.partition("; found: ")
    if reason == CHECKED:
        return f"it was built from {found or 'readings that were asked about'}; {reason}"
    return f"it was built although {found or 'something was wrong with its readings'}, since somebody insisted: {reason}"


def show_verdict(findings: Sequence[ProfileFinding]) -> str:
    """Return what was found wrong with a profile."""
    faults = [finding for finding in findings if finding.severity is Severity.FAULT]
    if not faults:
        of_readings = [f" Besides, {finding.text}." for finding in findings if finding.place == "readings"]
        return (
            f"{judged_words(Quality.USABLE)}: no fault was found, the profile keeps the rules that are checked here. How well "
            f"it prints, only readings tell.{''.join(of_readings)}"
        )
    count = f"{len(faults)} fault{'s' if len(faults) > 1 else ''}"
    return f"{judged_words(Quality.NO)}: {count}; the first: {faults[0].place}: {faults[0].text}."


def renders_verdict(changes: Mapping[str, float]) -> str:
    """Return what printing does to the made-up photograph. changes: mean ΔE00 by intent."""
    if not changes:
        return "This profile has no table from colours to device values, so there is nothing to print a picture with."
    said = ", ".join(f"{change:.1f} in {intent}" for intent, change in changes.items())
    return f"A made-up photograph changes in print by ΔE00 {said} (mean); below, what that looks like and what it means."


def picture_sentences(reach: PictureReach) -> tuple[str, ...]:
    """Return what a print cannot show of a picture, one or two sentences."""
    if reach.outside < 0.0005:
        return (f"all of it can be printed (within ΔE00 {reach.limit:g})",)
    colourful = reach.outside - reach.darker
    lab = " ".join(f"{round(value, 1) + 0.0:.1f}" for value in reach.worst_lab)
    return (
        f"{100 * reach.outside:.1f} % lies outside the print: {100 * reach.darker:.1f} % is darker than its black, "
        f"{100 * colourful:.1f} % too colourful (ΔE00 above {reach.limit:g})",
        f"changes most: colours about Lab {lab}, by ΔE00 {reach.worst_delta_e_2000:.1f}",
    )


def install_verdict(done: str, name: str, place: Path) -> str:
    """Return what installing did. done: "installed", "replaced", "there already" or "taken away"; name: of the profile."""
    name = short_name(name)
    return {
        "installed": f"Installed: {name}. It is in {place.parent}.",
        "replaced": f"Installed: {name}. It replaces the file {place.name} in {place.parent}.",
        "there already": f"Nothing to do: the same profile is there already. It is in {place.parent}.",
        "taken away": f"Removed: {short_name(place.name)}. It is no longer in {place.parent}.",
    }[done]


def install_next(done: str, profile: Path, device_class: str, folder: Path | None) -> tuple[str, ...]:
    """Return what to do now. folder: where it was put, None where the system's own folder was taken.

    done: what was done, as `profile_install` says it. device_class: in words; only "output" is a printer's. One sentence an
    entry; none where the profile was there already and is a printer's.
    """
    more = () if device_class == "output" else (f"This is a profile of the class {device_class}: no printer's.",)
    if done == "there already":
        return more
    undo = f"spectro profile install {profile} --remove"
    if folder is not None:
        undo = f'spectro profile install {profile} --remove --folder "{folder}"'
    return (*more, *RESTART, f"{undo} removes it again.")


def lattice_sentence(found: PathLattice) -> str:
    """Return what the readings show of the print path's own table; "" where they show none.

    >>> lattice_sentence(PathLattice(nodes=17, levels=16.0, gain=68.7))
    'This print path reads a 17-step table of its own, and the model follows it (log likelihood 69 above none).'
    """
    if found.nodes is None:
        return ""
    return (
        f"This print path reads a {found.nodes}-step table of its own, and the model follows it "
        f"(log likelihood {found.gain:.0f} above none)."
    )


def grid_words(profile: IccProfile) -> str:
    """Return how many points an axis of the tables has, from and to device values where they differ."""
    tables = [(name[:3], tag) for name, tag in profile.tags.items() if isinstance(tag, Lut16 | LutAToB | LutBToA)]
    ways = [
        sorted({nodes for name, tag in tables if name == way and tag.lattice is not None for nodes in tag.lattice.shape[:-1]})
        for way in ("A2B", "B2A")
    ]
    if ways[0] == ways[1] and len(ways[0]) == 1:
        return f"{ways[0][0]} grid points per axis"
    back, forth = (joined([str(one) for one in way]) for way in ways)
    return f"grid points per axis: {back} from inks, {forth} to inks"


def edge_facts(edges: EdgeEffect) -> dict[str, str]:
    """Return what the tables do at the edge of the gamut and near black, by what is told."""
    facts = {
        f"edge {one.table}": (
            f"{one.intent}: black prints L* {one.black:.1f}, {one.above:.1f} above the darkest ({one.stops:.2f} stops lost); "
            f"L* falls by {one.fall:.1f} at most, {one.falling} of {edges.ramps} ramps by more than {FALLS}; "
            f"hue turns by {one.turn:.0f}° (99th percentile), {one.largest_turn:.0f}° at most"
        )
        for one in edges.intents
    }
    if edges.rule is not None:
        facts["outside"] = (
            f"the colorimetric table is off a smooth rule by ΔE00 {edges.rule.mean:.2f} on average, "
            f"{edges.rule.p95:.1f} at the 95th percentile, {edges.rule.largest:.1f} at {edges.rule.place}"
        )
    return facts


def blacks_words(edges: EdgeEffect, most: float) -> str:
    """Return what the blacks of the intents cost, in a sentence or two. most: L* above the darkest that is not worth a word."""
    lost = [one for one in edges.intents if one.above > most]
    if not lost:
        return (
            f"A picture's black prints as the darkest colour of this paper, L* {edges.darkest:.1f}, whichever intent is "
            "chosen: no range is lost."
        )
    worst = max(lost, key=lambda one: one.above)
    kept = [one.intent for one in edges.intents if one.above <= most]
    without = f" {' and '.join(kept).capitalize()} reaches it." if len(kept) == 1 else ""
    return (
        f"Under the {worst.intent} intent a picture's black prints at L* {worst.black:.1f}, {worst.above:.1f} above the "
        f"darkest colour of this paper: {worst.stops:.2f} stops of its range are lost.{without}"
    )


def edge_findings(edges: EdgeEffect, limits: Limits) -> list[ProfileFinding]:
    """Return what is worth knowing of the tables at the edge and near black. limits: of the subject "profile"."""
    found = []
    for one in edges.intents:
        if one.fall > limits["edge_fall"]:
            found.append((one.table, f"L* falls by {one.fall:.1f} where pictures get lighter, worst {one.fall_place}"))
        if one.above > limits["edge_black"]:
            found.append(
                (
                    one.table,
                    f"black prints {one.above:.1f} L* lighter than the paper can: {one.stops:.2f} stops of range are lost",
                )
            )
        if one.turn > limits["edge_turn"]:
            found.append((one.table, f"hue turns by {one.turn:.0f}° and more in 1 % of colours, worst at {one.turn_place}"))
    if edges.rule is not None and edges.rule.p95 > limits["edge_rule"]:
        found.append(
            (
                "B2A1",
                f"colours outside the gamut are printed unevenly, off a smooth rule by ΔE00 {edges.rule.p95:.1f} at the 95th "
                f"percentile and {edges.rule.largest:.1f} at {edges.rule.place}: streaks and rings can show",
            )
        )
    return [ProfileFinding(severity=Severity.NOTE, place=place, text=text) for place, text in found]

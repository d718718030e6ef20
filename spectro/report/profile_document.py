"""What building, refreshing, topping up, showing and installing a profile tell."""

from dataclasses import asdict, replace
from typing import Any

from spectro.records.document import Block, Column, Document, Facts, Level, Points, Section, Shown, Table, Verdict, Words
from spectro.records.picture import PictureReach
from spectro.records.profile_listing import ProfileListing
from spectro.records.profile_place import ProfilePlace
from spectro.records.profile_result import BlackPrinted, ProfileBuild, SuspectPatch
from spectro.records.refresh import ProfileRefresh, RefreshChart
from spectro.records.top_up import TopUp
from spectro.report.assessment_document import PERCENTILE_METHOD
from spectro.report.sections import told
from spectro.report.separation_part import separation_numbers, separation_sections
from spectro.words.numbers import difference_text, number, plain_lab
from spectro.words.print_sheets import sheet_points
from spectro.words.profile import (
    lattice_sentence,
    parts_words,
    picture_sentences,
    repeats_words,
    suspects_heading,
    with_range,
)
from spectro.words.separation import black_words, lean_rows, light_words, total_words

_TITLE = "Profile – {}"
_WIDE, _NARROW = 18, 16  # columns of names


def build_document(result: ProfileBuild) -> Document:
    """Return what is told of a profile that was built."""
    forecast, in_print = result.forecast, result.in_print
    repeats = repeats_words(forecast.repeat_noise, forecast.repeat_readings)
    parts = parts_words(
        in_print.noise, in_print.noise_from, in_print.model, in_print.tables, in_print.sheet, in_print.sheet_from
    )
    rows = [
        *_profile_rows(result),
        ("readings", f"{result.patches} patches, {result.recipes} different; {result.measurement_condition}"),
        *_colour_rows(result),
        ("left-out patches", difference_text(forecast.cross_validation)),
        (
            "in print",
            f"ΔE00 mean {with_range(in_print.mean, in_print.mean_range)}, 95th percentile "
            f"{with_range(in_print.p95, in_print.p95_range)} expected",
        ),
        ("its parts", parts),
        ("repeat noise", f"{repeats}; seen by the model {forecast.model_noise:.2f}"),
        _round_trip_row(result),
    ]
    rows += _separation_rows(result)
    if result.lean:
        rows += lean_rows(result.lean)
    if result.grey_aim:
        rows.append(("greys", f"{result.grey_aim}, in the perceptual and saturation tables only"))
    rows.append(("time", f"{result.seconds:.1f} s"))
    sections = [_section("numbers", "", Facts(rows=tuple(rows), width=_WIDE))]
    if result.black:
        heading = "Inks along neutral colours, in percent:"
        sections.append(_section("separation", heading, _inks_along_greys(result.black)))
    if result.separation:
        sections += separation_sections(result.separation)
    if told := sheet_points(result.sheets):
        sections.append(_section("sheets", "The sheets:", Points(texts=told)))
    if result.pictures:
        heading = "The perceptual tables make room for the colours of:"
        sections.append(_section("pictures", heading, Points(texts=tuple(_picture(one) for one in result.pictures))))
    notes = (
        ("evenness", result.even_note),
        ("light", result.light_note),
        ("path", lattice_sentence(result.lattice)),
        ("limits", result.limits_note),
    )
    for key, note in notes:
        if note:
            sections.append(_section(key, "", Words(text=note)))
    if forecast.suspects:
        heading = suspects_heading(forecast.suspects, result.patches)
        sections.append(_section("suspects", heading, Points(texts=tuple(_suspect(patch) for patch in forecast.suspects))))
    return _document("profile-build", result.name, result.verdict, _build_level(result), result.profile, sections,
                     _build_numbers(result))  # fmt: skip


def _separation_rows(result: ProfileBuild) -> list[tuple[str, str]]:
    """Return what the separation of inks came to; nothing of RGB."""
    rows = []
    if result.total_area and result.black:
        rows += [("total area", total_words(result.total_area)), ("black", black_words(result.black))]
    if result.black and result.black.lights:
        rows.append(("light inks", light_words(result.black.lights)))
    return rows


def refresh_document(result: ProfileRefresh) -> Document:
    """Return what is told of a profile that was refreshed; a fault where a refresh is surely not enough."""
    build = result.build
    rows = (
        *_profile_rows(build),
        (
            "readings",
            f"{result.old_patches} old, moved by ΔE00 {result.moved:.2f} on average; {result.fresh_patches} fresh; "
            f"{build.measurement_condition}",
        ),
        *_colour_rows(build),
        ("fresh, as it was", difference_text(result.before)),
        ("fresh, left out", difference_text(result.left_out)),
        ("a new chart", f"{difference_text(result.new_chart)}, as the old chart's left-out patches"),
        _round_trip_row(build),
        *_separation_rows(build),
        ("time", f"{build.seconds:.1f} s"),
    )
    sections = [
        _section("numbers", "", Facts(rows=rows, width=_WIDE)),
        _section("mind", "Note:", Points(texts=result.cautions)),
    ]
    level = Level.GOOD if result.enough and result.paper is None else Level.ATTENTION
    level = level if result.enough or result.open else Level.FAULT
    numbers = {**asdict(result), "percentile_method": PERCENTILE_METHOD}
    return _document("profile-refresh", build.name, result.verdict, level, build.profile, sections, numbers)


def refresh_chart_document(chart: RefreshChart) -> Document:
    """Return what is told of the patches that were chosen for a refresh."""
    facts = Facts(rows=(("recipe", chart.recipe), ("patches", chart.patches_file)), width=10)
    sections = [_section("files", "", facts)]
    return _document("refresh-chart", "refresh", chart.verdict, Level.GOOD, chart.recipe, sections, asdict(chart))


def top_up_document(found: TopUp) -> Document:
    """Return what is told of a further chart."""
    rows = [
        ("chosen patches", ", ".join(f"{count} {name}" for name, count in found.regions.items())),
        ("with them", f"corners, a grey ramp and repeats that tie the sheets together: {found.patches} patches"),
        ("one reading", f"has a noise of ΔE00 {found.repeat_noise:.2f}: no model can be surer about a single print"),
    ]
    if found.recipe:
        rows.append(("recipe", found.recipe))
    sections = [_section("numbers", "", Facts(rows=tuple(rows), width=_NARROW))]
    return _document("top-up", "top-up", found.verdict, Level.GOOD, found.recipe, sections, asdict(found))


def show_document(listing: ProfileListing, renders: str = "") -> Document:
    """Return what a profile holds and what is wrong with it. renders: files that were written beside, a folder and names."""
    rows = [("file", f"{listing.file}, {number(listing.size, 0)} bytes")]
    if listing.version:  # else no profile's header
        kind = f"{listing.device_class}, {listing.colour_space} to {listing.pcs}, ICC {listing.version}, {listing.date}"
        rows += [("name", listing.name), ("kind", kind), ("intent", listing.intent), ("ID", listing.profile_id)]
    sections = [_section("profile", "", Facts(rows=(*rows, *listing.facts.items()), width=_NARROW))]
    if listing.tags:
        table = Table(
            columns=(
                Column(name="tag", width=4),
                Column(name="type", words=True, width=6),
                Column(name="size", words=True, width=10),
                Column(name="holds", words=True),
            ),
            rows=tuple((tag.signature, tag.type, str(tag.size), tag.what) for tag in listing.tags),
            label="tags of the profile",
        )
        sections.append(_section("tags", "", table))
    if listing.findings:
        texts = tuple(f"{finding.severity}: {finding.place}: {finding.text}" for finding in listing.findings)
        sections.append(_section("findings", "", Points(texts=texts)))
    if renders:
        sections.append(told("renders", renders))
    level = Level.FAULT if listing.faulty else Level.GOOD
    name = listing.name or listing.file
    return _document("profile", name, listing.verdict, level, listing.file, sections, asdict(listing))


def install_document(place: ProfilePlace) -> Document:
    """Return what is told of a profile that was installed or taken away."""
    facts = Facts(rows=(("file", place.place), ("folder", place.folder_from)), width=_NARROW)
    sections = [_section("place", "", facts)]
    if place.next:
        sections.append(_section("next", "", Points(texts=place.next)))
    data = asdict(place)
    data["afterwards"] = data.pop("next")  # `next` of every command is the command that comes next
    return _document("profile-place", place.place, place.verdict, Level.GOOD, place.file, sections, data)


def _document(
    kind: str, name: str, verdict: str, level: Level, subject: str, sections: list[Section], data: dict[str, Any]
) -> Document:
    return Document(
        kind=kind,
        title=_TITLE.format(name),
        verdict=Verdict(text=verdict, level=level),
        subject=subject,
        sections=tuple(sections),
        data=data,
    )


def _section(key: str, heading: str, *blocks: Block) -> Section:
    return Section(key=key, heading=heading, blocks=blocks, shown=Shown.ALL)


def _build_level(result: ProfileBuild) -> Level:
    return Level.ATTENTION if result.forecast.suspects else Level.GOOD


def _build_numbers(result: ProfileBuild) -> dict[str, Any]:
    numbers, forecast = asdict(replace(result, separation=None)), result.forecast
    del numbers["forecast"]
    if result.black is None:  # what says of inks is not said of RGB
        del numbers["black"], numbers["total_area"]
    if result.lean is None:
        del numbers["lean"]
    if result.separation is None:
        del numbers["separation"]
    else:
        numbers["separation"] = separation_numbers(result.separation)
    return {
        **numbers,
        "cross_validation": {**asdict(forecast.cross_validation), "method": forecast.cross_validation_method},
        "repeat_noise": forecast.repeat_noise,
        "model_noise": forecast.model_noise,
        "suspects": [asdict(patch) for patch in forecast.suspects],
        "percentile_method": PERCENTILE_METHOD,
    }


def _inks_along_greys(black: BlackPrinted) -> Table:
    columns = (Column(name="L*", width=5), *(Column(name=name, width=max(9, len(name) + 2)) for name in black.names))
    rows = tuple(tuple(f"{value:.0f}" for value in row) for row in black.along_greys[::2])
    return Table(columns=columns, rows=rows, label="inks along neutral colours")


def _profile_rows(build: ProfileBuild) -> tuple[tuple[str, str], ...]:
    return (
        ("profile", f"{build.profile} (ICC {build.icc_version}, {build.grid_words})"),
        ("name", build.name),
    )


def _colour_rows(build: ProfileBuild) -> tuple[tuple[str, str], ...]:
    return (("light", build.light), ("white, black", f"Lab {plain_lab(build.white_lab)}, {plain_lab(build.black_lab)}"))


def _round_trip_row(build: ProfileBuild) -> tuple[str, str]:
    return "round trip", f"{difference_text(build.round_trip, 3)}: the tables, not a print"


def _picture(reach: PictureReach) -> str:
    first = f"{reach.picture}, {reach.width} × {reach.height}, read as {reach.read_as}"
    return "\n    ".join((first, *picture_sentences(reach)))


def _suspect(patch: SuspectPatch) -> str:
    place = "" if patch.position is None else " on page {}, row {}, column {}".format(*patch.position)
    label = f" ({patch.name})" if patch.name else ""
    return f"patch {patch.id}{label}{place}: ΔE00 {patch.delta_e_2000:.1f}, {patch.deviations:.1f} deviations"

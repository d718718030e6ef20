"""What is told of a chart that was made, of a chart folder, and of a page that was found."""

from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

from spectro.records.chart import ChartPurpose, ChartResult, ReadyRecipe
from spectro.records.chart_listing import ChartListing, PageFinding
from spectro.records.document import Column, Document, Facts, Level, Table, Verdict, Words
from spectro.report.sections import on_terminal, told
from spectro.words.chart import listed_verdict

_SHOWN_PAGES, _SHOWN_OTHERS = 8, 10
_WIDTH = 13


def chart_document(result: ChartResult, named: str) -> Document:
    """Return what is told of a chart that was made: what it is, each choice and why, its files.

    named: which chart it is, in a sentence.
    """
    files = "\n".join([f"{result.folder}/", *(f"  {name}" for name in result.files)])
    sections = (told("choices", "\n".join([named, *result.choices])), told("files", files))
    return Document(
        kind="chart",
        title=result.title,
        verdict=Verdict(text=result.verdict, level=Level.GOOD),
        subject=f"chart {result.chart_id}",
        data=_with_texts(asdict(result)),
        sections=sections,
    )


def recipes_document(recipes: Sequence[ReadyRecipe]) -> Document:
    """Return the list of ready recipes: what each is for, for which reader, and how much it holds."""
    columns = [Column(name=name, words=True) for name in ("recipe", "for", "reader", "page")]
    columns += [Column(name=name) for name in ("aperture up to", "patches", "pages")]
    rows = tuple(
        (
            one.name,
            f"{one.purpose} ({', '.join(one.channels)})" if one.purpose is ChartPurpose.INKS else str(one.purpose),
            str(one.reader),
            one.page,
            "" if one.aperture_mm is None else f"{one.aperture_mm:g} mm",
            str(one.patches),
            str(one.pages),
        )
        for one in recipes
    )
    table = Table(columns=tuple(columns), rows=rows, label="ready recipes")
    return Document(
        kind="recipes",
        title="Ready recipes",
        verdict=Verdict(text=listed_verdict(recipes), level=Level.GOOD),
        subject="",
        data={"recipes": [_with_texts(asdict(one)) for one in recipes]},
        sections=(on_terminal("recipes", "", table),),
    )


def listing_document(found: ChartListing) -> Document:
    """Return what is told of a chart folder; a fault where files are missing or changed."""
    rows = [
        ("title", found.title),
        ("channels", ", ".join(found.channels) + _inks(found)),
        ("patches", f"{found.patches}, {found.different} of them different: {_counts(found)}"),
        ("pages", f"{found.pages}, with {_pages(found)} patches"),
        ("strips", f"{found.strips} of up to {found.patches_a_strip} patches"),
        ("sizes", _sizes(found)),
        ("reading", _reading(found)),
        (
            "differences",
            f"neighbours ΔE00 {found.smallest_step:.1f} at least, any two strips {found.separation:.1f} (predicted)",
        ),
        ("largest hole", f"{found.fill_distance:.3f} (device values 0 to 1)"),
        *found.condition.items(),
    ]
    facts = Facts(rows=tuple(rows), width=_WIDTH)
    codes = Facts(
        rows=tuple(("page codes" if place == 0 else "", text) for place, text in enumerate(found.page_codes)), width=_WIDTH
    )
    files = Facts(rows=tuple((file.name, str(file.state)) for file in found.files))
    others = ""
    if found.others:
        more = ", …" if len(found.others) > _SHOWN_OTHERS else ""
        others = f"  also there: {', '.join(found.others[:_SHOWN_OTHERS])}{more}"
    return Document(
        kind="chart-folder",
        title=found.title,
        verdict=Verdict(text=found.verdict, level=Level.GOOD if found.sound else Level.FAULT),
        subject=f"chart {found.chart_id}",
        data=_with_texts(asdict(found)),
        sections=(
            on_terminal("chart", "", facts, *_origin(found), codes),
            on_terminal("files", f"{found.folder}/", files, *([Words(text=others)] if others else [])),
        ),
    )


def page_document(found: PageFinding) -> Document:
    """Return what is told of the pages in a picture or a code; a fault where a folder was asked for and has none of them."""
    lines = []
    for page in found.pages:
        lines.append(f"  {page.text}: chart {page.chart_id}, page {page.page}")
        for match in page.matches:
            how = ", adopted from its lists" if match.adopted else ""
            lines.append(f"    {match.folder}: {match.title}{how}; page {page.page} of {match.pages}")
            lines.append(f"      {match.patches} patches in {match.strips} strips, {match.first} to {match.last}")
    lines += [f"  not read: {message}" for message in found.unread]
    return Document(
        kind="chart-page",
        title="Pages found",
        verdict=Verdict(text=found.verdict, level=Level.GOOD if found.matched else Level.FAULT),
        subject=found.source,
        data=_with_texts(asdict(found)),
        sections=(told("pages", "\n".join(lines)),),
    )


def _with_texts(value: Any) -> Any:
    """Return a record's table with paths and words of enumerations as texts."""
    if isinstance(value, dict):
        return {key: _with_texts(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_with_texts(item) for item in value]
    return str(value) if isinstance(value, Path | str) else value


def _inks(found: ChartListing) -> str:
    return "" if found.total_area is None else f"; total area coverage up to {found.total_area:.0f} %"


def _counts(found: ChartListing) -> str:
    return ", ".join(f"{count} {name}" for name, count in found.stanza_counts.items())


def _pages(found: ChartListing) -> str:
    return ", ".join(map(str, found.patches_a_page[:_SHOWN_PAGES])) + (", …" if found.pages > _SHOWN_PAGES else "")


def _sizes(found: ChartListing) -> str:
    if not (found.page_mm and found.patch_mm):
        return "not known: the chart was adopted"
    page, patch = (f"{width:g} x {height:g} mm" for width, height in (found.page_mm, found.patch_mm))
    return f"page {page}, patches {patch}"


def _reading(found: ChartListing) -> str:
    aperture = "" if found.aperture_mm is None else f", aperture up to {found.aperture_mm:g} mm"
    minutes = max(1, round(found.reading_minutes))
    return f"{found.reading_mode}{aperture}; about {minutes} minutes"


def _origin(found: ChartListing) -> Sequence[Words | Facts]:
    if found.origin is None:
        return ()
    named = f"chart {found.origin.chart_id}" if found.origin.chart_id else "a chart made elsewhere"
    sources = "\n".join(f"    {source.name}  SHA-256 {source.sha256}" for source in found.origin.sources)
    kind = Facts(rows=(("origin", f"{found.origin.kind} from {named}:"),), width=_WIDTH)
    return (kind, Words(text=sources))

"""`spectro chart show`: what a chart holds; which chart and page a picture or code is of."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from spectro.cli.printing import print_json, print_text, progress_line

if TYPE_CHECKING:
    from spectro.records.chart_listing import ChartListing, PageFinding


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's own arguments."""
    parser.add_argument(
        "what",
        metavar="WHAT",
        help="a chart folder; or a photo or scan of a page (PNG, JPEG, TIFF); or the line beside a page's square, in quotes",
    )
    parser.add_argument(
        "--among",
        action="extend",
        nargs="+",
        type=Path,
        default=[],
        metavar="FOLDER",
        help="chart folders, or folders of them, in which the chart of the page is looked for",
    )


def run(arguments: argparse.Namespace) -> int:
    """Show what was found. Returns 0; 3 where files are missing or changed, or no folder has the page."""
    import dataclasses

    from spectro.records.chart_listing import ChartListing
    from spectro.workflow.chart.show import chart_show

    with progress_line(arguments) as progress:
        found = chart_show(arguments.what, among=arguments.among, progress=progress)
    whole = found.sound if isinstance(found, ChartListing) else found.matched
    if arguments.json:
        print_json(_plain(dataclasses.asdict(found)))
    else:
        print_text("\n".join(_chart_lines(found) if isinstance(found, ChartListing) else _page_lines(found)))
    return 0 if whole else 3


def _plain(value: object) -> "dict[str, object]":
    """Return a record's table with paths as text."""

    def plain(part: object) -> object:
        if isinstance(part, dict):
            return {key: plain(item) for key, item in part.items()}
        if isinstance(part, list | tuple):
            return [plain(item) for item in part]
        return str(part) if isinstance(part, Path | str) else part

    table = plain(value)
    return table if isinstance(table, dict) else {}


def _chart_lines(found: "ChartListing") -> list[str]:
    parts = ", ".join(f"{count} {name}" for name, count in found.stanza_counts.items())
    pages = ", ".join(map(str, found.patches_a_page[:8])) + (", …" if found.pages > 8 else "")
    sizes = "not known: the chart was adopted"
    if found.page_mm and found.patch_mm:
        sizes = f"page {found.page_mm[0]:g} x {found.page_mm[1]:g} mm, patches {found.patch_mm[0]:g} x {found.patch_mm[1]:g} mm"
    inks = "" if found.total_area is None else f"; total area coverage up to {found.total_area:.0f} %"
    aperture = "" if found.aperture_mm is None else f", aperture up to {found.aperture_mm:g} mm"
    lines = [
        found.verdict,
        "",
        f"  title        {found.title}",
        f"  channels     {', '.join(found.channels)}{inks}",
        f"  patches      {found.patches}, {found.different} of them different: {parts}",
        f"  pages        {found.pages}, with {pages} patches",
        f"  strips       {found.strips} of up to {found.patches_a_strip} patches",
        f"  sizes        {sizes}",
        f"  reading      {found.reading_mode}{aperture}; about {max(1, round(found.reading_minutes))} minutes "
        "(common practice, no source)",
        f"  told apart   neighbours ΔE00 {found.smallest_step:.1f} at least, any two strips {found.separation:.1f} (predicted)",
        f"  largest hole {found.fill_distance:.3f} (device values 0 to 1)",
    ]
    lines += [f"  {word:<13}{text}" for word, text in found.condition.items()]
    if found.origin is not None:
        named = f"chart {found.origin.chart_id}" if found.origin.chart_id else "a chart made elsewhere"
        lines.append(f"  origin       {found.origin.kind} from {named}:")
        lines += [f"    {source.name}  SHA-256 {source.sha256}" for source in found.origin.sources]
    lines += [f"  {'page codes' if index == 0 else '':<13}{text}" for index, text in enumerate(found.page_codes)]
    lines += ["", f"{found.folder}/"]
    width = max((len(file.name) for file in found.files), default=0)
    lines += [f"  {file.name:<{width}}  {file.state}" for file in found.files]
    if found.others:
        lines.append(f"  beside them: {', '.join(found.others[:10])}{', …' if len(found.others) > 10 else ''}")
    return lines


def _page_lines(found: "PageFinding") -> list[str]:
    lines = [found.verdict, ""]
    for page in found.pages:
        lines.append(f"  {page.text}: chart {page.chart_id}, page {page.page}")
        for match in page.matches:
            how = ", adopted from its lists" if match.adopted else ""
            lines.append(f"    {match.folder}: {match.title}{how}; page {page.page} of {match.pages}")
            lines.append(f"      {match.patches} patches in {match.strips} strips, {match.first} to {match.last}")
    lines += [f"  not read: {message}" for message in found.unread]
    return lines

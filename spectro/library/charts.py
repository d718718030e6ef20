"""Charts: folders with pages to print, made, taken over, laid out again, and looked into."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from spectro.library.answers import Answer, Place, choice, places
from spectro.records.chart import ChartResult, ReadingMode
from spectro.records.chart_listing import ChartListing
from spectro.records.conditions import RenderingIntent
from spectro.records.proof import ProofWay
from spectro.report.chart_document import chart_document, listing_document, page_document
from spectro.workflow.chart.adopt import chart_adopt
from spectro.workflow.chart.new import chart_new
from spectro.workflow.chart.pages import chart_pages
from spectro.workflow.chart.show import chart_show
from spectro.workflow.profile.proof_page import profile_proof_page


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class MadeChart(Answer):
    """A chart folder that was made: pages to print, the patch table, and what was chosen and why."""

    made: ChartResult

    @property
    def folder(self) -> Path:
        """The chart folder."""
        return self.made.folder

    @property
    def files(self) -> tuple[Path, ...]:
        """The files in it."""
        return tuple(self.made.folder / name for name in self.made.files)


def make_chart(
    out: Place,
    recipe: Place = "rgb-a4-strip",
    *,
    patches: int | None = None,
    pages: int | None = None,
    page: str | None = None,
    channels: str | None = None,
    light_inks: str | None = None,
    seed: int | None = None,
    title: str | None = None,
    replace: bool = False,
) -> MadeChart:
    """Make a chart and write its folder, and nothing else.

    recipe: a ready recipe, or a TOML file; the others stand instead of what it says: patches; pages (as many patches as
    fit); page ("a4", "roll-24in", "8.5x11in"); channels ("RGB", "CMYK", "grey", or inks with commas between); light_inks
    ("own" where the RIP takes light inks as channels, "split" where it makes them of their full inks, and they are left out).
    seed: other patches in another order. Raises OutputExistsError where the folder is there and replace is not asked for, and
    other errors of `spectro.errors`; nothing is written then.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as place:
    ...     chart = make_chart(f"{place}/chart", patches=40)
    ...     len(chart.files) > 3, chart.made.patches
    (True, 40)
    """
    return _made(
        chart_new(
            recipe, Path(out), patches=patches, pages=pages, page=page, channels=channels, light_inks=light_inks,
            seed=seed, title=title, replace=replace,
        )
    )  # fmt: skip


def adopt_chart(
    lists: Place | Sequence[Place],
    out: Place,
    *,
    patches_a_strip: int | None = None,
    strips_a_page: int | None = None,
    mode: str = "by-strip",
    channels: str | None = None,
    columns: dict[str, str] | None = None,
    title: str | None = None,
    replace: bool = False,
) -> MadeChart:
    """Take over a chart made elsewhere from its reference lists or readings, and write its folder; its pages exist.

    patches_a_strip, strips_a_page: the layout, where the lists do not tell it. mode: how it is read, "by-strip",
    "by-patch" or "by-table". channels, columns: as for `make_chart` and `load_readings`. Raises errors of `spectro.errors`
    that name the argument which decides what the lists do not tell; nothing is written then.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as place:
    ...     chart = adopt_chart("demo_measurements/demo-chart.txt", f"{place}/chart", patches_a_strip=27)
    ...     chart.made.strips
    17
    """
    return _made(
        chart_adopt(
            places(lists if isinstance(lists, str | Path) else tuple(lists)),
            Path(out),
            patches_a_strip=patches_a_strip,
            strips_a_page=strips_a_page,
            mode=choice(ReadingMode, mode, "mode"),
            channels=channels,
            columns=columns,
            title=title,
            replace=replace,
        )
    )


def lay_out_again(
    chart: Place,
    out: Place,
    *,
    page: str | None = None,
    recipe: Place | None = None,
    mode: str | None = None,
    patch: str | None = None,
    replace: bool = False,
) -> MadeChart:
    """Lay a chart out on other paper or for another instrument, the same device values bit for bit; write the new folder.

    page: the paper; recipe: one whose page, patches and reading are taken; mode: how it is read; patch: its size, such as
    "8x7mm". Raises errors of `spectro.errors`; nothing is written then.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as place:
    ...     first = make_chart(f"{place}/chart", patches=40)
    ...     lay_out_again(first.folder, f"{place}/other", page="letter").made.patches
    40
    """
    return _made(chart_pages(Path(chart), Path(out), page=page, recipe=recipe, mode=mode, patch=patch, replace=replace))


def proof_page(
    profile: Place,
    out: Place,
    *,
    way: str = "device",
    intent: str = "relative",
    patches: int = 132,
    recipe: Place | None = None,
    page: str | None = None,
    seed: int = 1,
    replace: bool = False,
) -> MadeChart:
    """Make a page to print through a profile and measure: what a profile does in print. Writes its folder.

    way: who converts, "device" (the page is converted already) or "lab" (the program that prints it). intent: "relative",
    "absolute" or "perceptual". patches: 90 to 1500. seed: other colours. `assess_profile` judges the readings of it.
    Raises errors of `spectro.errors`; nothing is written then.

    >>> import tempfile, spectro
    >>> with tempfile.TemporaryDirectory() as place:
    ...     built = spectro.build_profile("demo_measurements/demo-second-sheet-m1.txt", grid=9)
    ...     page = proof_page(built.write(f"{place}/my.icc"), f"{place}/proof", patches=90)
    ...     page.made.patches, page.folder.name
    (90, 'proof')
    """
    return _made(
        profile_proof_page(
            Path(profile), Path(out), way=choice(ProofWay, way, "way"),
            intent=choice(RenderingIntent, intent, "intent"), patches=patches, recipe=recipe or "", page=page, seed=seed,
            replace=replace,
        )
    )  # fmt: skip


def show_chart(what: Place, *, among: Place | Sequence[Place] = ()) -> Answer:
    """Say what a chart folder holds; or, of a picture of a page or its code, which chart and page it is; writes nothing.

    among: chart folders in which the chart of a page is looked for. Raises errors of `spectro.errors`.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as place:
    ...     show_chart(make_chart(f"{place}/chart", patches=40).folder).numbers["patches"]
    40
    """
    looked = places(among if isinstance(among, str | Path) else tuple(among))
    found = chart_show(str(what), among=looked)
    return Answer(document=listing_document(found) if isinstance(found, ChartListing) else page_document(found))


def _made(result: ChartResult) -> MadeChart:
    named = f"Recipe {result.recipe}, chart {result.chart_id}, seed {result.seed}."
    return MadeChart(document=chart_document(result, named), made=result)

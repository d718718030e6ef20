"""What a sitting is going to read: the chart in units of its reading mode, its predicted colours, and its anchors."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from spectro.chart.channels import colour_space
from spectro.chart.chart_file import parse_chart
from spectro.chart.generic_printer import predicted_lab
from spectro.checks.anchor_agreement import WANTED_ANCHORS
from spectro.checks.live_judging import ChartPlan
from spectro.colour.difference import delta_e_2000
from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError, MeasurementFileError
from spectro.files.text_lines import read_bytes
from spectro.readings.content import Content, content_of
from spectro.readings.load import load_readings
from spectro.readings.questionable import strip_of
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.chart import Chart, ReadingMode
from spectro.records.chart_origin import CHART_FILE
from spectro.records.limits import Limits
from spectro.records.sitting import SittingLayout, Unit
from spectro.standards.limits import shipped_limits
from spectro.workflow.steps.judging import predicted_from


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SittingPlan:
    """All that a sitting needs to know of its chart."""

    chart: Chart
    folder: Path
    colours: ChartPlan
    layout: SittingLayout

    @property
    def units(self) -> tuple[Unit, ...]:
        """What is read, in the order of reading."""
        return self.layout.units

    @property
    def anchors(self) -> tuple[Unit, ...]:
        """What the anchors are."""
        return self.layout.anchors

    @property
    def limits(self) -> Limits:
        """The limits by which it is judged."""
        return self.colours.limits

    @property
    def mode(self) -> ReadingMode:
        """How the chart is read."""
        return self.chart.recipe.reading.mode

    @property
    def colour_space(self) -> str:
        """The chart's colour space."""
        return colour_space(self.chart.channels)

    @property
    def anchor_rows(self) -> tuple[int, ...]:
        """Rows of all anchors in the order of reading."""
        return self.layout.anchor_rows


def sitting_plan(folder: Path, predict_with: Path | None = None, limits: Limits | None = None) -> SittingPlan:
    """Read a chart folder and lay out its sitting.

    predict_with: a profile, or readings, of the printing condition; None: a generic printer. limits: of the subject
    "sitting"; None: the shipped ones.
    Raises errors of `spectro.errors` for a folder without a chart and for a file that does not fit its channels.
    """
    path = folder / CHART_FILE if folder.is_dir() else folder
    if not path.is_file():
        raise MeasurementFileError(
            folder, 0, f"no {CHART_FILE}", "a chart folder, as `spectro chart new` makes it", "Name the folder of the chart."
        )
    chart = parse_chart(read_bytes(path).decode("utf-8", errors="replace"), path)
    places = [tuple(place) for place in chart.positions[:, [0, 2]].tolist()]
    numbers = {place: number for number, place in enumerate(dict.fromkeys(places))}
    strip = np.array([numbers[place] for place in places], dtype=np.int64)
    names = tuple(strip_of(chart.sample_names[int(np.flatnonzero(strip == number)[0])]) for number in numbers.values())
    exact = predict_with is not None
    predicted = _predicted(chart, predict_with) if predict_with else predicted_lab(chart.recipe, chart.device)
    white = (
        np.zeros(len(chart.channels)) if colour_space(chart.channels) not in ("RGB", "GRAY") else np.ones(len(chart.channels))
    )
    blank = np.flatnonzero((np.abs(chart.device - white) < 1e-9).all(axis=1))
    paper = predicted[blank[0]] if len(blank) else predicted_lab(chart.recipe, white[None])[0]
    colours = ChartPlan(
        device=chart.device,
        predicted=predicted,
        strip=strip,
        page=chart.positions[:, 0],
        names=names,
        paper=paper,
        exact=exact,
        limits=limits or shipped_limits("sitting"),
    )
    generic = predicted_lab(chart.recipe, chart.device)  # anchors must not depend on what predicts
    return SittingPlan(
        chart=chart, folder=path.parent, colours=colours,
        layout=SittingLayout(units=_units(chart, strip, names), anchors=_anchors(chart, strip, names, generic)),
    )  # fmt: skip


def _units(chart: Chart, strip: IntArray, names: tuple[str, ...]) -> tuple[Unit, ...]:
    mode = chart.recipe.reading.mode
    if mode == ReadingMode.BY_PATCH:
        return tuple(
            Unit(words=f"patch {name}", name=name, rows=(row,), page=int(chart.positions[row, 0]))
            for row, name in enumerate(chart.sample_names)
        )
    if mode == ReadingMode.BY_TABLE:
        return tuple(
            Unit(words=f"page {page}", name=f"page {page}", rows=_rows(chart.positions[:, 0] == page), page=page)
            for page in range(1, chart.pages + 1)
        )
    rows = [_rows(strip == number) for number in range(len(names))]
    return tuple(
        Unit(words=f"strip {name}", name=name, rows=mine, page=int(chart.positions[mine[0], 0]))
        for name, mine in zip(names, rows, strict=True)
    )


def _rows(mask: np.ndarray) -> tuple[int, ...]:
    return tuple(np.flatnonzero(mask).tolist())


def _anchors(chart: Chart, strip: IntArray, names: tuple[str, ...], lab: FloatArray) -> tuple[Unit, ...]:
    """Return the anchors: all on the first page, at least 12 patches, the same whenever they are chosen.

    By strip: whole strips, the one with most of the chart's own anchors first, then the widest range of colours.
    Else patches: the chart's own anchors, then those farthest from the ones chosen.
    """
    first = np.flatnonzero(chart.positions[:, 0] == 1)
    own = _own_anchors(chart, first)
    if chart.recipe.reading.mode == ReadingMode.BY_STRIP:
        units: list[Unit] = []
        ranked = sorted(
            dict.fromkeys(strip[first].tolist()),
            key=lambda number: (-int(np.isin(first[strip[first] == number], own).sum()), -_range(lab[strip == number]), number),
        )
        for number in ranked:
            if sum(len(unit.rows) for unit in units) < WANTED_ANCHORS:
                name = names[number]
                units.append(Unit(words=f"anchors: strip {name}", name=name, rows=_rows(strip == number)))
        return tuple(units)
    chosen = own[:WANTED_ANCHORS]
    distance = np.full(len(first), np.inf)
    for row in chosen:
        distance = np.minimum(distance, delta_e_2000(lab[first], lab[row]))
    while len(chosen) < min(WANTED_ANCHORS, len(first)):
        row = int(first[np.argmax(distance)]) if chosen else int(first[np.argmax(lab[first, 0])])
        chosen.append(row)
        distance = np.minimum(distance, delta_e_2000(lab[first], lab[row]))
    rows = tuple(sorted(chosen))
    if chart.recipe.reading.mode == ReadingMode.BY_PATCH:
        return tuple(
            Unit(words=f"anchor: patch {chart.sample_names[row]}", name=chart.sample_names[row], rows=(row,)) for row in rows
        )
    return (Unit(words=f"anchors: patches {', '.join(chart.sample_names[row] for row in rows)}", name="anchors", rows=rows),)


def _own_anchors(chart: Chart, first: IntArray) -> list[int]:
    """Return the rows of the first page whose patch every page holds, and that the recipe repeats; a row a patch."""
    if not chart.recipe.repeats.anchors:
        return []
    steps = chart.steps
    found: dict[tuple[int, ...], int] = {}
    for row in first.tolist():
        same = np.flatnonzero((steps == steps[row]).all(axis=1))
        on_all = len(set(chart.positions[same, 0].tolist())) == chart.pages
        if len(same) > 1 and on_all and chart.stanzas[row] == "repeats":
            found.setdefault(tuple(steps[row].tolist()), row)
    return list(found.values())


def _range(lab: FloatArray) -> float:
    """Return how far the colours of a strip are spread: the mean distance of two of them."""
    return float(np.sqrt(((lab[:, None] - lab[None]) ** 2).sum(axis=-1)).mean())


def _predicted(chart: Chart, path: Path) -> FloatArray:
    """Return Lab (n, 3) of the chart's patches by a profile or by readings."""
    space = colour_space(chart.channels)
    if space == "RGB" or content_of(read_bytes(path), path) == Content.PROFILE:
        return predicted_from(path, chart.device, space, None).lab
    measurements = load_readings([path])  # of inks: no model is fitted, what they say corrects the generic printer
    if measurements.colour_space != space:
        raise InputError(f"{measurements.colour_space} readings in {path}", space, "Name others.")
    from spectro.checks.learned_prediction import learned

    rows = np.arange(len(chart), len(chart) + len(measurements))
    device = np.concatenate([chart.device, measurements.device])
    groups = np.concatenate([np.zeros(len(chart), dtype=np.int64), rows])
    lab = spectra_to_lab(measurements.reflectance, measurements.wavelengths)
    return learned(device, predicted_lab(chart.recipe, device), rows, lab, groups).lab[: len(chart)]

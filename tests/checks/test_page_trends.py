"""Pages that change from place to place, told by their own readings, on prints of three and four dyes made up here."""

from dataclasses import replace

import numpy as np
import pytest

from spectro.checks.fitted_printer import fit_printer
from spectro.checks.page_trends import LeftOut, page_trends
from spectro.colour.tristimulus import spectra_to_lab
from spectro.records.conditions import MeasurementCondition
from spectro.records.measurement import MeasurementSet
from spectro.records.page_trend import TrendKind
from spectro.standards.limits import shipped_limits
from spectro.words.even_pages import trend_notes
from spectro.workflow.steps.even_pages import fitted_trends

NM = np.arange(380.0, 731.0, 10.0)
DYES = {"cyan": (640, 75), "magenta": (540, 45), "yellow": (440, 45), "black": (550, 900)}
ROWS, COLUMNS = 15, 12


def dye_print(asked, shares, rng, light=None):
    """Return reflectance of dyes that take light away as their amounts and bands say: Lambert and Beer, paper and surface."""
    absorbed = sum(
        1.5 * (asked[:, k] * shares[:, k])[:, None] * np.exp(-(((NM - middle) / width) ** 2))
        for k, (middle, width) in enumerate(list(DYES.values())[: asked.shape[1]])
    )
    made = 0.004 + 0.88 * 10.0**-absorbed
    made = made if light is None else made * light[:, None]
    return made * (1 + 0.004 * rng.normal(size=(len(made), 1))) + 0.0003 * rng.normal(size=made.shape)


def page(asked, reflectance, positions, space="RGB"):
    """Return readings of a page."""
    return MeasurementSet(
        sample_ids=tuple(map(str, range(len(asked)))), sample_names=("",) * len(asked), colour_space=space,
        device=asked if space == "CMYK" else 1 - asked, wavelengths=NM, reflectance=np.clip(reflectance, 1e-4, 1.2),
        condition=MeasurementCondition("M0"), origin="page", positions=positions,
    )  # fmt: skip


def chart(rng, channels=3, pages=1):
    """Return demands of dyes (n, channels), white and solids among them, and places (n, 3), mixed well."""
    count = pages * ROWS * COLUMNS
    asked = rng.random((count, channels)) ** 1.3
    corners = np.stack(np.meshgrid(*[[0.0, 1.0]] * channels, indexing="ij"), axis=-1).reshape(-1, channels)
    asked[: len(corners)] = corners
    at = np.arange(count)
    places = np.column_stack([at // (ROWS * COLUMNS) + 1, at % ROWS + 1, at // ROWS % COLUMNS + 1])
    return asked, places[rng.permutation(count)].astype(np.int64)


def told(readings):
    """Return what is found of readings."""
    return fitted_trends(readings, fit_printer(readings))


@pytest.mark.common_practice(
    "no source: nobody prints an ink's fading from a standard; the dyes here know nothing of the model"
)
@pytest.mark.parametrize("ink", [0, 1, 2])
@pytest.mark.parametrize("axis", [1, 2])
def test_an_ink_that_fades_is_named_with_its_way_and_its_share(ink, axis):
    """A quarter of one dye that goes along the page is told as that ink, from the end where all of it is, by about as much."""
    rng = np.random.default_rng([ink, axis])
    asked, places = chart(rng)
    along = (places[:, axis] - 1) / (places[:, axis].max() - 1)
    shares = np.ones_like(asked)
    shares[:, ink] -= 0.25 * along
    found = told(page(asked, dye_print(asked, shares, rng), places))
    (trend,) = found.trends
    assert found.told
    assert (trend.kind, trend.ink, trend.axis) == (TrendKind.INK, list(DYES)[ink], ("row", "column")[axis - 1])
    assert (trend.first, trend.last) == (1, (ROWS, COLUMNS)[axis - 1])
    assert trend.share == pytest.approx(0.25, abs=0.08)


@pytest.mark.common_practice("no source: the same for black, which has a channel of its own among four")
def test_black_that_fades_is_told_among_four_inks():
    """Black fades towards row 1: most is at the last row."""
    rng = np.random.default_rng(4)
    asked, places = chart(rng, channels=4, pages=2)
    shares = np.ones_like(asked)
    shares[:, 3] -= 0.4 * (1 - (places[:, 1] - 1) / (ROWS - 1))
    found = told(page(asked, dye_print(asked, shares, rng), places, "CMYK"))
    assert {(one.kind, one.ink, one.first, one.last) for one in found.trends} == {(TrendKind.INK, "black", ROWS, 1)}


@pytest.mark.common_practice("no source: light that falls off is no ink's doing")
def test_light_that_falls_off_along_the_page_is_told_from_ink():
    """All reflectances by 15 % along the columns."""
    rng = np.random.default_rng(5)
    asked, places = chart(rng)
    light = 1 - 0.15 * (places[:, 2] - 1) / (COLUMNS - 1)
    (trend,) = told(page(asked, dye_print(asked, np.ones_like(asked), rng, light), places)).trends
    assert (trend.kind, trend.axis, trend.first) == (TrendKind.LIGHT, "column", 1)


@pytest.mark.common_practice("no source: a page that lacks an ink stands out from the others")
def test_a_page_with_less_of_an_ink_than_the_others_is_named():
    """Page 2 of three has four fifths of the magenta."""
    rng = np.random.default_rng(6)
    asked, places = chart(rng, pages=3)
    shares = np.ones_like(asked)
    shares[places[:, 0] == 2, 1] = 0.75
    (trend,) = told(page(asked, dye_print(asked, shares, rng), places)).trends
    assert (trend.page, trend.kind, trend.what, trend.ink) == (2, TrendKind.PAGE, TrendKind.INK, "magenta")
    assert trend.share == pytest.approx(0.25, abs=0.06)


@pytest.mark.common_practice("no source: right prints are told to be even, with how even they are")
@pytest.mark.parametrize("seed", range(6))
def test_a_right_page_is_told_to_be_even(seed):
    """Noise of a reading alone, and a change of 2 % of the ink along the page, which any printer may have."""
    rng = np.random.default_rng([7, seed])
    asked, places = chart(rng)
    shares = np.ones_like(asked) - 0.02 * ((places[:, 1] - 1) / (ROWS - 1))[:, None]
    found = told(page(asked, dye_print(asked, shares, rng), places))
    assert found.told
    assert not found.trends
    assert 0 < found.change < 0.5


@pytest.mark.common_practice("no source: a change along the page cannot be told from colour where colours lie in order")
@pytest.mark.parametrize("share", [0.0, 0.3])
def test_a_chart_in_the_order_of_its_colours_tells_nothing(share):
    """The model takes the fading for the printer: not even a right page is called even."""
    rng = np.random.default_rng(8)
    asked, places = chart(rng)
    asked, places = asked[np.argsort(asked[:, 0])], places[np.lexsort((places[:, 2], places[:, 1]))]
    shares = np.ones_like(asked)
    shares[:, 1] -= share * (places[:, 1] - 1) / (ROWS - 1)
    found = told(page(asked, dye_print(asked, shares, rng), places))
    assert not found.told
    assert "order of their colours" in found.why


@pytest.mark.common_practice("no source: without places nothing is asked")
def test_readings_without_places_say_so():
    """The places are left out."""
    rng = np.random.default_rng(9)
    asked, places = chart(rng)
    readings = page(asked, dye_print(asked, np.ones_like(asked), rng), places)
    found = told(replace(readings, positions=np.zeros((0, 3), dtype=np.int64)))
    assert not found.told
    assert "where patches stand" in found.why


@pytest.mark.common_practice("no source: one of three columns lacks a third of a dye, or it fades evenly over them; invented")
@pytest.mark.parametrize(("lost", "kinds"), [((0, 0, 1), {TrendKind.BANDS, TrendKind.INK}), ((0, 0.5, 1), {TrendKind.INK})])
def test_one_of_three_columns_that_lacks_an_ink_may_be_bands(lost, kinds):
    """A curved change over three columns is one column that lacks too: both are told. Of an even change that is not said."""
    rng = np.random.default_rng(12)
    asked, _ = chart(rng)
    at = rng.permutation(len(asked))
    places = np.column_stack([np.ones_like(at), at // 3 + 1, at % 3 + 1]).astype(np.int64)
    shares = np.ones_like(asked)
    shares[:, 1] -= 0.33 * np.array(lost)[at % 3]
    found = told(page(asked, dye_print(asked, shares, rng), places))
    assert {one.kind for one in found.trends} == kinds
    assert {one.ink.partition(",")[0] for one in found.trends} == {"magenta"}
    notes = [note.sentence for note in trend_notes(found)]
    assert ("fails in bands, or fades" in notes[0]) is (len(kinds) > 1)


@pytest.mark.common_practice("no source: half of a dye goes along 18 columns, invented")
@pytest.mark.parametrize("ink", [0, 1, 2])
def test_an_ink_that_fades_much_over_many_columns_is_not_bands(ink):
    """Columns that lack much stand together at an end: where they stand tells them better than two kinds of columns do."""
    rng = np.random.default_rng([13, ink])
    asked, _ = chart(rng)
    at = rng.permutation(len(asked))
    places = np.column_stack([np.ones_like(at), at // 18 + 1, at % 18 + 1]).astype(np.int64)
    shares = np.ones_like(asked)
    shares[:, ink] -= 0.5 * (at % 18) / 17
    assert {one.kind for one in told(page(asked, dye_print(asked, shares, rng), places)).trends} == {TrendKind.INK}


@pytest.mark.common_practice("no source: the second page holds 5 % less of a dye, invented; too little for a step by itself")
def test_a_page_that_differs_a_little_is_no_bands():
    """All its lines differ from those of the other page: that is the page, and no line of it."""
    rng = np.random.default_rng(14)
    asked, places = chart(rng, pages=2)
    shares = np.ones_like(asked)
    shares[places[:, 0] == 2, 1] -= 0.05
    found = told(page(asked, dye_print(asked, shares, rng), places)).trends
    assert [one.kind for one in found] == [TrendKind.PAGE]
    assert found[0].share == pytest.approx({1: -0.05, 2: 0.05}[found[0].page], abs=0.02)  # of two pages either is unlike


@pytest.mark.common_practice(
    "no source: corners of the colours, which others hardly tell, stand in two rows by chance; invented"
)
def test_patches_that_others_hardly_tell_leave_nothing_open():
    """Eight corners are off by 4 in a row where others are by 0.25: known to be told badly, they leave no ink in doubt there.

    An eighth of a dye missing in three rows is told beside them.
    """
    rng = np.random.default_rng([15, 0])
    asked, _ = chart(rng)
    asked, at = asked[:80], np.arange(80)
    early = at[at % 10 < 2][:8]  # places of two rows, where the corners come to stand
    at = np.concatenate([early, np.setdiff1d(at, early)])
    places = np.column_stack([np.ones(80), at % 10 + 1, at // 10 + 1]).astype(np.int64)
    spread = np.where(at[:, None] == early, 4.0, 0.25).max(axis=1)

    def lab(amounts, shares=1.0):
        return spectra_to_lab(dye_print(amounts, np.ones_like(amounts) * shares, np.random.default_rng(1)), NM)

    def trends(lost, known):
        shares = np.ones_like(asked)
        shares[at % 10 > 6, 1] -= lost
        noise = np.random.default_rng(8).normal(size=(80, 3)) * spread[:, None]
        return page_trends(
            LeftOut(
                device=1 - asked, read=lab(asked, shares) + noise, expected=lab(asked), positions=places, inks=False,
                spread=known, predict=lambda device: lab(1 - device),
            ),
            shipped_limits("evenness"),
        )  # fmt: skip

    assert trends(0.0, spread).told
    assert not trends(0.0, spread).trends
    assert not trends(0.0, np.full(80, spread.mean())).told
    assert trends(0.12, spread).trends

"""Expected colours from the readings themselves: short campaigns, and what it says of single patches."""

import sys
from pathlib import Path

import numpy as np
import pytest

from spectro.chart.generic_printer import predict_lab
from spectro.checks.misread_findings import Seems
from spectro.checks.self_prediction import PageStrips, self_predicted
from spectro.checks.strip_cutting import bring_near, cut_strips
from spectro.colour.difference import delta_e_2000
from spectro.errors import InputError
from spectro.stand_in.paper import matte_paper

BENCHMARKS = Path(__file__).resolve().parents[2] / "benchmarks"
sys.path.insert(0, str(BENCHMARKS))

import misread_charts  # noqa: E402
import misreads  # noqa: E402

INVENTED = pytest.mark.common_practice("no source: charts of the stand-in, mistakes invented")
PAPER = np.ones((1, 3))


@pytest.fixture(scope="module")
def source():
    return misread_charts.stand_in_source("stand-in matte", matte_paper(), 3)


@INVENTED
@pytest.mark.parametrize(("predictor", "charts"), [("self", 10), ("generic", 24)])
def test_short_campaign(source, predictor, charts):
    """Nothing is alarmed about that is right; strips are told; the generic printer sees no single bad patch."""
    counts = misreads.campaign(charts, 31, None, sources=[source], predictor=predictor)
    assert misreads.rates(counts)["false alarms"] == (0, charts)
    missed = {kind for (_, kind), (good, count) in counts["tally"].items() if good < count}
    assert missed <= ({Seems.BAD_PATCH} if predictor == "generic" else set())


@INVENTED
def test_each_patch_is_predicted_from_the_others_and_says_how_well(source):
    rng = np.random.default_rng(2)
    page = misread_charts.draw_page(source, rng)
    read = [source.lab(strip) for strip in source.clean(page, rng)]
    read[3][7] += [0, 25, 25]
    found = self_predicted(
        source.device, [PageStrips(read=read, expected=page.strips)], generic=predict_lab(source.device), paper_device=PAPER
    )
    rows, together = page.rows, np.concatenate(read)
    off = delta_e_2000(together, found.lab[rows])
    assert np.median(off) < 0.5
    assert off[3 * misread_charts.STRIP + 7] > 10
    assert found.noise < 0.8
    inside = np.delete(off / found.spread[rows], 3 * misread_charts.STRIP + 7)
    assert np.mean(inside < 3) > 0.95
    assert not found.tells_sheet_faults


@INVENTED
def test_too_few_patches_cannot_predict_one_another(source):
    rng = np.random.default_rng(2)
    page = misread_charts.draw_page(source, rng)
    read = [source.lab(strip) for strip in source.clean(page, rng)][:2]
    with pytest.raises(InputError, match="`predict_with`"):
        self_predicted(
            source.device, [PageStrips(read=read, expected=page.strips)], generic=predict_lab(source.device), paper_device=PAPER
        )


@INVENTED
@pytest.mark.parametrize("rough", [False, True])
def test_a_run_is_cut_where_a_patch_is_missing_and_one_doubled(source, rough):
    rng = np.random.default_rng(4)
    page = misread_charts.draw_page(source, rng)
    read = [source.lab(strip) for strip in source.clean(page, rng)]
    read[2] = np.delete(read[2], 5, axis=0)
    read[6] = np.insert(read[6], 9, read[6][9], axis=0)
    together = np.concatenate(read)
    expected = [source.predicted[rows] for rows in page.strips]
    if rough:
        plain = bring_near(predict_lab(source.device[page.rows]), together)
        expected = np.split(plain, len(read))
    assert cut_strips(together, expected, source.paper) == tuple(map(len, read))
    with pytest.raises(InputError, match="readings"):
        cut_strips(together[:150], expected, source.paper)

"""Pages of readings held against a description of their printing condition as a whole. All prints are invented."""

import numpy as np
import pytest

from spectro.chart.generic_printer import predict_lab
from spectro.checks.fault_fits import Sheet, fitted_faults
from spectro.checks.page_explanation import explain_page
from spectro.checks.predicted_colours import model_colours
from spectro.checks.proof_causes import Explaining, best_explanation
from spectro.colour.lab import lab_to_xyz, xyz_to_lab
from spectro.records.proof_result import ProofCause, Sureness
from spectro.standards.limits import shipped_limits

LIMITS = shipped_limits("proof")
ROWS, COLUMNS = 12, 10
DEVICE = np.vstack([[[1.0] * 3, [0.0] * 3], np.random.default_rng(1).random((ROWS * COLUMNS - 2, 3))])
PLACES = np.array([[1, row + 1, column + 1] for row in range(ROWS) for column in range(COLUMNS)])
EXPECTED = model_colours(DEVICE, "RGB", predict_lab, noise=0.3, origin="an invented description", usual=(0.3, 0.6))


def explained(lab, seed=0):
    noisy = lab + 0.08 * np.random.default_rng(seed).normal(size=lab.shape)
    return explain_page(DEVICE, noisy, PLACES, EXPECTED, LIMITS)


def test_a_right_page_has_nothing_to_explain():
    assert all(explained(predict_lab(DEVICE), seed) is None for seed in range(5))


def test_an_ink_that_lacks_in_some_rows_is_told_as_bands():
    """A quarter of magenta in every third row: what one row lacks is no matter of the whole page."""
    bare = DEVICE.copy()
    bare[:, 1] = 1.0
    plain, without = lab_to_xyz(predict_lab(DEVICE)), lab_to_xyz(predict_lab(bare))
    share = np.where(PLACES[:, 1] % 3 == 0, 0.25, 0.0)[:, None]
    found = explained(xyz_to_lab(plain * (without / plain) ** share))
    assert found.explanation.cause is ProofCause.BANDS
    assert "magenta" in found.explanation.detail


@pytest.mark.parametrize(
    ("cause", "lab"),
    [
        (ProofCause.TONES, predict_lab(DEVICE**1.2)),
        (ProofCause.TILTED, xyz_to_lab(lab_to_xyz(predict_lab(DEVICE)) * (0.9 + 0.02 * PLACES[:, 1:2]))),
    ],
)
def test_causes_of_the_whole_page(cause, lab):
    found = explained(lab)
    assert cause in (found.explanation.cause, found.explanation.also)
    assert found.breaches


@pytest.mark.common_practice("no source: all inks denser by the same share, as on a print that has not dried")
@pytest.mark.parametrize("share", [0.05, 0.08])
def test_denser_inks_alone_are_no_other_printer(share):
    """Read before it was dry is told beside a moved printer: to read again costs nothing."""
    plain = lab_to_xyz(predict_lab(DEVICE))
    found = explained(xyz_to_lab(plain[0] * (plain / plain[0]) ** (1 + share))).explanation
    assert ProofCause.DAMP in (found.cause, found.also)
    assert ProofCause.OTHER_PRINTER not in (found.cause, found.also)
    denser = xyz_to_lab(plain[0] * (plain / plain[0]) ** (1 + share))
    sheet = Sheet(
        device=DEVICE, read=denser, forecast=predict_lab(DEVICE), white=0, places=np.zeros((0, 2)),
        order=np.linspace(0, 1, len(DEVICE)), predict=predict_lab,
    )  # fmt: skip
    fitted = {one.cause for one in fitted_faults(sheet, 1.0)}
    assert ProofCause.DAMP in fitted
    assert ProofCause.OTHER_PRINTER not in fitted


@pytest.mark.common_practice("no source: a white reference that is off by a share of the light, somewhat sloped")
@pytest.mark.parametrize("share", [-0.08, 0.09])
def test_a_wrong_white_reference_is_told_beside_another_paper(share):
    """Another paper has more freedoms and explains a little more; no print tells the two apart, so it is never clear."""
    light = 1 + share * (1 + 0.2 * np.array([1.0, 0.0, -1.0]))
    found = explained(xyz_to_lab(lab_to_xyz(predict_lab(DEVICE)) * light)).explanation
    assert ProofCause.WHITE_REFERENCE in (found.cause, found.also)
    assert found.sureness is not Sureness.CLEAR


@pytest.mark.common_practice("no source: one patch of a right page is read as its neighbour but one, invented")
def test_one_patch_that_alone_is_off_is_named():
    """No printer moved: the patch is told with what was read there, and nothing else beside it."""
    lab = predict_lab(DEVICE)
    lab[40] = lab[42]
    found = explained(lab)
    assert found.explanation.cause is ProofCause.PATCH
    assert found.explanation.detail.startswith("Lab {:.0f} {:.0f} {:.0f} where".format(*lab[42]))
    assert found.explanation.also == ""
    assert found.explanation.after < 0.1 < found.explanation.before


def test_a_cause_is_not_told_twice_in_other_words():
    """A moved printer and another amount of ink say the same of a page: what explains as much otherwise is told beside."""
    rng = np.random.default_rng(6)
    forecast = predict_lab(DEVICE)
    read = forecast + 2.0 * rng.normal(size=forecast.shape)
    made = [
        Explaining(cause, "", read + size * rng.normal(size=read.shape))
        for cause, size in ((ProofCause.PRINTER, 0.30), (ProofCause.INK_AMOUNT, 0.31), (ProofCause.DAMP, 0.33))
    ]
    found = best_explanation(read, forecast, made, 0, noise=0.1, limits=LIMITS)
    assert (found.cause, found.also) == (ProofCause.PRINTER, ProofCause.DAMP)
    found = best_explanation(read, forecast, made[:2], 0, noise=0.1, limits=LIMITS)
    assert (found.cause, found.also) == (ProofCause.PRINTER, ProofCause.INK_AMOUNT)


def test_without_a_description_nothing_is_said():
    other = model_colours(DEVICE, "CMY", lambda device: predict_lab(1 - device), noise=0.3, origin="x")
    assert explain_page(DEVICE, predict_lab(DEVICE**1.3), PLACES, other, LIMITS) is None

"""What a refresh asks about where several things may have happened at once."""

from dataclasses import replace

import numpy as np
import pytest

from spectro.checks.refresh_causes import spoilt_by
from spectro.checks.statistics import difference_statistics
from spectro.records.drift import CauseFinding, DriftCause
from spectro.standards.limits import shipped_limits

LIMITS = shipped_limits("drift")
LARGE = difference_statistics(np.linspace(1.0, 6.0, 61))
SOURCE = "no source: what the causes of drift said of prints whose faults are known, on the printer of real spectra"


def cause(kind, share, explains, mean, *, whole):
    """One explanation of a change."""
    return CauseFinding(
        cause=kind, detail="", share=share, explains=explains, mean=mean, p95=1.5 * mean, most_mean=mean, most_p95=1.5 * mean,
        whole=whole,
    )  # fmt: skip


LACKING = (  # an ink lacks, and the old chart was printed with another setting
    cause(DriftCause.SETTING, 0.385, 0.90, 0.90, whole=False),
    cause(DriftCause.WET, 0.292, 0.69, 0.08, whole=False),
    cause(DriftCause.PRINTER, 0.288, 0.69, 2.53, whole=True),
    cause(DriftCause.NOZZLES, 0.034, 0.65, 2.12, whole=True),
)
CLEANED = (  # an ink is back after a head clean
    cause(DriftCause.SETTING, 0.618, 0.92, 0.59, whole=False),
    cause(DriftCause.PRINTER, 0.382, 0.92, 3.05, whole=True),
)


@pytest.mark.common_practice(SOURCE)
def test_several_things_at_once_are_asked_about():
    """Each part is too small to do harm, the whole is not, and a printer that moved by itself leaves much of it unexplained."""
    assert spoilt_by(LACKING, LARGE, True, LIMITS).spoils == LACKING[0]


@pytest.mark.common_practice(SOURCE)
def test_a_head_clean_is_not_asked_about():
    """Inks that are stronger alone explain it."""
    assert spoilt_by(CLEANED, LARGE, True, LIMITS).spoils is None


@pytest.mark.common_practice(SOURCE)
def test_what_would_do_no_harm_is_not_asked_about():
    """The same explanations of a change of 0.7 on average."""
    small = difference_statistics(np.linspace(0.2, 1.2, 61))
    assert spoilt_by(LACKING, small, True, LIMITS).spoils is None


@pytest.mark.common_practice(SOURCE)
def test_another_batch_of_paper_that_explains_it_is_not_asked_about():
    """Nothing is left for the others to explain."""
    paper = replace(LACKING[2], cause=DriftCause.PAPER, explains=0.95)
    assert spoilt_by((*LACKING[:2], paper, LACKING[3]), LARGE, True, LIMITS).spoils is None

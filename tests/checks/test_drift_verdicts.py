"""Verdicts of drift on a printer made of real spectra: the campaign of `benchmarks/drift_verdicts.py` in short."""

import sys
from pathlib import Path

import pytest

from spectro.records.drift import DriftState

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "benchmarks"))
import drift_verdicts

SEED = 100


@pytest.mark.source("Balci-2025", "the printer is made of its prints on a matte and a glossy paper; faults are invented")
def test_no_calm_word_stands_over_a_fault_and_no_advice_harms(check_data):
    """One case of each kind: the whole campaign is too slow here. The cause is among the two that are told."""
    found = drift_verdicts.campaign(1, SEED)
    assert [case.kind for case in found if drift_verdicts.false_calm(case)] == []
    assert [case.kind for case in found if drift_verdicts.harmful(case)] == []
    judged = [case for case in found if case.result.state is DriftState.DRIFT]
    assert "nothing" not in {case.kind for case in judged}
    assert len(judged) >= 6
    assert all(len(case.told) <= 2 for case in judged)
    missed = [case.kind for case in judged if drift_verdicts.TRUTH[case.kind] not in case.told]
    assert len(missed) <= 1

"""What goes wrong on the stand-in does what it says, and histories are the same for the same seed."""

import numpy as np
import pytest

from spectro.errors import InputError
from spectro.records.conditions import MeasurementCondition
from spectro.stand_in.faults import Wetness, lost_nozzles, other_batch, shifted_printer, wet_reflectance
from spectro.stand_in.histories import Happening, invented_history
from spectro.stand_in.paper import matte_paper
from spectro.stand_in.printer import Printer, printed_reflectance

DEVICE = np.vstack([np.ones(3), np.random.default_rng(1).random((30, 3)), np.zeros(3)])
M1 = MeasurementCondition.M1


def printed(printer, paper=None):
    return printed_reflectance(DEVICE, printer=printer, paper=paper or matte_paper(), condition=M1)


def test_lost_nozzles_lighten_what_the_ink_is_in():
    lost = printed(lost_nozzles(Printer(), "cyan", 0.3))
    assert (lost >= printed(Printer()) - 1e-12).all()
    np.testing.assert_array_equal(lost[0], printed(Printer())[0])


def test_no_change_changes_nothing():
    none = [0.0] * 6
    np.testing.assert_allclose(printed(shifted_printer(Printer(), none, none)), printed(Printer()), rtol=1e-12)
    same = other_batch(matte_paper(), brightener=0, blue=0, level=0)
    np.testing.assert_allclose(printed(Printer(), same), printed(Printer()), rtol=1e-12)


def test_a_wet_print_is_darker_and_dries():
    order = np.repeat([[0.3, 0.4, 0.5]], 40, axis=0)
    wet = wet_reflectance(order, printer=Printer(), paper=matte_paper(), condition=M1)
    dry = printed_reflectance(order[:1], printer=Printer(), paper=matte_paper(), condition=M1)
    off = np.abs(wet - dry).max(axis=1)
    assert (wet.mean(axis=1) < dry.mean()).all()
    assert (np.diff(off) < 0).all()
    bare = wet_reflectance([[1, 1, 1]], printer=Printer(), paper=matte_paper(), condition=M1)
    np.testing.assert_allclose(bare, printed(Printer())[:1], atol=0.01)


def test_a_batch_changes_paper_most():
    change = np.abs(printed(Printer(), other_batch(matte_paper(), brightener=0.3, blue=0.01, level=0)) - printed(Printer()))
    assert change[0].max() > 0.03
    assert change[-1].max() < 0.003


@pytest.mark.parametrize("happening", list(Happening))
def test_histories_repeat(happening):
    first, ink = invented_history(DEVICE, happening, 3, quiet=2, after=1)
    again, _ = invented_history(DEVICE, happening, 3, quiet=2, after=1)
    np.testing.assert_array_equal(first, again)
    assert first.shape == (4, len(DEVICE), 36)
    assert bool(ink) == (happening is Happening.NOZZLES)


def test_faults_no_printer_has_are_refused():
    with pytest.raises(InputError, match="one of cyan"):
        lost_nozzles(Printer(), "orange", 0.1)
    with pytest.raises(InputError, match="share"):
        lost_nozzles(Printer(), "cyan", 1.0)
    with pytest.raises(InputError, match="strength"):
        shifted_printer(Printer(), [-1.0] * 6)
    with pytest.raises(InputError, match="drying"):
        Wetness(drying=0.0)

"""Which path leaves colours alone: on printers and conversions that the judgement does not know. All are invented."""

import itertools

import numpy as np
import pytest

from spectro.chart.generic_printer import predict_lab
from spectro.chart.tables import path_test_patches
from spectro.checks.path_naming import judge_paths
from spectro.checks.path_prints import compare_prints, same_limit, same_prints
from spectro.checks.path_reference import path_reference, path_shifts
from spectro.checks.path_signs import grey_equivalents, page_patches, path_difference, path_signs
from spectro.colour.lab import D50_PCS, lab_to_xyz, xyz_to_lab
from spectro.colour.srgb import srgb_to_lab
from spectro.errors import InputError
from spectro.records.path_test import PathPrint, PathSeems, Sureness
from spectro.standards.limits import shipped_limits

DEVICE = path_test_patches()[0] / 255
PATCHES = page_patches(DEVICE)
NOISE = 0.12  # invented
LIMITS = shipped_limits("path_test")


def curved(device):
    """A printer with other curves than the generic one, and a kink."""
    bent = np.where(device < 0.55, device * 0.8, 0.44 + (device - 0.55) * 0.56 / 0.45)
    return predict_lab(bent**1.15)


PRINTERS = {"generic": predict_lab, "curved": curved}


def through(matrix, before, after):
    return lambda x: np.clip(np.clip(x**before @ np.array(matrix).T, 0, 1) ** (1 / after), 0, 1)


def stretched(by, bend=0.0):
    def send(x):
        grey = (x @ [0.3, 0.59, 0.11])[:, None]
        raised = np.clip(grey + by * (x - grey), 0, 1)
        return np.clip(raised - bend * np.sin(2 * np.pi * raised) / np.pi, 0, 1)

    return send


CONVERSIONS = {
    "wider": through([[0.85, 0.12, 0.03], [0.05, 0.93, 0.02], [0.02, 0.06, 0.92]], 2.2, 1.8),
    "much wider": through([[0.65, 0.3, 0.05], [0.12, 0.83, 0.05], [0.02, 0.12, 0.86]], 2.2, 2.2),
    "wider and lighter": through([[0.9, 0.08, 0.02], [0.03, 0.96, 0.01], [0.01, 0.04, 0.95]], 2.0, 2.4),
}
ENHANCEMENTS = {"strong": stretched(1.35, 0.05), "cut": stretched(1.25)}
CONTRAST, DULLED = stretched(1.0, 0.2), stretched(1.0, -0.1)
TONES = {"lighter": lambda x: x**0.75, "darker": lambda x: x**1.35}


def page(name, printer, send=lambda x: x, seed=0):
    lab = PRINTERS[printer](np.clip(send(DEVICE), 0, 1))
    lab = lab + NOISE * np.random.default_rng([seed, len(name)]).normal(size=lab.shape)
    return PathPrint(name=name, device=DEVICE, lab=lab, noise=NOISE)


def seen(pages, printer=None):
    reference = None if printer is None else path_reference(printer, DEVICE)
    return [one.seems for one in judge_paths(pages, PATCHES, reference)]


@pytest.mark.parametrize("printer", PRINTERS)
@pytest.mark.parametrize("name", CONVERSIONS)
def test_a_conversion_into_a_wider_space_is_seen_either_way_round(printer, name):
    """Two paths are enough, whatever their order, and the finding is a clear one."""
    raw, other = page("raw", printer), page("other", printer, CONVERSIONS[name])
    assert seen([raw, other]) == [PathSeems.NOT_TOLD, PathSeems.CONVERTED]
    assert seen([other, raw]) == [PathSeems.CONVERTED, PathSeems.NOT_TOLD]
    assert judge_paths([raw, other], PATCHES)[1].sureness is Sureness.CLEAR
    assert seen([other, raw], PRINTERS[printer]) == [PathSeems.CONVERTED, PathSeems.RAW]


@pytest.mark.parametrize("printer", PRINTERS)
@pytest.mark.parametrize("name", ENHANCEMENTS)
def test_an_enhancement_is_seen_either_way_round(printer, name):
    raw, other = page("raw", printer), page("other", printer, ENHANCEMENTS[name])
    assert seen([raw, other]) == [PathSeems.NOT_TOLD, PathSeems.ENHANCED]
    assert seen([other, raw]) == [PathSeems.ENHANCED, PathSeems.NOT_TOLD]


@pytest.mark.parametrize("printer", PRINTERS)
@pytest.mark.parametrize("send", [CONTRAST, DULLED])
def test_more_chroma_alone_may_as_well_be_less_by_the_other(printer, send):
    """A path that raises mid-tones beside the raw one looks as the raw one beside a path that dulls them."""
    raw, other = page("raw", printer), page("other", printer, send)
    open_ = judge_paths([raw, other], PATCHES)
    assert [one.seems for one in open_] == [PathSeems.OTHER_CHROMA] * 2
    assert all(one.sureness is Sureness.NONE for one in open_)
    known = seen([raw, other], PRINTERS[printer])
    assert known[0] is PathSeems.RAW
    assert known[1] not in (PathSeems.RAW, PathSeems.NOT_TOLD)


@pytest.mark.parametrize("printer", PRINTERS)
def test_all_three_kinds_together_in_any_order(printer):
    """Every conversion with every enhancement: each is named, and the raw one is left open."""
    for first, second in itertools.product(CONVERSIONS, ENHANCEMENTS):
        pages = [
            page("raw", printer),
            page("one", printer, CONVERSIONS[first]),
            page("two", printer, ENHANCEMENTS[second], seed=3),
        ]
        wanted = [PathSeems.NOT_TOLD, PathSeems.CONVERTED, PathSeems.ENHANCED]
        for order in itertools.permutations(range(3)):
            assert seen([pages[row] for row in order]) == [wanted[row] for row in order]


@pytest.mark.parametrize("name", TONES)
def test_other_tones_alone_are_left_open_unless_an_earlier_print_tells(name):
    """Two paths that differ in lightness alone: either may be the raw one, and that is said."""
    raw, other = page("raw", "curved"), page("other", "curved", TONES[name])
    open_ = judge_paths([raw, other], PATCHES)
    assert [one.seems for one in open_] == [PathSeems.OTHER_TONES] * 2
    assert all(one.sureness is Sureness.NONE for one in open_)
    earlier = curved
    assert seen([other, raw], earlier) == [PathSeems.OTHER_TONES, PathSeems.RAW]
    assert seen([other], earlier) == [PathSeems.OTHER_TONES]


def test_no_raw_path_among_them_is_noticed():
    """An enhancement is not called raw for want of a better one."""
    pages = [page("one", "curved", CONVERSIONS["wider"]), page("two", "curved", ENHANCEMENTS["strong"])]
    assert seen(pages) == [PathSeems.CONVERTED, PathSeems.ENHANCED]
    assert seen(pages[1:]) == [PathSeems.ENHANCED]
    assert seen(pages, curved) == [PathSeems.CONVERTED, PathSeems.ENHANCED]


def test_a_colour_managed_path_shows_what_the_numbers_mean():
    """A print of the sRGB colours themselves, paper to white and black to black, is named, beside a raw one and alone."""
    plain = page("raw", "generic")
    black, white = lab_to_xyz(plain.lab[PATCHES.black]), lab_to_xyz(plain.lab[PATCHES.white])
    small = srgb_to_lab(DEVICE) * [1.0, 0.8, 0.8]
    rows = np.r_[PATCHES.greys, PATCHES.mids]
    small[rows] = srgb_to_lab(DEVICE[rows])
    managed = xyz_to_lab(black + lab_to_xyz(small) / D50_PCS * (white - black))
    other = PathPrint(name="managed", device=DEVICE, lab=managed, noise=NOISE)
    assert path_signs(other, PATCHES).likeness < 0.1
    assert seen([other]) == [PathSeems.CONVERTED]
    assert judge_paths([other], PATCHES)[0].sureness is Sureness.LIKELY


def test_another_medium_is_no_conversion():
    """Where each reaches what the other does not, no map of device values can be the reason."""
    plain = page("raw", "generic")
    turned = plain.lab.copy()
    angle = np.deg2rad(25) * (np.hypot(turned[:, 1], turned[:, 2]) > 40)
    a, b = (
        turned[:, 1] * np.cos(angle) - turned[:, 2] * np.sin(angle),
        turned[:, 1] * np.sin(angle) + turned[:, 2] * np.cos(angle),
    )
    stronger = np.stack([turned[:, 0], a * 1.12, b * 0.9], axis=1)
    other = PathPrint(name="medium", device=DEVICE, lab=stronger, noise=NOISE)
    assert seen([plain, other]) == [PathSeems.OTHER_PRINT] * 2


def test_groups_do_not_chain():
    """A print joins a group only if it is the same as all of it."""
    steps = np.array([[0.0, 0.6, 1.2], [0.6, 0.0, 0.6], [1.2, 0.6, 0.0]])
    assert same_prints(steps, 0.8) == ((0, 1), (2,))
    assert same_prints(np.zeros((3, 3)), 0.8) == ((0, 1, 2),)


def test_noise_widens_the_limit_but_not_without_end():
    assert same_limit([None, None]) == same_limit([0.05]) == 0.8
    assert same_limit([0.3, None, 0.3]) == pytest.approx(1.2)
    assert same_limit([9.0]) == same_limit([0.75])


def test_grey_equivalents_find_a_known_curve():
    """A path that prints darker is told how much, in device values of the other."""
    raw, other = page("raw", "generic"), page("other", "generic", lambda x: np.clip(x - 0.08, 0, 1))
    found = grey_equivalents(other, raw, PATCHES) - DEVICE[PATCHES.greys, 0]
    np.testing.assert_allclose(found[2:-2], -0.08, atol=0.015)
    assert path_difference(other, raw, PATCHES).tone_shift < -0.05


@pytest.mark.parametrize("gone", ["white", "black", "corners", "greys", "mids"])
def test_a_page_without_what_is_needed_is_refused(gone):
    rows = np.delete(np.arange(len(DEVICE)), getattr(PATCHES, gone))
    with pytest.raises(InputError, match="path-test --out"):
        page_patches(DEVICE[rows])


def test_without_near_corners_the_rest_is_still_judged():
    """Any chart with corners, greys and mid-tones will do; strongest steps are then not known."""
    rows = np.delete(np.arange(len(DEVICE)), PATCHES.near[:, 1])
    fewer = page_patches(DEVICE[rows])
    assert len(fewer.near) == 0
    cut = [
        PathPrint(name=one.name, device=DEVICE[rows], lab=one.lab[rows], noise=NOISE)
        for one in (page("raw", "curved"), page("other", "curved", CONVERSIONS["wider"]))
    ]
    assert [one.seems for one in judge_paths(cut, fewer)] == [PathSeems.NOT_TOLD, PathSeems.CONVERTED]


@pytest.mark.parametrize("send", [lambda x: x**1.05, lambda x: x**0.95, lambda x: x - 0.03 * np.sin(2 * np.pi * x)])
@pytest.mark.parametrize("printer", PRINTERS)
def test_slight_tones_are_no_raw_path_where_a_profile_tells(printer, send):
    """A gamma of 1.05 and a slight curve lie within what two sheets differ by on average, but bend the greys."""
    earlier = PRINTERS[printer]
    assert seen([page("raw", printer)], earlier) == [PathSeems.RAW]
    assert PathSeems.RAW not in seen([page("other", printer, send)], earlier)


def test_the_wider_of_two_converted_paths_is_not_called_raw():
    """Two programs that both convert are the commonest case: without a reference no path is said to leave colours alone."""
    for first, second in itertools.combinations(CONVERSIONS, 2):
        pages = [page("one", "curved", CONVERSIONS[first]), page("two", "curved", CONVERSIONS[second])]
        assert PathSeems.RAW not in seen(pages)


def test_pages_that_hardly_differ_are_judged_one_by_one_where_a_profile_tells():
    """A slight power and the raw path lie within what counts as the same print: the raw one stays alone."""
    pages = [page("raw", "curved"), page("other", "curved", lambda x: x**1.04), page("again", "curved", seed=2)]
    reference = path_reference(curved, DEVICE)
    assert [len(group) for group in compare_prints(pages, PATCHES).groups] == [3]
    found = compare_prints(pages, PATCHES, reference)
    assert found.groups == ((0, 2), (1,))
    assert [one.seems for one in found.judged] == [PathSeems.RAW, PathSeems.OTHER_TONES]


@pytest.mark.parametrize("channel", range(3))
def test_a_power_of_one_channel_is_told_and_named(channel):
    send = lambda x: x ** (1 + 0.2 * np.eye(3)[channel])  # noqa: E731
    found = path_shifts(page("x", "curved", send), path_reference(curved, DEVICE), LIMITS)
    assert found.channel == channel
    np.testing.assert_allclose(found.channels[channel], -0.2 / np.e, atol=0.03)
    judged = judge_paths([page("x", "curved", send)], PATCHES, path_reference(curved, DEVICE))[0]
    assert judged.seems is not PathSeems.RAW


def test_between_yes_and_no_the_answer_is_open():
    """A power that shifts device values by nearly 0.01 is neither called raw nor blamed."""
    found = judge_paths([page("x", "curved", lambda x: x**1.0235)], PATCHES, path_reference(curved, DEVICE))[0]
    assert (found.sureness, found.seems) == (Sureness.NONE, PathSeems.NOT_TOLD)


def test_sheets_that_differ_more_otherwise_may_differ_more_in_their_tones():
    """The same slight power is told on a sheet as most are, and left open on one that lies far from the earlier print."""
    power = page("x", "curved", lambda x: x**1.04)
    odd = PathPrint(
        name="odd", device=DEVICE, lab=power.lab + 0.9 * np.random.default_rng(4).normal(size=power.lab.shape), noise=NOISE
    )
    reference = path_reference(curved, DEVICE)
    near, far = (path_shifts(one, reference, LIMITS) for one in (power, odd))
    assert near.spread(LIMITS) < far.spread(LIMITS)
    assert far.same(LIMITS) < near.same(LIMITS) < near.changed(LIMITS) < far.changed(LIMITS)
    judged = [judge_paths([one], PATCHES, reference)[0] for one in (power, odd)]
    assert [one.seems for one in judged] == [PathSeems.OTHER_TONES, PathSeems.NOT_TOLD]


def test_a_sheet_with_stronger_inks_is_still_the_raw_path():
    """All inks half a percent denser is what sheets do, not what a path does."""
    raw = page("raw", "generic")
    white = lab_to_xyz(raw.lab[PATCHES.white])
    denser = white * (lab_to_xyz(raw.lab) / white) ** 1.005
    other = PathPrint(name="sheet", device=DEVICE, lab=xyz_to_lab(denser), noise=NOISE)
    assert seen([other], PRINTERS["generic"]) == [PathSeems.RAW]

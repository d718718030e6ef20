"""Regions of colour, gained and lost, the order of papers, remedies for an old profile, matches in other lights."""

from dataclasses import replace

import numpy as np
import pytest

from spectro.boundary.solid import gamut_solid
from spectro.checks.colour_regions import GREYS, NAMES, SECTORS, region_of, sector_of
from spectro.checks.gamut_difference import gamut_change
from spectro.checks.pair_metamerism import pair_metamerism
from spectro.checks.paper_ranking import rank_papers
from spectro.checks.profile_reuse import AS_IT_IS, BOTH_ENDS, NEW, REFRESHED, SCALED, profile_reuse, reuse_decision
from spectro.checks.wall_black import wall_blacks
from spectro.colour.black_point import ends_moved
from spectro.errors import InputError
from spectro.files.light_file import find_light
from spectro.standards.limits import shipped_limits

NM = np.arange(380.0, 731.0, 10.0)


@pytest.mark.source("FOGRA51", "solids and overprints")
def test_solids_fall_into_their_own_sector():
    solids = {
        "cyan": (56.12, -34.90, -52.52), "magenta": (48.06, 75.29, -5.18), "yellow": (88.94, -4.04, 92.37),
        "red": (47.99, 69.33, 45.87), "green": (49.45, -65.93, 24.34), "blue": (24.74, 21.12, -47.45),
    }  # fmt: skip
    for name, lab in solids.items():
        assert SECTORS[int(sector_of(np.array(lab)))][1] == name
    assert NAMES[int(region_of(np.array([95.0, 1.5, -6.0])))] == GREYS[2]
    assert len(NAMES) == len(set(NAMES)) == 33


def block(low, high):
    """A predictor that fills a box of Lab between two corners."""
    low, high = np.array(low, dtype=float), np.array(high, dtype=float)
    return gamut_solid(lambda device: low + device * (high - low), 3)


def test_gained_and_lost_add_up():
    old, new = block((20, -40, -40), (80, 40, 40)), block((10, -40, -40), (70, 40, 60))
    change = gamut_change(old, new)
    assert change.shared == pytest.approx(50 * 80 * 80)
    assert change.lost == pytest.approx(10 * 80 * 80)
    assert change.gained == pytest.approx(10 * 80 * 100 + 50 * 80 * 20)
    assert change.shared + change.gained == pytest.approx(change.new_volume)
    assert sum(row.gained for row in change.regions) == pytest.approx(change.gained)
    assert sum(row.lost for row in change.regions) == pytest.approx(change.lost)
    by_name = {row.name: row for row in change.regions}
    assert by_name["light cyan"].gained == 0 < by_name["light cyan"].lost
    assert by_name["mid yellow"].new_chroma > by_name["mid yellow"].old_chroma > 35
    assert by_name["deep yellow"].new_chroma == pytest.approx(60, abs=3)


def test_order_follows_the_weights_and_small_differences_stay_small():
    papers = [
        ("wide", {"gamut": 700_000.0, "black": 6.0, "cost": 4.0, "white": None}),
        ("deep", {"gamut": 500_000.0, "black": 2.0, "cost": 3.9, "white": 95.0}),
        ("cheap", {"gamut": 495_000.0, "black": 9.0, "cost": 1.0, "white": 96.0}),
    ]
    assert rank_papers(papers, {"gamut": 3, "black": 1}).rows[0].name == "wide"
    assert rank_papers(papers, {"black": 1}).rows[0].name == "deep"
    found = rank_papers(papers, {"cost": 5, "black": 1, "white": 9})
    assert found.rows[0].name == "cheap"
    assert "white" not in found.weights
    assert found.rows[0].behind["white"] is None
    assert found.rows[0].behind["black"] == pytest.approx(7)
    close = {row.name: row.behind["gamut"] for row in rank_papers(papers[1:], {"gamut": 1}).rows}
    assert close["deep"] == 0 < close["cheap"] < 0.2
    with pytest.raises(InputError, match="'gloss'"):
        rank_papers(papers, {"gloss": 1})
    with pytest.raises(InputError, match="weight of -1"):
        rank_papers(papers, {"gamut": -1})
    with pytest.raises(InputError, match="known of all papers"):
        rank_papers(papers, {"white": 1})


def invented(device):
    """Lab of an invented print on an invented paper."""
    mean = device.mean(axis=1)
    lightness = 12 + 83 * mean**0.9
    a, b = 60 * (device[:, 0] - device[:, 1]) + mean, 55 * (device[:, 1] - device[:, 2]) - 4 * mean
    return np.column_stack([lightness, a, b])


@pytest.fixture
def reuse():
    """What becomes of an old profile on a paper that differs by white and black alone."""
    device = np.concatenate([np.ones((1, 3)), np.zeros((1, 3)), np.random.default_rng(2).random((300, 3))])
    said = invented(device)
    white, black = said[0], said[1]
    new_white, new_black = np.array([94.0, -1.0, 3.0]), np.array([2.0, 0.0, 0.0])
    shown = ends_moved(said, (white, new_white), (black, new_black))
    return profile_reuse(said, shown, device, white, new_white, new_errors=np.full(302, 0.4), basis="invented")


def test_the_remedy_that_fits_the_change_takes_it_away(reuse):
    means = {remedy.name: remedy.absolute.mean for remedy in reuse.remedies}
    assert list(means) == [AS_IT_IS, SCALED, BOTH_ENDS, REFRESHED, NEW]
    assert means[BOTH_ENDS] == pytest.approx(0, abs=1e-9)
    assert means[AS_IT_IS] > means[SCALED] > 1 > means[REFRESHED]
    assert means[NEW] == pytest.approx(0.4)
    decision = reuse_decision(reuse, 6.0, 1.0, shipped_limits("paper"))
    assert decision.name in (REFRESHED, NEW)  # scaling is no remedy that a command does
    assert {"mean", "white", "black"} <= set(decision.against)
    assert all(row.patches > 0 and row.means[0] > 0 for row in reuse.regions)
    refreshed = next(remedy for remedy in reuse.remedies if remedy.name == REFRESHED)
    assert refreshed.absolute.n == 302 - 60  # what it has seen does not count for it


@pytest.mark.common_practice("no source: an invented press whose dots grew by 4 % at one half of each ink")
def test_a_refresh_of_inks_is_looked_at_where_the_old_print_is_known():
    """What a refresh would leave of another paper's change, by the moves of inks; without what predicts, nothing is said."""
    inks = np.concatenate([np.zeros((1, 4)), np.eye(4), np.random.default_rng(4).random((295, 4))])

    def press(device):
        return invented(np.prod(np.stack([1 - 0.9 * device[:, [0, 1, 2]], 1 - 0.9 * device[:, [3, 3, 3]]]), axis=0))

    said, shown = press(inks), press(inks + 0.16 * inks * (1 - inks))
    ends, errors = (said[0], said[0] + 1.0), np.full(300, 0.9)
    found = profile_reuse(said, shown, inks, *ends, new_errors=errors, basis="invented", predict=press)
    means = {remedy.name: remedy.absolute.mean for remedy in found.remedies}
    assert means[REFRESHED] < 0.1 * means[AS_IT_IS]
    assert REFRESHED not in [one.name for one in profile_reuse(said, shown, inks, *ends, new_errors=errors).remedies]


@pytest.mark.common_practice("no source: `profile refresh` refuses what another setting may have done")
def test_a_refresh_is_advised_only_where_it_can_be_made(reuse):
    """Not where the whites are the same and the colours are far off: that is another setting or nozzles."""
    limits = shipped_limits("paper")
    remedies = tuple(
        replace(one, absolute=replace(one.absolute, mean=0.3)) if one.name == REFRESHED else one for one in reuse.remedies
    )
    other_paper = replace(reuse, remedies=remedies, papers_apart=3.0)
    assert reuse_decision(other_paper, 6.0, 1.0, limits).name == REFRESHED
    assert reuse_decision(replace(other_paper, papers_apart=0.2), 6.0, 1.0, limits).name == NEW


def test_the_same_paper_keeps_its_profile():
    device = np.random.default_rng(3).random((200, 3))
    said = invented(device)
    found = profile_reuse(said, said + 0.1, device, said[0], said[0] + 0.1, new_errors=None, basis="invented")
    limits = shipped_limits("paper")
    assert reuse_decision(found, 0.1, 1.0, limits).name == AS_IT_IS
    assert reuse_decision(found, 5.0, 1.0, limits).against == ("black",)
    assert reuse_decision(found, 0.1, 1.73, limits).against == ("colours",)
    assert reuse_decision(replace(found, papers_apart=5.1), 0.1, 1.0, limits).against == ("white",)
    assert NEW not in [remedy.name for remedy in found.remedies]


def test_contrast_falls_and_the_deeper_black_loses_more():
    deep, weak = wall_blacks((3, 0, 0), (95, 0, 0)), wall_blacks((15, 0, 0), (95, 0, 0))
    assert deep[0].contrast > 4 * weak[0].contrast
    assert deep[-1].contrast < 2 * weak[-1].contrast
    assert [row.contrast for row in deep] == sorted((row.contrast for row in deep), reverse=True)


def test_a_print_matches_itself_in_every_light():
    spectra = 0.1 + 0.8 * np.random.default_rng(4).random((40, 5)) @ np.stack(
        [np.exp(-(((NM - at) / 60) ** 2)) for at in (420, 480, 540, 600, 680)]
    ) / 2  # fmt: skip
    lights = [find_light("A"), find_light("F11")]
    same = pair_metamerism(spectra, spectra, NM, [3, 5], lights)
    assert max(same.largest.values()) == pytest.approx(0, abs=1e-9)
    narrow = spectra * (1 + 0.25 * np.sin(NM / 12))
    other = pair_metamerism(spectra, narrow, NM, list(range(40)), lights)
    assert other.colours > 0
    assert other.mean["F11"] > 0.2
    assert pair_metamerism(spectra, spectra * 0.01, NM, [0], lights) is None

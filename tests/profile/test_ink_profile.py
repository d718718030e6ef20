"""Output profiles of inks: tables judged by an independent colour engine, and the limits they keep."""

import datetime

import imagecodecs
import numpy as np
import pytest

from spectro.icc.profile_file import pack_profile, parse_profile
from spectro.profile.assemble import ProfileText, WantedProfile
from spectro.profile.ink_profile import InkChoices, build_ink_profile, choose_separation
from spectro.profile.ink_table import ink_table
from spectro.standards.limits import shipped_limits

LAB = imagecodecs.cms_profile("lab2")
TOTAL = 2.6


def invented_lattice(grid: int) -> np.ndarray:
    """Invented data: Lab of four inks that each take their share of three lights."""
    axes = np.meshgrid(*[np.linspace(0, 1, grid)] * 4, indexing="ij")
    device = np.stack(axes, axis=-1)
    left = np.array([[0.12, 0.6, 0.8], [0.55, 0.12, 0.35], [0.9, 0.8, 0.08], [0.04, 0.04, 0.045]])
    light = 0.9 * np.prod(1 - device[..., None] ** 0.85 * (1 - left), axis=-2) + 0.003
    x, y, z = np.cbrt(np.moveaxis(light, -1, 0))
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


@pytest.fixture(scope="module", params=[2, 4])
def profile(request) -> bytes:
    """A profile of invented inks, of either version, with small tables."""
    table = ink_table(invented_lattice(9), legacy=request.param == 2)
    measured = np.vstack([np.zeros(4), np.eye(4), np.ones(4)])
    choices = InkChoices(colour_space="CMYK", measured=measured, total=100 * TOTAL)
    chosen = choose_separation(table, choices, shipped_limits("inks"))
    text = ProfileText(name="invented", characterization="CGATS.17\n", date=datetime.datetime(2026, 1, 1, tzinfo=datetime.UTC))
    made = build_ink_profile(table, chosen, WantedProfile(text=text, version=request.param, grid=17))
    return pack_profile(made.profile)


def to_lab(profile: bytes, device: np.ndarray, intent: int = 1) -> np.ndarray:
    found = imagecodecs.cms_transform(device[None] * 100, profile, LAB, colorspace="cmyk", outcolorspace="lab", intent=intent)
    return np.asarray(found[0])


def to_inks(profile: bytes, lab: np.ndarray, intent: int = 1) -> np.ndarray:
    lab = np.ascontiguousarray(lab[None], dtype=float)
    found = imagecodecs.cms_transform(lab, LAB, profile, colorspace="lab", outcolorspace="cmyk", intent=intent)
    return np.asarray(found[0]) / 100


@pytest.mark.common_practice("no source: the total limit is what a press room asks first")
def test_no_colour_asks_for_more_ink_than_the_limit(profile):
    random = np.random.default_rng(3)
    lab = np.column_stack([random.random(50_000) * 100, random.uniform(-128, 127, (50_000, 2))])
    lab[25_000:] = lab[25_000:] * (0.4, 0.1, 0.1)
    for intent in (0, 1, 2):
        assert to_inks(profile, lab, intent).sum(axis=1).max() <= TOTAL + 1e-4


@pytest.mark.source("ICC.1-2022", "media-relative colorimetry: the medium is white")
def test_paper_stays_bare(profile):
    for intent in (0, 1, 2):
        assert to_inks(profile, np.array([[100.0, 0, 0]]), intent).max() == 0


@pytest.mark.common_practice("no source: what a print shows and is looked up again comes back")
def test_colours_come_back_through_both_tables(profile):
    device = np.random.default_rng(5).random((8000, 4))
    device = device[device.sum(axis=1) <= TOTAL]
    first = to_lab(profile, device)
    apart = np.linalg.norm(to_lab(profile, np.clip(to_inks(profile, first), 0, 1)) - first, axis=1)
    assert apart.mean() < 0.5
    assert np.percentile(apart, 95) < 1.5
    solids = np.vstack([np.eye(4), [[1, 1, 0, 0], [1, 0, 1, 0], [0, 1, 1, 0]]])
    assert (
        np.linalg.norm(to_lab(profile, to_inks(profile, to_lab(profile, solids))) - to_lab(profile, solids), axis=1).max() < 3
    )


@pytest.mark.common_practice("no source: black ink grows towards black without a step back, and black is neutral")
def test_black_grows_along_greys_and_is_neutral(profile):
    greys = np.column_stack([np.linspace(100, 0, 501), np.zeros((501, 2))])
    for intent in (0, 1, 2):
        inks = to_inks(profile, greys, intent)
        assert np.diff(inks[:, 3]).min() > -2e-4  # 0.02 %
        assert inks[-1, 3] > 0.9
        black = to_lab(profile, inks[-1:])[0]
        assert np.hypot(black[1], black[2]) < 0.7
        printed = to_lab(profile, inks)
        assert np.diff(printed[:, 0]).max() < 0.1  # darker greys never print lighter


@pytest.mark.source("ICC.1-2022", "N-component LUT-based output profiles: required tags")
def test_all_tables_are_there(profile):
    stored = parse_profile(profile)
    assert stored.header.colour_space == b"CMYK"
    assert {"A2B0", "A2B1", "A2B2", "B2A0", "B2A1", "B2A2", "gamt", "desc", "cprt", "wtpt"} <= set(stored.tags)

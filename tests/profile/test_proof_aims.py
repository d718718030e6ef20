"""The colours of a proof page: where they lie, what they become, held against an independent engine and colour library."""

import hashlib

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from spectro.colour.difference import delta_e_2000
from spectro.colour.page_numbers import held_on_page, lab_to_oprgb, oprgb_to_lab, page_numbers
from spectro.errors import InputError
from spectro.icc.evaluate import device_to_lab, media_white
from spectro.icc.picture_profiles import oprgb_profile_bytes
from spectro.icc.profile_file import pack_profile, parse_profile
from spectro.profile.assemble import ProfileText, WantedProfile, build_rgb_profile
from spectro.profile.common_colours import PUBLISHED, common_colours
from spectro.profile.proof_aims import INSIDE, REPEATS, converted, is_inside, largest_chroma, proof_colours
from spectro.records.conditions import MeasurementCondition, RenderingIntent
from spectro.records.proof import ProofGroup, ProofWay
from spectro.stand_in.paper import matte_paper
from spectro.stand_in.printer import Printer, printed_reflectance
from spectro.stand_in.readings import CREATED

RELATIVE, ABSOLUTE, PERCEPTUAL = RenderingIntent.RELATIVE, RenderingIntent.ABSOLUTE, RenderingIntent.PERCEPTUAL


@pytest.fixture(scope="module")
def profile_bytes():
    """A profile of the stand-in without noise: version 2, 17 nodes."""
    from datetime import datetime

    from spectro.colour.tristimulus import spectra_to_lab
    from spectro.stand_in.bands import WAVELENGTHS

    def predict(device):
        condition = MeasurementCondition.M1
        return spectra_to_lab(
            printed_reflectance(device, printer=Printer(), paper=matte_paper(), condition=condition), WAVELENGTHS
        )

    text = ProfileText(name="stand-in", characterization="", date=datetime.fromisoformat(CREATED))
    return pack_profile(build_rgb_profile(predict, WantedProfile(text=text, grid=17)))


@pytest.fixture(scope="module")
def profile(profile_bytes):
    return parse_profile(profile_bytes)


def chosen(profile, **options):
    return proof_colours(profile, name="stand-in.icc", sha256="0" * 64, **options)


@pytest.mark.parametrize("way", ProofWay)
@pytest.mark.parametrize("intent", [RELATIVE, ABSOLUTE, PERCEPTUAL])
def test_every_page_holds_every_kind_of_colour_and_as_many_as_asked_for(profile, way, intent):
    for patches in (90, 132, 400):
        found = chosen(profile, way=way, intent=intent, patches=patches)
        groups = np.array(found.aims.groups)
        assert len(found.aims) + sum(found.copies) == patches
        assert sum(found.copies) == REPEATS
        assert len(np.unique(found.device, axis=0)) == len(found.device)
        assert set(groups) == set(map(str, ProofGroup))
        assert (found.device[groups == "paper"] == 1).all() or intent is ABSOLUTE
        assert found.aims.intent == str(intent)
        assert len(set(found.aims.names) - {""}) >= 18


def test_colours_inside_are_spread_over_hue_lightness_and_chroma(profile):
    found = chosen(profile, patches=300)
    lab = found.aims.pcs_lab[np.array(found.aims.groups) == "in gamut"]
    hue, chroma = np.degrees(np.arctan2(lab[:, 2], lab[:, 1])) % 360, np.hypot(lab[:, 1], lab[:, 2])
    assert np.bincount((hue // 30).astype(int), minlength=12).min() >= len(lab) // 12 - 4
    assert np.bincount(((lab[:, 0] - 18) // 20).astype(int).clip(0, 3), minlength=4).min() >= len(lab) // 8
    share = chroma / largest_chroma(profile, lab[:, 0], hue)
    assert share.min() < 0.4
    assert share.max() > 0.9
    assert is_inside(profile, lab).mean() > 0.97  # bisection finds an edge; where a gamut folds back there may be another


def test_inside_and_outside_are_what_they_say(profile):
    """Inside the forecast meets the aim; outside it cannot, and what is asked for lies near by."""
    found = chosen(profile, way=ProofWay.LAB)
    groups = np.array(found.aims.groups)
    away = delta_e_2000(device_to_lab(profile, found.device, absolute=True), found.aims.aim_lab)
    within = groups != "outside"
    assert np.percentile(away[within], 98) <= INSIDE + 0.3  # colours are held to 8 bits
    assert away[~within].min() > 0.5
    assert away[~within].max() < 12


def test_device_values_are_whole_steps_and_those_of_an_independent_engine(profile, profile_bytes):
    """littleCMS, relative and perceptual, 16 bits: never more than one step of 1/255 apart."""
    cms = pytest.importorskip("imagecodecs")
    for intent, number in ((RELATIVE, 1), (PERCEPTUAL, 0)):
        found = chosen(profile, intent=intent)
        steps = found.device * 255
        np.testing.assert_allclose(steps, np.rint(steps), atol=1e-9)
        out = cms.cms_transform(
            np.ascontiguousarray(found.aims.pcs_lab[None]), cms.cms_profile("lab4"), profile_bytes,
            colorspace="lab", outcolorspace="rgb", intent=number, outdtype="float64",
        )  # fmt: skip
        assert np.abs(np.clip(out[0], 0, 1) * 255 - steps).max() <= 1.0
        exact = converted(profile, found.aims.pcs_lab, intent) * 255
        assert np.abs(np.clip(out[0], 0, 1) * 255 - exact).max() <= 0.1


def test_absolute_pages_ask_for_colours_as_they_are(profile, profile_bytes):
    """The same device values as littleCMS gives for the absolute intent, and the media white for the paper."""
    cms = pytest.importorskip("imagecodecs")
    found = chosen(profile, way=ProofWay.LAB, intent=ABSOLUTE)
    np.testing.assert_array_equal(found.aims.aim_lab, found.aims.pcs_lab)
    out = cms.cms_transform(
        np.ascontiguousarray(found.aims.pcs_lab[None]), cms.cms_profile("lab4"), profile_bytes,
        colorspace="lab", outcolorspace="rgb", intent=3, outdtype="float64",
    )  # fmt: skip
    assert np.abs(np.clip(out[0], 0, 1) - found.device).max() * 255 <= 0.15
    relative = chosen(profile, way=ProofWay.LAB)
    white = relative.aims.aim_lab[0]
    xyz = media_white(profile)
    colour = pytest.importorskip("colour")
    expected = colour.XYZ_to_Lab(xyz / 100, colour.XYZ_to_xy(np.array([96.42, 100, 82.49])))
    np.testing.assert_allclose(white, expected, atol=1e-6)


@pytest.mark.source("CIE-13.3-1995", "test-colour samples 13 and 14")
def test_published_common_colours_are_those_of_a_general_colour_library():
    colour = pytest.importorskip("colour")
    from colour.quality.datasets.tcs import SDS_TCS

    samples = list(SDS_TCS["CIE 1995"].values())
    names, lab = common_colours()
    shape = colour.SpectralShape(380, 730, 5)
    cmfs = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(shape)
    light = colour.SDS_ILLUMINANTS["D50"].copy().align(shape)
    white = colour.XYZ_to_xy(np.array([96.42, 100, 82.49]))
    for row, number in enumerate((13, 14)):
        sample = samples[number - 1].copy().align(shape)
        xyz = colour.sd_to_XYZ(sample, cmfs, light, method="Integration") / 100
        assert names[row] in PUBLISHED
        assert float(delta_e_2000(colour.XYZ_to_Lab(xyz, white), lab[row])) < 0.15


@pytest.mark.source("IEC-61966-2-5", "primaries, white and curve")
def test_oprgb_is_what_a_general_colour_library_makes_of_its_primaries():
    colour = pytest.importorskip("colour")
    encoded = np.random.default_rng(1).random((50, 3))
    white = np.array([0.3127, 0.3290])
    matrix = colour.normalised_primary_matrix(np.array([[0.64, 0.33], [0.21, 0.71], [0.15, 0.06]]), white)
    d50 = np.array([0.9642, 1.0, 0.8249])
    xyz = colour.chromatic_adaptation((encoded ** (563 / 256)) @ matrix.T, colour.xy_to_XYZ(white), d50, transform="Bradford")
    lab = colour.XYZ_to_Lab(xyz, colour.XYZ_to_xy(d50))
    assert delta_e_2000(lab, oprgb_to_lab(encoded)).max() < 0.02


def test_the_embedded_oprgb_profile_means_the_same_to_an_independent_engine():
    cms = pytest.importorskip("imagecodecs")
    encoded = np.ascontiguousarray(np.random.default_rng(2).random((1, 60, 3)))
    out = cms.cms_transform(
        encoded, oprgb_profile_bytes(), cms.cms_profile("lab4"), colorspace="rgb", outcolorspace="lab", intent=1,
        outdtype="float64",
    )  # fmt: skip
    assert delta_e_2000(out[0], oprgb_to_lab(encoded[0])).max() < 0.02
    assert hashlib.sha256(oprgb_profile_bytes()).digest() == hashlib.sha256(oprgb_profile_bytes()).digest()


colours = arrays(
    np.float64, (8, 3), elements=st.floats(0, 1)
).map(lambda share: share * [100, 180, 180] - [0, 90, 90])  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(colours, st.sampled_from([ProofWay.LAB, ProofWay.OPRGB]))
def test_what_a_page_holds_is_held_exactly(lab, way):
    """Holding twice changes nothing, and what counts as held lies within half a step."""
    held, whole = held_on_page(lab, way)
    again, still = held_on_page(held, way)
    np.testing.assert_allclose(again, held, atol=1e-6)
    assert still.all()
    if way is ProofWay.LAB:
        assert np.abs(held - lab)[whole].max(initial=0) <= 0.5 + 1e-9
    else:
        step = np.abs(lab_to_oprgb(held) - lab_to_oprgb(lab))[whole]
        assert step.max(initial=0) <= 0.51 / 255
    for bits in (8, 16):
        numbers = page_numbers(held, way, bits)
        assert numbers.min() >= 0
        assert numbers.max() <= 1
        np.testing.assert_allclose(numbers * (2**bits - 1), np.rint(numbers * (2**bits - 1)), atol=0.01 if bits == 8 else 1.0)


@pytest.mark.parametrize("patches", [89, 1501])
def test_impossible_numbers_are_refused(profile, patches):
    with pytest.raises(InputError, match="`patches`"):
        chosen(profile, patches=patches)


def test_another_intent_is_refused(profile):
    with pytest.raises(InputError, match="intent"):
        chosen(profile, intent=RenderingIntent.SATURATION)

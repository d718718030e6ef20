"""What the constants of the tables' fit are for: with another value, what each is for comes out worse.

Figures of the stand-in's tables (printed_figures.py), each better when smaller, with the constant as it is and with the value
of a row. Values are those of full size; how far a figure falls behind is about twice what is asked for.
"""

from functools import cache

import pytest

from tests.constants import with_value
from tests.profile.printed_figures import figures

POINTS, FIT = "profile.fit_points.PointSettings.", "profile.pcs_table.FitSettings."
AGREEMENT, SPACING = "profile.agreement.AgreementSettings.", "profile.spacing."
SETTINGS = "profile.compression.MappedSettings."
TABLE = [  # constant, other value, figure, by what share it is worse at least
    # what colours inside gain by more points, those outside lose
    (POINTS + "filling", 110_000, "inside", 0.08),
    (POINTS + "filling", 440_000, "outside", 0.07),
    (POINTS + "printable", 0.2, "shadow", 0.05),  # what is half outside is no printable grey
    (POINTS + "shadow", 4000, "shadow, near grey", 0.025),
    (POINTS + "shadow", 16_000, "inside, most", 0.02),
    (POINTS + "shadow_chroma", 4.0, "shadow, near grey", 0.025),  # neither too near grey nor too far
    (POINTS + "shadow_chroma", 16.0, "shadow, near grey", 0.06),
    (POINTS + "shadow_above", 4.0, "shadow", 0.02),
    (POINTS + "shadow_weight", 0.75, "shadow", 0.35),
    (POINTS + "shadow_weight", 3.0, "shadow, near grey", 0.025),
    (POINTS + "of_source", 12_500, "outside, light", 0.08),
    (POINTS + "of_source", 50_000, "points", 0.09),  # each costs time
    (POINTS + "dark_of_source", 20_000, "outside, dark", 0.025),
    (POINTS + "dark_of_source", 80_000, "points", 0.05),
    (POINTS + "weight_shared", 0.0065, "outside, beside", 0.04),
    (POINTS + "weight_shared", 0.026, "shadow", 0.35),
    (POINTS + "weight_beyond", 0.065, "outside, dark", 0.02),
    (POINTS + "dark_weight", 35.0, "ramps, turns", 0.03),
    (POINTS + "dark_weight", 140.0, "shadow", 0.35),
    (POINTS + "dark_reach", 5.0, "outside", 0.05),
    (POINTS + "dark_reach", 20.0, "inside, mean", 0.045),
    (POINTS + "light_weight", 2.0, "outside, light", 0.035),
    (POINTS + "most_outside", 1.0, "outside", 0.12),
    (POINTS + "most_outside", 4.0, "shadow", 0.27),
    (POINTS + "worst", 46.5, "outside", 0.07),
    (POINTS + "worst", 99.9, "inside, most", 0.02),
    (POINTS + "most_inside", 1.0, "inside, most", 0.06),
    (FIT + "passes", 1, "inside, most", 0.08),
    (FIT + "passes", 6, "shadow", 2.0),
    (FIT + "roughness", 1.5e-3, "rough", 0.04),
    (FIT + "pull", 2e-2, "outside, most", 0.045),
    (FIT + "hold_near", 0.0, "far outside", 0.25),  # where no source of pictures reaches
    (FIT + "hold", 0.0, "far outside", 0.08),
    ("profile.pcs_table._WHITE", 2.001, "inside, mean", 0.045),  # the paper's node pulls on those beside it
    ("profile.pcs_table._GREY_REACH", 2.5, "greys", 0.15),
    ("profile.pcs_table._GREY_REACH", 10.0, "outside, beside", 0.04),
    ("profile.pcs_table._GREYS_COUNT", 3.0, "greys", 0.15),
    ("profile.pcs_table._GREYS_COUNT", 12.0, "outside, beside", 0.04),
    (SPACING + "_REACH", 7.5, "outside, dark", 0.02),
    (SPACING + "_REACH", 30.0, "greys", 0.04),
    (SPACING + "_DARK_DENSITY", 0.75, "outside", 0.045),
    (SPACING + "_DARK_DENSITY", 3.0, "outside", 0.045),
    (SPACING + "_BRIGHT_DENSITY", 0.75, "outside", 0.03),
    (SPACING + "_BRIGHT_DENSITY", 3.0, "outside", 0.04),
    (SPACING + "_NEUTRAL_DENSITY", 0.25, "inside", 0.025),
    (SPACING + "_NEUTRAL_DENSITY", 1.0, "outside", 0.04),
    (SPACING + "_OUTER_PLACE", 0.0, "far outside", 0.05),
    (SPACING + "_OUTER_PLACE", 1.2, "far outside", 0.09),
    (SPACING + "_LEAST_SHARE", 0.1, "greys", 0.15),
    (SPACING + "_PULL", 0.35, "inside", 0.04),
    (SPACING + "_PULL", 1.4, "greys", 0.07),
]
SOLVED = [(FIT + "tolerance", 2e-5, "unsolved", 0.25)]
NODES = [
    ("profile.grey_nodes._STAY", 0.05, "nodes moved", 0.08),  # no farther than it is worth
    ("profile.grey_nodes._STAY", 0.2, "tints", 0.0015),
    ("profile.grey_nodes._FARTHEST", 0.175, "tints", 0.15),
    ("profile.grey_nodes._FARTHEST", 0.7, "nodes moved", 0.15),
    ("profile.grey_nodes._PLACES", 4, "tints", 0.04),
]
AXIS = [  # neighbours are not torn apart, and what is far from grey stays
    ("boundary.straight_axis._FADE", 2.0, "small tint, pulled apart", 0.5),
    ("boundary.straight_axis._FADE", 8.0, "small tint, moved afar", 1.0),
    ("boundary.straight_axis._LEAST_FADE", 1.0, "large tint, pulled apart", 0.5),
    ("boundary.straight_axis._LEAST_FADE", 4.0, "large tint, moved afar", 1.0),
]
TOGETHER = [
    (AGREEMENT + "filling", 2.0, "together", 0.07),
    (AGREEMENT + "filling", 8.0, "moved", 0.15),
    (AGREEMENT + "hold", 1.0, "moved", 0.15),
    (AGREEMENT + "hold", 4.0, "together", 0.05),
    (AGREEMENT + "greys", 500, "together, greys", 0.1),
    (AGREEMENT + "grey_weight", 15.0, "together, greys", 0.1),
]
RULE = [
    ("profile.outside_rule._BEND", 1.0, "rule, grey steps", 0.02),  # black must not jump where lightness bends
    ("profile.outside_rule._BEND", 4.0, "rule, grey steps", 0.35),
    ("profile.outside_rule._SURELY", 6.0, "rule, away beside", 0.05),
    ("profile.printed_gamut._SMOOTHING", 0.25, "rule, grey steps", 0.015),
    ("profile.printed_gamut._SMOOTHING", 1.0, "rule, grey steps", 0.2),
    ("colour.hue_straight.CAM_SHARE", 0.39, "rule, turns", 0.5),
    ("colour.hue_straight.CAM_SHARE", 1.56, "rule, turns", 0.5),
    ("colour.hue_straight._TOE", 3.0, "rule, turns", 0.02),
    ("colour.hue_straight._TOE", 12.0, "rule, steps", 0.04),
    ("profile.inversion.HUE_WEIGHT", 4.0, "nearest, turns", 0.5),
    ("profile.inversion.NEUTRAL_WEIGHT", 4.0, "nearest, grey steps", 0.2),
    ("profile.inversion.NEUTRAL_CHROMA", 6.0, "nearest, turns", 0.015),
]
MAPPED = [
    (SETTINGS + "of_source", 6000, "saturation", 0.015),
    (SETTINGS + "of_source", 24_000, "saturation, rough", 0.035),
    (SETTINGS + "tolerated", 0.25, "perceptual, most", 0.025),
    (SETTINGS + "tolerated", 1.0, "saturation, dark", 0.025),
    (SETTINGS + "most", 2.0, "perceptual, most", 0.03),
    ("profile.compression._FIT.passes", 1, "saturation, dark", 0.1),
    ("profile.compression._FIT.passes", 4, "saturation, greys", 0.12),
    ("profile.compression._FIT.roughness", 5e-4, "perceptual, rough", 0.04),
    ("profile.agreement.EXPANSION.hold", 0.25, "way back, moved", 0.06),
    ("profile.agreement.EXPANSION.hold", 1.0, "way back", 0.03),
    ("profile.gamut_mapping.KNEE", 0.35, "perceptual, midtones moved", 0.07),
    ("profile.gamut_mapping.KNEE", 1.4, "perceptual", 0.15),
    ("profile.gamut_mapping.HUE_KEPT", 0.4, "perceptual, exact turns", 0.4),
    ("profile.gamut_mapping.HUE_KEPT", 1.6, "perceptual, exact turns", 0.4),
    ("profile.vivid_mapping._KNEE", 0.4, "saturation, chroma lost, pale", 0.025),
    ("profile.vivid_mapping._KNEE", 1.6, "saturation, exact steps", 0.4),
    ("profile.vivid_mapping._TOWARDS", 0.35, "saturation, chroma lost", 0.1),
    ("profile.vivid_mapping._TOWARDS", 1.4, "saturation, lightness moved", 0.35),
    ("profile.vivid_mapping._REACH", 2.04, "saturation, exact steps", 0.25),
    ("profile.vivid_mapping._PRINT_BLUR", 4.0, "saturation, chroma lost", 0.005),
    ("profile.vivid_mapping._SOURCE_BLUR", 3.0, "saturation, exact falls", 0.15),
    ("profile.vivid_mapping._NEAR_FULL", 20.0, "saturation, lightness moved", 0.025),
]
MAPPED_OF_A_PATH = [
    (SETTINGS + "greys", 1000, "saturation, greys", 0.01),
    (SETTINGS + "grey_weight", 50.0, "saturation, greys", 0.01),
]
CASES = [  # kind, nodes of the path's own table, row
    *(("table", 0, *row) for row in TABLE),
    *(("solved", 0, *row) for row in SOLVED),
    *(("nodes", 0, *row) for row in NODES),
    *(("axis", 0, *row) for row in AXIS),
    *(("together", 9, *row) for row in TOGETHER),
    *(("rule", 0, *row) for row in RULE),
    *(("mapped", 0, *row) for row in MAPPED),
    *(("mapped", 9, *row) for row in MAPPED_OF_A_PATH),
]
usual = cache(figures)


@pytest.mark.common_practice("no source: what a constant is for shows when it is another")
@pytest.mark.parametrize(
    ("kind", "path", "place", "other", "figure", "share"),
    CASES,
    ids=[f"{row[2].rsplit('.', 1)[1].strip('_')}-{row[3]:g}-{row[4]}" for row in CASES],
)
def test_with_another_value_what_a_constant_is_for_is_worse(kind, path, place, other, figure, share):
    with with_value("spectro." + place, other):
        found = figures(kind, path)[figure]
    assert found > (1 + share) * usual(kind, path)[figure]

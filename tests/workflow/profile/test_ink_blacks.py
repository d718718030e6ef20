"""Black of every intent of a real CMYK print under a tight total limit, through an independent colour engine."""

import imagecodecs
import numpy as np
import pytest

from spectro.records.profile_settings import ProfileSettings
from spectro.workflow.profile.build import profile_build

LAB = imagecodecs.cms_profile("lab2")
FLAGS = imagecodecs.CMS.FLAGS.NOOPTIMIZE | imagecodecs.CMS.FLAGS.NOCACHE


@pytest.mark.common_practice("no source: black is neutral; of a raw print 240 % leaves hardly a recipe for its darkest greys")
def test_black_is_neutral_whatever_a_table_is_for(check_data, tmp_path):
    made = tmp_path / "tight.icc"
    profile_build([check_data / "cmyk-10deg" / "it874-1617-m1.txt"], made, settings=ProfileSettings(total_area=240.0))
    data, printed = made.read_bytes(), []
    for intent in (0, 1, 2):
        inks = imagecodecs.cms_transform(
            np.zeros((1, 1, 3)), LAB, data, colorspace="lab", outcolorspace="cmyk", intent=intent, flags=FLAGS
        )
        lab = imagecodecs.cms_transform(inks, data, LAB, colorspace="cmyk", outcolorspace="lab", intent=1, flags=FLAGS)
        printed.append(np.ravel(lab))
    printed = np.array(printed)
    assert np.hypot(printed[:, 1], printed[:, 2]).max() < 0.5
    assert np.ptp(printed[:, 0]) < 0.5

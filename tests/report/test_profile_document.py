"""What profile commands tell, in all four renderings. Every number in here is invented."""

import json
from dataclasses import replace

import pytest

from spectro.records.picture import PictureReach
from spectro.records.profile_listing import ProfileFinding, ProfileListing, Severity, TagEntry
from spectro.records.profile_place import ProfilePlace
from spectro.records.profile_result import Forecast, PathLattice, PrintForecast, ProfileBuild, SuspectPatch
from spectro.records.refresh import ProfileRefresh, RefreshChart
from spectro.records.statistics import DifferenceStatistics
from spectro.records.top_up import TopUp
from spectro.report.profile_document import (
    build_document,
    install_document,
    refresh_chart_document,
    refresh_document,
    show_document,
    top_up_document,
)
from spectro.report.render_html import render_html
from spectro.report.render_json import render_json
from spectro.report.render_pdf import render_pdf
from spectro.report.render_text import render_text

SOME = DifferenceStatistics(mean=0.31, median=0.25, p95=0.8, p99=1.1, max=1.52, n=400)
SUSPECT = SuspectPatch(id="7", name="A7", device=(0.0, 0.5, 1.0), delta_e_2000=6.04, deviations=5.5, position=(1, 7, 1))
REACH = PictureReach(
    picture="<b>.png", width=720, height=480, read_as="sRGB", looked_at=1000, outside=0.3, darker=0.1, limit=2.0,
    worst_lab=(5.0, 18.0, -0.01), worst_delta_e_2000=17.5,
)  # fmt: skip
BUILD = ProfileBuild(
    verdict="Built from 430 patches.",
    profile="out.icc",
    name="A <printer> & paper",
    profile_id="00",
    icc_version="2.4",
    grid=33,
    grid_words="33 grid points per axis",
    patches=430,
    recipes=400,
    measurement_condition="M1",
    light="D50, 2° observer",
    white_lab=(96.1, 1.8, -7.5),
    black_lab=(14.7, 0.4, -0.01),
    forecast=Forecast(
        cross_validation=SOME,
        cross_validation_method="left out",
        repeat_noise=None,
        repeat_readings=0,
        model_noise=0.2,
        suspects=(SUSPECT,),
    ),
    in_print=PrintForecast(
        mean=0.4,
        mean_range=(0.3, 0.5),
        p95=0.9,
        p95_range=(0.7, 1.1),
        noise=0.1,
        noise_from="stated",
        model=0.3,
        tables=0.05,
        sheet=0.24,
        sheet_from="stated",
        method="invented",
    ),
    lattice=PathLattice(nodes=17, levels=16.0, gain=68.7),
    round_trip=SOME,
    seconds=2.51,
    grey_aim="neutral below L* 80",
    light_note="Made for A.",
    pictures=(REACH,),
)
REFRESH = ProfileRefresh(
    verdict="Not enough.", enough=False, open=False, needed=True, reach=0.4, reach_even=0.4, paper=None, old_patches=430,
    fresh_patches=60, before=SOME, left_out=SOME,
    new_chart=SOME, told=0.5, moved=1.0, build=BUILD, cautions=("One thing.", "Another."),
)  # fmt: skip
LISTING = ProfileListing(
    verdict="1 fault; the first: header: short.", file="a.icc", size=200, name="", version="2.4", device_class="output",
    colour_space="RGB", pcs="Lab", date="", intent="perceptual", profile_id="00",
    tags=(TagEntry(signature="desc", type="desc", offset=128, size=90, what="A <name>"),), facts={"white": "Lab 100 0 0"},
    findings=(ProfileFinding(severity=Severity.FAULT, place="header", text="short"),),
)  # fmt: skip
TOP_UP = TopUp(
    verdict="Worth it.", recipe="top-up.toml", patches=80, chosen=60, before=0.4, after=0.2, repeat_noise=0.1,
    regions={"darks": 40, "reds": 20},
)  # fmt: skip
PLACE = ProfilePlace(
    verdict="Installed.", file="a.icc", place="/there/a.icc", done="installed", content="00", folder_from="as given",
    next=("Close it.",),
)  # fmt: skip
CHART = RefreshChart(verdict="Chosen.", recipe="r.toml", patches_file="r.csv", patches=60)
DOCUMENTS = {
    "build": (build_document(BUILD), "attention"),
    "refresh": (refresh_document(REFRESH), "fault"),
    "show": (show_document(LISTING), "fault"),
    "top-up": (top_up_document(TOP_UP), "good"),
    "install": (install_document(PLACE), "good"),
    "refresh-chart": (refresh_chart_document(CHART), "good"),
}


@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_rendering_has_the_verdict_first_and_the_level(name):
    document, level = DOCUMENTS[name]
    numbers = json.loads(json.dumps(render_json(document), allow_nan=False))
    assert numbers["format"] == 1
    assert numbers["level"] == level
    assert render_text(document).startswith(numbers["verdict"])
    page = render_html(document)
    assert page.index("<h1") < page.index(numbers["verdict"])
    assert "<printer>" not in page
    assert "<name>" not in page
    assert "<b>.png" not in page
    assert render_pdf(document).startswith(b"%PDF")
    assert render_html(document) == page


def test_a_build_in_the_terminal():
    text = render_text(build_document(BUILD))
    assert "  white, black      Lab 96.1 1.8 −7.5, 14.7 0.4 0.0\n" in text
    assert "  repeat noise      no repeated patches; seen by the model 0.20\n" in text
    assert "This print path reads a 17-step table of its own" in text
    none = replace(BUILD, lattice=PathLattice(nodes=None, levels=None, gain=-1.9))
    assert "print path" not in render_text(build_document(none))
    assert render_json(build_document(BUILD))["lattice"] == {"nodes": 17, "levels": 16.0, "gain": 68.7}
    assert "\n\nMade for A.\n\n" in text
    assert "  patch 7 (A7) on page 1, row 7, column 1: ΔE00 6.0, 5.5 deviations" in text
    assert "    30.0 % lies outside the print: 10.0 % is darker than its black, 20.0 % too colourful" in text
    plain = render_text(build_document(replace(BUILD, grey_aim="", light_note="", pictures=())))
    assert "greys" not in plain
    assert "make room" not in plain


def test_numbers_of_a_build_have_the_names_that_programs_know():
    numbers = render_json(build_document(BUILD))
    assert "forecast" not in numbers
    assert numbers["cross_validation"]["method"] == "left out"
    assert numbers["suspects"][0]["id"] == "7"
    assert numbers["pictures"][0]["outside"] == 0.3
    assert numbers["percentile_method"] == "linear interpolation"


def test_a_damaged_profile_is_told_without_what_it_lacks():
    damaged = replace(LISTING, version="", tags=(), findings=())
    text = render_text(show_document(damaged, "out/\n  index.html"))
    assert "kind" not in text
    assert "holds" not in text
    assert text.endswith("\n\nout/\n  index.html")

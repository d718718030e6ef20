"""Light inks as channels: how they share with full inks in a profile of an invented press, through littleCMS too."""

import ctypes
from pathlib import Path

import numpy as np
import PIL
import pytest

from spectro.cli.main import run
from spectro.colour.difference import delta_e_2000
from spectro.errors import InputError
from spectro.icc.evaluate import device_to_lab, lab_to_device
from spectro.icc.profile_file import parse_profile
from spectro.records.profile_settings import ProfileSettings
from spectro.stand_in.press import PressSheet, press_measurements
from spectro.stand_in.readings import CREATED
from spectro.words.next_step import after_limits
from spectro.workflow.chart.new import chart_new
from spectro.workflow.inks.chart import inks_chart
from spectro.workflow.profile.build import make_profile

INKS = ("cyan", "magenta", "yellow", "black", "light cyan", "light magenta")
FULL, LIGHT = (0, 1), (4, 5)


@pytest.fixture(scope="module")
def made():
    """A profile of an invented press with light cyan and light magenta."""
    random, count = np.random.default_rng(4), len(INKS)
    ramps = [np.eye(count)[ink] * level for ink in range(count) for level in np.arange(1, 11) / 10]
    spread = random.random((500, count)) * random.integers(0, 2, (500, count))
    device = np.vstack([np.zeros((1, count)), ramps, spread[spread.sum(axis=1) <= 3.6]])
    sheet = PressSheet(
        device=device,
        positions=np.zeros((0, 3), dtype=np.int64),
        sample_ids=tuple(str(number) for number in range(len(device))),
        sample_names=("",) * len(device),
    )
    read = press_measurements(sheet, INKS, seed=1, sheet_seed=2, created=CREATED, origin="invented")
    return make_profile(read, settings=ProfileSettings(grid=25, other_separations=True))


@pytest.fixture(scope="module")
def profile(made):
    return parse_profile(made.data)


def way(profile, ink, steps=101):
    """Inks sent for the colours from paper to a full ink, and those colours."""
    device = np.zeros((steps, len(INKS)))
    device[:, ink] = np.linspace(0, 1, steps)
    lab = device_to_lab(profile, device)
    return np.clip(lab_to_device(profile, lab), 0, 1), lab


@pytest.mark.source("ICC.1-2022", "colorantTableTag: light inks by their names")
def test_light_inks_are_told_by_what_they_print(made, profile):
    assert made.build.black.names == INKS
    assert made.build.black.lights == (("light cyan", "cyan"), ("light magenta", "magenta"))
    assert profile.header.colour_space == b"6CLR"
    assert profile.tags["clrt"].names == INKS


@pytest.mark.common_practice("no source: light tones by the light ink, full tones by the full ink, no step between")
@pytest.mark.parametrize("pair", [0, 1])
def test_the_light_ink_carries_light_tones_and_hands_over(profile, pair):
    sent, lab = way(profile, FULL[pair])
    light, full = sent[:, LIGHT[pair]], sent[:, FULL[pair]]
    assert full[:15].max() < 0.03
    assert light[10:15].min() > 0.1
    assert light.max() > 0.5
    assert light[-10:].max() < 0.12
    assert full[-1] > 0.9
    assert 20 < light.argmax() < 60
    printed = device_to_lab(profile, sent)
    assert delta_e_2000(lab, printed).mean() < 0.7
    steps, own = delta_e_2000(printed[1:], printed[:-1]), delta_e_2000(lab[1:], lab[:-1])
    assert steps.max() < own.max() + 1.0  # no step that the print itself does not have
    assert np.abs(np.diff(sent, axis=0)).max() < 0.12


@pytest.mark.common_practice("no source: the total area holds with light inks too, in every table")
def test_the_total_is_kept(made, profile):
    lab = np.random.default_rng(1).uniform((0, -90, -90), (100, 90, 90), (40_000, 3))
    for table in ("B2A0", "B2A1", "B2A2"):
        sent = np.clip(lab_to_device(profile, lab, table), 0, 1)
        assert sent.sum(axis=1).max() <= made.build.total_area.percent / 100 + 1e-4


@pytest.mark.common_practice("no source: light inks are there for less grain")
def test_light_inks_lessen_grain(made):
    settings = {one.key: one for one in made.build.separation.settings}
    own, without = settings["chosen"], settings["full"]
    light = (own.greys.colours[:, 0] > 60) & (own.greys.colours[:, 0] < 95)
    assert own.greys.inks[light][:, LIGHT].max() > 0.2
    assert without.greys.inks[:, LIGHT].max() == 0
    assert own.grain < 0.95 * without.grain


def through_little_cms(data, lab):
    """Inks (n, 6) that littleCMS sends for Lab (n, 3), in 16 bits: the library that comes with Pillow, called by itself."""
    folder = Path(PIL.__file__).parents[1] / "pillow.libs"
    found = sorted(folder.glob("liblcms2*"))
    if not found:
        pytest.skip("no littleCMS beside Pillow")
    engine, handle, number = ctypes.CDLL(str(found[0])), ctypes.c_void_p, ctypes.c_uint32
    for name, gives, takes in (
        ("cmsOpenProfileFromMem", handle, [ctypes.c_char_p, number]),
        ("cmsCreateLab2Profile", handle, [handle]),
        ("cmsCreateTransform", handle, [handle, number, handle, number, number, number]),
        ("cmsDoTransform", None, [handle, handle, handle, number]),
    ):
        getattr(engine, name).restype, getattr(engine, name).argtypes = gives, takes
    doubles, six_inks = (1 << 22) | (10 << 16) | (3 << 3), (20 << 16) | (6 << 3) | 2  # its own codes of pixels
    inks, source = engine.cmsOpenProfileFromMem(data, len(data)), engine.cmsCreateLab2Profile(None)
    transform = engine.cmsCreateTransform(source, doubles, inks, six_inks, 1, 0x0140)
    sent = np.zeros((len(lab), 6), dtype=np.uint16)
    engine.cmsDoTransform(transform, lab.ctypes.data, sent.ctypes.data, len(lab))
    return sent / 65535


@pytest.mark.common_practice("no source: another engine sends the same inks, within the total")
def test_little_cms_sends_the_same(made, profile):
    lab = np.ascontiguousarray(np.random.default_rng(3).uniform((0, -80, -80), (100, 80, 80), (20_000, 3)))
    sent = through_little_cms(made.data, lab)
    np.testing.assert_allclose(sent, np.clip(lab_to_device(profile, lab), 0, 1), atol=1e-3)
    assert sent.sum(axis=1).max() <= made.build.total_area.percent / 100 + 1e-3


@pytest.mark.common_practice("no source: a RIP that splits inks itself takes no light inks as channels")
def test_the_rip_is_asked_about_first(tmp_path, capsys):
    channels = ",".join(INKS)
    assert run(["inks", "chart", "--channels", channels, "--out", str(tmp_path / "no")]) == 2
    said = capsys.readouterr().err
    assert "--light-inks" in said
    assert "light cyan and light magenta" in said
    assert not (tmp_path / "no").exists()
    split = inks_chart(channels, tmp_path / "split", light_inks="split")
    assert split.channels == ("cyan", "magenta", "yellow", "black")
    own = inks_chart(channels, tmp_path / "own", light_inks="own")
    assert own.channels == INKS
    with pytest.raises(InputError, match="channels"):
        inks_chart("RGB", tmp_path / "rgb", light_inks="split")


@pytest.mark.common_practice("no source: a chart for the profile asks as well, and names what a RIP that splits needs")
def test_a_chart_for_the_profile_asks_too(tmp_path, capsys):
    said = ["chart", "new", "--channels", ",".join(INKS), "--patches", "60", "--out", str(tmp_path / "no")]
    assert run(said) == 2
    assert "alone: spectro chart new --channels CMYK\n" in capsys.readouterr().err
    assert not (tmp_path / "no").exists()
    split = chart_new(None, tmp_path / "split", channels=",".join(INKS), patches=60, light_inks="split")
    assert split.channels == ("cyan", "magenta", "yellow", "black")
    assert "6-ink" not in split.title
    own = chart_new(None, tmp_path / "own", channels=",".join(INKS), patches=60, light_inks="own")
    assert own.channels == INKS
    with pytest.raises(InputError, match=r"--channels cyan,magenta,yellow,black,orange$"):
        chart_new(None, tmp_path / "no", channels="cyan,magenta,yellow,black,orange,light cyan", patches=60)


@pytest.mark.common_practice("no source: what is offered next says what it would be asked")
def test_the_chart_offered_next_says_that_light_inks_are_channels():
    assert "--light-inks own" in after_limits(["r.txt"], INKS, curved=True)
    assert "--light-inks" not in after_limits(["r.txt"], INKS[:4], curved=True)

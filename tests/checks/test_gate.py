"""Laws of prints: real ones keep them, each mistake breaks some, and the mistake is named."""

import numpy as np
import pytest

from spectro.checks.gate import gate, unexplained
from spectro.checks.steady_readings import judged_steady
from spectro.colour.tristimulus import spectra_to_lab
from spectro.readings.load import load_readings
from spectro.records.gate import GateCause, Law
from spectro.standards.limits import shipped_limits
from spectro.words.gate import gate_words

LIMITS = shipped_limits("gate")
REAL = {
    "glossy": "photo-inkjet-glossy/chart-680-m0.txt",
    "glossy without ultraviolet": "photo-inkjet-glossy/chart-680-m2.txt",
    "matte": "photo-inkjet-matte/chart-a-2033-m0.txt",
    "offset": "offset-coated-fogra51/fogra51-spectral.txt",
    "board": "offset-board/board-spectral.txt",
    "raw inks": "cmyk-10deg/it874-1617-m1.txt",
}


def judged(space, device, wavelengths, spectra, lab=None):
    """The gate's report; Lab from the spectra where none is given."""
    lab = spectra_to_lab(spectra, wavelengths) if lab is None else lab
    ids = tuple(str(row) for row in range(len(device)))
    return gate(ids, space, device, lab, LIMITS, spectra=spectra, wavelengths=wavelengths)


@pytest.fixture(scope="module", params=list(REAL))
def print_(request, check_data):
    """Readings of one real print."""
    return load_readings([check_data / REAL[request.param]])


@pytest.mark.common_practice("no source: real prints obey the laws")
def test_real_prints_pass(print_):
    report = judged(print_.colour_space, print_.device, print_.wavelengths, print_.reflectance)
    assert report.broken == ()
    assert Law.NEIGHBOURS in report.judged
    assert gate_words(report, "x.txt") == ""


PARTS = {  # of the raw inks, rows of the published layout: no bare paper, little black; little but dark patches
    "no bare paper and black up to a fifth": slice(664, 804),
    "dark, bare paper among them": slice(878, 1224),
    "dark, without bare paper": slice(1006, 1150),
}


@pytest.mark.common_practice("no source: a part of a right chart is right")
@pytest.mark.parametrize("rows", PARTS.values(), ids=PARTS)
def test_parts_of_real_prints_pass(check_data, rows):
    """What a part does not show is not held against it: inks that it has in tints alone, a paper that it lacks."""
    one = load_readings([check_data / REAL["raw inks"]])
    assert not judged(one.colour_space, one.device[rows], one.wavelengths, one.reflectance[rows]).stops


@pytest.mark.common_practice("no source: a part of a right chart is right")
def test_steps_of_one_ink_partway_are_no_other_lamp(check_data):
    one = load_readings([check_data / REAL["offset"]])
    rows = slice(1006, 1167)  # blocks of rising black, one after another
    assert not judged(one.colour_space, one.device[rows], one.wavelengths, one.reflectance[rows]).stops


def mistakes(space, device, spectra):
    """Name, expected cause, device values and spectra of systematic mistakes. Invented."""
    rng = np.random.default_rng(3)
    exchanged, swapped = device.copy(), device.copy()
    exchanged[:, [0, 2]], swapped[:, [0, 1]] = device[:, [2, 0]], device[:, [1, 0]]
    part = spectra.copy()
    rows = len(part) // 14
    part[-rows:] = np.roll(part[-rows:], 1, axis=0)
    yield "inverted", GateCause.INVERTED, 1 - device, spectra
    yield "first and third exchanged", GateCause.CHANNELS, exchanged, spectra
    yield "first and second exchanged", GateCause.CHANNELS, swapped, spectra
    yield "a row lost", GateCause.ROWS, device, np.roll(spectra, -1, axis=0)
    yield "two rows doubled", GateCause.ROWS, device, np.roll(spectra, 2, axis=0)
    yield "shuffled", GateCause.ORDER, device, spectra[rng.permutation(len(spectra))]
    yield "last rows shifted", GateCause.ORDER, device, part
    yield "reversed wavelengths", GateCause.REVERSED, device, spectra[:, ::-1]
    yield "per cent twice", GateCause.PERCENT, device, spectra / 100
    yield "factors as per cent", GateCause.PERCENT, device, spectra * 100
    yield "half as much again", GateCause.SCALE, device, spectra * 1.5
    yield "columns mixed up", GateCause.NOISE, device, spectra[:, rng.permutation(spectra.shape[1])]


@pytest.mark.common_practice("no source: what each mistake does to a print follows from the mistake")
def test_each_mistake_stops_and_is_named(print_):
    for name, cause, device, spectra in mistakes(print_.colour_space, print_.device, print_.reflectance):
        report = judged(print_.colour_space, device, print_.wavelengths, spectra)
        assert report.stops, name
        assert report.cause is cause, (name, report)
        words = gate_words(report, "x.txt")
        assert words.startswith("Do not use x.txt: "), name
        assert "{" not in words


@pytest.mark.common_practice("no source: a lamp or a backing that changes makes all later readings lighter by one share")
@pytest.mark.parametrize("gain", [0.04, -0.04])
def test_a_change_partway_through_a_chart_stops(print_, gain):
    half = len(print_) // 2
    spectra = print_.reflectance * np.where(np.arange(len(print_)) < half, 1, 1 + gain)[:, None]
    report = judged(print_.colour_space, print_.device, print_.wavelengths, spectra)
    law = next(one for one in report.broken if one.law is Law.STEADY)
    assert report.stops
    assert report.cause is GateCause.PARTWAY
    assert law.found == pytest.approx(abs(gain), abs=0.01)
    assert abs(int(law.patches[0]) - half) <= 0.06 * len(print_)
    words = gate_words(report, "x.txt")
    assert f"from about patch {law.patches[0]} on, readings are" in words
    assert ("lighter" if gain > 0 else "darker") in words


@pytest.mark.common_practice("no source: a file need not hold patches in the order of reading")
def test_a_change_partway_is_found_in_the_order_of_the_strips(print_):
    rows = np.random.default_rng(8).permutation(len(print_))
    places = np.stack([np.ones_like(rows), rows % 27 + 1, rows // 27 + 1], axis=1)
    spectra = print_.reflectance * np.where(rows < len(rows) // 2, 1, 1.05)[:, None]
    lab = spectra_to_lab(spectra, print_.wavelengths)
    ids = tuple(map(str, rows))
    for known, stops in ((places, True), (None, False)):
        report = gate(ids, print_.colour_space, print_.device, lab, LIMITS, places=known)
        assert (Law.STEADY in {one.law for one in report.broken}) is stops


@pytest.mark.common_practice("no source: sorted charts, and rows that are some of a chart's, are as right as others")
def test_right_prints_are_steady_in_any_order(print_):
    ink = 1 - print_.device if print_.colour_space == "RGB" else print_.device
    lab = spectra_to_lab(print_.reflectance, print_.wavelengths)
    for order in (np.argsort(lab[:, 0]), np.lexsort(ink.T), np.random.default_rng(9).permutation(len(ink))[:120]):
        law, broken = judged_steady(("x",) * len(order), ink[order], lab[order], None, LIMITS)
        assert law is Law.STEADY
        assert broken is None


@pytest.mark.common_practice("no source: ink mirrors light from its surface, so that no black is as deep as a squared one")
def test_squared_spectra_are_deeper_than_ink(print_):
    report = judged(print_.colour_space, print_.device, print_.wavelengths, print_.reflectance**2)
    contrast = np.ptp(np.log10(np.sort(print_.reflectance.mean(axis=1))[[4, -1]]))
    assert report.stops is bool(contrast > 1.5)  # a print of little contrast, squared, is a print of more
    if report.stops:
        assert report.cause is GateCause.SQUARED


def grid(channels=3, steps=5):
    """Device values on an even grid."""
    return np.stack(np.meshgrid(*[np.linspace(0, 1, steps)] * channels, indexing="ij"), -1).reshape(-1, channels)


def simple_print(device, paper=(95.0, 0.0, -2.0), depth=1.0):
    """Lab of an invented RGB printer with three ideal inks on a paper; depth: how much the inks do."""
    ink = (1 - device) * depth
    lightness = paper[0] * (1 - 0.3 * ink[:, 0]) * (1 - 0.35 * ink[:, 1]) * (1 - 0.1 * ink[:, 2]) * (1 - 0.5 * ink.prod(axis=1))
    a = paper[1] - 40 * ink[:, 0] + 75 * ink[:, 1] - 5 * ink[:, 2] - 30 * ink.prod(axis=1)
    b = paper[2] - 45 * ink[:, 0] - 5 * ink[:, 1] + 90 * ink[:, 2] - 40 * ink.prod(axis=1)
    return np.stack([lightness, a, b], axis=-1)


@pytest.mark.common_practice("no source: odd but right papers")
@pytest.mark.parametrize(
    ("paper", "depth"),
    [((95, 0, -2), 1.0), ((80, 12, 25), 1.0), ((35, 2, 3), 0.8), ((90, 0, 5), 0.15), ((99.5, 3, -14), 1.0), ((60, 0, 0), 0.9)],
)
def test_odd_papers_pass(paper, depth):
    device = grid()
    report = judged("RGB", device, None, None, simple_print(device, paper, depth))
    assert not report.stops, report


@pytest.mark.common_practice("no source: a metallic paper is darker than light tints on it")
def test_one_broken_law_is_a_question_not_a_stop():
    device = grid()
    lab = simple_print(device)
    lab[device.sum(axis=1) == 3] -= (8.0, 0, 0)
    report = judged("RGB", device, None, None, lab)
    assert [one.law for one in report.broken] == [Law.PAPER_LIGHTEST]
    assert not report.stops
    assert gate_words(report, "x.txt").startswith("Note: ")


def test_few_patches_are_judged_by_brightness_alone():
    report = judged("RGB", np.array([[1.0, 1, 1]]), None, None, np.array([[95.0, 0, 0]]))
    assert report.judged == (Law.NOT_TOO_BRIGHT,)
    assert judged("RGB", np.array([[1.0, 1, 1]]), None, None, np.array([[9.0, 0, 0]])).stops


def test_neighbours_explain_a_smooth_print_and_not_a_shuffled_one():
    device = grid(3, 6)
    lab = simple_print(device)
    share, recipes = unexplained(1 - device, lab, 12)
    assert recipes == 216
    assert share < 0.01
    assert unexplained(1 - device, lab[np.random.default_rng(0).permutation(216)], 12)[0] > 0.9


@pytest.mark.common_practice("no source: charts of greys count ink or light")
@pytest.mark.parametrize("counts_light", [True, False])
def test_greys_of_one_channel_count_either_way(counts_light):
    value = np.linspace(0, 1, 21)
    lightness = 15 + 80 * (value if counts_light else 1 - value)
    lab = np.stack([lightness, 0 * value, -2 + 0 * value], axis=-1)
    assert judged("GRAY", value[:, None], None, None, lab).broken == ()

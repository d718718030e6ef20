"""Lights from files, and by name."""

import numpy as np
import pytest

from spectro.colour.lights import named_light
from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError, MeasurementFileError, SpectroError
from spectro.files.light_file import find_light, read_light

NM = np.arange(380, 781, 5)
POWER = np.interp(NM, [380, 450, 500, 780], [5.0, 90, 40, 20])  # invented


def rows(separator=",", decimal="."):
    return [f"{nm}{separator}{value:.3f}".replace(".", decimal) for nm, value in zip(NM, POWER, strict=True)]


@pytest.mark.parametrize(
    "text",
    [
        "\n".join(rows()),
        "wavelength_nm,power\n" + "\n".join(rows()) + "\n",
        "# a lamp\nnm;W\r\n" + "\r\n".join(rows(";", ",")),
        "\n".join(rows("\t")),
        "\n".join(rows("  ")),
        "\n".join(reversed(rows())),
    ],
)
def test_spellings_of_one_light(tmp_path, text):
    path = tmp_path / "lamp.csv"
    path.write_text(text, "utf-8", newline="")
    light = read_light(path)
    assert light.name == "lamp.csv"
    assert "380 to 780 nm" in light.origin
    np.testing.assert_allclose(light.power[20::5], np.round(POWER, 3))
    np.testing.assert_allclose(light.power[:20], 5.0)  # the end value is held
    assert light.power[22] == pytest.approx(np.interp(382, NM, np.round(POWER, 3)))


def test_cgats_with_two_fields_or_one_row(tmp_path):
    columns = tmp_path / "booth.txt"
    data = "\n".join(f"{nm} {value:.3f}" for nm, value in zip(NM, POWER, strict=True))
    columns.write_text(
        f"CGATS.17\nNUMBER_OF_FIELDS 2\nBEGIN_DATA_FORMAT\nWAVELENGTH POWER\nEND_DATA_FORMAT\nNUMBER_OF_SETS {len(NM)}\n"
        f"BEGIN_DATA\n{data}\nEND_DATA\n"
    )
    line = tmp_path / "lamp.cgats"
    names = " ".join(f"SPECTRAL_NM{nm}" for nm in NM)
    values = " ".join(f"{value:.3f}" for value in POWER)
    line.write_text(
        f"CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID {names}\nEND_DATA_FORMAT\nNUMBER_OF_SETS 1\nBEGIN_DATA\n1 {values}\nEND_DATA\n"
    )
    np.testing.assert_allclose(read_light(columns).power, read_light(line).power)


def test_a_file_of_a_known_light_gives_its_colours(tmp_path):
    path = tmp_path / "measured.csv"
    d65 = named_light("D65").power
    path.write_text("\n".join(f"{nm},{value!r}" for nm, value in zip(range(360, 781), (d65 * 0.017).tolist(), strict=True)))
    nm = np.arange(380.0, 731.0, 10.0)
    reflectance = np.linspace(0.1, 0.9, 36)
    found = spectra_to_lab(reflectance, nm, find_light(str(path)), 10)
    np.testing.assert_allclose(found, spectra_to_lab(reflectance, nm, "D65", 10), atol=1e-9)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("", "empty file"),
        ("wavelength,power\n", "no line with a wavelength"),
        ("400,1\n500,1\n600,1\nx,1\n", "x,1"),
        ("400,1\n500,1\n600,1\n700,1\n", "step of 100 nm"),
        ("500,1\n510,1\n520,1\n530,1\n", "from 500 to 530"),
        ("\n".join([*rows(), "400,3"]), "400 nm twice"),
        ("\n".join(rows()).replace("380,5.000", "380,-50"), "power of -50 at 380"),
        ("\n".join(f"{nm},0" for nm in NM), "no power"),
        ("380,1e999\n" + "\n".join(rows()[1:]), "too large"),
    ],
)
def test_damaged_files_are_refused(tmp_path, text, found):
    path = tmp_path / "bad.csv"
    path.write_text(text)
    with pytest.raises(MeasurementFileError, match=found):
        read_light(path)


def test_dark_noise_below_zero_is_taken(tmp_path):
    path = tmp_path / "noisy.csv"
    path.write_text("\n".join(rows()).replace("380,5.000", "380,-0.2"))
    assert read_light(path).power.min() == 0


def test_names_and_files_are_told_apart(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert find_light("f11").name == "F11"
    assert find_light("5500K").name == "5500K"
    (tmp_path / "D50").write_text("\n".join(rows()))
    assert find_light("D50").origin == "CIE illuminant"
    assert "linear" in find_light("./D50").origin
    with pytest.raises(MeasurementFileError, match="no such file"):
        find_light("absent.csv")
    with pytest.raises(InputError, match="'lamp'"):
        find_light("lamp")
    with pytest.raises(SpectroError):
        find_light(str(tmp_path))


@pytest.mark.parametrize(
    "inside",
    [
        "<CustomSpectrum>{points}</CustomSpectrum>",
        '<EmissiveSpectrum StartWL="380" Increment="5">{list}</EmissiveSpectrum>',
    ],
)
def test_a_light_in_a_colour_exchange_file(tmp_path, inside):
    """The element of a light's spectrum is named from memory; the structure is that of ISO 17972-1."""
    points = "".join(f'<SpectralPoint WL="{nm}">{value:.3f}</SpectralPoint>' for nm, value in zip(NM, POWER, strict=True))
    body = inside.format(points=points, list=" ".join(f"{value:.3f}" for value in POWER))
    whole = (
        "<?xml version='1.0'?><CxF xmlns='http://colorexchangeformat.com/CxF3-core'><Resources><ObjectCollection>{}"
        "</ObjectCollection></Resources></CxF>"
    )
    item = f'<Object ObjectType="Light" Name="lamp" Id="a"><ColorValues>{body}</ColorValues></Object>'
    (tmp_path / "lamp.cxf").write_text(whole.format(item))
    (tmp_path / "lamp.csv").write_text("\n".join(rows()))
    np.testing.assert_allclose(read_light(tmp_path / "lamp.cxf").power, read_light(tmp_path / "lamp.csv").power)
    (tmp_path / "two.cxf").write_text(whole.format(item + item.replace('Id="a"', 'Id="b"')))
    with pytest.raises(MeasurementFileError, match="2 spectra"):
        read_light(tmp_path / "two.cxf")

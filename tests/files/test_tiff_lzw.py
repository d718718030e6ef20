"""Strips and tiles under LZW: the pixels that went in, and for damaged ones an error and never the end of the process."""

import numpy as np
import pytest
import tifffile

from spectro.errors import PictureFileError
from spectro.files.tiff_rows import open_tiff

PHOTOMETRIC = {1: "minisblack", 3: "rgb", 4: "separated"}
FORMS = (
    ({"rowsperstrip": 5}, "<"),
    ({"tile": (16, 32), "predictor": True}, "<"),
    ({"rowsperstrip": 7, "predictor": True}, ">"),
    ({"rowsperstrip": 100}, ">"),
)


@pytest.mark.source("TIFF-6.0", "LZW compression and horizontal differencing, written by a general library")
@pytest.mark.parametrize("channels", [1, 3, 4])
@pytest.mark.parametrize("dtype", [np.uint8, np.uint16])
def test_lzw_comes_back_as_it_went_in(tmp_path, channels, dtype):
    rng = np.random.default_rng(2)
    given = rng.integers(0, 40, (37, 53, channels)).cumsum(axis=1).astype(dtype)
    for options, order in FORMS:
        with tifffile.TiffWriter(tmp_path / "a.tif", byteorder=order) as file:
            file.write(given.squeeze(), photometric=PHOTOMETRIC[channels], compression="lzw", **options)
        opened = open_tiff(tmp_path / "a.tif")
        found = np.concatenate([opened.read(start, min(start + 10, 37)).copy() for start in range(0, 37, 10)])
        np.testing.assert_array_equal(found, given)


@pytest.mark.common_practice("no source: damaged data is refused, whatever the library does with it")
def test_damaged_lzw_is_refused_and_ends_nothing(tmp_path):
    """Bytes changed at random within the strips."""
    rng = np.random.default_rng(3)
    given = rng.integers(0, 40, (37, 53, 3)).cumsum(axis=1).astype(np.uint8)
    tifffile.imwrite(tmp_path / "a.tif", given, photometric="rgb", compression="lzw", predictor=True, rowsperstrip=4)
    whole = (tmp_path / "a.tif").read_bytes()
    with tifffile.TiffFile(tmp_path / "a.tif") as file:
        first, last = min(file.pages[0].dataoffsets), max(file.pages[0].dataoffsets)
    refused = 0
    for _ in range(60):
        data = bytearray(whole)
        for place in rng.integers(first, last, 4):
            data[place] = int(rng.integers(0, 256))
        (tmp_path / "b.tif").write_bytes(bytes(data))
        try:
            found = open_tiff(tmp_path / "b.tif").read(0, 37)
        except PictureFileError:
            refused += 1
        else:
            assert found.shape == given.shape
    assert refused > 10

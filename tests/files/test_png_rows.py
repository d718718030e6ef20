"""PNG files in bands: the rows of the general library, in whatever order they are asked for, in little memory."""

import struct
import threading
import zlib

import imagecodecs
import numpy as np
import pytest

from spectro.errors import PictureFileError
from spectro.files import png_file
from spectro.files.png_file import PngRows, open_png
from spectro.files.tiff_directory import Directory

SHAPE = (83, 47)
ORDERS = ([(0, 83)], [(0, 10), (20, 83), (10, 20)], [(50, 51), (3, 4), (82, 83), (0, 30)])


@pytest.fixture(autouse=True)
def short_bands(monkeypatch):
    """Bands of a few rows, so that small pictures have many."""
    monkeypatch.setattr(png_file, "_BAND", 2000)
    monkeypatch.setattr(png_file, "_PIECE", 700)


def pixels(channels, bits):
    """Smooth and rough parts, so that a library stores rows by every filter."""
    rng = np.random.default_rng(channels * bits)
    noise = rng.integers(0, 2**bits, (*SHAPE, channels))
    smooth = np.add.outer(np.arange(SHAPE[0]) * 7, np.arange(SHAPE[1]) * 3)[..., None] * 2 ** (bits - 9)
    found = np.where(np.arange(SHAPE[0])[:, None, None] % 20 < 7, noise, smooth) % 2**bits
    return found.astype(np.uint8 if bits == 8 else np.uint16)


@pytest.mark.source("PNG-3", "filters, by the general library")
@pytest.mark.parametrize("channels", [1, 2, 3, 4])
@pytest.mark.parametrize("bits", [8, 16])
def test_rows_are_those_of_the_library_both_ways(tmp_path, channels, bits):
    """What the library wrote is read band by band, what is written row by row the library reads."""
    given = pixels(channels, bits)
    (tmp_path / "a.png").write_bytes(imagecodecs.png_encode(given if channels > 1 else given[..., 0], level=6))
    rows = PngRows(tmp_path / "b.png", given.shape, bits)
    rows.begin(Directory(), b"", ())
    for start, stop in ((0, 1), (1, 40), (40, 83)):
        rows.add(given[start:stop])
    rows.finish()
    np.testing.assert_array_equal(imagecodecs.png_decode((tmp_path / "b.png").read_bytes()).reshape(given.shape), given)
    for name in ("a.png", "b.png"):
        for order in ORDERS:
            opened = open_png(tmp_path / name)
            for start, stop in order:
                np.testing.assert_array_equal(opened.read(start, stop), given[start:stop])


@pytest.mark.common_practice("no source: little memory is the purpose")
def test_rows_that_were_read_are_let_go_and_waiting_ones_are_few(tmp_path, monkeypatch):
    """Reading from top to bottom keeps nothing; leaving rows out keeps no more than may wait, and none is wrong."""
    given = pixels(3, 16)
    (tmp_path / "a.png").write_bytes(imagecodecs.png_encode(given))
    monkeypatch.setattr(png_file, "_MOST_WAITING", 6000)
    opened = open_png(tmp_path / "a.png")
    rows = opened.read.__self__
    for start in range(0, 80, 10):
        opened.read(start, start + 10)
        assert sum(len(block.pixels) for block in rows._blocks) <= 7
    for row in (*range(0, 83, 9), 4, 60):
        np.testing.assert_array_equal(opened.read(row, row + 1), given[row : row + 1])
        assert sum(block.pixels.nbytes for block in rows._blocks) <= 6000 + 2 * 2000


@pytest.mark.common_practice("no source: threads ask in any order")
def test_threads_get_their_own_rows(tmp_path):
    given = pixels(3, 8)
    (tmp_path / "a.png").write_bytes(imagecodecs.png_encode(given))
    opened, wrong = open_png(tmp_path / "a.png"), []

    def work(starts):
        for start in starts:
            if not np.array_equal(opened.read(start, start + 5), given[start : start + 5]):
                wrong.append(start)

    threads = [threading.Thread(target=work, args=(range(first, 80, 20),)) for first in (0, 5, 10, 15)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert wrong == []


@pytest.mark.common_practice("no source: damage in the middle is found when it is reached")
def test_pixels_that_end_early_or_are_no_deflate_are_damage(tmp_path):
    """A stream cut in its middle under right check sums, and one that is no stream."""
    given = pixels(3, 8)
    packed = zlib.compress(b"".join(b"\0" + row.tobytes() for row in given))
    head = png_file.pack_chunk(b"IHDR", struct.pack(">IIBBBBB", SHAPE[1], SHAPE[0], 8, 2, 0, 0, 0))
    for body in (packed[: len(packed) // 2], b"no stream at all, but of some length" * 40):
        data = b"\x89PNG\r\n\x1a\n" + head + png_file.pack_chunk(b"IDAT", body) + png_file.pack_chunk(b"IEND", b"")
        (tmp_path / "a.png").write_bytes(data)
        with pytest.raises(PictureFileError, match="damaged"):
            open_png(tmp_path / "a.png").read(0, 83)

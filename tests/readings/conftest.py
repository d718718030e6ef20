"""Invented readings as text files: a few patches, 380 to 730 nm, every part of the file open to change."""

from collections.abc import Callable, Sequence
from pathlib import Path

import pytest

NM = tuple(range(380, 740, 10))
DEVICE = ((0, 0, 0), (255, 255, 255), (255, 0, 0), (10, 200, 128))


def flat(level: float) -> list[str]:
    """One invented spectrum of 36 bands that rises a little."""
    return [f"{level * (1 + 0.001 * band):.4f}" for band in range(len(NM))]


def table_text(
    *,
    header: Sequence[str] = (),
    fields: Sequence[str] = ("SAMPLE_ID", "RGB_R", "RGB_G", "RGB_B", *(f"SPECTRAL_NM{nm}" for nm in NM)),
    rows: Sequence[Sequence[object]] | None = None,
    device: Sequence[Sequence[object]] = DEVICE,
    spectra: Sequence[Sequence[str]] | None = None,
) -> str:
    """Text of a table; rows, where given, stand instead of ids, device values and spectra."""
    levels = spectra or [flat(0.02 + 0.8 * index / len(device)) for index in range(len(device))]
    if rows is None:
        rows = [[index + 1, *values, *levels[index]] for index, values in enumerate(device)]
    lines = ["CGATS.17", *header, f"NUMBER_OF_FIELDS\t{len(fields)}", "BEGIN_DATA_FORMAT", "\t".join(fields)]
    lines += ["END_DATA_FORMAT", f"NUMBER_OF_SETS\t{len(rows)}", "BEGIN_DATA"]
    lines += ["\t".join(map(str, row)) for row in rows]
    return "\n".join([*lines, "END_DATA", ""])


@pytest.fixture
def readings_text() -> Callable[..., str]:
    """The maker of table texts."""
    return table_text


@pytest.fixture
def readings_file(tmp_path: Path) -> Callable[..., Path]:
    """Write an invented table under a name and return its path; text stands instead of the table's parts."""

    def write(name: str = "readings.txt", *, text: str | None = None, **parts: object) -> Path:
        path = tmp_path / name
        path.write_text(text if text is not None else table_text(**parts), "utf-8")  # type: ignore[arg-type]
        return path

    return write

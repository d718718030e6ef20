"""Page codes found in the picture of a page: turned by any angle, skewed, unevenly lit, coarse or very fine.

The square is looked for in the picture as it is; then, until one is found, in smaller, larger, softened and evened
versions of it, since decoders want neither few nor very many pixels a module. [ISO-18004]
"""

from collections.abc import Iterator

import numpy as np

from spectro.chart.page_code import PageCode, parse_page_code
from spectro.chart.page_picture import needed
from spectro.errors import InputError
from spectro.records.arrays import AnyArray

_SIDE = 2400  # pixels of the longer side that most pages are read best at: 8 pixels a mm on A4 (our choice)
_LARGEST = 6000  # that a picture is enlarged to (our choice)


def page_codes(picture: AnyArray) -> tuple[tuple[str, PageCode], ...]:
    """Return the page codes in a picture, text and meaning, each once, check sums verified.

    picture: (rows, columns), uint8. Raises InputError where there is none of ours: with what codes say that are others,
    or that are damaged.
    """
    reader = needed("zxingcpp")
    found: dict[str, PageCode] = {}
    refused: list[str] = []
    for version in _versions(picture):
        for code in reader.read_barcodes(version, formats=reader.BarcodeFormat.QRCode):
            try:
                found.setdefault(code.text, parse_page_code(code.text))
            except InputError as error:
                refused.append(
                    str(error) if code.text.upper().startswith("SPECTRO") else f"a code that says {code.text[:60]!r}"
                )
        if found:
            return tuple(found.items())
    others = f", but {'; '.join(dict.fromkeys(refused))}" if refused else ""
    raise InputError(
        f"no page code{others}", "a picture in which the square of the page is sharp, with the white around it",
        "Photograph the square from nearer by, evenly lit, or scan it at 300 dpi; or type the line next to it.",
    )  # fmt: skip


def _versions(picture: AnyArray) -> Iterator[AnyArray]:
    """Yield the picture and versions of it, the likeliest first."""
    image_module = needed("PIL.Image")
    filters = needed("PIL.ImageFilter")
    longer = max(picture.shape)
    yield picture
    image = image_module.fromarray(picture)

    def sized(side: int) -> AnyArray:
        factor = side / longer
        size = (max(1, round(picture.shape[1] * factor)), max(1, round(picture.shape[0] * factor)))
        return np.asarray(image.resize(size, image_module.Resampling.LANCZOS))

    smaller = [side for side in (_SIDE, _SIDE // 2) if side < longer * 0.9]
    larger = [side for side in (longer * 2, longer * 3) if side <= _LARGEST]
    for side in (*smaller, *larger):
        yield sized(side)
    base = sized(_SIDE) if longer > _SIDE else picture
    for version in (base, *(sized(side) for side in larger[:1])):
        whole = image_module.fromarray(version)
        around = np.asarray(whole.filter(filters.BoxBlur(max(8, max(version.shape) // 40))), dtype=np.float64)
        evened = np.clip(version / np.maximum(around, 1.0) * 160.0, 0, 255).astype(np.uint8)
        yield evened
        yield np.asarray(image_module.fromarray(evened).filter(filters.GaussianBlur(1.2)))
        yield np.asarray(whole.filter(filters.UnsharpMask(radius=3, percent=200, threshold=0)))
        yield np.asarray(whole.filter(filters.MedianFilter(3)))

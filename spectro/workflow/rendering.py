"""`spectro profile show --renders`: ramps and a made-up photograph as they would print, to look at."""

import io
from pathlib import Path

import numpy as np

from spectro.colour.srgb import lab_to_srgb
from spectro.errors import ProfileFileError, TagError
from spectro.files.atomic import check_writable, make_folder, write_whole
from spectro.icc.evaluate import device_to_lab, lab_to_device
from spectro.icc.profile_file import IccProfile, read_profile
from spectro.records.arrays import AnyArray, FloatArray
from spectro.stand_in.photograph import photograph, ramps

INTENTS = {"perceptual": "B2A0", "colorimetric": "B2A1", "saturation": "B2A2"}


def profile_renders(profile: Path, folder: Path, *, replace: bool = False) -> tuple[str, ...]:
    """Write pictures of what a profile prints and return their names.

    For each intent the ramps and the photograph, as they would look in print, as 16-bit sRGB TIFF and as PNG; the pictures
    before printing beside them. Colours sRGB cannot show are clipped. Raises ProfileFileError for other than RGB profiles.
    """
    parsed = read_profile(profile)
    if parsed.header.colour_space != b"RGB ":
        raise ProfileFileError(str(profile), "a profile for another space", "one for RGB", "Give an RGB printer's profile.")
    pictures = {"ramps": ramps(), "photograph": photograph()}
    names = [f"{picture}-{intent}{end}" for intent in ("before", *INTENTS) for picture in pictures for end in (".tif", ".png")]
    make_folder(folder)
    for name in names:
        check_writable(folder / name, replace=replace)
    for picture, lab in pictures.items():
        for intent in ("before", *INTENTS):
            seen = lab if intent == "before" else _printed(parsed, str(profile), lab, INTENTS[intent])
            shown = lab_to_srgb(seen)
            write_whole(folder / f"{picture}-{intent}.tif", _tiff(shown), replace=replace)
            write_whole(folder / f"{picture}-{intent}.png", _png(shown), replace=replace)
    return tuple(names)


def _printed(profile: IccProfile, file: str, lab: FloatArray, table: str) -> FloatArray:
    try:
        device = np.clip(lab_to_device(profile, lab.reshape(-1, 3), table), 0, 1)
        return device_to_lab(profile, device).reshape(lab.shape)
    except TagError as error:
        raise ProfileFileError(file, str(error), "an undamaged output profile", "Build it anew.") from error


def _tiff(values: FloatArray) -> bytes:
    import tifffile

    stream = io.BytesIO()
    tifffile.imwrite(stream, _integers(values, 65535, np.uint16), photometric="rgb", compression="zlib", predictor=True)
    return stream.getvalue()


def _png(values: FloatArray) -> bytes:
    from PIL import Image

    stream = io.BytesIO()
    Image.fromarray(_integers(values, 255, np.uint8), "RGB").save(stream, "PNG")
    return stream.getvalue()


def _integers(values: FloatArray, full: int, kind: type) -> AnyArray:
    return np.round(values * full).astype(kind)

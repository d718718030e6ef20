"""`spectro profile show --renders`: ramps and a made-up photograph as they would print, to look at."""

import io
from pathlib import Path

import numpy as np

from spectro.checks.table_effect import full_colours, outline, table_effect
from spectro.colour.difference import delta_e_2000
from spectro.colour.source_gamut import SPACES
from spectro.colour.srgb import lab_to_srgb
from spectro.errors import ProfileFileError, TagError
from spectro.files.atomic import check_writable, make_folder, write_whole
from spectro.files.overwriting import keeps_what_it_reads
from spectro.icc.evaluate import device_to_lab, lab_to_device
from spectro.icc.profile_file import IccProfile, read_profile
from spectro.profile.evidence import description
from spectro.profile.printed_gamut import surface_points
from spectro.records.arrays import AnyArray, FloatArray
from spectro.records.render_sheet import Render, RenderSheet
from spectro.records.shown_text import shown_name, text_bytes
from spectro.records.table_effect import TableEffect
from spectro.report.render_html import render_html
from spectro.report.renders_document import renders_document
from spectro.stand_in.photograph import photograph, ramps
from spectro.standards.limits import shipped_limits
from spectro.words.profile import renders_verdict

PAGE = "index.html"

_HUES = np.arange(0, 360, 4.0)


@keeps_what_it_reads("folder")
def profile_renders(profile: Path, folder: Path, *, replace: bool = False) -> tuple[str, ...]:
    """Write pictures of what a profile prints and a page that shows them side by side; return their names, the page first.

    For each intent the ramps and the photograph, as they would look in print, as 16-bit sRGB TIFF and as PNG; the pictures
    before printing beside them. Colours sRGB cannot show are clipped; an intent without a table is left out. Raises
    ProfileFileError for other than RGB profiles.
    """
    parsed = read_profile(profile)
    if parsed.header.colour_space != b"RGB ":
        raise ProfileFileError(str(profile), "a profile for another space", "one for RGB", "Give an RGB printer's profile.")
    try:
        effect = table_effect(parsed)
    except TagError as error:
        raise ProfileFileError(str(profile), str(error), "an undamaged output profile", "Build it again.") from error
    tables = {one.intent: one.table for one in effect.intents}
    pictures = {"photograph": photograph(), "ramps": ramps()}
    names = [f"{picture}-{intent}{end}" for picture in pictures for intent in ("before", *tables) for end in (".tif", ".png")]
    make_folder(folder)
    for name in (PAGE, *names):
        check_writable(folder / name, replace=replace)
    limit = shipped_limits("profile")["picture_outside"]
    renders, outside = [], float("nan")
    for picture, lab in pictures.items():
        for intent in ("before", *tables):
            seen = lab if intent == "before" else _printed(parsed, str(profile), lab, tables[intent])
            change = delta_e_2000(lab.reshape(-1, 3), seen.reshape(-1, 3))
            if (picture, intent) == ("photograph", "colorimetric"):
                outside = float((change > limit).mean())
            shown = lab_to_srgb(seen)
            png, tiff = f"{picture}-{intent}.png", f"{picture}-{intent}.tif"
            write_whole(folder / tiff, _tiff(shown), replace=replace)
            write_whole(folder / png, _png(shown), replace=replace)
            mean = float(change.mean())
            renders.append(Render(picture=picture, intent=intent, png=png, tiff=tiff, mean_change=mean))
    sheet = _sheet(parsed, profile, tuple(renders), outside, effect)
    write_whole(folder / PAGE, text_bytes(render_html(renders_document(sheet))), replace=replace)
    return (PAGE, *names)


def _sheet(profile: IccProfile, path: Path, renders: tuple[Render, ...], outside: float, effect: TableEffect) -> RenderSheet:
    printed = device_to_lab(profile, surface_points(33))
    changes = {one.intent: one.mean_change for one in renders if one.picture == "photograph" and one.intent != "before"}
    return RenderSheet(
        verdict=renders_verdict(changes),
        profile_file=shown_name(path),
        profile_name=description(profile),
        icc_version="{}.{}".format(*profile.header.version),
        renders=renders,
        outside=outside,
        effect=effect,
        source_outlines={name: full_colours(name, _HUES)[:, 1:] for name in SPACES},
        print_outline=outline(printed, _HUES),
    )


def _printed(profile: IccProfile, file: str, lab: FloatArray, table: str) -> FloatArray:
    try:
        device = np.clip(lab_to_device(profile, lab.reshape(-1, 3), table), 0, 1)
        return device_to_lab(profile, device).reshape(lab.shape)
    except TagError as error:
        raise ProfileFileError(file, str(error), "an undamaged output profile", "Build it again.") from error


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

"""`spectro image preview`: a picture as papers and intents would show it, before anything is printed."""

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from spectro.checks.picture_choice import better, look_alike, lost_detail
from spectro.checks.picture_in_print import outside_by, picture_in_print
from spectro.colour.lightening import lightened
from spectro.errors import InputError, PictureFileError, TagError
from spectro.files.atomic import check_writable, write_whole
from spectro.files.display_profile import found_display_profile
from spectro.files.overwriting import keeps_what_it_reads
from spectro.files.picture_opening import open_picture
from spectro.files.picture_sample import small_copy
from spectro.profile.picture_conversion import PictureProfile, Step, picture_profile, srgb_picture_profile
from spectro.profile.picture_print import printed_colours, values_lab
from spectro.profile.picture_source import read_picture_profile, source_of
from spectro.profile.soft_proof import LINES, on_display, with_flare, with_lines, with_stripes
from spectro.records.arrays import AnyArray, FloatArray, triple
from spectro.records.conditions import RenderingIntent
from spectro.records.image import PictureChoice, Preview, Proof, ViewSettings
from spectro.records.progress import Progress, silent
from spectro.records.shown_text import text_bytes
from spectro.standards.limits import shipped_limits
from spectro.words.image import choice_words, display_words

INTENTS = (RenderingIntent.PERCEPTUAL, RenderingIntent.RELATIVE)
SRGB = "srgb"
PAGES, PICTURES = (".html", ".htm"), (".png", ".tif", ".tiff")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Scene:
    """The picture, and how it is looked at."""

    values: AnyArray  # (rows, columns, channels), uint16, as they are to be printed
    wanted: FloatArray  # (rows × columns, 3) Lab
    source: PictureProfile
    display: PictureProfile
    view: ViewSettings
    black_compensation: bool


@keeps_what_it_reads()
def image_preview(
    picture: Path,
    papers: Sequence[tuple[str, Path]],
    *,
    intents: Sequence[RenderingIntent] = INTENTS,
    black_compensation: bool = True,
    source: Path | None = None,
    display: Path | str | None = None,
    view: ViewSettings | None = None,
    out: Path | None = None,
    replace: bool = False,
    progress: Progress = silent,
) -> Preview:
    """Show a picture as several papers and intents would print it, and say which is the better choice.

    papers: name ("" for that of the file) and profile of each. source: the profile of the picture's numbers, instead of
    its own. display: the profile of the display, or the word srgb; None: the one that the system names, else sRGB. out: a
    page (.html), or a picture (.png, .tif) with the proofs side by side; None: nothing is written. Raises errors of
    `spectro.errors`.
    """
    view = view or ViewSettings()
    if out is not None:
        if out.suffix.lower() not in (*PAGES, *PICTURES):
            raise InputError(f"{out.name} in `out`", "a name that ends in .html, .png or .tif", "Correct `out`.")
        check_writable(out, replace=replace)
    targets = [(name, path, read_picture_profile(path)) for name, path in papers]
    shown, words, own_data = _display(display)
    progress("reading the picture", 0.0)
    opened = open_picture(picture)
    own, read_as = source_of(opened, None if source is None else read_picture_profile(source))
    values = small_copy(opened, view.longest)[..., : opened.channels]
    if values.shape[2] == 1 and own.channels > 1:
        values = np.repeat(values, own.channels, axis=2)
    try:
        scene = _Scene(
            values=_lightened(values, view.wall_lux, space=own.space),
            wanted=values_lab(values.reshape(-1, values.shape[2]), own),
            source=own,
            display=shown,
            view=view,
            black_compensation=black_compensation,
        )
        proofs, choice = _proofs(targets, intents, scene, progress)
    except TagError as error:
        raise PictureFileError(picture, str(error), "two usable profiles", "Give `from_profile` or another paper.") from error
    preview = Preview(
        source=str(picture),
        written="" if out is None else str(out),
        width=opened.width,
        height=opened.height,
        read_as=read_as,
        display=words,
        display_profile=own_data,
        view=view,
        original=_shown(scene.wanted, scene)[0],
        proofs=proofs,
        choice=choice,
    )
    progress("writing", 0.95)
    if out is not None:
        write_whole(out, _packed(preview, out), replace=replace)
    progress("done", 1.0)
    return preview


def _display(given: Path | str | None) -> tuple[PictureProfile, str, bytes]:
    """Return the profile of the display that is given or that the system names, words for it, its bytes; else sRGB, b""."""
    if given is not None and str(given).lower() != SRGB:
        shown = read_picture_profile(Path(given))
        if shown.space != "rgb":
            raise InputError(f"a profile for {shown.device_space} in `display`", "one for RGB", "Give that of the display.")
        return shown, display_words(shown.name or Path(given).name), shown.data
    data = found_display_profile() if given is None else b""
    if data:
        with suppress(TagError):
            shown = picture_profile(data)
            if shown.space == "rgb":
                return shown, display_words(shown.name or "of this machine", found=True), data
    return srgb_picture_profile(), display_words("", asked=given is not None), b""


def _lightened(values: AnyArray, wall_lux: float | None, *, space: str) -> AnyArray:
    return values if wall_lux is None else lightened(values, wall_lux, space=space)


def _proofs(
    targets: Sequence[tuple[str, Path, PictureProfile]], intents: Sequence[RenderingIntent], scene: _Scene, progress: Progress
) -> tuple[tuple[Proof, ...], PictureChoice]:
    """Return the picture on each paper by each intent, and which of them to take."""
    proofs, scores, prints = [], [], []
    for number, (name, path, target) in enumerate(targets):
        for place, intent in enumerate(intents):
            progress(f"{name or path.stem}, {intent}", 0.1 + 0.8 * (number + place / len(intents)) / len(targets))
            proof, score, lab = _proof(name or path.stem, target, intent, scene)
            proofs.append(proof)
            scores.append(score)
            prints.append(lab)
    return tuple(proofs), _choice(proofs, scores, prints)


def _shown(lab: FloatArray, scene: _Scene) -> tuple[AnyArray, FloatArray]:
    rows, columns = scene.values.shape[:2]
    numbers, short = on_display(with_flare(lab, scene.view.flare), scene.display)
    return numbers.reshape(rows, columns, 3), short.reshape(rows, columns)


def _proof(
    name: str, target: PictureProfile, intent: RenderingIntent, scene: _Scene
) -> tuple[Proof, tuple[str, str, float, float], FloatArray]:
    """Return a proof, what is decided by, and the print's absolute Lab (n, 3)."""
    rows, columns, channels = scene.values.shape
    flat = scene.values.reshape(-1, channels)
    step = Step(source=scene.source, target=target, intent=intent, black_compensation=scene.black_compensation)
    colours = printed_colours(flat, step)
    numbers = picture_in_print(name, flat, step, colours)
    pixels, short = _shown(colours.absolute if scene.view.beside_white else colours.relative, scene)
    outside = outside_by(colours.wanted, step).reshape(rows, columns)
    beyond = short > shipped_limits("profile")["picture_outside"]
    proof = Proof(
        numbers=numbers,
        pixels=pixels,
        lines=with_lines(with_stripes(pixels, beyond), outside),
        display_short=float(beyond.mean()),
        white_lab=triple(_paper(target)),
        levels=tuple((limit, float((outside > limit).mean())) for limit in LINES),
    )
    loss = lost_detail(colours.wanted.reshape(rows, columns, 3), colours.relative.reshape(rows, columns, 3))
    return proof, (name, str(intent), loss, numbers.change_delta_e_2000), colours.absolute


def _paper(target: PictureProfile) -> FloatArray:
    """Return Lab (3,) of the bare paper, absolute."""
    full = 0 if target.space == "cmyk" else 65535
    white: FloatArray = values_lab(np.full((1, target.channels), full, np.uint16), target, absolute=True)[0]
    return white


def _choice(
    proofs: Sequence[Proof], scores: Sequence[tuple[str, str, float, float]], prints: Sequence[FloatArray]
) -> PictureChoice:
    chosen, reason = better([one[2] for one in scores], [one[3] for one in scores])
    if reason == "even" and all(look_alike(prints[chosen], other) for other in prints):
        reason = "same"
    paper, intent = scores[chosen][:2]
    words = choice_words(reason, chosen, scores, several=len({one.numbers.paper for one in proofs}) > 1)
    return PictureChoice(number=chosen, paper=paper, intent=intent, reason=reason, words=words, scores=tuple(scores))


def _packed(preview: Preview, out: Path) -> bytes:
    if out.suffix.lower() in PAGES:
        from spectro.report.image_document import preview_document
        from spectro.report.render_html import render_html

        return text_bytes(render_html(preview_document(preview)))
    from spectro.files.png_file import pack_png
    from spectro.files.tiff_directory import Directory

    strip = np.concatenate([one.pixels for one in preview.proofs], axis=1)
    profile = preview.display_profile or srgb_picture_profile().data
    if out.suffix.lower() == ".png":
        return pack_png(strip, Directory(), profile, ())
    from spectro.files.picture_writing import packed_tiff

    return packed_tiff(strip, profile)

"""Pictures: judged, shown on papers, and into the numbers of a printer and paper."""

from pathlib import Path

from spectro.library.answers import Answer, Place, choice, places
from spectro.records.conditions import RenderingIntent
from spectro.records.image import PictureSettings, ViewSettings
from spectro.report.fault_picture_document import fault_picture_document
from spectro.report.image_document import conversion_document, inspection_document, preview_document, strip_document
from spectro.workflow.image.convert import image_convert
from spectro.workflow.image.inspect import image_inspect
from spectro.workflow.image.preview import image_preview
from spectro.workflow.image.test_picture import image_test_picture
from spectro.workflow.image.test_strip import LIGHTENINGS, StripSettings, image_test_strip


def convert_pictures(
    *pictures: Place,
    to: Place | None = None,
    link: Place | None = None,
    out: Place | None = None,
    intent: str = "perceptual",
    black_compensation: bool = True,
    from_profile: Place | None = None,
    bits: int | None = None,
    dither: bool = False,
    as_printed_by: Place | None = None,
    paper_tint: bool = False,
    control_strip: Place | None = None,
    replace: bool = False,
) -> Answer:
    """Convert pictures to the numbers of a profile and write them.

    pictures: TIFF, PNG or JPEG, or folders of them. to: the profile of printer and paper. link: a device link instead of two
    profiles; `to` is then only embedded. out: a file for one picture, else a folder; None: the current folder. intent:
    perceptual, relative, saturation or absolute. black_compensation: for perceptual and relative. from_profile: of the
    pictures' numbers, instead of their own. bits: 8 or 16; None: as the picture. dither: of 8 bits. as_printed_by: a profile
    whose print is shown by this one, with its paper's colour or without. control_strip: an aim, of which patches and a label
    go above the one picture. Raises errors of `spectro.errors`.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     paper = Path(folder) / "srgb.icc"
    ...     _ = paper.write_bytes(__import__("imagecodecs").cms_profile("srgb"))
    ...     answer = convert_pictures("demo_measurements/demo-photograph.png", to=paper, out=folder)
    >>> answer.numbers["pictures"][0]["width"]
    360
    """
    found = image_convert(
        places(list(pictures)),
        None if to is None else Path(to),
        link=None if link is None else Path(link),
        source=None if from_profile is None else Path(from_profile),
        as_printed_by=None if as_printed_by is None else Path(as_printed_by),
        control_strip=None if control_strip is None else Path(control_strip),
        out=None if out is None else Path(out),
        settings=PictureSettings(
            intent=choice(RenderingIntent, intent, "intent"),
            black_compensation=black_compensation,
            bits=bits,
            dither=dither,
            paper_tint=paper_tint,
        ),
        replace=replace,
    )
    return Answer(document=conversion_document(found))


def inspect_pictures(
    *pictures: Place, to: Place | None = None, from_profile: Place | None = None, print_width_mm: float | None = None
) -> Answer:
    """Say whether pictures are fit to print, and what a paper will do to them; nothing is written.

    to: the profile of printer and paper. from_profile: of the pictures' numbers, instead of their own. print_width_mm: of
    the print. Raises errors of `spectro.errors`.

    >>> inspect_pictures("demo_measurements/demo-photograph.png", print_width_mm=60).numbers["pictures"][0]["bits"]
    8
    """
    found = image_inspect(
        places(list(pictures)),
        to=None if to is None else Path(to),
        source=None if from_profile is None else Path(from_profile),
        print_width=print_width_mm,
    )
    return Answer(document=inspection_document(found))


def preview_picture(
    picture: Place,
    *papers: Place,
    intents: tuple[str, ...] = ("perceptual", "relative"),
    from_profile: Place | None = None,
    display: Place | None = None,
    beside_white: bool = True,
    flare: float = 0.0,
) -> Answer:
    """Show a picture as papers and intents would print it, and say which to take; `report` writes the page.

    papers: profiles of printer and paper. display: the profile of the display; None: sRGB. beside_white: as prints look
    beside white, else each by itself. flare: share of the light that the surface mirrors. Raises errors of `spectro.errors`.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     paper = Path(folder) / "srgb.icc"
    ...     _ = paper.write_bytes(__import__("imagecodecs").cms_profile("srgb"))
    ...     answer = preview_picture("demo_measurements/demo-photograph.png", paper)
    >>> answer.numbers["choice"]["reason"]
    'same'
    """
    found = image_preview(
        Path(picture),
        [("", Path(one)) for one in papers],
        intents=[choice(RenderingIntent, one, "intents") for one in intents],
        source=None if from_profile is None else Path(from_profile),
        display=None if display is None else Path(display),
        view=ViewSettings(beside_white=beside_white, flare=flare),
    )
    return Answer(document=preview_document(found))


def make_test_picture(out: Place, *, pixels_per_inch: int = 300, with_patches: bool = False, replace: bool = False) -> Answer:
    """Make a page that shows faults of prints to the eye, in opRGB, and the sheet that says where to look.

    out: the folder that is written. with_patches: two rows to be measured below, and their list. Raises errors of
    `spectro.errors`.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     answer = make_test_picture(Path(folder) / "picture", pixels_per_inch=100)
    >>> answer.numbers["files"]
    ['test-picture.tif', 'where-to-look.html']
    """
    made = image_test_picture(Path(out), pixels_per_inch=pixels_per_inch, with_patches=with_patches, replace=replace)
    return Answer(document=fault_picture_document(made))


def make_test_strip(
    picture: Place,
    to: Place,
    *,
    out: Place | None = None,
    intents: tuple[str, ...] = ("perceptual", "relative"),
    wall_lux: tuple[float, ...] = LIGHTENINGS,
    at: tuple[float, float] = (50.0, 50.0),
    print_width_mm: float | None = None,
    from_profile: Place | None = None,
    replace: bool = False,
) -> Answer:
    """Print one part of a picture by several intents and lightenings for dim places, side by side on a small sheet.

    to: the profile of printer and paper. out: a TIFF; None: the current folder, named after picture and paper. wall_lux:
    light of places, a column each after the picture as it is. at: the middle of the part, percent across and down.
    print_width_mm: of the whole picture. Raises errors of `spectro.errors`.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     paper = Path(folder) / "srgb.icc"
    ...     _ = paper.write_bytes(__import__("imagecodecs").cms_profile("srgb"))
    ...     shown = {"out": Path(folder) / "strip.tif", "wall_lux": (80.0,)}
    ...     answer = make_test_strip("demo_measurements/demo-photograph.png", paper, **shown)
    >>> str(answer).split(",")[0]
    'A test strip of 4 ways to convert this picture'
    """
    strip = image_test_strip(
        Path(picture),
        Path(to),
        settings=StripSettings(
            intents=[choice(RenderingIntent, one, "intents") for one in intents],
            lightenings=wall_lux,
            at=at,
            print_width=print_width_mm,
        ),
        source=None if from_profile is None else Path(from_profile),
        out=None if out is None else Path(out),
        replace=replace,
    )
    return Answer(document=strip_document(strip))

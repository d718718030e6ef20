"""`spectro image convert`"""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from spectro.cli.options import number
from spectro.cli.printing import print_document, progress_line
from spectro.cli.shelf_names import NAMED, working_from_shelf
from spectro.cli.shelf_options import add_shelf_option, some_text
from spectro.errors import InputError

if TYPE_CHECKING:
    from spectro.records.image import PictureSettings
    from spectro.workflow.steps.condition_files import Kept

INTENTS = ("perceptual", "relative", "saturation", "absolute")
PICTURE = "TIFF, PNG or JPEG with 8 or 16 bits, in RGB, grey or CMYK"
PICTURES = f"{PICTURE}; a folder: all in it"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("pictures", nargs="+", type=Path, metavar="PICTURE", help=PICTURES)
    parser.add_argument("--to", type=Path, metavar="PROFILE", help=f"the profile of printer and paper to convert to{NAMED}")
    parser.add_argument(
        "--link",
        type=Path,
        metavar="FILE.icc",
        help="a device link instead, which holds both ends and the intent, or its name on the shelf; --to then names the "
        "profile to embed, if any",
    )
    add_intent_options(parser)
    add_from_option(parser)
    parser.add_argument(
        "--out",
        type=Path,
        metavar="FILE",
        help="a file for one picture, else a folder; without it: the current folder, named after picture, paper and intent",
    )
    parser.add_argument(
        "--file-type", choices=["tiff", "png", "jpeg"], help="what is written (PNG stays PNG, all else becomes TIFF)"
    )
    parser.add_argument("--bits", type=int, choices=[8, 16], help="bits of each channel (as the picture has)")
    parser.add_argument(
        "--dither", action="store_true", help="spread the rounding to 8 bits as fine noise, so that smooth skies show no bands"
    )
    parser.add_argument(
        "--untagged", action="store_true", help="write without the profile, for programs that would convert again"
    )
    add_wall_option(parser)
    parser.add_argument(
        "--curve",
        dest="tone_curve",
        type=Path,
        metavar="FILE.csv",
        help="black and white: print through the linearising curve of profile monochrome; or its grey profile",
    )
    parser.add_argument(
        "--as-printed-by", type=Path, metavar="PROFILE", help="show what this other printing condition would print"
    )
    parser.add_argument("--paper-tint", action="store_true", help="with --as-printed-by: its paper's colour too")
    parser.add_argument(
        "--control-strip",
        type=Path,
        metavar="AIM",
        help="with --as-printed-by: strip of patches and label above the picture, and their list for aim check; a data set, "
        "an aim of your own, or its name on the shelf",
    )
    parser.add_argument(
        "--edition",
        type=some_text,
        metavar="TITLE",
        help="keep on the shelf what this picture is printed with; a reprint says what has changed since",
    )
    parser.add_argument("--replace", action="store_true", help="overwrite existing files")
    add_shelf_option(parser)
    parser.set_defaults(on_shelf=None)


def add_intent_options(parser: argparse.ArgumentParser) -> None:
    """Add the rendering intent and black compensation."""
    parser.add_argument("--intent", choices=INTENTS, default="perceptual", help="rendering intent (perceptual)")
    add_black_option(parser)


def add_wall_option(parser: argparse.ArgumentParser) -> None:
    """Add the light of a dim place that pictures are lightened for."""
    parser.add_argument(
        "--wall-lux",
        type=number(10, 500),
        metavar="LUX",
        help="lighten for a dim place with so much light, 10 to 500 (not lightened)",
    )


def add_black_option(parser: argparse.ArgumentParser) -> None:
    """Add whether blacks are brought to black."""
    parser.add_argument(
        "--no-black-compensation",
        action="store_true",
        help="leave blacks as they come; else perceptual and relative bring black to black",
    )


def add_from_option(parser: argparse.ArgumentParser) -> None:
    """Add the profile that a picture's numbers are in."""
    parser.add_argument(
        "--from",
        dest="from_profile",
        type=Path,
        metavar="PROFILE",
        help="the profile of the picture's numbers, instead of its own (sRGB where it has none)",
    )


def run(arguments: argparse.Namespace) -> int:
    """Convert. Returns 0, or 2 where some pictures could not be converted."""
    given = [one for one in (arguments.to, arguments.link, arguments.control_strip) if one is not None]
    if all(one.exists() for one in given):  # the shelf costs a third of the start-up, and is not asked
        return _convert(arguments, arguments.to, "", None, None)
    with working_from_shelf(arguments, arguments.to) as (files, name):
        profile = files.profile(name) if name else arguments.to
        link = files.link(arguments.link) if arguments.link else None
        return _convert(arguments, profile, name, link, files.aim(arguments.control_strip) if arguments.control_strip else None)


def _convert(arguments: argparse.Namespace, profile: Path | None, name: str, link: "Kept | None", aim: "Kept | None") -> int:
    from dataclasses import replace

    from spectro.report.image_document import conversion_document, with_edition
    from spectro.words.next_step import READINGS, command
    from spectro.workflow.image.convert import image_convert

    if arguments.edition and (not name or len(arguments.pictures) != 1 or arguments.pictures[0].is_dir()):
        raise InputError(
            "an edition" + ("" if name else " without a printing condition"),
            "one picture, and in `to` the name of a printing condition on the shelf",
            "Put the condition on the shelf first: spectro shelf new",
        )
    if arguments.edition and arguments.link:
        raise InputError("`edition` together with `link`", "one of them", "An edition keeps the profile it is printed by.")
    settings = ""
    if name:
        from spectro.workflow.steps.shelf import stored_condition

        settings = stored_condition(arguments.shelf, name).condition.driver_text
    with progress_line(arguments) as progress:
        conversion = image_convert(
            arguments.pictures,
            profile,
            link=link.path if link else arguments.link,
            tone_curve=arguments.tone_curve,
            source=arguments.from_profile,
            as_printed_by=arguments.as_printed_by,
            control_strip=aim.path if aim else arguments.control_strip,
            out=arguments.out,
            settings=picture_settings(arguments),
            condition=name,
            driver_settings=settings,
            replace=arguments.replace,
            progress=progress,
        )
    curve = arguments.tone_curve  # its readings, or its grey profile, tell the paper
    seen = name or profile or (curve if str(curve).endswith(".icc") else READINGS if curve else None)
    following = command("viewing", seen, "--viewing", "P2") if seen and (conversion.for_print or curve) else ""
    if link:
        conversion = replace(conversion, link=link.words, profile=name or (str(profile) if profile else link.words))
        following = command("shelf", "list", link.condition)
    elif conversion.strip:
        named = ("--chart", conversion.strip.written, "--aim", arguments.control_strip, "--label", "label.pdf")
        following = command("aim", "check", READINGS, *named)
    elif conversion.link:
        following = command("profile", "show", arguments.link)
    document = conversion_document(conversion)
    if arguments.edition and profile is not None:
        from spectro.workflow.steps.editions import EditionFiles, keep_edition

        files = EditionFiles(
            picture=arguments.pictures[0],
            profile=profile,
            source=arguments.from_profile,
            curve=arguments.tone_curve,
            as_printed_by=arguments.as_printed_by,
        )
        state = keep_edition(arguments.shelf, arguments.edition, conversion, files, picture_settings(arguments))
        document = with_edition(document, state)
    code = print_document(document, arguments, following=following)
    return 2 if conversion.refused else code


def picture_settings(arguments: argparse.Namespace) -> "PictureSettings":
    """Return how pictures are converted, from those of the options above that the command has."""
    from spectro.records.conditions import RenderingIntent
    from spectro.records.image import PictureSettings

    return PictureSettings(
        intent=RenderingIntent(arguments.intent),
        black_compensation=not arguments.no_black_compensation,
        bits=getattr(arguments, "bits", None),
        dither=getattr(arguments, "dither", False),
        file_type=getattr(arguments, "file_type", None) or "",
        wall_lux=getattr(arguments, "wall_lux", None),
        untagged=getattr(arguments, "untagged", False),
        paper_tint=getattr(arguments, "paper_tint", False),
    )

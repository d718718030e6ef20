"""`spectro profile show`"""

import argparse
from pathlib import Path

from spectro.cli.printing import print_json, print_text


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("profile", type=Path, metavar="PROFILE", help="any ICC profile")
    parser.add_argument(
        "--renders",
        type=Path,
        metavar="FOLDER",
        help="write ramps and a made-up photograph as they would print, each intent, and a page (index.html) that shows them",
    )
    parser.add_argument("--replace", action="store_true", help="overwrite earlier renders")


def run(arguments: argparse.Namespace) -> int:
    """List the profile. Returns 3 where a fault was found."""
    from dataclasses import asdict

    from spectro.workflow.profile.show import profile_show

    listing = profile_show(arguments.profile)
    renders: tuple[str, ...] = ()
    if arguments.renders:
        from spectro.workflow.profile.renders import profile_renders

        renders = profile_renders(arguments.profile, arguments.renders, replace=arguments.replace)
    code = 3 if listing.faulty else 0
    if arguments.json:
        print_json(asdict(listing))
        return code
    lines = [
        listing.verdict,
        "",
        f"  file            {listing.file}, {listing.size} bytes",
    ]
    if listing.version:  # else no profile's header
        kind = f"{listing.device_class}, {listing.colour_space} to {listing.pcs}, ICC {listing.version}, {listing.date}"
        lines += [
            f"  name            {listing.name}",
            f"  kind            {kind}",
            f"  intent          {listing.intent}",
            f"  ID              {listing.profile_id}",
        ]
    lines += [f"  {name:<16}{text}" for name, text in listing.facts.items()]
    if listing.tags:
        lines += ["", "  tag   type  size      holds"]
        lines += [f"  {tag.signature:<5} {tag.type:<5} {tag.size:<9} {tag.what}" for tag in listing.tags]
    if listing.findings:
        lines += ["", *(f"  {finding.severity}: {finding.place}: {finding.text}" for finding in listing.findings)]
    if renders:
        lines += ["", f"{arguments.renders}/", *(f"  {name}" for name in renders)]
    print_text("\n".join(lines))
    return code

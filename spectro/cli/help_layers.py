"""Help in two layers: the options everyone needs, then the rest in named groups.

A command's file adds its options in one list. Here stands, for each command of more than a few options, which of them
everyone needs; the rest goes into groups by name, which works because one name means one thing in every command.
"""

import argparse

FIRST: dict[tuple[str, str], str] = {
    ("chart", "new"): "reader page minutes patches pages out on-shelf replace",
    ("chart", "adopt"): "out patches-a-strip strips-a-page mode replace",
    ("chart", "pages"): "out page recipe mode patch aperture replace",
    ("readings", "take"): "from instrument measurement-condition backing printed out on-shelf replace",
    ("readings", "watch"): "chart once measurement-condition backing printed out on-shelf replace",
    ("readings", "add"): "chart out printed measurement-condition on-shelf replace",
    ("readings", "show"): "chart draw drying noise replace",
    ("colours", ""): "illuminant observer against form out replace",
    ("paper", "describe"): "paper illuminant report pdf replace",
    ("paper", "compare"): "one-paper weight cost illuminant report pdf replace",
    ("aim", "check"): "aim judge-as report pdf label on-shelf replace",
    ("aim", "reach"): "colours out total-area report pdf replace",
    ("inks", "chart"): "channels reader page total-area stages on out replace",
    ("inks", "limits"): "bleeds total-area stages out report pdf replace",
    ("inks", "curves"): "curve-aim stages out csv xml report pdf replace",
    ("profile", "build"): "out chart printer paper settings grey-aim on-shelf replace",
    ("profile", "assess"): "proof chart use report pdf on-shelf replace",
    ("profile", "monochrome"): "curve out grey-aim illuminant report pdf replace",
    ("profile", "refresh"): "out chart-out patches chart checked on-shelf replace",
    ("profile", "top-up"): "out patches recipe chart on-shelf replace",
    ("profile", "proof-page"): "out patches page way intent on-shelf replace",
    ("profile", "link"): "out keep intent black-compensation total-area report pdf replace",
    ("image", "convert"): "to link intent out dither replace",
    ("image", "test-strip"): "to intents wall-lux at print-width out replace",
    ("image", "preview"): "papers intents display view out replace",
    ("drift", ""): "on-shelf profile history event chart report pdf replace",
    ("batch", ""): "out dry-run watch once on-shelf do",
    ("viewing", ""): "paper-white white-field report pdf replace",
    ("shelf", "new"): "printer paper media-setting quality like reminder-weeks",
}
"""The options that everyone needs, of each command that has more than eight; in the command's own order."""

GROUPS: dict[str, str] = {
    "printer, paper and settings by name": "title printer paper settings",
    "the profile's file": "icc-version grid date through-curve entries thorough",
    "light and observer": "flare illuminant observer adaptation surface-reflection bandpass",
    "how colours are converted": "no-black-compensation from curve as-printed-by paper-tint wall-lux",
    "a report": "report pdf",
    "what is written": "file-type bits untagged longest control-strip",
    "greys and the colours of pictures": "grey-aim grey-arrives tones source-gamut for-image intent",
    "density and tone values": "status paper-patch solid yule-nielsen",
    "inks": "stages on look-for total-area black-share black-ceiling lean against near-neutral light-inks black-as inks "
    "in-pages",
    "a sheet that lets light through": "over-black backing-readings",
    "which patches, in which order": "patches seed order recipe channels",
    "how a list of patches runs": "listed strips ink-colours",
    "how files are read": "chart measurement-condition columns device-scale join row-order file-pages merge predict-with "
    "insist with-questionable another-sheet",
    "the sitting": "sitting instrument-setting stop-after poll-seconds answer new-anchors anchor-limit export",
    "what was done to the printer": "events",
    "the aim": "aim-condition aim-backing substrate-corrected ok-sheet",
    "limits, and what readings differ by": "tolerances sheet-difference noise warn act instrument-agreement tile interval",
    "printer and inks": "serial firmware driver connection ink-set black-ink",
    "other settings of the dialog": "resolution passes feed colour-setting",
    "a RIP": "rip linearisation ink-limits",
    "the sheet": "paper-batch paper-side coating",
    "workers": "jobs cluster",
    "the shelf": "on-shelf edition shelf",
}
"""The groups of the second layer, in the order of help."""


def layer(parser: argparse.ArgumentParser, command: tuple[str, str]) -> None:
    """Move the options that not everyone needs into their groups, for a command that has many."""
    if command not in FIRST:
        return
    first = {f"--{name}" for name in FIRST[command].split()}
    parser._action_groups[1].title = "what most people need"
    flat = parser._action_groups[1]._group_actions  # argparse's own list of options; own groups of a command stay as they are
    moved = {one.option_strings[0]: one for one in flat if one.dest != "help" and one.option_strings[0] not in first}
    for title, names in GROUPS.items():
        here = [moved[f"--{name}"] for name in names.split() if f"--{name}" in moved]
        if here:
            parser.add_argument_group(title)._group_actions.extend(here)
            for one in here:
                flat.remove(one)


def earlier_name(parser: argparse._ActionsContainer, action: argparse.Action, *names: str) -> None:
    """Let an option be given by names it had before, which help does not show."""
    for name in names:
        parser._option_string_actions[name] = action

"""Arguments as a person types them: what a text below this room calls `device_scale`, a command line calls --device-scale.

Errors and sentences are written for everyone who calls a function, so they put an argument's name in backticks, as it is
in the function. Only the command line knows what its options are called; it says so wherever it prints: errors, documents,
JSON and what a sitting says. Its own parser is the table: the name an option is stored under is the argument's name.
"""

import argparse
import re
from collections.abc import Mapping
from typing import Any

_NAMED = re.compile(r"`([a-z][a-z0-9_]*)`")
REPAIRS = ("turn", "swap", "take_as", "line_up", "leave_out", "turn_page", "as_page")
"""Arguments of one command alone, which other commands speak of too: what they find wrong is mended there."""
_ELSEWHERE = {name: f"spectro readings add with --{name.replace('_', '-')}" for name in REPAIRS}


def options_of(parser: argparse.ArgumentParser) -> dict[str, str]:
    """Return what a command's arguments are called on its command line, by the names they are stored under.

    Options by their long form; arguments that have a place instead of a name as the help writes them, in capitals.

    >>> parser = argparse.ArgumentParser(add_help=False)
    >>> _ = parser.add_argument("readings", metavar="READINGS"), parser.add_argument("--from", dest="source")
    >>> options_of(parser)
    {'readings': 'READINGS', 'source': '--from'}
    """
    found = {}
    for action in parser._actions:
        placed = str(action.metavar or action.dest).upper()
        found[action.dest] = next((text for text in action.option_strings if text.startswith("--")), placed)
    return found


def with_options(text: str, options: Mapping[str, str]) -> str:
    """Return text with arguments named as options; what stands in backticks and is none of them stays as it is.

    >>> with_options("Give `device_scale` 100, or `condition M1`.", {"device_scale": "--device-scale"})
    'Give --device-scale 100, or `condition M1`.'
    >>> with_options("Read it again, or `leave_out` E1.", {})
    'Read it again, or spectro readings add with --leave-out E1.'
    """
    return _NAMED.sub(lambda found: options.get(found[1], _ELSEWHERE.get(found[1], found[0])), text)


def named_as_options(value: Any, options: Mapping[str, str]) -> Any:
    """Return value with arguments named as options in every text it holds, at any depth; keys stay as they are."""
    if isinstance(value, str):
        return with_options(value, options)
    if isinstance(value, dict):
        return {key: named_as_options(item, options) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [named_as_options(item, options) for item in value]
    return value

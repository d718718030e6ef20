"""What a command writes must not be what it reads: `--replace` is for files of earlier runs, not for the only readings."""

import argparse

from spectro.files.overwriting import WRITTEN, check_overwriting

_OWN = ("module", "parser", "options", "command_line")


def check_arguments(arguments: argparse.Namespace) -> None:
    """Raise InputError where a file or folder that is to be written is one that is read."""
    named = {name: value for name, value in vars(arguments).items() if name not in _OWN}
    check_overwriting(named, (*WRITTEN, "picture") if arguments.module.endswith(".readings_show") else WRITTEN)

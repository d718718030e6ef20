"""A command run through its own file."""

import argparse
from types import ModuleType

from spectro.cli.argument_names import options_of


def run_command(command: ModuleType, words: list[object]) -> int:
    """Run a module of `spectro.cli` with its words, as the command line does."""
    parser = argparse.ArgumentParser()
    command.add_arguments(parser)
    parser.set_defaults(options=options_of(parser))
    for word in ("--json", "--quiet"):
        parser.add_argument(word, action="store_true")
    return command.run(parser.parse_args([str(word) for word in words]))

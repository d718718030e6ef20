"""The `spectro` command: finds the command's own file, parses, runs, and turns errors into messages and exit codes.

Exit codes: 0 done, 1 our bug (traceback), 2 bad input or usage, 3 a check found a fault, 130 interrupted.
Nothing heavy is imported here, so that `--help` answers at once: a command's file is imported only when it is named.
"""

import argparse
import importlib
import logging
import os
import re
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NoReturn

from spectro.cli.argument_names import options_of, with_options
from spectro.cli.examples import EXAMPLES
from spectro.cli.help_layers import layer
from spectro.cli.overwriting import check_arguments
from spectro.cli.printing import ShownFormatter, print_json, speak, write_out
from spectro.cli.shelf_options import some_text
from spectro.errors import Cancelled, GateError, SpectroError, UsageError
from spectro.records.shown_text import shown_text

# noun, verb ("" for a command without one): module, one line of help
COMMANDS: dict[tuple[str, str], tuple[str, str]] = {
    ("demo", ""): ("spectro.cli.demo", "Run the whole way on invented data: chart, readings, profile, report."),
    ("chart", "new"): ("spectro.cli.chart_new", "Make a chart: pages to print and the patch table."),
    ("chart", "list"): ("spectro.cli.chart_list", "The ready recipes: what each is for, and for which reader."),
    ("chart", "path-test"): (
        "spectro.cli.chart_path_test",
        "Which print path leaves colours alone? A page, and its judgement.",
    ),
    ("chart", "adopt"): ("spectro.cli.chart_adopt", "Take over a chart made elsewhere from its list or readings."),
    ("chart", "show"): ("spectro.cli.chart_show", "What a chart holds; which chart and page a picture or code is of."),
    ("chart", "pages"): ("spectro.cli.chart_pages", "Lay a chart out again for other paper or another instrument."),
    ("readings", "take"): (
        "spectro.cli.readings_take",
        "Read a printed chart strip by strip; begin a sitting or go on with it.",
    ),
    ("readings", "watch"): ("spectro.cli.readings_watch", "Take the files that an instrument's software puts into a folder."),
    ("readings", "add"): ("spectro.cli.readings_add", "Take in finished readings: join, judge every strip, keep one file."),
    ("readings", "show"): ("spectro.cli.readings_show", "What readings hold, page by page, and whether a print is dry."),
    ("colours", ""): ("spectro.cli.colours", "Spectra to a tidy table of colours and densities, under any light."),
    ("paper", "describe"): ("spectro.cli.paper_describe", "Everything readings say of one paper, on one page."),
    ("paper", "compare"): ("spectro.cli.paper_compare", "A new paper against the old one, several papers, or driver settings."),
    ("profile", "build"): ("spectro.cli.profile_build", "Build an output profile from the readings of a printed chart."),
    ("profile", "assess"): ("spectro.cli.profile_assess", "Compare a profile with readings and report how good it is."),
    ("profile", "monochrome"): (
        "spectro.cli.profile_monochrome",
        "Black and white: judge greys; linearising curve and grey profile.",
    ),
    ("profile", "show"): ("spectro.cli.profile_show", "List and check any ICC profile, in plain words."),
    ("profile", "refresh"): (
        "spectro.cli.profile_refresh",
        "Bring a profile up to date with 40 to 80 fresh patches and the old readings.",
    ),
    ("profile", "top-up"): ("spectro.cli.profile_top_up", "Say what a small further chart would bring, and write its recipe."),
    ("profile", "proof-page"): (
        "spectro.cli.profile_proof_page",
        "A page to print through a profile and measure: the only proof in print.",
    ),
    ("profile", "substitutes"): (
        "spectro.cli.profile_substitutes",
        "Which printing condition can stand in for which, and what colours all of them print.",
    ),
    ("profile", "link"): ("spectro.cli.profile_link", "From one CMYK condition to another, with pure inks kept pure."),
    ("profile", "install"): ("spectro.cli.profile_install", "Put a profile where your programs find it, or remove it."),
    ("image", "convert"): ("spectro.cli.image_convert", "Pictures into the numbers of a printer and paper, ready to print."),
    ("image", "inspect"): ("spectro.cli.image_inspect", "Is this picture fit to print, and what will a paper do to it?"),
    ("image", "preview"): (
        "spectro.cli.image_preview",
        "What will this picture look like on these papers, and which is the better?",
    ),
    ("image", "test-strip"): (
        "spectro.cli.image_test_strip",
        "One part of a picture in several conversions on a small sheet, each with its options.",
    ),
    ("image", "test-picture"): (
        "spectro.cli.image_test_picture",
        "A page that shows faults of prints to the eye, and a sheet that says where to look.",
    ),
    ("aim", "check"): (
        "spectro.cli.aim_check",
        "Does a print keep the limits of a standard or a customer? With a label for it.",
    ),
    ("aim", "reach"): ("spectro.cli.aim_reach", "How near a printer comes to spot colours, and with what recipe."),
    ("inks", "chart"): ("spectro.cli.inks_chart", "A chart of ramps and overprints, for the inks of a press behind a RIP."),
    ("inks", "limits"): ("spectro.cli.inks_limits", "The most of each ink, and of all together: where more ink stops helping."),
    ("inks", "curves"): (
        "spectro.cli.inks_curves",
        "Linearisation curves to a stated aim, or back to what an earlier print was.",
    ),
    ("drift", ""): ("spectro.cli.drift", "Compare a control print with its reference: has the printer moved, and why."),
    ("batch", ""): ("spectro.cli.batch", "Builds, assessments, comparisons and checks of many printing conditions in one go."),
    ("viewing", ""): ("spectro.cli.viewing", "What to set the screen to for it to agree with prints; check light and display."),
    ("shelf", "new"): ("spectro.cli.shelf_new", "Put a printing condition on the shelf: printer, paper and settings."),
    ("shelf", "list"): ("spectro.cli.shelf_list", "Printing conditions, what lies under them, and what is due."),
    ("shelf", "note"): (
        "spectro.cli.shelf_note",
        "Write down what was done to a printer: a head clean, new ink, another paper batch.",
    ),
    ("shelf", "verify"): ("spectro.cli.shelf_verify", "Hash everything on the shelf again and say what is damaged."),
    ("desk", ""): ("spectro.desk.command", "The whole job in a browser window on this machine."),
    ("shelf", "pack"): ("spectro.cli.shelf_pack", "Profile, settings, report and readings of a condition in one file."),
}
START = "spectro.cli.start"
"""What bare `spectro` runs."""
CLOSED_PIPE = 141
"""128 and the number of the signal for a pipe that nobody reads; common practice of shells, no source."""
NOUNS = {
    "aim": "Aims that others must accept: check, reach.",
    "chart": "Charts to print and read: new, list, path-test, adopt, show, pages.",
    "image": "Pictures: convert, inspect, preview, test-strip, test-picture.",
    "inks": "Inks behind a RIP, before a profile: chart, limits, curves.",
    "paper": "Papers: describe, compare.",
    "profile": "Profiles: build, assess, monochrome, show, refresh, top-up, proof-page, link, substitutes, install.",
    "readings": "Readings of printed charts: take, watch, add, show.",
    "shelf": "The shelf of printing conditions: new, list, note, verify, pack.",
}


def version() -> str:
    """Return the version of the installed distribution."""
    from importlib import metadata

    return metadata.version("spectro")


class _Version(argparse.Action):
    """Print the version and stop; looked up only when asked for, since the look-up costs time."""

    def __call__(self, parser: argparse.ArgumentParser, *_: object, **__: object) -> NoReturn:
        sys.stdout.write(f"spectro {version()}\n")
        parser.exit(0)


def _path(text: str) -> Path:
    """Return a path; nothing at all is refused, since it would mean the folder somebody is in."""
    return Path(some_text(text) and text)


class _Parser(argparse.ArgumentParser):
    """A parser whose errors are one sentence and an example instead of the whole usage."""

    def __init__(self, *arguments: Any, example: str = "", **named: Any) -> None:
        super().__init__(*arguments, **named)
        self.example = example
        self.register("type", Path, _path)

    def print_help(self, file: Any = None) -> None:
        """Print help as every command prints, so that it is not lost without a word where nothing can be written."""
        write_out(self.format_help())

    def exit(self, status: int = 0, message: str | None = None) -> NoReturn:
        """Stop, with a message that holds nothing a terminal would obey."""
        super().exit(status, message and shown_text(message))

    def error(self, message: str) -> NoReturn:
        """Say in one sentence what is wrong, with an example that runs, and stop with 2."""
        from spectro.words.usage import usage_error

        options = [option for action in self._actions for option in action.option_strings]
        self.exit(2, f"spectro: {usage_error(message, self.prog, self.example, options)}\n")

    def format_usage(self) -> str:
        """Return what has to be given, with the rest as one word."""
        return f"usage: {self._short()}\n"

    def format_help(self) -> str:
        """Return the help, its usage in one line."""
        return re.sub(r"\Ausage: .*?\n\n", f"usage: {self._short()}\n\n", super().format_help(), count=1, flags=re.DOTALL)

    def _short(self) -> str:
        words = [self.prog]
        for action in self._actions:
            if isinstance(action, argparse._SubParsersAction):
                words.append(str(action.metavar))
            elif not action.option_strings:
                name = str(action.metavar or action.dest)
                several = " …" if action.nargs in ("+", "*") else ""
                words.append(f"[{name}{several}]" if action.nargs in ("?", "*") else f"{name}{several}")
        return " ".join([*words, "[options]"])


class _TaskParser(_Parser):
    """A parser of one command whose errors are raised, so that all mistakes of many command lines can be told at once."""

    def error(self, message: str) -> NoReturn:
        """Raise what is wrong."""
        raise UsageError(message)


def build_parser(words: Sequence[str]) -> argparse.ArgumentParser:
    """Return the parser for a command line that begins with words; only the command named there is filled in."""
    named = (words[0] if words else "", words[1] if len(words) > 1 else "")
    parser = _Parser(
        prog="spectro",
        description="Spectral readings of printed charts in; printer profiles and a number you can trust out.",
        epilog="spectro alone answers the questions people come with. spectro COMMAND --help says more about a command.",
        allow_abbrev=False,
    )
    parser.add_argument("--version", action=_Version, nargs=0, help="show the version and stop")
    nouns = parser.add_subparsers(metavar="COMMAND", required=True)
    under: dict[str, argparse._SubParsersAction[_Parser]] = {}
    for (noun, verb), (module, line) in COMMANDS.items():
        example = EXAMPLES[noun, verb]
        shown: dict[str, Any] = {
            "help": line,
            "description": line,
            "epilog": f"For example:  {example}",
            "allow_abbrev": False,
            "example": example,
        }
        if not verb:
            command = nouns.add_parser(noun, **shown)
        else:
            if noun not in under:
                group = nouns.add_parser(noun, help=NOUNS[noun], description=NOUNS[noun], allow_abbrev=False, example=example)
                under[noun] = group.add_subparsers(metavar="VERB", required=True)
            command = under[noun].add_parser(verb, **shown)
        if noun == named[0] and verb in ("", named[1]):
            _fill(command, (noun, verb), module)
    return parser


def command_parser(noun: str, verb: str) -> argparse.ArgumentParser:
    """Return the parser of one command alone: its words are what follows its name. Wrong words raise UsageError."""
    parser = _TaskParser(prog=" ".join(filter(None, ("spectro", noun, verb))), allow_abbrev=False, example=EXAMPLES[noun, verb])
    _fill(parser, (noun, verb), COMMANDS[noun, verb][0])
    return parser


def _fill(command: argparse.ArgumentParser, names: tuple[str, str], module: str) -> None:
    importlib.import_module(module).add_arguments(command)
    layer(command, names)
    _add_common(command)
    command.set_defaults(module=module, parser=command, options=options_of(command))


def _add_common(parser: argparse.ArgumentParser) -> None:
    common = parser.add_argument_group("everywhere")
    common.add_argument("--json", action="store_true", help="print one JSON object on standard output and nothing else")
    common.add_argument("--quiet", action="store_true", help="no progress and no next step on standard error")
    common.add_argument("--verbose", action="store_true", help="log what is done on standard error")


def _start(words: Sequence[str]) -> argparse.Namespace:
    """Return the arguments of bare `spectro`."""
    parser = _Parser(prog="spectro", allow_abbrev=False, example="spectro demo")
    importlib.import_module(START).add_arguments(parser)
    _add_common(parser)
    parser.set_defaults(module=START, options=options_of(parser))
    return parser.parse_args(words)


def _parse(words: Sequence[str]) -> argparse.Namespace:
    """Return the arguments of a command line. Leaves with 2, one sentence and an example where it cannot be understood."""
    if not words or (words[0].startswith("--") and words[0] not in ("--help", "--version")):
        return _start(words)
    verbs = [verb for noun, verb in COMMANDS if noun == words[0]]
    if not words[0].startswith("-") and (not verbs or (verbs != [""] and not _names(words[1:2], verbs))):
        from spectro.words.usage import unknown_command

        speak(f"spectro: {unknown_command(words, COMMANDS, EXAMPLES)}\n")
        sys.exit(2)
    arguments, rest = build_parser(words).parse_known_args(words)
    if rest:
        arguments.parser.error(f"unrecognized arguments: {' '.join(rest)}")
    return arguments


def _names(word: Sequence[str], verbs: Sequence[str]) -> bool:
    return bool(word) and (word[0] in verbs or word[0] in ("-h", "--help"))


def run(words: Sequence[str]) -> int:
    """Run one command line and return its exit code. Errors of ours become one message on standard error."""
    try:
        arguments = _parse(words)
    except SpectroError as error:  # help that could not be written
        speak(f"spectro: {error}\n")
        return 2
    arguments.command_line = tuple(words)
    log = logging.StreamHandler(sys.stderr)
    log.setFormatter(ShownFormatter("%(name)s: %(levelname)s: %(message)s"))
    logging.basicConfig(handlers=[log], level=logging.INFO if arguments.verbose else logging.WARNING)
    try:
        check_arguments(arguments)
        code: int = importlib.import_module(arguments.module).run(arguments)
    except GateError as error:
        if arguments.json:
            print_json(
                {"verdict": str(error), "level": "fault", "gate": list(error.findings), "held": True, "format": 1}, arguments
            )
        speak(with_options(f"spectro: {error} To go on all the same: `insist` REASON.", arguments.options) + "\n")
        return 3
    except SpectroError as error:
        speak(with_options(f"spectro: {error}", arguments.options) + "\n")
        return 2
    except (KeyboardInterrupt, Cancelled):
        speak("spectro: interrupted\n")
        return 130
    return code


def main() -> NoReturn:
    """Run the command line of this process and exit with its code. Text goes out as UTF-8 whatever the locale.

    A reader of standard output who has enough and goes away is no error: the process ends quietly, as one that the
    system's signal for it would end. One that takes no more is bad input: exit code 2.
    """
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:  # closed by whoever started this: nobody listens
            setattr(sys, name, open(os.devnull, mode, encoding="utf-8"))  # noqa: SIM115
    code = None
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure:
            reconfigure(encoding="utf-8", errors="backslashreplace")
    try:
        try:
            code = run(sys.argv[1:])
        except SystemExit as stop:  # the parser's, after help, the version or wrong usage
            code = stop.code if isinstance(stop.code, int) else 2
        sys.stdout.flush()
    except BrokenPipeError:
        _let_go_of_output()
        code = CLOSED_PIPE
    except OSError as error:
        if error.filename is not None or not _let_go_of_output():
            raise
        if not code:  # else it was said already
            speak(f"spectro: standard output cannot be written: {error.strerror}.\n")
            code = 2
    sys.exit(code)


def _let_go_of_output() -> bool:
    """Send what standard output still holds to nowhere; tell whether it held anything that could not be written."""
    try:
        sys.stdout.flush()
        return False
    except OSError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return True

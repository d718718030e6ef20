"""Tasks of a plan as command lines: a task's keys are the options of its command, checked by the command's own parser."""

import argparse
import contextlib
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from spectro.cli.main import command_parser
from spectro.errors import UsageError
from spectro.files.overwriting import WRITTEN
from spectro.records.batch import Mistake, PlannedTask, Prepared

if TYPE_CHECKING:
    from spectro.workflow.batch.planning import Shelf

COMMAND_OF = {
    "build": ("profile", "build"),
    "assess": ("profile", "assess"),
    "compare": ("paper", "compare"),
    "drift": ("drift", ""),
    "convert": ("image", "convert"),
}
_NOT_IN_PLANS = ("json", "quiet", "verbose", "help", "replace")
_MADE = {"build": ("out", ".icc"), "convert": ("out", "")}
"""What a task writes although it does not say so: the option, and the ending of its file; "" for a folder."""


def prepare(
    tasks: Sequence[PlannedTask], folder: Path, out: Path, shelf: "Shelf"
) -> tuple[tuple[Prepared, ...], tuple[Mistake, ...]]:
    """Return the command line of each task, and every mistake in their options.

    folder: what names of files are relative to. out: the folder of the results, which names of outputs are relative to.
    shelf: tells which words name a printing condition there. A profile may be named by the name of the task that builds it.
    """
    parsers: dict[str, argparse.ArgumentParser] = {}
    writer = _Writer(folder, out, shelf, {one.name: one for one in tasks if one.do == "build"})
    found: list[Prepared] = []
    for task in tasks:
        if not task.do:
            continue
        if task.do not in parsers:
            parsers[task.do] = command_parser(*COMMAND_OF[task.do])
        found.append(writer.prepared(task, parsers[task.do]))
    return tuple(found), (*writer.mistakes, *_same_outputs(found))


def plain_file_name(name: str) -> str:
    """Return a task's name as one of a file: letters and digits of any script, nothing that a file system minds.

    >>> plain_file_name("Matte 1/2: früh"), plain_file_name("写真"), plain_file_name("..")
    ('Matte 1-2- früh', '写真', 'task')
    """
    kept = "".join(one if one.isalnum() or one in " -_.()+" else "-" for one in name)
    return kept.strip(" .")[:100].rstrip(" .") or "task"


def output_of(task: PlannedTask, out: Path) -> str:
    """Return the file or folder that a task makes above all, "" where it makes none unless asked."""
    option, ending = _MADE.get(task.do, ("", ""))
    if not option:
        return ""
    given = task.options.get(option)
    return str(out / (given if isinstance(given, str) and given else f"{plain_file_name(task.name)}{ending}"))


class _Writer:
    """Turns tasks into command lines and gathers the mistakes."""

    def __init__(self, folder: Path, out: Path, shelf: "Shelf", builds: dict[str, PlannedTask]) -> None:
        self.folder, self.out, self.shelf, self.builds = folder, out, shelf, builds
        self.mistakes: list[Mistake] = []

    def prepared(self, task: PlannedTask, parser: argparse.ArgumentParser) -> Prepared:
        """Return the command line of a task."""
        actions = _actions(parser)
        reads: list[str] = []
        after: list[str] = []
        writes: list[str] = []
        options: list[str] = []
        placed: dict[str, list[str]] = {}
        conditions: list[str] = []
        said = dict(task.options)
        if made := output_of(task, self.out):
            said[_MADE[task.do][0]] = made
        before = len(self.mistakes)
        for key, value in said.items():
            action = actions.get(key.replace("_", "-"))
            if action is None or action.dest in _NOT_IN_PLANS:
                self._wrong(task, key, f"{key!r} is no option of {parser.prog.removeprefix('spectro ')}")
                continue
            if isinstance(action.const, bool):  # a switch
                options += self._switch(task, key, value, action)
                continue
            texts = self._texts(task, key, value, action)
            if action.dest in WRITTEN:
                texts = [str(self.out / text) for text in texts]
                writes += texts
            else:
                texts = [self._file(task, key, text, action, reads, after, conditions) for text in texts]
            self._check(task, key, texts, action)
            if not action.option_strings:
                placed[action.dest] = texts
            else:
                options += _option(action, texts)
        place = str(self.folder / str(said["shelf"])) if "shelf" in said else str(self.shelf.place)
        if "shelf" in actions and "shelf" not in said:  # workers on other machines know no other way where it lies
            options.append(f"--shelf={place}")
        words = [*options, "--", *(text for dest in (one.dest for one in parser._actions) for text in placed.get(dest, ()))]
        if len(self.mistakes) == before:
            self._parse(task, parser, words)
        if len(self.mistakes) == before and task.do and "measurement-condition" in {key.replace("_", "-") for key in said}:
            self._conditions(task, reads)
        command = [*filter(None, COMMAND_OF[task.do]), "--json", "--replace", *words]
        if "--replace" not in parser._option_string_actions:
            command.remove("--replace")
        return Prepared(
            task=task,
            words=tuple(command),
            reads=tuple(reads),
            writes=tuple(writes),
            conditions=tuple(conditions),
            shelf=place,
            after=tuple(after),
        )

    def _wrong(self, task: PlannedTask, key: str, text: str) -> None:
        self.mistakes.append(Mistake(line=task.line_of(key), text=f"{task.name or 'a task'}: {text}"))

    def _switch(self, task: PlannedTask, key: str, value: Any, action: argparse.Action) -> list[str]:
        if not isinstance(value, bool):
            self._wrong(task, key, f"{key} is {value!r}; true or false was expected")
        return [action.option_strings[0]] if value is True else []

    def _texts(self, task: PlannedTask, key: str, value: Any, action: argparse.Action) -> list[str]:
        """Return a value of TOML as words of a command line."""
        values = value if isinstance(value, list) else [value]
        several = action.nargs not in (None, "?") or isinstance(action, argparse._AppendAction)
        if isinstance(value, list) and not several and len(value) != 1:
            self._wrong(task, key, f"{key} is a list of {len(value)}; one value was expected")
        if isinstance(action.nargs, int) and len(values) != action.nargs:
            self._wrong(task, key, f"{key} has {len(values)} values; {action.nargs} were expected")
        texts = []
        for one in values:
            if isinstance(one, bool) or not isinstance(one, str | int | float):
                self._wrong(task, key, f"{key} holds {one!r}; a text or a number was expected")
            else:
                texts.append(str(one))
        return texts

    def _file(
        self, task: PlannedTask, key: str, text: str, action: argparse.Action, reads: list[str], after: list[str],
        conditions: list[str],
    ) -> str:  # fmt: skip
        """Take note of what a word names, and return the word; a profile that another task builds becomes its file."""
        build = self.builds.get(text)
        if build is None:
            build = next((one for one in self.builds.values() if one.options.get("out") == text), None)
        if build is not None and build.name != task.name and action.dest in ("profile", "to", "papers"):
            after.append(build.name)
            reads.append(output_of(build, self.out))
            return reads[-1]
        named = [part for part in _named_files(text) if (self.folder / part).exists()]
        reads += [str(self.folder / part) for part in named if action.dest != "shelf"]
        file = (action.type is Path and action.dest != "shelf") or not action.option_strings
        if named or not (file or action.dest == "on_shelf"):
            return text
        if self.shelf.has(text, task.options.get("shelf")):
            conditions += [] if task.once else [text]
        else:
            where = "" if action.dest == "on_shelf" else f"no file {text!r} in the plan's folder, and "
            self._wrong(task, key, f"{key}: {where}no printing condition {text!r} on the shelf")
        return text

    def _check(self, task: PlannedTask, key: str, texts: list[str], action: argparse.Action) -> None:
        for text in texts:
            value: Any = text
            if callable(action.type):
                try:
                    value = action.type(text)
                except (argparse.ArgumentTypeError, TypeError, ValueError) as error:
                    words = f": {error}" if isinstance(error, argparse.ArgumentTypeError) else ""
                    self._wrong(task, key, f"{key} cannot be {text!r}{words}")
                    continue
            if action.choices is not None and value not in action.choices:
                known = ", ".join(str(one) for one in action.choices)
                self._wrong(task, key, f"{key} cannot be {text!r}; one of {known} was expected")

    def _conditions(self, task: PlannedTask, reads: list[str]) -> None:
        """Look whether files of readings have the measurement condition that a task names: seen now, not at night."""
        from spectro.workflow.batch.planning import wrong_condition

        key = next(one for one in task.options if one.replace("_", "-") == "measurement-condition")
        for file in reads:
            if wrong := wrong_condition(Path(file), str(task.options[key])):
                self._wrong(task, key, wrong)

    def _parse(self, task: PlannedTask, parser: argparse.ArgumentParser, words: list[str]) -> None:
        try:
            parser.parse_args(words)
        except UsageError as error:
            missing = str(error).partition("the following arguments are required: ")[2]
            self._wrong(task, "do", f"no {missing.lower()}" if missing else str(error))


def _actions(parser: argparse.ArgumentParser) -> dict[str, argparse.Action]:
    """Return the arguments of a command by every name a plan may use."""
    found = {}
    for action in parser._actions:
        found[action.dest.replace("_", "-")] = action
        if not action.option_strings:
            found[str(action.metavar or action.dest).lower()] = action
    for text, action in parser._option_string_actions.items():
        if text.startswith("--"):
            found[text.removeprefix("--")] = action
    return found


def _option(action: argparse.Action, texts: list[str]) -> list[str]:
    name = action.option_strings[0]
    if action.nargs in (None, "?"):
        return [f"{name}={text}" for text in texts]
    return [name, *texts]


def _named_files(text: str) -> Iterator[str]:
    """Return what may be names of files in a word: all of it, what follows NAME=, parts between commas."""
    yield text
    for part in text.partition("=")[2].split(",") if "=" in text else text.split(","):
        if part and part != text:
            yield part


def _same_outputs(prepared: Sequence[Prepared]) -> Iterator[Mistake]:
    """Return a mistake for each file that two tasks would write, and for names that come to the same name of a file."""
    first: dict[str, PlannedTask] = {}
    names: dict[str, PlannedTask] = {}
    for one in prepared:
        stem = plain_file_name(one.task.name).casefold()
        same = names.setdefault(stem, one.task)
        if same is not one.task and same.name.casefold() != one.task.name.casefold():
            yield Mistake(
                line=one.task.line_of("name"), text=f"{one.task.name}: its files would be named as those of {same.name!r}"
            )
        for file in one.writes:
            with contextlib.suppress(OSError):
                file = str(Path(file).resolve())
            before = first.setdefault(file, one.task)
            if before is not one.task:
                yield Mistake(
                    line=one.task.line, text=f"{one.task.name}: writes the same file as {before.name!r}: {Path(file).name}"
                )

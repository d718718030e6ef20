"""A command's own arguments as fields of a form, and a form that was sent as the command's words.

Nothing of a command is written twice: names, choices and help come from the parser that the terminal uses. `jobs.toml` says
which fields come first, and what they are called.
"""

import argparse
import functools
import shlex
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from spectro.cli.main import build_parser
from spectro.desk.fields import Asked, asked_of, in_words, shown_value
from spectro.desk.texts import texts
from spectro.errors import InputError
from spectro.files.overwriting import WRITTEN
from spectro.words.start import QUESTIONS

_COMMON = {"help", "json", "quiet", "verbose", "replace", "shelf"}
_ALSO_WRITTEN = {"picture", "history"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """What is offered after a piece of work: another job, and where its fields come from."""

    job: str
    words: str
    fill: Mapping[str, str] = field(default_factory=dict)  # field: "in:readings" or "out:*.icc"


@dataclass(frozen=True, slots=True, kw_only=True)
class JobForm:
    """A command as people find it on the desk."""

    key: str
    command: tuple[str, ...]
    title: str
    lead: str
    button: str
    fields: tuple[Asked, ...]
    takes_shelf: bool  # the command can be told where the shelf lies
    makes: Mapping[str, str]  # argument: the file that the desk lets it write
    wishes: Mapping[str, tuple[str, str]]  # argument: file, and the words of a box to tick
    offers: tuple[Offer, ...]
    given: Mapping[str, str]  # what the form is filled in with
    all_unless: Mapping[str, str]  # arguments that mean all where nothing is chosen, each unless another one is given

    @property
    def address(self) -> str:
        """Where its form is."""
        return f"/do/{self.key}"

    def plain(self, text: str) -> str:
        """Return what the command said with its options by the names of the form."""
        return in_words(text, {asked.name: asked.label for asked in self.fields})

    @property
    def can_insist(self) -> bool:
        """Whether a person can go on with a reason."""
        return any(asked.name == "insist" for asked in self.fields)


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What people come with."""

    key: str
    title: str
    lead: str
    steps: tuple[tuple[str, str], ...]  # job, and what it is done for


@functools.cache
def questions() -> tuple[Question, ...]:
    """Return the questions of the first page, in order: those of bare `spectro`, with the desk's steps for each."""
    steps = texts()["question"]
    return tuple(
        Question(
            key=one.key,
            title=one.asks,
            lead=one.lead,
            steps=tuple((step["job"], step["why"]) for step in steps[one.key]["steps"]),
        )
        for one in QUESTIONS
    )


@functools.cache
def job_form(key: str) -> JobForm:
    """Return the form of a job. Raises InputError for a key that is none."""
    one = texts()["job"].get(key)
    if one is None:
        raise InputError(f"no job called {key!r}", "one that the first page lists", "Go back to it.")
    command = tuple(one["command"].split())
    first, labels = list(one.get("first", ())), {**texts()["label"], **one.get("label", {})}
    actions = list(_actions(command))
    names = {action.dest: labels.get(action.dest, action.dest.replace("_", " ")) for action, _ in actions}
    elsewhere = {*_COMMON, *WRITTEN, *_ALSO_WRITTEN, *one.get("fixed", ())} - set(first)
    fields = [
        asked_of(action, one, names, first=action.dest in first or (action.required and not action.option_strings), group=group)
        for action, group in actions
        if action.dest not in elsewhere and not set(action.option_strings) & set(texts()["terminal_only"])
    ]
    fields.sort(key=lambda asked: (not asked.first, first.index(asked.name) if asked.name in first else len(first)))
    return JobForm(
        key=key,
        command=command,
        title=one["title"],
        lead=one.get("lead", ""),
        button=one.get("button", texts()["words"]["go"]),
        fields=tuple(fields),
        given=one.get("given", {}),
        all_unless=one.get("all_unless", {}),
        takes_shelf="shelf" in names,
        makes=one.get("makes", {}),
        wishes={name: (wish["file"], wish["words"]) for name, wish in one.get("wishes", {}).items()},
        offers=tuple(
            Offer(job=offer["job"], words=offer["words"], fill=offer.get("fill", {})) for offer in one.get("offers", ())
        ),
    )


def job_of_command(command: tuple[str, ...]) -> str | None:
    """Return the key of the job that a command is, None where the desk has none."""
    return next((key for key, one in texts()["job"].items() if tuple(one["command"].split()) == command), None)


def _actions(command: tuple[str, ...]) -> Iterator[tuple[argparse.Action, str]]:
    """Yield the arguments of a command in the order of its help, with the name of their group, "" where they have none."""
    parser: argparse.ArgumentParser = build_parser(command)
    for word in command:
        group = next(action for action in parser._actions if isinstance(action, argparse._SubParsersAction))
        parser = group.choices[word]
    for place, one in enumerate(parser._action_groups):
        for action in one._group_actions:
            yield action, (one.title or "") if place > 1 else ""  # the first two are argparse's own


def words_of(form: JobForm, sent: Mapping[str, Sequence[str]], shelf: Path, wishes: Sequence[str]) -> tuple[str, ...]:
    """Return the words of the command that a sent form stands for.

    sent: values by argument, files as paths. wishes: arguments whose extra file is wanted. Raises InputError for what is
    missing.
    """
    plain: list[str] = []
    options: list[str] = []
    for asked in form.fields:
        values = [value.strip() for value in sent.get(asked.name, ()) if value.strip()]
        if asked.kind == "tick":
            options += [asked.option] if values else []
            continue
        if asked.kind in ("text", "number") and asked.many:
            values = [word for value in values for word in split_words(value)]
        if not values:
            if asked.name in form.all_unless and not sent.get(form.all_unless[asked.name]):
                options.append(asked.option)
            if asked.needed:
                raise InputError(f"nothing for “{asked.label}”", asked.help or asked.label, "Fill it in, or choose a file.")
            continue
        if " ".join(values) == asked.default:
            continue
        if not asked.option:
            plain += values
        elif asked.many and not asked.repeated:
            options += [asked.option, *values]
        else:
            for value in values:
                options += [f"{asked.option}={value}"]
    for name, file in (*form.makes.items(), *((name, form.wishes[name][0]) for name in wishes if name in form.wishes)):
        if name not in sent:
            options += [f"--{name.replace('_', '-')}", file]
    if form.takes_shelf:
        options += ["--shelf", str(shelf)]
    if any(word.startswith("-") for word in plain):
        return (*form.command, *options, "--", *plain)
    return (*form.command, *plain, *options)


def split_words(value: str) -> list[str]:
    """Return the words of a text as a terminal would take them.

    >>> split_words("D50 'my light'")
    ['D50', 'my light']
    """
    try:
        return shlex.split(value)
    except ValueError:
        return value.split()


def shown_words(words: Sequence[str], shelf: Path) -> tuple[str, ...]:
    """Return a command as people copy it: files by their names, without the desk's own shelf.

    >>> shown_words(["colours", "/a/b/c.txt", "--shelf", "/s"], Path("/s"))
    ('colours', 'c.txt')
    """
    shown: list[str] = []
    rest = iter(words)
    for word in rest:
        if word == "--shelf":
            next(rest, None)
            continue
        option, equals, value = word.partition("=") if word.startswith("--") else ("", "", word)
        shown.append(f"{option}{equals}{Path(value).name if Path(value).is_absolute() else value}")
    return tuple(shown)


def parsed(line: str) -> tuple[str, dict[str, list[str]]] | None:
    """Return the job that a command line asks for and its arguments by name; None where it is no job of the desk.

    >>> parsed("spectro profile build kept.txt --paper Rag")
    ('build', {'readings': ['kept.txt'], 'paper': ['Rag']})
    """
    words = split_words(line)
    if words[:1] != ["spectro"]:
        return None
    key = job_of_command(tuple(words[1:3])) or job_of_command(tuple(words[1:2]))
    if key is None:
        return None
    try:
        arguments, rest = build_parser(words[1:]).parse_known_args(words[1:])
    except SystemExit:
        return None
    if rest:
        return None
    filled: dict[str, list[str]] = {}
    for asked in job_form(key).fields:
        value = getattr(arguments, asked.name, None)
        values = value if isinstance(value, list | tuple) else [value]
        texts_of = [shown_value(one) for one in values if one not in (None, False, "")]
        if texts_of and " ".join(texts_of) != asked.default:
            filled[asked.name] = texts_of
    return key, filled

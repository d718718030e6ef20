"""What is said of a command line that cannot be understood: one sentence, a near miss, an example. Loads nothing heavy."""

import difflib
import re
from collections.abc import Iterable, Mapping, Sequence

ALSO_CALLED = {
    "calibrate": ("profile", "build"),
    "check": ("drift", ""),
    "control": ("drift", ""),
    "help": ("demo", ""),
    "make": ("chart", "new"),
    "measure": ("readings", "take"),
    "open": ("readings", "show"),
    "print": ("chart", "new"),
    "proof": ("profile", "proof-page"),
    "read": ("readings", "take"),
    "import": ("readings", "add"),
    "scan": ("chart", "show"),
    "screen": ("viewing", ""),
    "monitor": ("viewing", ""),
    "grey": ("profile", "monochrome"),
    "test": ("chart", "path-test"),
    "update": ("profile", "refresh"),
    "verify": ("shelf", "verify"),
}
"""Words that people try, and the command that does it."""


def unknown_command(
    words: Sequence[str], commands: Mapping[tuple[str, str], object], examples: Mapping[tuple[str, str], str]
) -> str:
    """Return what to type instead of a command that there is not, or a noun without its verb.

    commands: by noun and verb. examples: one of each.

    >>> unknown_command(["build", "kept.txt"], {("profile", "build"): 0}, {("profile", "build"): "spectro profile build x"})
    'there is no command build. Did you mean: spectro profile build? For example: spectro profile build x'
    """
    noun, verb = words[0], (words[1] if len(words) > 1 and not words[1].startswith("-") else "")
    verbs = [known for group, known in commands if group == noun and known]
    if verbs and not verb:
        first = examples[noun, verbs[0]]
        return f"{noun} needs one of {', '.join(verbs)}. For example: {first}"
    near = _near(noun, verb, commands)
    said = f"there is no command {noun}{f' {verb}' if verbs else ''}."
    if not near:
        return f"{said} Type spectro alone for what there is."
    named = [" ".join(part for part in ("spectro", *one) if part) for one in near]
    return f"{said} Did you mean: {' or '.join(named)}? For example: {examples[near[0]]}"


def _near(noun: str, verb: str, commands: Iterable[tuple[str, str]]) -> list[tuple[str, str]]:
    """Return the commands that were most likely meant: two at most."""
    known = list(commands)
    word = noun.lower()
    if any(group == noun for group, _ in known):
        verbs = {one: (group, one) for group, one in known if group == noun}
        exact = [pair for pair in known if pair[1] == verb]
        return [verbs[one] for one in difflib.get_close_matches(verb.lower(), verbs, 2, 0.5)] or exact[:2]
    exact = [pair for pair in known if pair[1] == word]
    if exact:
        return exact[:2]
    if word in ALSO_CALLED and ALSO_CALLED[word] in known:
        return [ALSO_CALLED[word]]
    groups = difflib.get_close_matches(word, {group for group, _ in known}, 1, 0.6)
    if groups:
        under = [pair for pair in known if pair[0] == groups[0]]
        wanted = [pair for pair in under if pair[1] == verb]
        return wanted or under[:1]
    close = difflib.get_close_matches(word, [one for _, one in known if one], 1, 0.6)
    return [pair for pair in known if close and pair[1] == close[0]][:2]


def usage_error(message: str, prog: str, example: str, options: Sequence[str]) -> str:
    """Return one sentence and an example for an error of the parser. message: the parser's own.

    >>> usage_error("the following arguments are required: READINGS", "spectro profile build", "spectro profile build x", [])
    'profile build: READINGS is missing. For example: spectro profile build x'
    """
    name = prog.removeprefix("spectro").strip()
    where = f"{name}: " if name else ""
    missing = re.match(r"the following arguments are required: (.*)", message)
    if missing:
        said = f"{missing[1]} {'are' if ',' in missing[1] else 'is'} missing."
    elif message.startswith("unrecognized arguments: "):
        said = _unknown(message.removeprefix("unrecognized arguments: "), options)
    else:
        choice = re.match(r"argument ([^:]*): invalid choice: ('[^']*'|\S+) \(choose from (.*)\)", message)
        wrong = re.match(r"argument ([^:]*): (.*)", message, re.DOTALL)
        if choice:
            said = f"{choice[1]} {choice[2]} is none of {choice[3].replace(chr(39), '')}."
        elif wrong:
            rest = re.sub(r"^invalid (int|float) value: (.*)$", r"\2 is no number", wrong[2])
            said = f"{wrong[1]}: {re.sub(r'^expected .* arguments?$', 'needs a value', rest)}."
        else:
            said = f"{message}."
    return f"{where}{said} For example: {example}"


def _unknown(words: str, options: Sequence[str]) -> str:
    first = words.split()[0]
    if not first.startswith("-"):
        return f"{words} is one argument too many."
    near = difflib.get_close_matches(first.partition("=")[0], [one for one in options if one.startswith("--")], 2, 0.6)
    hint = f" Did you mean {' or '.join(near)}?" if near else ""
    return f"there is no option {first}.{hint}"

"""Every exception of the package. An error is help: where, what was found, what was expected, how to fix it."""

from pathlib import Path


class SpectroError(Exception):
    """Base of all errors that are the input's fault, not the program's. The command line exits with 2."""


class Cancelled(Exception):
    """Somebody called off work under way; nothing is left half-written.

    Raised by a `progress` function (`records/progress.py`). No SpectroError: nothing is wrong with the input, and whoever
    catches those to go on with something else must not go on here.
    """


class ShapeError(SpectroError):
    """An array has the wrong shape."""


class InputError(SpectroError):
    """A value or an option cannot be used. `found`, `expected` and `fix` are sentences' parts for people."""

    def __init__(self, found: str, expected: str, fix: str) -> None:
        super().__init__(f"found {found}; expected {expected}. {fix}")
        self.found, self.expected, self.fix = found, expected, fix


class UsageError(SpectroError):
    """A command line that its command does not understand."""


class PlanError(SpectroError):
    """A plan of many tasks has mistakes; nothing was begun. The message lists each with its line."""


class WorkerLost(SpectroError):
    """A worker process ended in the middle of its task: killed from outside, or by the system for want of memory."""


class MeasurementFileError(SpectroError):
    """A chart or measurement file cannot be read at one place. Line numbers count from 1; 0 means the whole file."""

    def __init__(self, path: Path | str, line: int, found: str, expected: str, fix: str) -> None:
        place = f"{path}:{line}" if line else f"{path}"
        super().__init__(f"{place}: found {found}; expected {expected}. {fix}")
        self.path, self.line, self.found, self.expected, self.fix = Path(path), line, found, expected, fix


class ReflectanceScaleError(MeasurementFileError):
    """Reflectances that may be factors or percentages: nothing in the file tells which."""


class ProfileFileError(SpectroError):
    """A profile cannot be read or used."""

    def __init__(self, path: Path | str, found: str, expected: str, fix: str) -> None:
        super().__init__(f"{path}: found {found}; expected {expected}. {fix}")
        self.path, self.found, self.expected, self.fix = Path(path), found, expected, fix


class PictureFileError(SpectroError):
    """A picture cannot be read or used."""

    def __init__(self, path: Path | str, found: str, expected: str, fix: str) -> None:
        super().__init__(f"{path}: found {found}; expected {expected}. {fix}")
        self.path, self.found, self.expected, self.fix = path, found, expected, fix


class TagError(SpectroError):
    """The bytes of one ICC tag are damaged or not of the type they claim."""


class RecipeError(SpectroError):
    """A chart recipe has a missing, unknown or impossible entry."""

    def __init__(self, path: Path | str, key: str, found: str, expected: str, fix: str) -> None:
        super().__init__(f"{path}: {key}: found {found}; expected {expected}. {fix}")
        self.path, self.key, self.found, self.expected, self.fix = Path(path), key, found, expected, fix


class OutputExistsError(SpectroError):
    """A file of that name is there already and is never overwritten unasked."""

    def __init__(self, path: Path | str) -> None:
        super().__init__(f"{path} exists already; nothing was written. Choose another name or add `replace`.")
        self.path = Path(path)


class OutputFileError(SpectroError):
    """A file cannot be written: no such folder, no permission, no space."""

    def __init__(self, path: Path | str, reason: str) -> None:
        super().__init__(f"{path} cannot be written: {reason}. Name another place, or mend this one.")
        self.path, self.reason = Path(path), reason


class ShelfError(SpectroError):
    """A shelf cannot be used as asked: no shelf there, no such condition, not writable, damaged in what is needed."""

    def __init__(self, path: Path | str, found: str, expected: str, fix: str) -> None:
        super().__init__(f"{path}: found {found}; expected {expected}. {fix}")
        self.path, self.found, self.expected, self.fix = Path(path), found, expected, fix


class GateError(SpectroError):
    """Readings break laws that every print obeys, and nobody insists on using them. The command line exits with 3."""

    def __init__(self, message: str, findings: tuple[dict[str, object], ...]) -> None:
        super().__init__(message)
        self.findings = findings  # as the JSON of commands has them: finding, patches, cause, insisted

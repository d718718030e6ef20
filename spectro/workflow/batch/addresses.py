"""Plans, files and results at addresses: brought here before a run, and what was made put there."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from spectro.files.digests import file_digest
from spectro.files.storage import Storage
from spectro.records.address import is_address
from spectro.records.batch import Job, JobAnswer, PlannedTask, Prepared


@dataclass(slots=True, kw_only=True)
class Addresses:
    """What of a run lies at addresses, and its copies here."""

    storage: Storage = field(default_factory=Storage)
    of: dict[Path, str] = field(default_factory=dict)  # copies here, and the addresses they are of
    elsewhere: bool = False  # whether workers may be on other machines
    results: str = ""  # where the results go; "": nowhere
    out: Path = field(default_factory=Path)  # the folder of the results here

    def plan(self, address: str) -> Path:
        """Return the copy of a plan, or of a folder of readings."""
        return self._copy(address)

    def tasks(self, tasks: Sequence[PlannedTask], folder: str) -> list[PlannedTask]:
        """Return tasks whose files are here. folder: the address that names are relative to; "": the plan lies here."""
        return [replace(one, options={key: self._here(value, folder) for key, value in one.options.items()}) for one in tasks]

    def _here(self, value: Any, folder: str) -> Any:
        if isinstance(value, list):
            return [self._here(one, folder) for one in value]
        if not isinstance(value, str):
            return value
        head, equals, last = value.rpartition("=")
        if is_address(last):
            return f"{head}{equals}{self._copy(last)}"
        if folder:
            for part in last.split(","):
                if part and not Path(part).is_absolute() and self.storage.exists(f"{folder}/{part}"):
                    self._copy(f"{folder}/{part}")
        return value

    def _copy(self, address: str) -> Path:
        found = self.storage.fetch(address)
        self.of[found] = address
        return found

    def bring_results(self, address: str) -> Path:
        """Bring what an earlier run put at the address of the results, and return the folder here."""
        self.results, self.out = address.rstrip("/"), self.storage.local(address).absolute()
        if self.storage.exists(self.results):
            self.storage.fetch(self.results, self.out)
        return self.out

    def put_results(self, names: Sequence[str] | None = None) -> None:
        """Put what was made to the address of the results. names: files and folders of the results; None: all of them."""
        if self.results:
            places = [self.out] if names is None else [self.out / name for name in names]
            self.storage.push([file for place in places for file in files_of(place)], self.out, self.results)

    def of_job(self, job: Job, one: Prepared) -> Job:
        """Return a job with what a worker on another machine must fetch and deliver."""
        if not self.elsewhere or not (self.of or self.results):
            return job
        reads = [(Path(path), self.of.get(Path(path)) or self._result(Path(path))) for path in one.reads]
        return replace(
            job,
            storage=str(self.storage.folder),
            fetches=tuple((str(path), address, file_digest(path)) for path, address in reads if address),
            delivers=tuple((path, self._result(Path(path))) for path in one.writes if self.results),
        )

    def take(self, one: Prepared) -> None:
        """Bring what a worker on another machine delivered."""
        for path in map(Path, one.writes) if self.elsewhere and self.results else ():
            if self.storage.exists(self._result(path)):
                self.storage.fetch(self._result(path), path)

    def _result(self, path: Path) -> str:
        """Return the address of a file of the results, "" where it is none or they have none."""
        return (
            f"{self.results}/{path.relative_to(self.out).as_posix()}" if self.results and path.is_relative_to(self.out) else ""
        )


def files_of(place: Path) -> list[Path]:
    """Return a file, or all files below a folder but those that are hidden; none where nothing is there."""
    if place.is_dir():
        return sorted(one for one in place.rglob("*") if one.is_file() and not one.name.startswith("."))
    return [place] if place.is_file() else []


def with_copies(job: Job, work: Callable[[Job], JobAnswer]) -> JobAnswer:
    """Do a job on a machine that may not see its files: they are fetched first, and what it makes is delivered.

    Copies lie below this machine's own folder; names are changed on the way in and, in the answer, on the way out.
    """
    if not job.storage:
        return work(job)
    storage = Storage()
    here = str(storage.folder)

    def moved(text: str) -> str:
        return text.replace(job.storage, here)

    for path, address, digest in job.fetches:
        if file_digest(Path(moved(path))) != digest:
            storage.fetch(address, Path(moved(path)))
    Path(moved(job.folder)).mkdir(parents=True, exist_ok=True)
    for path, _ in job.delivers:
        Path(moved(path)).parent.mkdir(parents=True, exist_ok=True)
    answer = work(replace(job, words=tuple(moved(word) for word in job.words), folder=moved(job.folder)))
    for path, address in job.delivers:
        made = Path(moved(path))
        root, target = (made, address) if made.is_dir() else (made.parent, address.rpartition("/")[0])
        storage.push(files_of(made), root, target)
    return replace(answer, answer=_back(answer.answer, here, job.storage), message=answer.message.replace(here, job.storage))


def _back(value: Any, here: str, there: str) -> Any:
    if isinstance(value, str):
        return value.replace(here, there)
    if isinstance(value, list):
        return [_back(one, here, there) for one in value]
    if isinstance(value, Mapping):
        return {key: _back(one, here, there) for key, one in value.items()}
    return value

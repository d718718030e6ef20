"""Files that appear in a folder, once nobody writes to them any more: size and date unchanged from one look to the next."""

import os
from dataclasses import dataclass, field
from pathlib import Path

from spectro.errors import MeasurementFileError


@dataclass(slots=True)
class SettledFiles:
    """Looks into a folder. Call `look` again and again, with some time between."""

    folder: Path
    _seen: dict[str, tuple[int, int]] = field(default_factory=dict)  # name: size, date, as last seen
    _looks: dict[str, int] = field(default_factory=dict)  # looks since then

    def look(self) -> list[tuple[Path, int]]:
        """Return the settled files with the number of looks for which they have been so, 1 or more, oldest first.

        Hidden files, folders and links to nowhere are passed over. Raises MeasurementFileError where the folder is gone.
        """
        found: dict[str, tuple[int, int]] = {}
        try:
            with os.scandir(self.folder) as entries:
                for entry in entries:
                    if not entry.name.startswith(".") and entry.is_file():
                        status = entry.stat()
                        found[entry.name] = (status.st_size, status.st_mtime_ns)
        except FileNotFoundError as error:
            if not self.folder.is_dir():
                raise MeasurementFileError(
                    self.folder, 0, "no such folder", "the folder an instrument's software writes to", "Check its name."
                ) from error
            return []  # a file went away between two steps: look again
        except OSError as error:
            raise MeasurementFileError(
                self.folder, 0, error.strerror or "a read error", "a folder that can be read", "Check its permissions."
            ) from error
        self._looks = {
            name: self._looks.get(name, 0) + 1 if self._seen.get(name) == stamp else 0 for name, stamp in found.items()
        }
        self._seen = found
        settled = [name for name in found if self._looks[name] > 0]
        return [(self.folder / name, self._looks[name]) for name in sorted(settled, key=lambda name: (found[name][1], name))]

    @property
    def unsettled(self) -> bool:
        """Whether some files have changed since the look before."""
        return any(looks == 0 for looks in self._looks.values())

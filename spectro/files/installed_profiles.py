"""Where a person's profiles are installed: the operating system's folder, and the list of what was put there.

The list is a JSON file in the person's data folder, place and content of each profile; nothing but what stands there with
the same content is ever taken away again. The folder needs no administrator rights.

Linux and other free systems: the folder `icc` in the XDG data folder [XDG-basedir]; that its name is `icc` is from memory.
macOS: `Library/ColorSync/Profiles` in the home folder. Windows: there is no folder of a
person's own that programs look into; the system's folder needs the system's own installer.
"""

import json
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from spectro.errors import InputError, OutputFileError
from spectro.files.atomic import write_whole

FORMAT = 1
_WAIT = 20.0  # seconds for another run to finish


@dataclass(frozen=True, slots=True, kw_only=True)
class ProfileFolder:
    """A folder and what is known of it."""

    path: Path
    source: str  # why this one
    made: bool  # may be made where it is not there


def profile_folder(platform: str, environment: Mapping[str, str], home: Path) -> ProfileFolder:
    """Return the folder for a platform as `sys.platform` names it. Raises InputError where there is none.

    >>> profile_folder("linux", {}, Path("/home/me")).path.as_posix()
    '/home/me/.local/share/icc'
    """
    if platform == "darwin":
        path = home / "Library" / "ColorSync" / "Profiles"
        return ProfileFolder(path=path, source="a person's profiles on macOS; not yet tried there", made=True)
    if platform in ("win32", "cygwin"):
        raise InputError(
            "Windows, which has no folder of profiles that belongs to one person",
            "a folder that may be written to without administrator rights",
            "Open the profile's menu in the file manager and choose to install it, which asks the system; or name the "
            "profile folder of the program you print from with `folder`.",
        )
    stated = environment.get("XDG_DATA_HOME", "")
    base = Path(stated) if stated.startswith("/") else home / ".local" / "share"
    words = "XDG_DATA_HOME" if stated.startswith("/") else "the XDG data folder"
    return ProfileFolder(path=base / "icc", source=f"icc in {words}", made=True)


def installed_list_path() -> Path:
    """Return the file of the list for the person who runs this."""
    from platformdirs import user_data_path

    return user_data_path("spectro", appauthor=False) / "installed-profiles.json"


def read_installed(path: Path) -> dict[str, str]:
    """Return place and SHA-256 of each profile, {} where there is no list yet. Raises InputError for a damaged list."""
    try:
        text = path.read_text("utf-8")
    except FileNotFoundError:
        return {}
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(f"{path}, which cannot be read ({error})", "the list of installed profiles", _FIX) from error
    try:
        found = json.loads(text)
    except ValueError as error:
        raise InputError(f"{path}, which is damaged", "the list of installed profiles", _FIX) from error
    number = found.get("format") if isinstance(found, dict) else None
    if isinstance(number, int) and number > FORMAT:
        raise InputError(f"{path} of format {number}", f"format {FORMAT}", "Use the newer version of this program.")
    profiles = found.get("profiles") if isinstance(found, dict) else None
    if number != FORMAT or not isinstance(profiles, dict) or not all(isinstance(value, str) for value in profiles.values()):
        raise InputError(f"{path}, which is damaged", "the list of installed profiles", _FIX)
    return dict(profiles)


def write_installed(path: Path, profiles: Mapping[str, str]) -> None:
    """Write the list in one step."""
    data = json.dumps({"format": FORMAT, "profiles": dict(sorted(profiles.items()))}, indent=2, ensure_ascii=False) + "\n"
    write_whole(path, data.encode("utf-8"), replace=True)


@contextmanager
def locked(path: Path) -> Iterator[None]:
    """Hold the list against other runs. Raises OutputFileError where it cannot be made, InputError where it stays held."""
    from filelock import FileLock, Timeout

    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        lock = FileLock(str(path) + ".lock", timeout=_WAIT)
        lock.acquire()
    except Timeout as error:
        raise InputError(f"{path} held by another run", "one run at a time", "Wait for it to finish.") from error
    except OSError as error:
        raise OutputFileError(path, error.strerror or str(error)) from error
    try:
        yield
    finally:
        lock.release()


_FIX = "Move this file away; profiles it names must then be taken away by hand."

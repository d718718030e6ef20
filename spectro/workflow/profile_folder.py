"""The folder in which a person's operating system looks for profiles, without administrator rights.

Linux and other free systems: the folder `icc` in the XDG data folder [XDG-basedir]; that its name is `icc` is from memory.
macOS: `Library/ColorSync/Profiles` in the home folder (from memory, unverified here). Windows: there is no folder of a
person's own that programs look into; the system's folder needs the system's own installer (from memory, unverified here).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from spectro.errors import InputError


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
        return ProfileFolder(path=path, source="a person's profiles on macOS; from memory, unverified here", made=True)
    if platform in ("win32", "cygwin"):
        raise InputError(
            "Windows, which has no folder of profiles that belongs to one person (from memory, unverified here)",
            "a folder that may be written to without administrator rights",
            "Open the profile's menu in the file manager and choose to install it, which asks the system; or name the "
            "profile folder of the program you print from with --folder.",
        )
    stated = environment.get("XDG_DATA_HOME", "")
    base = Path(stated) if stated.startswith("/") else home / ".local" / "share"
    words = "XDG_DATA_HOME" if stated.startswith("/") else "the XDG data folder"
    return ProfileFolder(path=base / "icc", source=f"icc in {words}; the name icc from memory", made=True)

"""Profiles: built from readings, opened from files, held against readings."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from spectro.files.atomic import write_whole
from spectro.icc.profile_file import parse_profile, read_profile
from spectro.library.answers import Answer, Place, places
from spectro.library.readings import Given, loaded
from spectro.profile.naming import file_name
from spectro.profile.picture_reach import pictures_lab
from spectro.records.conditions import RenderingIntent
from spectro.records.profile_result import ProfileBuild
from spectro.records.profile_settings import ProfileSettings
from spectro.report.assessment_document import assessment_document
from spectro.report.profile_document import build_document, show_document
from spectro.workflow.profile.assess import assess_measurements
from spectro.workflow.profile.build import make_profile
from spectro.workflow.profile.show import list_profile
from spectro.workflow.steps.gate import pass_gate


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class BuiltProfile(Answer):
    """A profile in memory, with what is to be expected of it. Nothing is written until `write` is called."""

    data: bytes
    build: ProfileBuild

    @property
    def name(self) -> str:
        """The name the profile gives itself."""
        return self.build.name

    def write(self, path: Place | None = None, *, replace: bool = False) -> Path:
        """Write the profile and return its path. path: None for a name made of the profile's own, in the current folder.

        Raises OutputExistsError where a file of that name is there and replace is not asked for.
        """
        out = Path(file_name(self.name)) if path is None else Path(path)
        write_whole(out, self.data, replace=replace)
        return out

    def assess(self, readings: Given, *, intent: str = "absolute") -> Answer:
        """Hold the profile against readings that it has not seen. As `assess_profile`."""
        return assess_profile(self, readings, intent=intent)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class OpenedProfile(Answer):
    """Any ICC profile, listed and checked."""

    data: bytes
    file: str

    def assess(self, readings: Given, *, intent: str = "absolute") -> Answer:
        """Hold the profile against readings. As `assess_profile`."""
        return assess_profile(self, readings, intent=intent)


def build_profile(
    readings: Given,
    *,
    printer: str = "",
    paper: str = "",
    driver_settings: str = "",
    illuminant: str = "D50",
    observer: int = 2,
    icc_version: int = 2,
    grid: int = 33,
    source_gamut: str = "opRGB",
    for_image: Place | Sequence[Place] = (),
    insist: str = "",
) -> BuiltProfile:
    """Build an RGB output profile from readings of one printing condition; nothing is written.

    printer, paper, driver_settings: name the profile. illuminant: a CIE illuminant, daylight such as "5500K", or a file of a
    light's spectrum. grid: grid points of each axis of the tables, 9 to 65. source_gamut: the colours that pictures come
    with; for_image: pictures whose colours are that. insist: why readings are used although they break laws of prints.
    Raises GateError where they do and nobody insists, and other errors of `spectro.errors`.

    >>> profile = build_profile("demo_measurements/demo-second-sheet-m1.txt", paper="matte", grid=9)
    >>> profile.name, profile.build.patches
    ('matte - 2026-01-08', 156)
    """
    measurements = loaded(readings).measurements
    settings = ProfileSettings(
        illuminant=illuminant,
        observer=observer,
        icc_version=icc_version,
        grid=grid,
        source_gamut=source_gamut,
        printer=printer,
        paper=paper,
        driver_settings=driver_settings,
    )
    gate = pass_gate(measurements, insist)
    pictures = pictures_lab(places(for_image) if isinstance(for_image, str | Path) else tuple(Path(one) for one in for_image))
    made = make_profile(measurements, settings=settings, pictures=pictures, gate=gate)
    return BuiltProfile(document=build_document(made.build), data=made.data, build=made.build)


def open_profile(path: Place) -> OpenedProfile:
    """List and check any ICC profile, in plain words. Raises ProfileFileError for a file that is none.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     file = build_profile("demo_measurements/demo-second-sheet-m1.txt", grid=9).write(f"{folder}/my.icc")
    ...     open_profile(file).level
    'good'
    """
    read_profile(Path(path))
    data = Path(path).read_bytes()
    return OpenedProfile(document=show_document(list_profile(data, str(path))), data=data, file=str(path))


def assess_profile(
    profile: BuiltProfile | OpenedProfile | Place, readings: Given, *, intent: str = "absolute", insist: str = ""
) -> Answer:
    """Hold a profile against readings, and its tables against each other; nothing is written.

    intent: "absolute", or "relative" to the profile's media white. insist: as for `build_profile`.

    >>> profile = build_profile("demo_measurements/demo-readings-m1.txt", grid=9)
    >>> assess_profile(profile, "demo_measurements/demo-second-sheet-m1.txt").numbers["delta_e_2000"]["n"]
    156
    """
    opened = open_profile(profile) if isinstance(profile, str | Path) else profile
    file = opened.file if isinstance(opened, OpenedProfile) else opened.name
    measurements = loaded(readings).measurements
    gate = pass_gate(measurements, insist)
    result = assess_measurements(parse_profile(opened.data), file, measurements, intent=RenderingIntent(intent), gate=gate)
    return Answer(document=assessment_document(result))

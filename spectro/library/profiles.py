"""Profiles: built from readings, opened from files, held against readings."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from pathlib import Path

from spectro.files.atomic import write_whole
from spectro.files.overwriting import check_not_read
from spectro.icc.profile_file import parse_profile, read_profile, usable_profile
from spectro.library.answers import Answer, Place, places
from spectro.library.readings import Given, how_read, loaded
from spectro.profile.naming import file_name
from spectro.profile.picture_reach import pictures_lab
from spectro.records.conditions import RenderingIntent
from spectro.records.monochrome_settings import MonochromeSettings
from spectro.records.profile_result import ProfileBuild
from spectro.records.profile_settings import ProfileSettings
from spectro.report.assessment_document import assessment_document
from spectro.report.monochrome_document import monochrome_document
from spectro.report.profile_document import build_document, refresh_document, show_document, top_up_document
from spectro.workflow.profile.assess import assess_measurements
from spectro.workflow.profile.build import make_profile
from spectro.workflow.profile.monochrome import profile_monochrome
from spectro.workflow.profile.refresh import make_refresh
from spectro.workflow.profile.refresh_separation import with_kept_separation
from spectro.workflow.profile.show import list_profile
from spectro.workflow.profile.top_up import top_up_of, top_up_recipe
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

        Raises OutputExistsError where a file of that name is there and replace is not asked for, InputError where it is one
        that was read.
        """
        out = Path(file_name(self.name)) if path is None else Path(path)
        check_not_read(out, self.read, "path")
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
    total_area: float | None = None,
    black_share: str = "usual",
    lean: bool = False,
    other_separations: bool = False,
    insist: str = "",
) -> BuiltProfile:
    """Build an output profile, RGB or of inks, from readings of one printing condition; nothing is written.

    printer, paper, driver_settings: name the profile. illuminant: a CIE illuminant, daylight such as "5500K", or a file of a
    light's spectrum. grid: grid points of each axis of the tables, 9 to 65. source_gamut: the colours that pictures come
    with; for_image: pictures whose colours are that. Of inks: total_area, percent; black_share, "none", "fine", "usual",
    "steady", "most" or a file; lean, to save ink; other_separations, to see what other settings would do. insist: why
    readings are used although they break laws of prints.
    Raises GateError where they do and nobody insists, and other errors of `spectro.errors`.

    >>> profile = build_profile("demo_measurements/demo-second-sheet-m1.txt", paper="matte", grid=9)
    >>> profile.name, profile.build.patches
    ('matte - 2026-01-08', 156)
    """
    given = loaded(readings)
    measurements = given.measurements
    settings = ProfileSettings(
        illuminant=illuminant,
        observer=observer,
        icc_version=icc_version,
        grid=grid,
        source_gamut=source_gamut,
        printer=printer,
        paper=paper,
        driver_settings=driver_settings,
        total_area=total_area,
        black_share=black_share,
        lean=lean,
        other_separations=other_separations,
    )
    gate = pass_gate(measurements, insist)
    images = places(for_image) if isinstance(for_image, str | Path) else tuple(Path(one) for one in for_image)
    made = make_profile(measurements, settings=settings, pictures=pictures_lab(images), gate=gate, insist=insist)
    return BuiltProfile(document=build_document(made.build), data=made.data, build=made.build, read=(*given.read, *images))


def refresh_profile(
    old: Given,
    fresh: Given,
    *,
    printer: str = "",
    paper: str = "",
    driver_settings: str = "",
    icc_version: int = 2,
    grid: int = 33,
    total_area: float | None = None,
    black_share: str = "",
    insist: str = "",
    checked: Collection[str] = (),
) -> BuiltProfile:
    """Bring a profile up to date: old readings of the whole chart, moved by a smooth drift, and 40 to 80 fresh patches.

    old: readings, or a profile that carries them. fresh: readings of patches that span the printer, white and solids among
    them. total_area, black_share: of inks; None and "": as in the profile before. checked: what was looked at and is right, of
    "dry", "settings", "nozzles". The others as for `build_profile`.
    Nothing is written. Raises GateError and other errors of `spectro.errors`.

    >>> folder = "demo_measurements/demo-"
    >>> answer = refresh_profile(f"{folder}second-sheet-m1.txt", f"{folder}control-2026-03-02-m1.txt", grid=9)
    >>> answer.numbers["old_patches"], answer.data[36:40]
    (156, b'acsp')
    """
    given = loaded(old), loaded(fresh)
    before, after = (one.measurements for one in given)
    settings = ProfileSettings(
        icc_version=icc_version,
        grid=grid,
        printer=printer,
        paper=paper,
        driver_settings=driver_settings,
        total_area=total_area,
        black_share=black_share or "usual",
    )
    older = next(iter(given[0].read), None)
    settings = with_kept_separation(settings, older, ("black_share",) if black_share else ())
    gate = (*pass_gate(before, insist), *pass_gate(after, insist))
    made, found = make_refresh(before, after, settings=settings, gate=gate, insist=insist, checked=checked)
    read = tuple(path for one in given for path in one.read)
    return BuiltProfile(document=refresh_document(found), data=made.data, build=made.build, read=read)


def top_up(
    readings: Given,
    out: Place | None = None,
    *,
    patches: int = 60,
    recipe: Place = "rgb-a4-strip",
    insist: str = "",
    replace: bool = False,
) -> Answer:
    """Say what a small further chart would bring to a printer that has been read.

    out: the folder for its recipe and its list of patches, which `make_chart` takes; None: nothing is written. patches: how
    many are chosen, 12 to 400. recipe: whose page and reading mode are taken. Raises errors of `spectro.errors`.

    >>> top_up("demo_measurements/demo-second-sheet-m1.txt", patches=20).numbers["chosen"]
    20
    """
    folder = None if out is None else Path(out)
    base = top_up_recipe(patches, recipe, folder, replace_files=replace)
    given = loaded(readings)
    gate = pass_gate(given.measurements, insist)
    found = top_up_of(given.measurements, folder, base, patches=patches, gate=gate, insist=insist, replace_files=replace)
    return Answer(document=top_up_document(found), read=given.read)


def judge_greys(
    *readings: Place,
    aim: str = "",
    illuminant: str = "D50",
    chart: Place | None = None,
    curve: Place | None = None,
    profile: Place | None = None,
    through_curve: bool = False,
    replace: bool = False,
) -> Answer:
    """Judge greys printed in black and white, in the driver's monochrome mode or in equal RGB.

    aim: the tint wanted, "paper", "neutral" or a file; "": that which is printed. illuminant: the light of the place.
    curve: a linearising curve to write; profile: a grey profile to write; None: nothing is. through_curve: the profile is
    that of prints made through the curve. Raises errors of `spectro.errors`; nothing is written then.

    >>> judge_greys("demo_measurements/demo-greys-m1.txt").document.kind
    'monochrome'
    """
    found = profile_monochrome(
        places(readings),
        options=how_read(chart),
        settings=MonochromeSettings(aim=aim, illuminant=illuminant, through_curve=through_curve),
        out=None if profile is None else Path(profile),
        curve=None if curve is None else Path(curve),
        replace=replace,
    )
    return Answer(document=monochrome_document(found), read=(*places(readings), *places(() if chart is None else chart)))


def open_profile(path: Place) -> OpenedProfile:
    """List and check any ICC profile, in plain words. Raises ProfileFileError for a file that is none.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     file = build_profile("demo_measurements/demo-second-sheet-m1.txt", grid=9).write(f"{folder}/my.icc")
    ...     open_profile(file).level
    'good'
    """
    read_profile(Path(path), parse_profile)
    data = Path(path).read_bytes()
    return OpenedProfile(document=show_document(list_profile(data, str(path))), data=data, file=str(path), read=(Path(path),))


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
    given = loaded(readings)
    gate = pass_gate(given.measurements, insist)
    result = assess_measurements(
        usable_profile(opened.data), file, given.measurements, intent=RenderingIntent(intent), gate=gate
    )
    return Answer(document=assessment_document(result), read=(*opened.read, *given.read))

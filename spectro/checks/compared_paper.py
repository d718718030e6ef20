"""What is compared: readings, colours without spectra, or profiles, brought to one form, with what predicts it."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from spectro.checks.print_noise import print_noise
from spectro.checks.statistics import difference_statistics
from spectro.colour.difference import delta_e_2000
from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError, ProfileFileError, SpectroError, TagError
from spectro.icc.evaluate import device_to_lab
from spectro.icc.profile_file import IccProfile
from spectro.model.gaussian_process import DeviceModel, fit_gaussian_process, least_to_predict
from spectro.readings.greys import paper_row, unprinted
from spectro.readings.paper_readings import ConditionReadings
from spectro.readings.repeats import average_lab, recipe_groups
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.conditions import NOT_STATED, MeasurementCondition
from spectro.records.readings import Readings
from spectro.records.shown_text import shown_name
from spectro.records.statistics import DifferenceStatistics
from spectro.standards.limits import shipped_limits

SPACES = {b"RGB ": ("RGB", 3), b"CMYK": ("CMYK", 4), b"CMY ": ("CMY", 3), b"GRAY": ("GRAY", 1)}
_ONE_SHEET = shipped_limits("colours")["one_sheet"]
_SAMPLES = 1500  # device values at which a profile stands for readings


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ComparedPaper:
    """One paper as the comparison takes it. Rows of lab are patches in file order; recipes are averages of repeats."""

    name: str
    origin: str
    kind: str  # "readings", "colours", "profile"
    condition: str
    colour_space: str  # "" without device values
    ids: tuple[str, ...]
    device: FloatArray  # (n, channels) or (n, 0)
    lab: FloatArray  # (n, 3) D50, 2°, absolute
    recipe_device: FloatArray  # (m, channels)
    recipe_lab: FloatArray  # (m, 3)
    paper: int  # row of the unprinted paper among the recipes
    spectra: tuple[ConditionReadings, ...]  # one a measurement condition, the one compared first; () without spectra
    model: DeviceModel | None  # None: too few patches, or a profile
    profile: IccProfile | None
    noise: float | None
    noise_from: str
    stated: Readings | None = None  # colours as a file states them, without spectra

    @property
    def channels(self) -> int:
        """How many device values a patch has."""
        return int(self.recipe_device.shape[1])

    def predict(self, device: FloatArray) -> FloatArray:
        """Return Lab (n, 3) of device values (n, channels). Raises InputError where nothing predicts."""
        if self.profile is not None:
            return device_to_lab(self.profile, np.asarray(device), absolute=True)
        if self.model is None:
            raise InputError(f"too few patches in {self.origin}", f"{least_to_predict()} or more", "Read a larger chart.")
        return self.model.predict(device)

    @property
    def predicts(self) -> bool:
        """Whether predict can be asked."""
        return self.profile is not None or self.model is not None

    def left_out(self) -> DifferenceStatistics | None:
        """Return what a new profile from these readings would be off by; None for a profile and for too few patches."""
        errors = self.left_out_errors()
        return None if errors is None else difference_statistics(errors)

    def left_out_errors(self) -> FloatArray | None:
        """Return ΔE00 (m,) of each recipe predicted without it, or None."""
        return None if self.model is None else delta_e_2000(self.model.left_out, self.recipe_lab)


def fit_compared(paper: ComparedPaper) -> ComparedPaper:
    """Return the paper with its device model, where its patches carry one."""
    if paper.profile is not None or paper.channels < 3 or len(paper.recipe_device) < least_to_predict():
        return paper
    counts = np.unique(recipe_groups(paper.device), return_counts=True)[1].astype(float)
    try:
        model = fit_gaussian_process(paper.recipe_device, paper.recipe_lab, counts)
    except SpectroError:  # readings that span too little of the printer carry no model; the rest of the comparison stands
        return paper
    return replace(paper, model=model)


def under_condition(paper: ComparedPaper, word: str) -> ComparedPaper:
    """Return the paper as read under a measurement condition, by its word, where it was; else as it is."""
    if paper.kind != "readings" or word not in [one.word for one in paper.spectra]:
        return paper
    return compared_readings(paper.name, tuple(sorted(paper.spectra, key=lambda one: one.word != word)), None)


def compared_readings(name: str, found: tuple[ConditionReadings, ...], wanted: MeasurementCondition | None) -> ComparedPaper:
    """Return readings with spectra, one a measurement condition; wanted: the one to compare, or None for the first."""
    if wanted is not None:
        found = tuple(sorted(found, key=lambda one: one.condition != wanted))
    main = found[0]
    if main.measurements is None:
        lab = spectra_to_lab(main.reflectance, main.wavelengths)
        return ComparedPaper(
            name=name, origin=main.origin, kind="readings", condition=main.word, colour_space="", ids=("paper",),
            device=np.zeros((1, 0)), lab=lab, recipe_device=np.zeros((1, 0)), recipe_lab=lab, paper=0, spectra=found,
            model=None, profile=None, noise=None, noise_from="no repeats",
        )  # fmt: skip
    measured = main.measurements
    lab = spectra_to_lab(measured.reflectance, measured.wavelengths)
    noise, noise_from = _noise(measured.device, lab)
    return ComparedPaper(
        name=name,
        origin=main.origin,
        kind="readings",
        condition=main.word,
        colour_space=measured.colour_space,
        ids=measured.sample_ids,
        device=measured.device,
        lab=lab,
        recipe_device=main.device,
        recipe_lab=spectra_to_lab(main.reflectance, main.wavelengths),
        paper=main.paper,
        spectra=found,
        model=None,
        profile=None,
        noise=noise,
        noise_from=noise_from,
    )


def many_colours(patches: Readings) -> bool:
    """Return whether spectra without device values are patches, not the blank sheet read several times."""
    lab = spectra_to_lab(patches.reflectance, patches.wavelengths)
    return bool(delta_e_2000(lab, lab.mean(axis=0)).max() > _ONE_SHEET)


def compared_spectra(name: str, patches: Readings) -> ComparedPaper:
    """Return patches without device values: they are compared one by one."""
    lab = spectra_to_lab(patches.reflectance, patches.wavelengths)
    return ComparedPaper(
        name=name,
        origin=patches.origin,
        kind="colours",
        condition=patches.condition or NOT_STATED,
        colour_space="",
        ids=_labels(patches.sample_names, patches.sample_ids),
        device=np.zeros((len(lab), 0)),
        lab=lab,
        recipe_device=np.zeros((len(lab), 0)),
        recipe_lab=lab,
        paper=int(np.argmax(lab[:, 0])),
        spectra=(),
        model=None,
        profile=None,
        noise=None,
        noise_from="no repeats",
    )


def _labels(names: Sequence[str], ids: Sequence[str]) -> tuple[str, ...]:
    return tuple(label or identity for label, identity in zip(names, ids, strict=True))


def compared_colours(name: str, found: Readings) -> ComparedPaper:
    """Return patches with colours as a file states them, without spectra. Raises InputError where no patch is unprinted."""
    lab, device, space = found.stated_lab, found.device, found.colour_space
    recipe_device, recipe_lab = average_lab(device, lab) if space else (device, lab)
    noise, noise_from = _noise(device, lab) if space else (None, "no repeats")
    return ComparedPaper(
        name=name,
        origin=found.origin,
        kind="colours",
        condition=found.condition or NOT_STATED,
        colour_space=space,
        ids=_labels(found.sample_names, found.sample_ids),
        device=device,
        lab=lab,
        recipe_device=recipe_device,
        recipe_lab=recipe_lab,
        paper=_paper_row(space, recipe_device, recipe_lab, found.origin),
        spectra=(),
        model=None,
        profile=None,
        noise=noise,
        noise_from=noise_from,
        stated=found,
    )


def compared_profile(name: str, path: Path, profile: IccProfile, spectra: tuple[ConditionReadings, ...]) -> ComparedPaper:
    """Return what stands for readings of a printer's profile. spectra: those it carries, () for none.

    Raises ProfileFileError for other profiles and damaged ones.
    """
    space = SPACES.get(profile.header.colour_space)
    if profile.header.device_class != b"prtr" or space is None:
        raise ProfileFileError(
            path, f"a profile of class {profile.header.device_class.decode('latin-1')} for "
            f"{profile.header.colour_space.decode('latin-1').strip()}", "an output profile for RGB, CMYK, CMY or grey",
            "Give a printer's profile, or readings.",
        )  # fmt: skip
    colour_space, channels = space
    ends = np.repeat([[0.0], [1.0]], channels, axis=1)
    axes = np.stack(np.meshgrid(*[np.linspace(0, 1, 2)] * channels, indexing="ij"), axis=-1).reshape(-1, channels)
    places = np.concatenate([axes, np.random.default_rng(8).random((_SAMPLES, channels))])
    try:
        white = unprinted(colour_space, ends, device_to_lab(profile, ends, absolute=True)[:, 0])
        device = np.concatenate([np.full((1, channels), white), places])
        lab = device_to_lab(profile, device, absolute=True)
    except TagError as error:
        raise ProfileFileError(path, str(error), "an undamaged output profile", "Build it again.") from error
    return ComparedPaper(
        name=name,
        origin=shown_name(path),
        kind="profile",
        condition=spectra[0].word if spectra else NOT_STATED,
        colour_space=colour_space,
        ids=(),
        device=device,
        lab=lab,
        recipe_device=device,
        recipe_lab=lab,
        paper=0,
        spectra=spectra,
        model=None,
        profile=profile,
        noise=None,
        noise_from="a profile holds no repeats",
    )


def recipe_counts(device: FloatArray) -> IntArray:
    """Return how often each recipe was read (m,), recipes in the order of their first reading."""
    return np.bincount(recipe_groups(device)) if device.shape[1] else np.ones(len(device), dtype=np.int64)


def _noise(device: FloatArray, lab: FloatArray) -> tuple[float | None, str]:
    """Return the mean ΔE00 of one reading from its repeats, None for too few, and how it was found."""
    group = recipe_groups(device)
    found = print_noise(lab, group)
    if not found.reading_measured:
        return None, "too few repeats"
    return found.reading, f"{int((np.bincount(group)[group] > 1).sum())} repeated readings"


def _paper_row(space: str, device: FloatArray, lab: FloatArray, origin: str) -> int:
    """Return the row of the unprinted paper; the lightest where device values are not known. Raises InputError for none."""
    if not space:
        return int(np.argmax(lab[:, 0]))
    row = paper_row(space, device, lab[:, 0])
    if row is None:
        raise InputError(f"no unprinted patch in {origin}", "a patch of bare paper", "Measure one.")
    return row

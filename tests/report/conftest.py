"""Assessments for tests of the report. Everything in them is invented: no printer, paper or profile behind it."""

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from spectro.colour.difference import delta_e_2000
from spectro.records.assessment import Assessment, ErrorBudget, PatchDifference
from spectro.records.statistics import DifferenceStatistics

sys.path.insert(0, str(Path(__file__).resolve().parent))  # modules beside the tests of this room


def statistics_of(delta_e):
    """Summary of ΔE00 values, or None where there are none."""
    if not len(delta_e):
        return None
    p95, p99 = np.percentile(delta_e, [95, 99])
    return DifferenceStatistics(
        mean=float(delta_e.mean()),
        median=float(np.median(delta_e)),
        p95=float(p95),
        p99=float(p99),
        max=float(delta_e.max()),
        n=len(delta_e),
    )


def invented_lab(device):
    """Lab of an invented three-channel print: a bluish paper, a warm black, more red than cyan."""
    red, green, blue = np.moveaxis(device**0.9, -1, 0)
    mean = (0.25 * red + 0.6 * green + 0.15 * blue) ** 0.85
    a = 62 * (red - green) + 18 * (blue - green) + 1.5 * mean + 0.8 * np.sin(5 * mean)
    b = 58 * (0.55 * red + 0.45 * green - blue) - 5.0 * mean + 2.0 * (1 - mean)
    return np.stack([8 + 87 * mean, a, b], axis=-1)


def invented_positions(patches, rows=25, columns=34):
    """Page, row and column of patches laid out page by page, row by row."""
    order = np.arange(patches)
    return np.stack([order // (rows * columns), order // columns % rows, order % columns], axis=-1) + 1


def invented_assessment(patches=2420, *, seed=5, positions=True, error=0.35, budget=None, worst=10):
    """An assessment of patches invented ones, with smooth and random errors and a faulty strip on the first page."""
    generator = np.random.default_rng(seed)
    device = np.round(generator.random((patches, 3)) * 255) / 255
    greys = min(patches, max(1, patches // 40))
    device[:greys] = np.linspace(0, 1, greys)[:, None] if greys > 1 else 0.5
    profile = invented_lab(device)
    smooth = np.stack([np.sin(4 * device[:, 0]), np.cos(5 * device[:, 1]), np.sin(3 * device.sum(axis=1))], axis=-1)
    measured = profile + error * (smooth + generator.normal(size=(patches, 3)))
    places = invented_positions(patches)
    strip = (places[:, 0] == 1) & (places[:, 1] == 17) & (places[:, 2] > 20)
    measured[strip] += 3 * error * np.array([1.0, 2.0, -1.0])
    if patches > 200:
        measured[150] += 25 * error
    delta_e = delta_e_2000(measured, profile)
    identifiers = tuple(str(number) for number in range(1, patches + 1))
    names = tuple(f"{chr(65 + row % 26)}{column}" for _, row, column in places.tolist())
    order = np.argsort(-delta_e, kind="stable")[:worst]
    chroma = np.hypot(profile[:, 1], profile[:, 2])
    ramp = np.linspace(0, 1, 65)
    return Assessment(
        verdict=(
            "Good: the profile describes this print about as well as it can be read, but it is not yet proven in print. "
            "Print a proof page through it and measure that."
        ),
        profile_file="invented-printer-invented-paper.icc",
        profile_name="Invented printer – invented paper – best – 2026-01-01",
        profile_id="0123456789abcdef0123456789abcdef",
        icc_version="2.4",
        readings_origin="invented-readings.txt",
        light="D50, 2° observer",
        measurement_condition="M1",
        intent="absolute",
        delta_e_2000=statistics_of(delta_e),
        groups={
            "greys": statistics_of(delta_e[chroma < 6]),
            "skin-like": statistics_of(delta_e[(profile[:, 0] > 40) & (np.abs(profile[:, 1:] - 18).max(axis=1) < 8)]),
            "dark (L* < 20)": statistics_of(delta_e[profile[:, 0] < 20]),
            "near white": statistics_of(delta_e[(profile[:, 0] > 91) & (chroma < 8)]),
        },
        round_trip=DifferenceStatistics(mean=0.047, median=0.03, p95=0.15, p99=0.31, max=0.92, n=20000),
        budget=budget
        or ErrorBudget(repeat_noise=0.18, repeat_noise_from="24 repeated patches", model=0.38, table=0.05, total=0.4235),
        worst=tuple(
            PatchDifference(
                id=identifiers[row],
                name=names[row],
                device=tuple(device[row].tolist()),
                measured_lab=tuple(measured[row].tolist()),
                profile_lab=tuple(profile[row].tolist()),
                delta_e_2000=float(delta_e[row]),
                position=tuple(places[row].tolist()) if positions else None,
            )
            for row in order.tolist()
        ),
        sample_ids=identifiers,
        sample_names=names,
        device=device,
        measured_lab=measured,
        profile_lab=profile,
        delta_e=delta_e,
        positions=places if positions else np.zeros((0, 3), dtype=np.int64),
        grey_ramp_device=ramp,
        grey_ramp_lab=invented_lab(np.repeat(ramp[:, None], 3, axis=1)),
        white_lab=(95.0, 1.5, -5.0),
        black_lab=(8.0, 0.5, 2.0),
    )


@pytest.fixture
def invented():
    """The function that makes an invented assessment."""
    return invented_assessment


@pytest.fixture
def named():
    """The function that gives every patch of an assessment one id and name."""

    def with_ids(assessment, identifier):
        many = (identifier,) * len(assessment.sample_ids)
        worst = tuple(replace(patch, id=identifier, name=identifier) for patch in assessment.worst)
        return replace(assessment, sample_ids=many, sample_names=many, worst=worst)

    return with_ids

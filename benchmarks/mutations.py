"""Deciding constants of the tables' fit and of the model, each halved, doubled and removed: does a test of its room fail?

    python benchmarks/mutations.py [--only NAME …] [--rooms ROOM …] [--effects] [--within SECONDS]

Effect: the figures below of two invented printers, one with a table of its own, that move by more than a tenth against the
constant as it is. --effects: leave it at that. Otherwise the tests of the rooms are run with every mutant that has an effect,
in a process of their own; what no test notices is a survivor. --within: stop starting runs of tests after so long.
Removed: 0, where the constant allows it; what then fails to run at all counts as noticed.
"""

import argparse
import functools
import importlib
import math
import subprocess
import sys
import time
import warnings
from dataclasses import replace
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[1]
RECORDS = {
    "spectro.profile.fit_points.PointSettings": "profile",
    "spectro.profile.pcs_table.FitSettings": "profile",
    "spectro.profile.compression.MappedSettings": "profile",
    "spectro.profile.agreement.AgreementSettings": "profile",
    "spectro.model.path_search.PathSearch": "model",
    "spectro.model.gaussian_process.FitSettings": "model",
    "spectro.model.sheet_effects.SheetSettings": "sheets",
}
CONSTANTS = {
    "spectro.profile.outside_rule._BEND": "profile",
    "spectro.profile.gamut_mapping.KNEE": "profile",
    "spectro.profile.gamut_mapping.HUE_KEPT": "profile",
    "spectro.profile.vivid_mapping._KNEE": "profile",
    "spectro.profile.vivid_mapping._TOWARDS": "profile",
    "spectro.profile.grey_nodes._FARTHEST": "profile",
    "spectro.profile.spacing._PULL": "profile",
    "spectro.boundary.straight_axis._FADE": "profile",
    "spectro.profile.printed_gamut._SMOOTHING": "profile",
    "spectro.model.likelihood._WARP_SPREAD": "model",
    "spectro.model.likelihood._LENGTH_SPREAD": "model",
    "spectro.model.kernel._EDGE": "model",
    "spectro.model.page_places._SORTED": "sheets",
    "spectro.model.page_places._LARGEST": "sheets",
    "spectro.model.page_places._MANY": "sheets",
    "spectro.model.page_places._LONGEST": "sheets",
}
TESTS = {
    "profile": ["tests/profile/test_fit_points.py", "tests/profile/test_agreement.py", "tests/profile/test_tables.py"],
    "model": ["tests/model/test_path_table.py"],
    "sheets": ["tests/model/test_sheet_effects.py"],
}
LEAST = 0.1  # of a figure, that counts as an effect


def owner(place):
    """The module or class that holds a constant, and its name."""
    holder, name = place.rsplit(".", 1)
    try:
        return importlib.import_module(holder), name
    except ModuleNotFoundError:
        module, record = holder.rsplit(".", 1)
        return getattr(importlib.import_module(module), record), name


def value_of(place):
    held, name = owner(place)
    return held.__init__.__kwdefaults__[name] if isinstance(held, type) else getattr(held, name)


def put(place, value):
    """Set a constant; the one record of the path search is made anew."""
    held, name = owner(place)
    if isinstance(held, type):
        held.__init__.__kwdefaults__[name] = value
        search = importlib.import_module("spectro.model.path_search")
        search.SEARCH = search.PathSearch()
        for module in ("spectro.model.gaussian_process", "spectro.model.sheet_effects"):
            place = importlib.import_module(module)
            place.SETTINGS = type(place.SETTINGS)()
        compression = importlib.import_module("spectro.profile.compression")
        compression._FIT = compression.FitSettings(passes=compression._FIT.passes, roughness=compression._FIT.roughness)
    else:
        setattr(held, name, value)


def places():
    for record, room in RECORDS.items():
        held, _ = owner(record + ".x")
        for name, value in held.__init__.__kwdefaults__.items():
            if isinstance(value, int | float) and not isinstance(value, bool):
                yield f"{record}.{name}", room
    yield from CONSTANTS.items()


def mutants(value):
    whole = isinstance(value, int)
    yield "half", (max(1, value // 2) if whole else value / 2)
    yield "twice", value * 2
    yield "removed", 0 if whole else 0.0


def invented(kinked):
    """Device values to Lab of an invented printer with a tinted black; kinked: through a table of 9 nodes with errors."""
    from spectro.maths.lattice import tetrahedral

    errors = np.random.default_rng(2).normal(0, 0.5, (9, 9, 9, 3))

    def lab(device):
        ink = 1 - device**1.4
        lightness = 95 - 79 * (0.25 * ink[:, 0] + 0.5 * ink[:, 1] + 0.25 * ink[:, 2]) ** 0.8
        a = 0.5 + 60 * (ink[:, 1] - 0.6 * ink[:, 0] - 0.4 * ink[:, 2])
        b = -3 + 65 * (ink[:, 2] - 0.5 * ink[:, 0] - 0.45 * ink[:, 1])
        dark = np.exp(-(((lightness - 16) / 8) ** 2))
        found = np.column_stack([lightness, a + 1.2 * dark, b + 4 * dark])
        return found + tetrahedral(errors, device * 8) if kinked else found

    return lab


def fewer(points):
    """Point settings with a quarter of the points inside and of sources: the same shares, in less time."""
    names = ("filling", "darkened", "greyed", "of_source", "dark_of_source")
    return replace(points, **{name: getattr(points, name) // 4 for name in names})


def profile_figures(mapped=True):
    """Figures of the tables. mapped: those of the perceptual and saturation tables too."""

    from spectro.colour.difference import delta_e_2000
    from spectro.colour.source_gamut import source_surface
    from spectro.maths.lattice import n_linear
    from spectro.profile import (
        agreement,
        assemble,
        compression,
        device_table,
        inversion,
        outside_rule,
        pcs_table,
        printed_gamut,
    )
    from spectro.profile.gamut_mapping import gamut_mapping, source_boundary
    from spectro.profile.vivid_mapping import vivid_mapping

    grid, figures = 17, {}
    for kinked in (False, True):
        predicted = invented(kinked)(device_table.lattice_points(grid)).reshape(grid, grid, grid, 3)
        table = device_table.device_table(predicted, legacy=True)
        inverse = inversion.prepare_inverse(table)
        spacing = pcs_table.fitted_spacing(inverse, grid)
        gamut = printed_gamut.printed_gamut(table)
        rule = outside_rule.outside_rule(inverse, gamut)
        nodes = pcs_table.fit_colorimetric(rule, spacing, fewer(pcs_table.PointSettings()))

        def came(lab, one, at=table, spaced=spacing):
            return at.evaluate(np.clip(n_linear(one, spaced.positions(lab)), 0, 1))

        colours = table.evaluate(np.random.default_rng(3).random((8000, 3)))
        grey = np.linspace(inversion.darkest_neutral(inverse), 100, 400)[:, None] * (1.0, 0, 0)
        key = "kinked " if kinked else ""
        figures[key + "inside"] = np.percentile(delta_e_2000(colours, came(colours, nodes)), 95)
        figures[key + "greys"] = np.abs(came(grey, nodes)[:, 1:]).max()
        if kinked:
            agreed = agreement.agreeing_table(table, spacing, nodes, grey[0, 0], legacy=True)
            figures["tables together"] = np.percentile(delta_e_2000(colours, came(colours, nodes, agreed)), 95)
            figures["moved"] = delta_e_2000(table.lab, agreed.lab).mean()
            break
        wide = source_surface("opRGB", np.random.default_rng(8).random((8000, 3)))
        device, left = rule.device(wide)
        shadow = np.linspace(0, gamut.darkest - 1, 300)[:, None] * (1.0, 0, 0)
        error = delta_e_2000(table.evaluate(device[left > 0.5]), came(wide[left > 0.5], nodes))
        figures["outside"], figures["outside, largest"] = np.percentile(error, 95), error.max()
        figures["shadow"] = delta_e_2000(table.evaluate(rule.device(shadow)[0]), came(shadow, nodes)).max()
        figures["rule"] = delta_e_2000(wide[left > 0.5], table.evaluate(device[left > 0.5])).mean()
        if not mapped:
            continue
        mapping = gamut_mapping(table, "opRGB", 0.0, None, gamut)
        vivid = vivid_mapping(replace(mapping, source=source_boundary("sRGB", gamut)))
        spaced = assemble.source_spacing(table, "opRGB")
        for name, one in (("perceptual", mapping), ("saturation", vivid)):
            wanted = table.evaluate(inversion.invert_straight(inverse, one.mapped(wide))[0])
            found = came(wide, compression.mapped_table(inverse, spaced, one), spaced=spaced)
            figures[name] = np.percentile(delta_e_2000(wanted, found), 95)
            figures[name + ", chroma"] = np.hypot(*found[:, 1:].T).mean()
    return figures


def model_figures():
    from spectro.colour.difference import delta_e_2000
    from spectro.model.gaussian_process import fit_gaussian_process

    random = np.random.default_rng(8)
    device, at, figures = random.random((700, 3)), random.random((1500, 3)), {}
    for kinked in (False, True):
        printer = invented(kinked)
        model = fit_gaussian_process(device, printer(device) + 0.05 * random.normal(size=(700, 3)))
        figures[f"error {kinked}"] = delta_e_2000(model.predict(at), printer(at)).mean()
        figures[f"table {kinked}"] = float(model.prior.table is not None)
        figures[f"uncertainty {kinked}"] = model.uncertainty(at).mean()
    return figures


@functools.cache
def two_sheets(apart, drift):
    """Readings of 600 patches on each of two sheets, rows of 24, and a model of all: the second apart in L*, both drifting."""
    from spectro.model.exact import solve_exact
    from spectro.model.gaussian_process import fit_gaussian_process
    from spectro.model.sheet_effects import SheetReadings

    random = np.random.default_rng(4)
    device, sheets, at = random.random((1200, 3)), np.repeat([1, 2], 600), np.tile(np.arange(600), 2)
    lab = invented(False)(device) + 0.15 * random.normal(size=(1200, 3))
    lab[:, 0] += apart * (sheets == 2) + drift * np.sin(7 * (at // 24) / 25 + sheets) * np.cos(5 * (at % 24) / 24)
    prior = fit_gaussian_process(device[:400], lab[:400], tables=False).prior
    model = solve_exact(device, lab, np.ones(1200), prior)
    return model, SheetReadings(group=np.arange(1200), lab=lab, sheets=sheets, device=device), at


def sheet_figures():
    from spectro.colour.difference import delta_e_2000
    from spectro.model.exact import solve_exact
    from spectro.model.page_places import places_in_order
    from spectro.model.sheet_effects import sheet_effects

    at, figures = np.random.default_rng(5).random((1500, 3)), {}
    for apart, drift in ((0.0, 0.0), (0.06, 0.0), (0.4, 0.0), (0.4, 0.2)):
        model, readings, order = two_sheets(apart, drift)
        residual = readings.lab - model.left_out
        places = places_in_order(order, readings.sheets, readings.device, residual)
        found = sheet_effects(model, readings, places)
        key = f"{apart:g} {drift:g}"
        figures[f"apart {key}"] = float(found.constants[1, 0] - found.constants[0, 0])
        figures[f"drift {key}"] = float(found.drifts)
        figures[f"shift {key}"] = float(found.shift[:, 0].std())
        later = solve_exact(readings.device, readings.lab - found.shift, np.ones(1200), model.prior)
        centre = invented(False)(at) + np.array([apart / 2, 0, 0])
        figures[f"error {key}"] = float(delta_e_2000(later.predict(at), centre).mean())
    sorted_rows = np.lexsort(np.round(readings.device.T, 1))
    places = places_in_order(order, readings.sheets, readings.device[sorted_rows], residual)
    figures["sorted"] = float(places is None)
    return figures


def change(usual, found):
    """By what share of the larger a figure has changed."""
    return (found - usual) / max(abs(found), abs(usual), 1e-9)


def noticed(place, value, room):
    """Whether the tests of a room fail with a mutant."""
    options = ["-q", "-x", "-n", "0", "-p", "no:cacheprovider", *TESTS[room]]
    code = (
        "import sys, pytest; sys.path.insert(0, 'benchmarks'); import mutations;"
        f" mutations.put({place!r}, {value!r}); sys.exit(pytest.main({options!r}))"
    )
    return subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True).returncode != 0


def main() -> None:
    warnings.simplefilter("ignore")
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--only", nargs="+", default=())
    parser.add_argument("--effects", action="store_true")
    parser.add_argument("--rooms", nargs="+", default=())
    parser.add_argument("--within", type=float, default=math.inf)
    arguments = parser.parse_args()
    start, counts = time.monotonic(), {"no effect": 0, "noticed": 0, "survived": 0, "not run": 0}
    judges = {"profile": profile_figures, "model": model_figures, "sheets": sheet_figures}
    usual = {room: figures() for room, figures in judges.items() if not arguments.rooms or room in arguments.rooms}
    for place, room in places():
        if room not in usual:
            continue
        if arguments.only and not any(word in place for word in arguments.only):
            continue
        value = value_of(place)
        for how, changed in mutants(value):
            if changed == value:
                continue
            put(place, changed)
            try:
                found = (
                    profile_figures("fit_points" not in place and "agreement" not in place)
                    if room == "profile"
                    else judges[room]()
                )
                moved = {name: change(usual[room][name], found[name]) for name in found}
                effect = {name: round(float(share), 2) for name, share in moved.items() if not abs(share) <= LEAST}
            except Exception as error:  # a mutant that cannot run is noticed by whoever runs anything
                effect = {"fails": type(error).__name__}
            finally:
                put(place, value)
            if not effect:
                outcome = "no effect"
            elif arguments.effects or time.monotonic() - start > arguments.within:
                outcome = "not run"
            else:
                outcome = "noticed" if "fails" in effect or noticed(place, changed, room) else "survived"
            counts[outcome] += 1
            print(f"{place.removeprefix('spectro.')} {how} ({changed:g}): {outcome} {effect or ''}", flush=True)
    print(counts)


if __name__ == "__main__":
    main()

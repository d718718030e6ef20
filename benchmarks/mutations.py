"""Deciding constants of the tables' fit and of the model, each halved, doubled and removed: does a test of its room fail?

    python benchmarks/mutations.py [--only WORD …] [--rooms ROOM …] [--results FILE] [--effects] [--again OUTCOME …] [--table]

Effect: the figures below of invented printers that move by more than a tenth against the constant as it is, and by more than
twice as far as with other random points in the fit (four draws). --effects: leave it at that. Otherwise the tests of the room
are run with every mutant that has an effect, those that name the constant first, up to the first that fails; what no test
notices is a survivor. Each mutant is a process of its own, forked from one that has imported everything. --results: a file of
one JSON line a mutant, kept between runs: what stands in it is not run again, unless its outcome is named by --again (effects
that stand there are kept, but with --effects). --table: print what the file holds. Removed: 0; a mutant that cannot run at all
is noticed by whoever runs anything. Figures and outcomes: mutations.md.
"""

import argparse
import contextlib
import functools
import importlib
import json
import os
import re
import signal
import sys
import time
import warnings
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))

from tests.constants import with_value  # noqa: E402

RECORDS = {
    "spectro.profile.fit_points.PointSettings": "profile",
    "spectro.profile.pcs_table.FitSettings": "profile",
    "spectro.profile.compression.MappedSettings": "mapped",
    "spectro.profile.agreement.AgreementSettings": "profile",
    "spectro.model.path_search.PathSearch": "model",
    "spectro.model.gaussian_process.FitSettings": "model",
    "spectro.model.sheet_effects.SheetSettings": "sheets",
}
INSTANCES = {  # records that name some fields of their own, and those fields
    "spectro.profile.compression._FIT": ("mapped", "passes", "roughness"),
    "spectro.profile.agreement.EXPANSION": ("mapped", "hold"),
}
CONSTANTS = {
    "spectro.profile.pcs_table": ("profile", "_ROUGH_POINTS", "_GREY_REACH", "_GREYS_COUNT", "_WHITE"),
    "spectro.profile.spacing": (
        "profile", "_REACH", "_DARK_DENSITY", "_BRIGHT_DENSITY", "_NEUTRAL_DENSITY", "_OUTER_PLACE", "_LEAST_SHARE", "_PULL",
        "_MARGIN", "_LEAST_CELL",
    ),
    "spectro.profile.grey_nodes": ("profile", "_FARTHEST", "_STAY", "_PLACES"),
    "spectro.profile.outside_rule": ("rule", "_BEND", "_SURELY", "INSIDE"),
    "spectro.boundary.straight_axis": ("rule", "_FADE", "_LEAST_FADE"),
    "spectro.profile.printed_gamut": ("rule", "_SMOOTHING", "_LEAST_WIDTH"),
    "spectro.colour.hue_straight": ("rule", "CAM_SHARE", "_TOE"),
    "spectro.profile.inversion": ("rule", "HUE_WEIGHT", "NEUTRAL_WEIGHT", "NEUTRAL_CHROMA"),
    "spectro.profile.gamut_mapping": ("mapped", "KNEE", "HUE_KEPT"),
    "spectro.profile.vivid_mapping": ("mapped", "_KNEE", "_TOWARDS", "_REACH", "_PRINT_BLUR", "_SOURCE_BLUR", "_NEAR_FULL"),
    "spectro.model.likelihood": ("model", "_WARP_SPREAD", "_LENGTH_SPREAD"),
    "spectro.model.kernel": ("model", "_EDGE"),
    "spectro.model.page_places": ("sheets", "_SORTED", "_LARGEST", "_MANY", "_LONGEST", "_SHORTEST", "_LEAST_ROWS"),
    "spectro.model.sheet_effects": ("sheets", "_KNOTS"),
}  # fmt: skip
TESTS = {
    "profile": [
        "tests/profile/test_deciding_constants.py",
        "tests/profile/test_fit_points.py",
        "tests/profile/test_agreement.py",
        "tests/profile/test_tables.py",
    ],
    "mapped": [
        "tests/profile/test_deciding_constants.py",
        "tests/profile/test_tables.py",
        "tests/profile/test_agreement.py",
        "tests/profile/test_fit_points.py",
    ],
    "rule": [
        "tests/profile/test_deciding_constants.py",
        "tests/profile/test_tables.py",
        "tests/profile/test_fit_points.py",
        "tests/profile/test_agreement.py",
    ],
    "model": ["tests/model/test_model_constants.py", "tests/model/test_path_table.py", "tests/model/test_gaussian_process.py"],
    "sheets": ["tests/model/test_sheet_effects.py"],
}
LEAST = 0.1  # of a figure, that counts as an effect
LONGEST = 240  # seconds of a mutant's figures or tests: what hangs is noticed


def owner(place):
    """The module or record that holds a constant, its name, and which item of it, if it is a tuple."""
    place, _, item = place.partition("[")
    holder, name = place.rsplit(".", 1)
    try:
        held = importlib.import_module(holder)
    except ModuleNotFoundError:
        module, record = holder.rsplit(".", 1)
        held = getattr(importlib.import_module(module), record)
    return held, name, int(item.rstrip("]")) if item else None


def value_of(place):
    held, name, item = owner(place)
    value = held.__init__.__kwdefaults__[name] if isinstance(held, type) else getattr(held, name)
    return value if item is None else value[item]


def places():
    for record, room in RECORDS.items():
        held, _, _ = owner(record + ".x")
        for name, value in held.__init__.__kwdefaults__.items():
            if isinstance(value, tuple):
                yield from ((f"{record}.{name}[{item}]", room) for item in range(len(value)))
            elif isinstance(value, int | float) and not isinstance(value, bool):
                yield f"{record}.{name}", room
    for instance, (room, *names) in INSTANCES.items():
        yield from ((f"{instance}.{name}", room) for name in names)
    for module, (room, *names) in CONSTANTS.items():
        yield from ((f"{module}.{name}", room) for name in names)


def mutants(value):
    whole = isinstance(value, int)
    yield "half", (max(1, value // 2) if whole else value / 2)
    yield "twice", value * 2
    yield "removed", 0 if whole else 0.0


def invented(nodes=0):
    """Device values to Lab of an invented printer with a tinted black; nodes: read through a table of so many with errors."""
    from spectro.maths.lattice import tetrahedral

    def lab(device):
        ink = 1 - device**1.4
        lightness = 95 - 79 * (0.25 * ink[:, 0] + 0.5 * ink[:, 1] + 0.25 * ink[:, 2]) ** 0.8
        a = 0.5 + 60 * (ink[:, 1] - 0.6 * ink[:, 0] - 0.4 * ink[:, 2])
        b = -3 + 65 * (ink[:, 2] - 0.5 * ink[:, 0] - 0.45 * ink[:, 1])
        dark = np.exp(-(((lightness - 16) / 8) ** 2))
        found = np.column_stack([lightness, a + 1.2 * dark, b + 4 * dark])
        return found + tetrahedral(errors, device * (nodes - 1)) if nodes else found

    errors = np.random.default_rng(2).normal(0, 0.5, (max(nodes, 1),) * 3 + (3,))
    return lab


def fewer(points):
    """Point settings with a quarter of the points inside and of sources: the same shares, in less time."""
    names = ("filling", "darkened", "greyed", "of_source", "dark_of_source")
    return replace(points, **{name: getattr(points, name) // 4 for name in names})


def p95(values):
    return float(np.percentile(values, 95))


def ramps(source):
    """Lab (72, 128, 3) of ramps from black to the most saturated colours of a source."""
    from spectro.colour.source_gamut import source_surface

    place = np.arange(72) * 6 / 72
    full = np.stack([1 - np.clip(np.minimum((n + place) % 6, 4 - (n + place) % 6), 0, 1) for n in (5, 3, 1)], axis=-1)
    return source_surface(source, (full[:, None] * np.linspace(0, 1, 128)[:, None]).reshape(-1, 3)).reshape(72, 128, 3)


def path_figures(key, lab, printed):
    """Falls of lightness, steps of the print and turns along ramps (ramps, steps, 3)."""
    from spectro.colour.difference import delta_e_2000
    from spectro.colour.hue_straight import cam16_hue
    from spectro.colour.lab import lab_to_xyz

    level = printed[..., 0]
    yield key + "falls", float((np.maximum.accumulate(level, axis=1) - level).max(axis=1).mean())
    step = delta_e_2000(lab[:, 4:], lab[:, :-4]), delta_e_2000(printed[:, 4:], printed[:, :-4])
    yield key + "steps", float(np.percentile(step[1] / np.maximum(step[0], 0.7), 99))
    turn = np.degrees(cam16_hue(lab_to_xyz(lab)) - cam16_hue(lab_to_xyz(printed)))
    coloured = (np.hypot(*lab[..., 1:].T) > 10).T & (np.hypot(*printed[..., 1:].T) > 10).T
    yield key + "turn", p95(np.abs((turn + 180) % 360 - 180)[coloured])


def profile_figures(mapped=True):
    """Figures of the tables. mapped: those of the perceptual and saturation tables too."""
    from spectro.colour.difference import delta_e_2000
    from spectro.colour.source_gamut import source_surface
    from spectro.maths.lattice import n_linear
    from spectro.profile import agreement, device_table, inversion, outside_rule, pcs_table, printed_gamut

    grid, figures = 17, {}
    for kinked in (False, True):
        predicted = invented(9 * kinked)(device_table.lattice_points(grid)).reshape(grid, grid, grid, 3)
        table = device_table.device_table(predicted, legacy=True)
        inverse = inversion.prepare_inverse(table)
        spacing = pcs_table.fitted_spacing(inverse, grid)
        gamut = printed_gamut.printed_gamut(table)
        rule = outside_rule.outside_rule(inverse, gamut)
        nodes = pcs_table.fit_colorimetric(rule, spacing, fewer(pcs_table.PointSettings()))

        def came(lab, at=table, one=nodes, spaced=spacing):
            return at.evaluate(np.clip(n_linear(one, spaced.positions(lab)), 0, 1))

        device = np.random.default_rng(3).random((12000, 3))
        device[::3] **= 2
        device[1::6] = device[1::6].mean(axis=1, keepdims=True) + 0.1 * (device[1::6] - 0.5)
        colours = table.evaluate(np.clip(device, 0, 1))
        grey = np.linspace(inversion.darkest_neutral(inverse), 100, 400)[:, None] * (1.0, 0, 0)
        key = "kinked " if kinked else ""
        error = delta_e_2000(colours, came(colours))
        figures[key + "inside"] = p95(error)
        figures[key + "inside, dark"] = p95(error[colours[:, 0] < gamut.darkest + 12])
        figures[key + "inside, near grey"] = p95(error[np.hypot(*colours[:, 1:].T) < 6])
        figures[key + "greys"] = p95(np.abs(came(grey)[:, 1:]).max(axis=1))
        wide = source_surface("opRGB", np.random.default_rng(8).random((16000, 3)) ** 1.5)
        device, left = rule.device(wide)
        wanted, out = table.evaluate(device), left > 0.5
        error = delta_e_2000(wanted, came(wide))
        figures[key + "outside"] = p95(error[out])
        figures[key + "outside, beside"] = p95(error[out & (left < 3)])
        figures[key + "outside, dark"] = p95(error[out & (wanted[:, 0] < gamut.darkest + 10)])
        figures[key + "outside, light"] = p95(error[out & (wanted[:, 0] > 80)])
        far = np.random.default_rng(5).uniform((15, -125, -125), (85, 125, 125), (6000, 3))
        far = far[np.hypot(*far[:, 1:].T) > 90]
        figures[key + "far outside"] = p95(delta_e_2000(table.evaluate(rule.device(far)[0]), came(far)))
        shadow = np.linspace(0, gamut.darkest - 1, 300)[:, None] * (1.0, 0, 0)
        near = shadow + np.random.default_rng(4).normal(0, 5, (300, 3)) * (0, 1, 1)
        for name, some in (("shadow", shadow), ("shadow, near grey", near)):
            figures[key + name] = p95(delta_e_2000(table.evaluate(rule.device(some)[0]), came(some)))
        lab = ramps("sRGB")
        figures |= dict(path_figures(key + "ramps, ", lab, came(lab.reshape(-1, 3)).reshape(lab.shape)))
        if kinked:
            agreed = agreement.agreeing_table(table, spacing, nodes, grey[0, 0], legacy=True)
            figures["tables together"] = p95(delta_e_2000(colours, came(colours, agreed)))
            figures["greys together"] = p95(np.abs(came(grey, agreed)[:, 1:]).max(axis=1))
            figures["moved"] = float(delta_e_2000(table.lab, agreed.lab).mean())
            break
        exact = table.evaluate(rule.device(lab.reshape(-1, 3))[0]).reshape(lab.shape)
        figures |= dict(path_figures("rule, ", lab, exact))
        figures["rule"] = float(delta_e_2000(wide[out], wanted[out]).mean())
        dark = np.abs(table.evaluate(rule.device(shadow)[0])[:, 1:] - table.lab[0, 0, 0, 1:]).max(axis=1)
        figures["rule, tint of what is too dark"] = float(dark.mean())
        if mapped:
            figures |= mapped_figures(table, inverse, gamut, came, wide)
    return figures


def mapped_figures(table, inverse, gamut, came, wide):
    """Figures of the perceptual and the saturation table, and of the way back."""
    from spectro.colour.difference import delta_e_2000
    from spectro.profile import agreement, assemble, compression, inversion
    from spectro.profile.gamut_mapping import gamut_mapping, source_boundary
    from spectro.profile.vivid_mapping import vivid_mapping

    figures = {}
    mapping = gamut_mapping(table, "opRGB", 0.0, None, gamut)
    vivid = vivid_mapping(replace(mapping, source=source_boundary("sRGB", gamut)))
    spaced = assemble.source_spacing(table, "opRGB")
    grey, lab = np.linspace(0, 100, 256)[:, None] * (1.0, 0, 0), ramps("sRGB")
    for name, one in (("perceptual", mapping), ("saturation", vivid)):
        fitted = compression.mapped_table(inverse, spaced, one)
        wanted = table.evaluate(inversion.invert_straight(inverse, one.mapped(wide))[0])
        error, found = delta_e_2000(wanted, came(wide, one=fitted, spaced=spaced)), came(wide, one=fitted, spaced=spaced)
        figures[name] = p95(error)
        figures[name + ", dark"] = p95(error[wanted[:, 0] < gamut.darkest + 8])
        wanted = table.evaluate(inversion.invert_straight(inverse, one.mapped(grey))[0])
        figures[name + ", greys"] = p95(delta_e_2000(wanted, came(grey, one=fitted, spaced=spaced)))
        figures[name + ", chroma"] = float(np.hypot(*found[:, 1:].T).mean())
        full = came(lab[:, -1], one=fitted, spaced=spaced)
        figures[name + ", full chroma"] = float(np.hypot(*full[:, 1:].T).mean())
        figures[name + ", full lightness"] = float(np.abs(full[:, 0] - lab[:, -1, 0]).mean())
        figures |= dict(path_figures(name + ", ", lab, came(lab.reshape(-1, 3), one=fitted, spaced=spaced).reshape(lab.shape)))
        if name == "perceptual":
            middle = (wide[:, 0] > 35) & (wide[:, 0] < 85) & (np.hypot(*wide[:, 1:].T) < 40)
            figures["midtones moved"] = p95(delta_e_2000(wide[middle], found[middle]))
            back = compression.expansion_table(table, mapping, legacy=False)
            settings = agreement.EXPANSION
            agreed = agreement.agreeing_table(
                back, spaced, fitted, float(back.lab[..., 0].min()), legacy=False, settings=settings
            )
            colours = back.evaluate(np.random.default_rng(5).random((8000, 3)))
            figures["way back"] = p95(delta_e_2000(colours, came(colours, agreed, fitted, spaced)))
            figures["way back, moved"] = float(delta_e_2000(back.lab, agreed.lab).mean())
    return figures


def model_figures():
    """Errors, uncertainties and tables found of charts of 40 to 700 patches, of a chart that is searched thoroughly too."""
    from spectro.colour.difference import delta_e_2000
    from spectro.model.gaussian_process import fit_gaussian_process

    random = np.random.default_rng(8)
    at, figures = random.random((1500, 3)), {}
    for count, nodes in ((40, 0), (120, 9), (190, 17), (300, 9), (300, 17), (500, 0), (700, 0), (700, 17), (1100, 21)):
        printer, device = invented(nodes), np.random.default_rng(count).random((count, 3))
        lab = printer(device) + 0.05 * np.random.default_rng(nodes).normal(size=(count, 3))
        model = fit_gaussian_process(device, lab, thorough=(count, nodes) == (300, 9))
        key = f" {count} {nodes}"
        figures["error" + key] = float(delta_e_2000(model.predict(at), printer(at)).mean())
        figures["table" + key] = float(model.prior.table is not None and model.prior.table.lattice.nodes)
        figures["uncertainty" + key] = float(model.uncertainty(at).mean())
    return figures


def many_figures():
    """What thousands of patches show: of 2100 read through a fine table, and of 4700 that some carry."""
    from spectro.colour.difference import delta_e_2000
    from spectro.model.gaussian_process import fit_gaussian_process

    figures, at = {}, np.random.default_rng(8).random((1500, 3))
    for count, nodes in ((2100, 17), (4700, 9)):
        printer, device = invented(nodes), np.random.default_rng(count).random((count, 3))
        lab = printer(device) + 0.05 * np.random.default_rng(nodes).normal(size=(count, 3))
        start = time.process_time()
        model = fit_gaussian_process(device, lab)
        figures[f"error {count}"] = float(delta_e_2000(model.predict(at), printer(at)).mean())
        figures[f"table {count}"] = float(model.prior.table is not None and model.prior.table.lattice.nodes)
        print(f"{count} patches: {time.process_time() - start:.1f} s of processor time", file=sys.stderr)
    return figures


@functools.cache
def two_sheets(apart, drift):
    """Readings of 600 patches on each of two sheets, rows of 24, and a model of all: the second apart in L*, both drifting."""
    from spectro.model.exact import solve_exact
    from spectro.model.gaussian_process import fit_gaussian_process
    from spectro.model.sheet_effects import SheetReadings

    random = np.random.default_rng(4)
    device, sheets, at = random.random((1200, 3)), np.repeat([1, 2], 600), np.tile(np.arange(600), 2)
    lab = invented()(device) + 0.15 * random.normal(size=(1200, 3))
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
        centre = invented()(at) + np.array([apart / 2, 0, 0])
        figures[f"error {key}"] = float(delta_e_2000(later.predict(at), centre).mean())
    sorted_rows = np.lexsort(np.round(readings.device.T, 1))
    places = places_in_order(order, readings.sheets, readings.device[sorted_rows], residual)
    figures["sorted"] = float(places is None)
    return figures


def judge(place, room):
    """The figures that a constant can move."""
    if any(word in place for word in ("fine_", "most_exact", "basis", "regions", "followed")):
        return many_figures
    if room == "profile":
        return functools.partial(profile_figures, mapped="fit_points" not in place and "agreement" not in place)
    return {"mapped": profile_figures, "rule": profile_figures, "model": model_figures, "sheets": sheet_figures}[room]


def change(usual, found, room):
    """By what share of the larger a figure has changed; of tables, less than 0.005 of a unit is nothing."""
    return (found - usual) / max(abs(found), abs(usual), 0.05 if room in ("profile", "mapped", "rule") else 1e-9)


def apart(function: Callable[[], object], longest: int = LONGEST) -> dict:
    """What a function returns, in a process forked off for it; `{"fails": …}` where it raises or takes too long."""
    read, write = os.pipe()
    child = os.fork()
    if not child:
        os.close(read)
        signal.alarm(longest)
        try:
            answer = function()
        except BaseException as error:  # whatever a mutant brings about is an answer
            answer = {"fails": type(error).__name__}
        with os.fdopen(write, "w") as out:
            json.dump(answer, out)
        os._exit(0)
    os.close(write)
    with os.fdopen(read) as told:
        text = told.read()
    os.waitpid(child, 0)
    return json.loads(text) if text else {"fails": "too long"}


def drawn(figures, shift):
    """Figures with other random points in the fit: every seed of the package's tables is another one."""
    seeded = np.random.default_rng

    def other(seed=None):
        ours = sys._getframe(1).f_globals["__name__"].startswith("spectro.profile")
        return seeded(seed + shift if ours else seed)

    np.random.default_rng = other
    return figures()


def usual_figures(figures, room):
    """Figures as they are, and how far each must move to count."""
    usual = apart(figures)
    if room not in ("profile", "mapped", "rule"):
        return usual, dict.fromkeys(usual, LEAST)
    draws = [apart(functools.partial(drawn, figures, 1000 * number)) for number in range(1, 5)]
    return usual, {
        name: max(LEAST, *(2 * abs(change(value, draw[name], room)) for draw in draws)) for name, value in usual.items()
    }


def effect_of(place, value, figures):
    with with_value(place, value):
        return figures()


def first_failure(place, value, room):
    """The first test of a room that fails with a mutant, or none; tests that name the constant come first."""
    import pytest

    failed, name = [], re.sub(r"\[\d+\]$", "", place.rsplit(".", 1)[1])
    of_it = re.compile(rf"\b{re.escape(name.lstrip('_').lower())}\b")

    class Watch:
        @pytest.hookimpl(trylast=True)
        def pytest_collection_modifyitems(self, items):
            items.sort(key=lambda item: not of_it.search(item.nodeid.lower()))

        def pytest_runtest_logreport(self, report):
            if report.failed:
                failed.append(report.nodeid)

        def pytest_collectreport(self, report):
            if report.failed:
                failed.append(report.nodeid)

    os.chdir(ROOT)
    with contextlib.ExitStack() as held:
        held.enter_context(with_value(place, value))
        nowhere = held.enter_context(open(os.devnull, "w"))
        held.enter_context(contextlib.redirect_stdout(nowhere))
        held.enter_context(contextlib.redirect_stderr(nowhere))
        code = pytest.main(["-q", "-x", "--no-header", "-n", "0", "-p", "no:cacheprovider", *TESTS[room]], plugins=[Watch()])
    return {"failed": failed[:1] or ["nothing ran"] * bool(code)}


def effect(place, value, room, usual):
    """The figures that a mutant moves, and by how much."""
    figures = judge(place, room)
    name = (getattr(figures, "func", figures).__name__, str(getattr(figures, "keywords", "")))
    if name not in usual:
        usual[name] = usual_figures(figures, room)
    before, least = usual[name]
    found = apart(lambda: effect_of(place, value, figures))
    if "fails" in found:
        return found
    moved = {name: change(before[name], found[name], room) for name in found}
    return {name: round(share, 2) for name, share in moved.items() if not abs(share) <= least[name]}


def noticed(place, value, room):
    """Whether a test of the room notices a mutant, and which."""
    seen = apart(lambda: first_failure(place, value, room))
    if seen.get("fails") == "too long":
        return {"outcome": "noticed", "test": "too long"}
    return {"outcome": "noticed" if seen["failed"] else "survived", "test": (seen["failed"] or [""])[0]}


def show(lines):
    """Print the table of what a file of results holds."""
    print("| constant | half | twice | removed |\n|---|---|---|---|")
    rows: dict[str, dict[str, str]] = {}
    for line in lines:
        effect = sorted(line["effect"].items(), key=lambda item: -abs(item[1]) if item[0] != "fails" else 0)
        words = "; ".join(f"{name} {share:+.2f}" if name != "fails" else f"fails: {share}" for name, share in effect[:2])
        cell = line["outcome"] + (f" ({words})" if words else "")
        rows.setdefault(f"{line['place']} = {value_of('spectro.' + line['place']):g}", {})[line["how"]] = cell
    for name, cells in rows.items():
        print(f"| `{name}` | " + " | ".join(cells.get(how, "") for how in ("half", "twice", "removed")) + " |")


def main() -> None:
    warnings.simplefilter("ignore")
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--only", nargs="+", default=())
    parser.add_argument("--rooms", nargs="+", default=())
    parser.add_argument("--results", type=Path)
    parser.add_argument("--effects", action="store_true")
    parser.add_argument("--again", nargs="+", default=())
    parser.add_argument("--table", action="store_true")
    arguments = parser.parse_args()
    known = {}
    if arguments.results and arguments.results.exists():
        for text in arguments.results.read_text("utf-8").splitlines():
            line = json.loads(text)
            known[line["place"], line["how"]] = line
    for name in ("pytest", "spectro.workflow.profile.build"):
        importlib.import_module(name)  # once, before forking
    usual: dict[object, tuple] = {}
    wanted = [
        (place, room)
        for place, room in places()
        if (not arguments.rooms or room in arguments.rooms) and (not arguments.only or any(w in place for w in arguments.only))
    ]
    for place, room in [] if arguments.table else wanted:
        value = value_of(place)
        for how, changed in mutants(value):
            key = place.removeprefix("spectro."), how
            line = known.get(key, {"outcome": ""})
            if changed == value or (line["outcome"] and line["outcome"] not in arguments.again):
                continue
            if "effect" not in line or arguments.effects:
                line = {"place": key[0], "how": how, "value": changed, "room": room, "test": ""}
                line["effect"] = effect(place, changed, room, usual)
            line["outcome"] = "not run" if line["effect"] else "no effect"
            if line["effect"] and not arguments.effects:
                line |= noticed(place, changed, room)
            known[key] = line
            print(*(line[part] for part in ("place", "how", "value", "outcome", "effect", "test")), flush=True)
            if arguments.results:
                arguments.results.write_text("".join(json.dumps(line) + "\n" for line in known.values()), "utf-8")
    if arguments.table:
        show(known.values())
    counts = Counter(line["outcome"] for line in known.values())
    print(dict(counts), "of those with an effect survived", counts["survived"] / max(counts["survived"] + counts["noticed"], 1))


if __name__ == "__main__":
    main()

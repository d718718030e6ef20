"""Figures of the tables of a stand-in printer, by which a test can tell what a constant of their fit is for.

Everything is made anew from the stand-in's colours at 13 grid points per axis, with an eighth of the usual points. Each figure
is better when it is smaller.
"""

from dataclasses import replace
from functools import cache, cached_property

import numpy as np

from spectro.boundary.straight_axis import StraightAxis
from spectro.colour.difference import delta_e_2000
from spectro.colour.hue_straight import cam16_hue
from spectro.colour.lab import lab_to_xyz
from spectro.colour.source_gamut import source_surface
from spectro.colour.tristimulus import spectra_to_lab
from spectro.maths.lattice import n_linear, tetrahedral
from spectro.profile import agreement, assemble, compression, pcs_table
from spectro.profile.device_table import device_table, lattice_points
from spectro.profile.fit_points import sample_points
from spectro.profile.gamut_mapping import gamut_mapping, source_boundary
from spectro.profile.grey_nodes import with_grey_nodes
from spectro.profile.inversion import darkest_neutral, invert, invert_straight, prepare_inverse
from spectro.profile.outside_rule import outside_rule
from spectro.profile.printed_gamut import printed_gamut
from spectro.profile.spacing import lab_spacing
from spectro.profile.vivid_mapping import vivid_mapping
from spectro.records.conditions import MeasurementCondition
from spectro.stand_in.paper import matte_paper
from spectro.stand_in.printer import Printer, printed_reflectance
from tests.constants import with_value

GRID, SHARE = 13, 8
FEW = {"filling": 20_000, "darkened": 8000, "greyed": 3000, "of_source": 3000, "dark_of_source": 5000}
_FEWER = ("filling", "darkened", "greyed", "of_source", "dark_of_source")


@cache
def stand_in_nodes(path: int = 0):
    """Lab (GRID, GRID, GRID, 3) of the stand-in on matte paper; path: read through a table of so many nodes with errors."""
    device = lattice_points(GRID)
    spectra = printed_reflectance(device, printer=Printer(), paper=matte_paper(), condition=MeasurementCondition.M0)
    lab = spectra_to_lab(spectra, np.arange(380.0, 731.0, 10.0))
    if path:
        errors = np.random.default_rng(2).normal(0, 0.5, (path, path, path, 3))
        lab = lab + tetrahedral(errors, device * (path - 1))
    return lab.reshape(GRID, GRID, GRID, 3)


def p95(values):
    """Return the 95th percentile."""
    return float(np.percentile(values, 95))


def ramps(source):
    """Lab (36, 128, 3) of ramps from black to the most saturated colours of a source."""
    place = np.arange(36) * 6 / 36
    full = np.stack([1 - np.clip(np.minimum((n + place) % 6, 4 - (n + place) % 6), 0, 1) for n in (5, 3, 1)], axis=-1)
    return source_surface(source, (full[:, None] * np.linspace(0, 1, 128)[:, None]).reshape(-1, 3)).reshape(36, 128, 3)


def along_ramps(lab, printed):
    """How far lightness falls, how far prints of neighbours lie apart, and how far hues turn along ramps (ramps, steps, 3)."""
    level = printed[..., 0]
    steps = delta_e_2000(printed[:, 4:], printed[:, :-4]) / np.maximum(delta_e_2000(lab[:, 4:], lab[:, :-4]), 0.7)
    turn = np.degrees(cam16_hue(lab_to_xyz(lab)) - cam16_hue(lab_to_xyz(printed)))
    coloured = (np.linalg.norm(lab[..., 1:], axis=-1) > 10) & (np.linalg.norm(printed[..., 1:], axis=-1) > 10)
    return {
        "falls": float((np.maximum.accumulate(level, axis=1) - level).max(axis=1).mean()),
        "steps": float(np.percentile(steps, 99)),
        "turns": p95(np.abs((turn + 180) % 360 - 180)[coloured]),
    }


class Prints:
    """A printer's tables, each made when it is first asked for."""

    def __init__(self, nodes) -> None:
        """Prepare what all tables rest on. nodes: Lab (grid, grid, grid, 3) of the device table."""
        self.table = device_table(nodes, legacy=True)
        self.inverse = prepare_inverse(self.table)
        self.gamut = printed_gamut(self.table)
        self.rule = outside_rule(self.inverse, self.gamut)

    @cached_property
    def outside(self):
        """Colours of a wide source, in between, far outside and too dark, with what the rule prints of them."""
        wide = source_surface("opRGB", np.random.default_rng(8).random((12_000, 3)) ** 1.5)
        far = np.random.default_rng(5).uniform((15, -125, -125), (85, 125, 125), (6000, 3))
        shadow = np.linspace(0, self.gamut.darkest - 1, 300)[:, None] * (1.0, 0, 0)
        near = shadow + np.random.default_rng(4).normal(0, 5, (300, 3)) * (0, 1, 1)
        colours = {"outside": wide, "far outside": far[np.hypot(*far[:, 1:].T) > 90]}
        colours |= {"shadow": shadow, "shadow, near grey": near}
        sent = {name: self.rule.device(lab) for name, lab in colours.items()}
        return {name: (lab, self.table.evaluate(sent[name][0]), sent[name][1]) for name, lab in colours.items()}

    @cached_property
    def greys(self):
        """Greys that can be printed."""
        return np.linspace(darkest_neutral(self.inverse), 100, 800)[:, None] * (1.0, 0, 0)

    def came(self, lab, nodes, spacing, at=None):
        """Return what Lab (n, 3) comes back as through a table. at: the device table that is looked up; else the own."""
        return (at or self.table).evaluate(np.clip(n_linear(nodes, spacing.positions(lab)), 0, 1))

    def rule_figures(self):
        """Of the rule for colours outside, and of the inversion."""
        lab = ramps("sRGB")
        device, left = self.rule.device(lab.reshape(-1, 3))
        printed = self.table.evaluate(device)
        found = {"rule, " + name: value for name, value in along_ramps(lab, printed.reshape(lab.shape)).items()}
        flat = lab.reshape(-1, 3)
        found["rule, away"] = float(delta_e_2000(flat, printed)[left > 0.5].mean())
        found["rule, away beside"] = float(delta_e_2000(flat, printed)[(left > 0.5) & (left < 4)].mean())
        light = printed[(left > 0.5) & (printed[:, 0] > 60)]
        found["rule, chroma lost"] = -float(np.hypot(*light[:, 1:].T).mean())
        device, left = invert(self.inverse, flat)
        nearest = self.table.evaluate(device)
        found["nearest, away"] = float(delta_e_2000(flat, nearest)[left > 0.5].mean())
        found["nearest, turns"] = along_ramps(lab, nearest.reshape(lab.shape))["turns"]
        grey = np.linspace(0, self.gamut.darkest + self.gamut.neutral_depth, 200)[:, None] * (1.0, 0, 0)
        for name, sent in (("rule", self.rule.device(grey)[0]), ("nearest", invert(self.inverse, grey)[0])):
            lab = self.table.evaluate(sent)
            found[name + ", grey steps"] = float(np.abs(np.diff(lab[:, 1:], axis=0)).max() * 10)
            found[name + ", greys away"] = float(delta_e_2000(lab, grey).mean())
        return found

    def table_figures(self):
        """Of the colorimetric table."""
        points = pcs_table.PointSettings()
        points = replace(points, **{name: getattr(points, name) // SHARE for name in _FEWER})
        spacing = pcs_table.fitted_spacing(self.inverse, self.table.grid)
        nodes = pcs_table.fit_colorimetric(self.rule, spacing, points)
        device = sample_points(12_000, seed=19)
        device[1::4] **= 2
        device[::6] = device[::6].mean(axis=1, keepdims=True) + 0.1 * (device[::6] - 0.5)
        colours = self.table.evaluate(np.clip(device, 0, 1))
        error = delta_e_2000(colours, self.came(colours, nodes, spacing))
        tint = np.abs(self.came(self.greys, nodes, spacing)[:, 1:]).max(axis=1)
        found = {
            "inside": p95(error),
            "inside, mean": float(error.mean()),
            "inside, dark": p95(error[colours[:, 0] < self.gamut.darkest + 12]),
            "inside, near grey": p95(error[np.hypot(*colours[:, 1:].T) < 6]),
            "inside, most": float(np.percentile(error, 99.5)),
            "greys": p95(tint),
            "greys, mean": float(tint.mean()),
        }
        apart = {
            name: delta_e_2000(printed, self.came(lab, nodes, spacing)) for name, (lab, printed, _) in self.outside.items()
        }
        _, wanted, left = self.outside["outside"]
        error, out = apart["outside"], left > 0.5
        found["outside"] = p95(error[out])
        found["outside, mean"] = float(error[out].mean())
        found["outside, beside"] = p95(error[out & (left < 3)])
        found["outside, dark"] = p95(error[out & (wanted[:, 0] < self.gamut.darkest + 10)])
        found["outside, light"] = p95(error[out & (wanted[:, 0] > 80)])
        found["outside, middle"] = p95(error[out & (wanted[:, 0] < 70) & (wanted[:, 0] > self.gamut.darkest + 20)])
        found["outside, most"] = float(np.percentile(error[out], 99.5))
        found |= {name: p95(apart[name]) for name in ("shadow", "shadow, near grey")}
        found["far outside"] = float(apart["far outside"].mean())
        lab = ramps("sRGB")
        printed = self.came(lab.reshape(-1, 3), nodes, spacing).reshape(lab.shape)
        found |= {"ramps, " + name: value for name, value in along_ramps(lab, printed).items()}
        found["points"] = float(points.filling + points.neutral + points.shadow + 3 * points.of_source + points.dark_of_source)
        found["rough"] = float(np.sqrt(sum((np.diff(nodes, 2, axis=axis) ** 2).mean() for axis in range(3))))
        return found

    def together_figures(self):
        """Of both colorimetric tables, brought together."""
        spacing = pcs_table.fitted_spacing(self.inverse, GRID)
        points = replace(pcs_table.PointSettings(), **FEW)
        nodes = pcs_table.fit_colorimetric(self.rule, spacing, points)
        agreed = agreement.agreeing_table(self.table, spacing, nodes, self.greys[0, 0], legacy=True)
        colours = self.table.evaluate(np.random.default_rng(3).random((8000, 3)))
        return {
            "together": p95(delta_e_2000(colours, self.came(colours, nodes, spacing, agreed))),
            "together, greys": p95(np.abs(self.came(self.greys, nodes, spacing, agreed)[:, 1:]).max(axis=1)),
            "moved": float(delta_e_2000(self.table.lab, agreed.lab).mean()),
        }

    def solved_figures(self):
        """Of how the table is solved: how far it is from one solved to the end."""
        spacing = pcs_table.fitted_spacing(self.inverse, GRID)
        points = replace(pcs_table.PointSettings(), **FEW)
        found = pcs_table.fit_colorimetric(self.rule, spacing, points)
        with with_value("spectro.profile.pcs_table.FitSettings.tolerance", 1e-9):
            solved = pcs_table.fit_colorimetric(self.rule, spacing, points)
        return {"unsolved": float(np.sqrt(((found - solved) ** 2).mean()))}

    def nodes_figures(self):
        """Of the L* nodes: how tinted greys between them are, and how far they were moved for that."""
        spacing = lab_spacing(self.table.lab.reshape(-1, 3), GRID, self.greys[0, 0])
        moved = with_grey_nodes(self.inverse, spacing)
        before, after = (one.at(np.arange(GRID), 0) for one in (spacing, moved))
        device = invert(self.inverse, np.column_stack([after, np.zeros((GRID, 2))]))[0]
        grey = np.linspace(before[spacing.pinned[0][-2]], 100, 2000)
        between = np.stack([np.interp(grey, after, channel) for channel in device.T], axis=-1)
        tint = np.abs(self.table.evaluate(between)[:, 1:]).max(axis=1)
        cells = np.clip(np.searchsorted(after, grey) - 1, 0, GRID - 2)
        largest = [tint[cells == cell].max(initial=0) for cell in range(GRID - 1)]
        return {"tints": float(np.square(largest).sum()), "nodes moved": float(np.abs(after - before).mean())}

    def axis_figures(self):
        """Of the straight axis, for a small and a large tint of black: how neighbours are pulled apart, what far ones move."""
        found = {}
        for name, size in (("small", 1.0), ("large", 6.0)):
            axis = StraightAxis(darkest=10.0, top=20.0, tint=np.array([size, 0.0]))
            chroma = np.linspace(-40, 40, 4001)
            moved = axis.bent(np.column_stack([np.full(4001, 10.0), chroma, np.zeros(4001)]))[:, 1] - chroma
            found[name + " tint, pulled apart"] = float(np.abs(np.diff(moved) / np.diff(chroma)).max())
            found[name + " tint, moved afar"] = float(moved[chroma >= 3 * max(size, 2.0)].max())
        return found

    def mapped_figures(self):
        """Of the perceptual and the saturation table, and of the way back."""
        mapping = gamut_mapping(self.table, "opRGB", 0.0, None, self.gamut)
        vivid = vivid_mapping(replace(mapping, source=source_boundary("sRGB", self.gamut)))
        spacing = assemble.source_spacing(self.table, "opRGB")
        wide = source_surface("opRGB", np.random.default_rng(8).random((8000, 3)) ** 1.5)
        grey, lab, found = np.linspace(0, 100, 256)[:, None] * (1.0, 0, 0), ramps("sRGB"), {}
        for name, one in (("perceptual", mapping), ("saturation", vivid)):
            exact = self.table.evaluate(invert_straight(self.inverse, one.mapped(wide))[0])
            nodes = compression.mapped_table(self.inverse, spacing, one)
            error = delta_e_2000(exact, self.came(wide, nodes, spacing))
            found[name] = p95(error)
            found[name + ", dark"] = p95(error[exact[:, 0] < self.gamut.darkest + 8])
            found[name + ", most"] = float(np.percentile(error, 99.5))
            exact = self.table.evaluate(invert_straight(self.inverse, one.mapped(grey))[0])
            found[name + ", greys"] = p95(delta_e_2000(exact, self.came(grey, nodes, spacing)))
            found[name + ", rough"] = float(np.sqrt(sum((np.diff(nodes, 2, axis=axis) ** 2).mean() for axis in range(3))))
            found |= {f"{name}, {key}": value for key, value in self.mapping_figures(one, lab).items()}
            if name == "perceptual":
                back = compression.expansion_table(self.table, mapping, legacy=False)
                darkest = float(back.lab[..., 0].min())
                agreed = agreement.agreeing_table(
                    back, spacing, nodes, darkest, legacy=False, settings=agreement.EXPANSION
                )  # fmt: skip
                colours = back.evaluate(np.random.default_rng(5).random((8000, 3)))
                found["way back"] = p95(delta_e_2000(colours, self.came(colours, nodes, spacing, agreed)))
                found["way back, moved"] = float(delta_e_2000(back.lab, agreed.lab).mean())
        return found

    def mapping_figures(self, mapping, lab):
        """Of a mapping itself, without a table."""
        printed = self.table.evaluate(invert_straight(self.inverse, mapping.mapped(lab.reshape(-1, 3)))[0]).reshape(lab.shape)
        found = {"exact " + key: value for key, value in along_ramps(lab, printed).items()}
        found["chroma lost"] = 100 - float(np.hypot(*printed[:, -1, 1:].T).mean())
        found["chroma lost, pale"] = 100 - float(np.hypot(*printed[:, 64:, 1:].reshape(-1, 2).T).mean())
        found["lightness moved"] = float(np.abs(printed[:, -1, 0] - lab[:, -1, 0]).mean())
        colours = self.table.evaluate(np.random.default_rng(6).uniform(0.1, 0.95, (4000, 3)))
        colours = colours[(colours[:, 0] > 40) & (colours[:, 0] < 80)]
        sent = self.table.evaluate(invert_straight(self.inverse, mapping.mapped(colours))[0])
        found["midtones moved"] = float(delta_e_2000(colours, sent).mean())
        return found


@cache
def prints(path):
    """Return the stand-in's prints."""
    return Prints(stand_in_nodes(path))


def figures(kind, path=0):
    """All figures of a kind: rule, table, together, mapped. path: nodes of a table that the print path reads."""
    made = Prints(stand_in_nodes(path)) if kind == "rule" else prints(path)
    return getattr(made, f"{kind}_figures")()

"""What settings of a separation do to one print: its inks along greys and full colours, and in a made picture, with what each
costs. All of it is told by the table of the print; nothing was printed.

Grain: were the dots of each ink laid at random and apart from each other's, a grey would be a mixture of the colours of all
overprints, each with the share that coverages give it; the spread of their L* is the grain. A device value stands for the
coverage. Register: the change of a grey where one of cyan, magenta and yellow is missing, as at an edge where that ink lies
beside its place. Lamps: the change of greys against the paper under other lamps, from models of the readings' spectra. Ours,
no source.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from spectro.checks.print_constancy import MEMORY
from spectro.colour.adaptation import absolute_to_relative
from spectro.colour.difference import delta_e_2000
from spectro.colour.lab import lab_to_xyz
from spectro.maths.lattice import n_linear
from spectro.profile.ink_profile import ChosenSeparation
from spectro.records.arrays import FloatArray
from spectro.records.limits import Limits
from spectro.records.separation_effect import InksAlong, SeparationEffect, SettingEffect
from spectro.separation.black_aim import MOST, SHARES, BlackAim, named_aim
from spectro.separation.ink_limits import InkLimits
from spectro.separation.separate import Separation
from spectro.separation.total_area import lean_total
from spectro.standards.limits import shipped_limits

COLUMNS = 48  # of the made picture
_BAND, _ROUND = 8, 16  # rows of the band of greys, of the other two
_SWEEP = (88.0, 22.0, 30.0)  # L* from and to, and chroma, of the band of hues
_GREYS = 96  # steps along neutrals
_STEPS = 24  # from paper to a full colour, and on to black
_LIGHT, _MIDDLE = (50.0, 95.0), (30.0, 80.0)  # L* of the greys whose grain, and whose constancy and register are looked at
_ROUNDS = ("grey", "fair skin", "sky blue")
_NEAR = shipped_limits("inks")["grey_reached"]

Colours = Callable[[FloatArray], FloatArray]
"""Absolute Lab (n, 3) of device values (n, c) under some light."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Setting:
    key: str
    separation: Separation
    value: float = 0.0


def made_picture() -> FloatArray:
    """Return the made picture, (rows, columns, 3) media-relative Lab: greys, hues from light to dark, three balls."""
    across = np.linspace(0, 1, COLUMNS)
    greys = np.zeros((_BAND, COLUMNS, 3))
    greys[..., 0] = 100 * (1 - across)
    hue = 2 * np.pi * across
    lightest, darkest, chroma = _SWEEP
    level = np.linspace(lightest, darkest, _ROUND)[:, None]
    sweep = np.stack(np.broadcast_arrays(level, chroma * np.cos(hue), chroma * np.sin(hue)), axis=-1)
    colours = {"grey": (60.0, 0.0, 0.0), **MEMORY}
    balls = np.concatenate([_ball(np.array(colours[name])) for name in _ROUNDS], axis=1)
    return np.concatenate([greys, sweep, balls])


def _ball(lab: FloatArray) -> FloatArray:
    """Return a lit ball (size, size, 3) of one colour on bare paper."""
    y, x = np.mgrid[-1 : 1 : _ROUND * 1j, -1 : 1 : _ROUND * 1j]
    inside = x**2 + y**2 <= 1
    height = np.sqrt(np.clip(1 - x**2 - y**2, 0, 1))
    light = np.clip((height - 0.5 * x - 0.6 * y) / np.sqrt(1 + 0.5**2 + 0.6**2), 0, 1)
    ball = lab * (0.25 + 0.75 * light[..., None]) * (1.0, 1.0, 1.0)
    ball[..., 0] += (95.0 - lab[0]) * light**6
    paper = np.broadcast_to(np.array([100.0, 0.0, 0.0]), ball.shape)
    return np.where(inside[..., None], ball, paper)


def separation_effect(
    chosen: ChosenSeparation, share: str, measured_total: float, limits: Limits, lamps: Mapping[str, Colours]
) -> SeparationEffect:
    """Return what the chosen separation does, and others of the same print.

    share: of black, as it was chosen. measured_total: percent, the largest of the chart. limits: of inks. lamps: the print's
    colours under other lamps by their names; {} where there are no spectra.
    """
    picture = made_picture()
    flat = picture.reshape(-1, 3)
    first, *others = _settings(chosen, share, measured_total, limits)
    own, left = first.separation.inks_of(flat)
    printed = left <= limits["missed_colour"]
    found = [_effect(first, own, np.zeros(len(flat), dtype=np.bool_), picture.shape, lamps)]
    for one in others:
        inks, rest = one.separation.inks_of(flat)
        found.append(_effect(one, inks, printed & (rest > limits["missed_colour"]), picture.shape, lamps))
    return SeparationEffect(
        names=chosen.names,
        solids=chosen.solids,
        picture=picture,
        full=_full_colours(first.separation, chosen.names, found[0]),
        settings=tuple(found),
        share=share,
        lamps=tuple(lamps),
    )


def _settings(chosen: ChosenSeparation, share: str, measured_total: float, limits: Limits) -> list[_Setting]:
    """Return the chosen separation, and those that differ from it in one thing; the last one is lean."""
    own = chosen.separation
    settings = [_Setting(key="chosen", separation=own)]
    if own.plain is not None:
        settings.append(_Setting(key="full", separation=own.plain))
    less = own.limits.total - limits["shown_total_less"] / 100
    if less >= limits["least_total"] / 100:
        lower = InkLimits(total=less, ceilings=own.limits.ceilings)
        settings.append(_Setting(key="total", separation=own.varied(lower, own.aim), value=100 * less))
    if own.black is None:
        return settings
    darkest, ceiling = float(own.cloud_lab[:, 0].min()), float(own.limits.ceilings[own.black])
    shares = [
        _Setting(key=name, separation=own.varied(own.limits, named_aim(name, darkest, ceiling)))
        for name in SHARES
        if name != share
    ]
    lowered = limits["shown_ceiling"] / 100
    if lowered < ceiling:
        ceilings = own.limits.ceilings.copy()
        ceilings[own.black] = lowered
        aim = BlackAim(lightness=own.aim.lightness, black=np.minimum(own.aim.black, lowered), reach=own.aim.reach)
        low = own.varied(InkLimits(total=own.limits.total, ceilings=ceilings), aim)
        settings.append(_Setting(key="ceiling", separation=low, value=limits["shown_ceiling"]))
    total = lean_total(own.lattice, own.inks, measured_total, limits) / 100
    lean = InkLimits(total=min(total, own.limits.total), ceilings=own.limits.ceilings)
    if share != MOST or lean.total < own.limits.total:
        settings.append(_Setting(key="lean", separation=own.varied(lean, named_aim(MOST, darkest, ceiling))))
    return [settings[0], *shares, *settings[1:]]


def _effect(
    setting: _Setting, inks: FloatArray, missed: np.ndarray, shape: tuple[int, ...], lamps: Mapping[str, Colours]
) -> SettingEffect:
    separation = setting.separation
    greys, reached = _greys(separation)
    middle = reached & _between(greys.colours, _MIDDLE)
    light = reached & _between(greys.colours, _LIGHT)
    printed = np.flatnonzero(reached)
    return SettingEffect(
        key=setting.key,
        value=setting.value,
        total=100 * separation.limits.total,
        greys=greys,
        planes=inks.reshape(*shape[:2], -1),
        ink=100 * float(inks.sum(axis=1).mean()),
        grain=float(grain(separation, greys.inks[light]).mean()),
        lamps=_lamp_shift(separation, greys.inks[middle], lamps),
        register=_register(separation, greys.inks[middle]),
        darkest=float(greys.colours[printed, 0].min()) if len(printed) else 100.0,
        missed=float(missed.mean()),
    )


def _between(lab: FloatArray, span: tuple[float, float]) -> np.ndarray:
    return (lab[:, 0] >= span[0]) & (lab[:, 0] <= span[1])


def _greys(separation: Separation) -> tuple[InksAlong, np.ndarray]:
    """Return the inks of neutrals from paper down to the darkest colour, and which of them are printed."""
    lab = np.zeros((_GREYS, 3))
    lab[:, 0] = np.linspace(100.0, float(separation.cloud_lab[:, 0].min()), _GREYS)
    inks, left = separation.inks_of(lab)
    return InksAlong(name="greys", colours=lab, inks=inks), left < _NEAR


def grain(separation: Separation, inks: FloatArray) -> FloatArray:
    """Return the spread of L* (n,) among the dots of colours with inks (n, c): see the head of this file."""
    count = separation.inks
    corners = np.stack(np.meshgrid(*[[0.0, 1.0]] * count, indexing="ij"), axis=-1).reshape(-1, count)
    lightness = separation.colours(corners)[:, 0].reshape((2,) * count + (1,))
    mean = n_linear(lightness, inks)[:, 0]
    square = n_linear(lightness**2, inks)[:, 0]
    return np.sqrt(np.maximum(square - mean**2, 0.0))


def _register(separation: Separation, inks: FloatArray) -> float:
    own = separation.colours(inks)
    changes = []
    light = {full: pale for pale, full in separation.roles.lights}
    for ink in separation.roles.primaries:
        without = inks.copy()
        without[:, [ink, light.get(ink, ink)]] = 0.0
        changes.append(delta_e_2000(own, separation.colours(without)))
    return float(np.mean(changes))


def _lamp_shift(separation: Separation, inks: FloatArray, lamps: Mapping[str, Colours]) -> float | None:
    if not lamps:
        return None
    own, paper = separation.colours(inks), np.zeros((1, separation.inks))
    turned = [delta_e_2000(own, absolute_to_relative(lamp(inks), lab_to_xyz(lamp(paper)[0]))) for lamp in lamps.values()]
    return float(np.mean(turned))


def _full_colours(separation: Separation, names: tuple[str, ...], own: SettingEffect) -> tuple[InksAlong, ...]:
    """Return the inks from paper to each full colour, and on to the darkest neutral: of inks alone, and overprints of two."""
    cyan, magenta, yellow = separation.roles.primaries
    apart = {separation.black, *(light for light, _ in separation.roles.lights)}
    ends: dict[str, tuple[int, ...]] = {names[ink]: (ink,) for ink in range(separation.inks) if ink not in apart}
    ends |= {"red": (magenta, yellow), "green": (cyan, yellow), "blue": (cyan, magenta)}
    black = own.greys.inks[-1]
    found = []
    for name, inks in ends.items():
        if name in names and len(inks) > 1:
            name = f"{name} of two inks"
        full = np.zeros(separation.inks)
        full[list(inks)] = separation.limits.ceilings[list(inks)]
        full = separation.limits.lowered(full[None], separation.black)[0]
        share = np.linspace(0, 1, _STEPS)[:, None]
        way = np.concatenate([share * full, full + share[1:] * (black - full)])
        colours = separation.colours(way)
        sent, _ = separation.inks_of(colours)
        found.append(InksAlong(name=name, colours=colours, inks=sent))
    return tuple(found)

"""The inks of colours: those that print a colour, with black as near as can be to its aim, within the limits.

A colour of Lab leaves one degree of freedom to four inks, and more to more. The aims decide it: black against L* and chroma
(`black_aim.py`); inks beyond cyan, magenta, yellow and black are aimed at none, so that they come in where the gamut needs
them. Weights of the aims fall in stages, so that a colour is reached exactly where it can be, along a smooth way.
"""

from dataclasses import dataclass, replace

import numpy as np
from scipy.spatial import cKDTree

from spectro.maths.lattice import n_linear
from spectro.maths.row_blocks import in_row_blocks
from spectro.maths.slopes import SlopedLattice
from spectro.records.arrays import FloatArray, frozen_floats
from spectro.separation.black_aim import BlackAim
from spectro.separation.ink_limits import InkLimits, drawn_within
from spectro.separation.ink_roles import InkRoles
from spectro.separation.light_inks import LightPair, light_pair, shared
from spectro.separation.newton_inks import InkTask, hue_metric, nearest_inks


@dataclass(frozen=True, slots=True, kw_only=True)
class SeparationSettings:
    """How inks are looked for. Ours, benchmarks/inks.md."""

    cloud: int = 16_000  # inks among which starts are looked for
    black_apart: float = 25.0  # Lab units that full black counts when they are
    starts: int = 21  # colours an axis, separated first
    margin: float = 8.0  # Lab units by which they reach beyond the gamut
    stages: tuple[float, ...] = (100.0, 4.0, 0.2, 0.02)  # weights of the aims
    stage_steps: int = 12
    near_stages: tuple[float, ...] = (0.2, 0.02)  # the same from a start that colours around give
    near_steps: tuple[int, ...] = (4, 8)
    held_steps: int = 6  # from inks that hold those which are looked for
    reached: float = 0.03  # Lab distance above which a colour is tried again from other starts
    hue: float = 1.0
    rows: int = 8192  # at a time


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Separation:
    """What is prepared once to separate many colours."""

    lattice: SlopedLattice  # inks to Lab, media-relative
    limits: InkLimits
    roles: InkRoles
    aim: BlackAim
    cloud: FloatArray  # (m, c), inks all over the range within the limits
    cloud_lab: FloatArray  # (m, 3)
    starts: FloatArray | None = None  # (k, k, k, c), inks of even colours
    low: FloatArray | None = None  # (3,), the first of those colours
    high: FloatArray | None = None
    settings: SeparationSettings = SeparationSettings()
    plain: "Separation | None" = None  # the same without light inks, where there are some
    pairs: tuple[LightPair, ...] = ()  # light inks, and how they share with their full inks

    @property
    def inks(self) -> int:
        """How many inks."""
        return len(self.limits.ceilings)

    @property
    def colour_limits(self) -> InkLimits:
        """The limits of the inks that decide which colours there are: light inks only stand in for others."""
        return self.limits if self.plain is None else self.plain.limits

    @property
    def black(self) -> int | None:
        """The place of the black ink."""
        return self.roles.black

    def varied(self, limits: InkLimits, aim: BlackAim) -> "Separation":
        """Return another separation of the same print, for a few colours: its starts are looked for one by one."""
        cloud = limits.lowered(np.array(self.cloud), self.black)
        plain = None if self.plain is None else self.plain.varied(without_lights(limits, self.roles), aim)
        return replace(
            self, limits=limits, aim=aim, cloud=frozen_floats(cloud), cloud_lab=frozen_floats(self.colours(cloud)),
            starts=None, low=None, high=None, plain=plain,
        )  # fmt: skip

    def colours(self, device: FloatArray) -> FloatArray:
        """Return media-relative Lab (n, 3) of device values (n, c)."""
        found = in_row_blocks(lambda rows: self.lattice.values(np.ascontiguousarray(rows.T)).T, (device,), self.settings.rows)
        return np.ascontiguousarray(np.concatenate(found))

    def slopes(self, device: FloatArray) -> FloatArray:
        """Return the slopes (n, 3, c) of Lab by inks."""

        def block(rows: FloatArray) -> FloatArray:
            return np.moveaxis(self.lattice.values_and_slopes(np.ascontiguousarray(rows.T))[1], -1, 0)

        return np.concatenate(in_row_blocks(block, (np.clip(device, 1e-6, 1 - 1e-6),), self.settings.rows))

    def inks_of(self, lab: FloatArray, hue: float = 1.0, *, again: bool = True) -> tuple[FloatArray, FloatArray]:
        """Return inks (n, c), and the distance left in Lab (n,), for Lab (n, 3), media-relative.

        hue: what a difference of hue counts where a colour cannot be reached. again: look on from other starts where it was
        not reached.
        """
        if self.plain is not None:
            return self._shared(lab, self.plain.inks_of(lab, hue, again=again)[0], hue)
        stages, steps = self.settings.near_stages, self.settings.near_steps
        if self.starts is None:  # starts are rough: the whole way
            stages = self.settings.stages
            steps = (self.settings.stage_steps,) * len(stages)
        device, left = self._solved(lab, self.start(lab), hue, stages, steps)
        rows = np.flatnonzero(left > self.settings.reached) if again else np.zeros(0, dtype=np.int64)
        for apart in (self.settings.black_apart, 0.0):
            if not len(rows):
                break
            start = self._nearest(lab[rows], apart)
            stages = self.settings.stages if apart else self.settings.stages[1:]
            other, rest = self._solved(lab[rows], start, hue, stages, (self.settings.stage_steps,) * len(stages))
            better = rest < left[rows] - 1e-3
            device[rows[better]], left[rows[better]] = other[better], rest[better]
            rows = rows[left[rows] > self.settings.reached]
        return device, left

    def inks_near(self, lab: FloatArray, start: FloatArray) -> tuple[FloatArray, FloatArray]:
        """As `inks_of`, from inks (n, c) to start at."""
        if self.plain is not None:
            return self._shared(lab, self.plain.inks_near(lab, np.minimum(start, self.plain.limits.ceilings))[0], 1.0)
        steps = (self.settings.stage_steps,) * len(self.settings.near_stages)
        return self._solved(lab, start, self.settings.hue, self.settings.near_stages, steps)

    def inks_held(self, lab: FloatArray, start: FloatArray, held: float, hue: float = 1.0) -> FloatArray:
        """Return inks (n, c) for Lab (n, 3), each drawn to those it starts at (n, c), whatever it is for.

        held: what the square of a full ink's difference counts, over the square of one of Lab. hue: as for `inks_of`.
        Light inks are left as they are: `with_lights` brings them in.
        """
        weights, steps = np.full(self.inks, held), (self.settings.held_steps,)
        return self._solved(lab, start, hue, (1.0,), steps, start, weights)[0]

    def with_lights(self, lab: FloatArray, plain: FloatArray, hue: float = 1.0) -> FloatArray:
        """Return inks (n, c) for Lab (n, 3) of which light inks, where there are some, take their part. plain: without them."""
        return plain if self.plain is None else self._shared(lab, plain, hue)[0]

    def start(self, lab: FloatArray) -> FloatArray:
        """Return inks (n, c) as those of the colours around (n, 3): a few ΔE00 off, and quick."""
        if self.plain is not None:
            return shared(self.plain.start(lab), self.pairs, self.limits.total, self.black)
        if self.starts is None or self.low is None or self.high is None:
            return self._nearest(lab, self.settings.black_apart)
        places = (lab - self.low) / (self.high - self.low) * (len(self.starts) - 1)
        return np.clip(n_linear(self.starts, places), 0, self.limits.ceilings)

    def _shared(self, lab: FloatArray, plain: FloatArray, hue: float) -> tuple[FloatArray, FloatArray]:
        """Return inks, and the distance left in Lab, of which light inks take their part. plain: (n, c), without them."""
        start = self.limits.lowered(shared(plain, self.pairs, self.limits.total, self.black), self.black)
        return self._solved(lab, start, hue, self.settings.near_stages, self.settings.near_steps, start)

    def aims(self, lab: FloatArray) -> FloatArray:
        """Return the inks (n, c) aimed at for Lab (n, 3); only those whose weight is not 0 count."""
        aims = np.zeros((len(lab), self.inks))
        if self.black is not None:
            aims[:, self.black] = self.aim.of(lab)
        return aims

    def weights(self) -> FloatArray:
        """Return what the aim of each ink counts (c,): those that a colour does not settle."""
        weights = np.ones(self.inks)
        weights[list(self.roles.primaries)] = 0.0
        return weights

    def _solved(
        self,
        lab: FloatArray,
        start: FloatArray,
        hue: float,
        stages: tuple[float, ...],
        steps: tuple[int, ...],
        aims: FloatArray | None = None,
        weights: FloatArray | None = None,
    ) -> tuple[FloatArray, FloatArray]:
        weights = self.weights() if weights is None else weights
        wanted_inks = self.aims(lab) if aims is None else aims

        def block(rows: FloatArray, first: FloatArray, aimed: FloatArray) -> tuple[FloatArray, FloatArray]:
            wanted = np.ascontiguousarray(rows.T)
            task = InkTask(
                wanted=wanted,
                hue=hue_metric(wanted, hue),
                aims=np.ascontiguousarray(aimed.T),
                total=self.limits.total,
                ceilings=self.limits.ceilings,
            )
            device, left = np.ascontiguousarray(first.T), np.empty(0)
            for stage, most in zip(stages, steps, strict=True):
                device, left = nearest_inks(self.lattice, task, stage * weights, device, most)
            return np.ascontiguousarray(device.T), left

        found = in_row_blocks(block, (lab, start, wanted_inks), self.settings.rows)
        return np.concatenate([device for device, _ in found]), np.concatenate([left for _, left in found])

    def _nearest(self, lab: FloatArray, apart: float) -> FloatArray:
        """Return the inks (n, c) of the cloud nearest to Lab (n, 3), black near its aim."""
        there, here = [self.cloud_lab], [lab]
        if self.black is not None and apart:
            there.append(apart * self.cloud[:, self.black : self.black + 1])
            here.append(apart * self.aim.of(lab)[:, None])
        _, near = cKDTree(np.hstack(there)).query(np.hstack(here))
        return np.asarray(self.cloud[near])


def without_lights(limits: InkLimits, roles: InkRoles) -> InkLimits:
    """Return limits that leave light inks out."""
    ceilings = np.array(limits.ceilings)
    ceilings[[light for light, _ in roles.lights]] = 0.0
    return InkLimits(total=limits.total, ceilings=ceilings)


def prepare_separation(table: FloatArray, limits: InkLimits, roles: InkRoles, aim: BlackAim) -> Separation:
    """Return what separating needs of a table (g, …, 3) from inks to media-relative Lab.

    Light inks share with their full inks (`light_inks.py`): colours are separated without them first.
    """
    if not roles.lights:
        return _prepared(table, limits, roles, aim)
    plain = _prepared(table, without_lights(limits, roles), roles, aim)
    pairs = tuple(light_pair(plain.lattice, plain.inks, light, full) for light, full in roles.lights)
    return replace(plain, limits=limits, plain=plain, pairs=pairs)


def _prepared(table: FloatArray, limits: InkLimits, roles: InkRoles, aim: BlackAim) -> Separation:
    settings = SeparationSettings()
    lattice = SlopedLattice(table)
    inks = len(limits.ceilings)
    steps = max(2, round(settings.cloud ** (1 / inks)))
    if inks <= 4:
        axes = np.meshgrid(*[ceiling * np.linspace(0, 1, steps) for ceiling in limits.ceilings], indexing="ij")
        cloud = np.stack(axes, axis=-1).reshape(-1, inks)
        cloud = cloud[cloud.sum(axis=1) <= limits.total + 1e-9]
    else:
        cloud = drawn_within(settings.cloud, limits, np.random.default_rng(6))
        ends = np.random.default_rng(8).random(cloud.shape) < 0.4
        cloud = limits.lowered(np.where(ends, np.round(cloud), cloud), roles.black)
    lab = lattice.values(np.ascontiguousarray(cloud.T)).T
    plain = Separation(
        lattice=lattice,
        limits=limits,
        roles=roles,
        aim=aim,
        cloud=frozen_floats(cloud),
        cloud_lab=frozen_floats(lab),
        settings=settings,
    )
    low, high = lab.min(axis=0) - settings.margin, lab.max(axis=0) + settings.margin
    axes = np.meshgrid(*[np.linspace(low[axis], high[axis], settings.starts) for axis in range(3)], indexing="ij")
    even = np.stack(axes, axis=-1).reshape(-1, 3)
    steps_of = (settings.stage_steps,) * len(settings.stages)
    starts, _ = plain._solved(even, plain.start(even), settings.hue, settings.stages, steps_of)
    return Separation(
        lattice=lattice,
        limits=limits,
        roles=roles,
        aim=aim,
        cloud=plain.cloud,
        cloud_lab=plain.cloud_lab,
        starts=frozen_floats(starts.reshape(*[settings.starts] * 3, inks)),
        low=frozen_floats(low),
        high=frozen_floats(high),
        settings=settings,
    )

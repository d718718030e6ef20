"""What refreshing a profile gave, for messages and JSON."""

from dataclasses import dataclass

from spectro.records.profile_result import ProfileBuild
from spectro.records.statistics import DifferenceStatistics


@dataclass(frozen=True, slots=True, kw_only=True)
class ProfileRefresh:
    """A profile from old readings that a drift term took along, and fresh ones."""

    verdict: str
    enough: bool  # False: a new chart would be clearly better, or may be
    open: bool  # True: it would be only if its page were more even than the old one
    needed: bool  # False: the fresh patches are what the old readings say already
    old_patches: int
    fresh_patches: int
    before: DifferenceStatistics  # fresh patches against the old model
    left_out: DifferenceStatistics  # fresh patches against old model and drift term, each left out in turn
    new_chart: DifferenceStatistics  # the old chart's own left-out patches: what a new one would reach
    told: float  # mean ΔE00 of the new profile from a reading of any colour, as far as can be told
    reach: float  # the same of a new chart, on a page as the old one's
    reach_even: float  # the same on an even page: less where the old page was uneven, or may have been
    paper: float | None  # ΔE00 of bare paper from the old readings, where it is more than one paper's
    moved: float  # mean ΔE00 by which the old readings were moved
    build: ProfileBuild
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RefreshChart:
    """Patches to print fresh, and the recipe that asks for them."""

    verdict: str
    recipe: str  # path of the TOML file
    patches_file: str  # path of the list beside it
    patches: int

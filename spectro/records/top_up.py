"""What a top-up chart would hold and bring."""

from dataclasses import dataclass

from spectro.records.gate import GateFinding


@dataclass(frozen=True, slots=True, kw_only=True)
class TopUp:
    """A recipe for a small further chart, and what it is expected to bring."""

    verdict: str  # whether it is worth printing, what to do next
    recipe: str  # file, "" where none was written
    patches: int  # all that are printed
    chosen: int  # of them placed where the model is least sure
    before: float  # the model's share of the expected error of a print, mean ΔE00 over the device space
    after: float  # when the chosen patches have been read
    repeat_noise: float  # ΔE00 of one reading
    regions: dict[str, int]  # how many of the chosen patches lie where
    gate: tuple[GateFinding, ...] = ()  # what was found of the readings before they were used

"""Inks of a chart as they are asked for: light inks, of which the RIP decides, and the most of all together."""

from collections.abc import Sequence

from spectro.chart.channels import are_inks
from spectro.errors import InputError
from spectro.records.ink_stages import LIGHT_INKS
from spectro.words.inks import listed
from spectro.words.next_step import chart_of_inks


def as_the_rip_takes(names: Sequence[str], light_inks: str | None, *remade: str) -> list[str]:
    """Return inks without light inks where the RIP splits their full inks into them.

    light_inks: "own", "split", or None: nobody has said. remade: the command that makes such a chart. Raises
    InputError where light inks are among the inks, and nobody has said.
    """
    full = {name: LIGHT_INKS[name] for name in names if LIGHT_INKS.get(name) in names}
    if light_inks == "split":
        return [name for name in names if name not in full]
    if full and light_inks is None:
        kept = [name for name in names if name not in full]
        raise InputError(
            f"{listed(list(full))} among the channels, and nobody says what the RIP does with light inks",
            "`light_inks` own, where it takes them as channels; split, where it splits "
            f"{listed(list(dict.fromkeys(full.values())))} into them itself",
            "Look in the RIP's media setting, and say `light_inks`. Where it splits them, the chart is of the "
            f"other inks alone: {chart_of_inks(remade, kept)}",
        )
    return list(names)


def check_total_area(total_area: float | None, names: tuple[str, ...]) -> None:
    """Raise InputError for a total area, percent, that inks of these names cannot come to."""
    most = 100 * len(names)
    if total_area is not None and are_inks(names) and total_area > most:
        counted = f"{len(names)} inks" if len(names) > 1 else f"{names[0]} alone"
        raise InputError(
            f"`total_area` {total_area:g}", f"100 to {most} %, the full tones of {counted}", "Choose a value in this range."
        )

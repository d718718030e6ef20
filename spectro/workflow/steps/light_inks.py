"""Light inks among the channels of a chart: whether the RIP takes them as channels is asked first."""

from collections.abc import Sequence

from spectro.errors import InputError
from spectro.records.ink_stages import LIGHT_INKS
from spectro.words.inks import listed
from spectro.words.next_step import command, ink_words


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
            f"other inks alone: {command(*remade, '--channels', ink_words(kept))}",
        )
    return list(names)

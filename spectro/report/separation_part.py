"""What a separation does, as parts of a document: curves, pictures of its settings with what each costs, and their numbers."""

from typing import Any

import numpy as np

from spectro.records.document import Block, Column, FigureSpec, Section, Shown, Table, Words
from spectro.records.separation_effect import InksAlong, SeparationEffect
from spectro.words.numbers import number
from spectro.words.separation import setting_name, settings_advice, settings_note

_ROUND = 2


def separation_sections(effect: SeparationEffect) -> list[Section]:
    """Return the sections of a build: curves of the separation, and what other settings would do."""
    inks = ", ".join(effect.names)
    curves = (
        FigureSpec(
            draw="plot_separation:plot_neutral_inks",
            data=(effect,),
            key="neutral-inks",
            title="Inks along neutral colours",
            caption="Percent of each ink from the darkest colour (left) to bare paper (right); the upright line is the darkest "
            "neutral.",
            label=f"percent of {inks} against the L* of neutrals",
        ),
        FigureSpec(
            draw="plot_separation:plot_full_colour_inks",
            data=(effect,),
            key="full-colour-inks",
            title="Inks along full colours",
            caption="From bare paper to each full ink or overprint of two, and on from there to black.",
            label=f"percent of {inks} from paper to each full colour and on to black",
        ),
    )
    pictures = FigureSpec(
        draw="plot_separation:plot_separation_settings",
        data=(effect,),
        key="separation-settings",
        title="",
        caption="The inks of neutrals from paper (left) to black, and the ink planes of a made picture: greys, hues from light "
        "to dark, a grey, a skin and a sky-blue ball. Dark is much ink.",
        label="ink planes of a made picture for " + ", ".join(setting_name(one, effect.share) for one in effect.settings),
    )
    blocks: tuple[Block, ...] = (pictures, _costs(effect), Words(text=settings_note(effect), role="conditions"))
    if advice := settings_advice(effect):
        blocks = (Words(text=advice), *blocks)
    return [
        Section(key="separation-curves", heading="The separation", blocks=curves),
        Section(key="separation-settings", heading="What each setting does", blocks=blocks, shown=Shown.ALL),
    ]


def _costs(effect: SeparationEffect) -> Table:
    names = ["ink, %", "grain, L*"]
    if effect.lamps:
        names.append("lamps")
    names += ["register", "darkest grey, L*", "out of reach, %"]
    rows = []
    for one in effect.settings:
        cells = [number(one.ink, 1), number(one.grain, 1)]
        if effect.lamps:
            cells.append("" if one.lamps is None else number(one.lamps, 1))
        cells += [number(one.register, 1), number(one.darkest, 1), number(100 * one.missed, 1)]
        rows.append((setting_name(one, effect.share), *cells))
    columns = (Column(name="setting", words=True), *(Column(name=name) for name in names))
    return Table(columns=columns, rows=tuple(rows), strong=(0,), label="what each setting of the separation costs")


def separation_numbers(effect: SeparationEffect) -> dict[str, Any]:
    """Return the numbers of a separation's settings, as JSON says them; the picture's planes are left out."""
    return {
        "inks": list(effect.names),
        "lamps": list(effect.lamps),
        "full_colours": [_along(one) for one in effect.full],
        "settings": [
            {
                "key": one.key,
                "value": one.value,
                "total": one.total,
                "ink": one.ink,
                "grain": one.grain,
                "lamps": one.lamps,
                "register": one.register,
                "darkest": one.darkest,
                "missed": one.missed,
                "greys": _along(one.greys),
            }
            for one in effect.settings
        ],
    }


def _along(one: InksAlong) -> dict[str, Any]:
    return {
        "name": one.name,
        "lab": np.round(one.colours, _ROUND).tolist(),
        "percent": np.round(100 * one.inks, _ROUND).tolist(),
    }

"""Blacks of the intents and what they cost, as a section of a document."""

from spectro.records.document import Column, Section, Table, Words
from spectro.records.edge_effect import EdgeEffect
from spectro.words.numbers import number


def edge_section(edges: EdgeEffect, said: str, light: str) -> Section:
    """Return the section of an assessment that says where a picture's black and its dark colours go.

    said: what that costs, in a sentence. light: and observer, in words.
    """
    rows = tuple(
        (
            one.intent,
            number(one.black, 1),
            number(one.above, 1),
            number(one.stops, 2),
            number(one.fall, 1),
            f"{one.falling} of {edges.ramps}",
            number(one.turn, 0),
        )
        for one in edges.intents
    )
    names = ("intent", "black prints at L*", "above the darkest", "stops lost", "largest fall of L*", "ramps that fall")
    return Section(
        key="blacks",
        heading="Blacks, and colours near them",
        blocks=(
            Words(text=said),
            Table(
                columns=tuple(Column(name=name) for name in (*names, "hue turns by, degrees")),
                rows=rows,
                label="where each intent sends black and dark colours",
            ),
            Words(
                text="A stop is a factor of two of luminance, of the range from the darkest colour to the paper. Along ramps "
                "from black to full colours of sRGB: a fall is how far a print gets darker where the picture gets lighter, and "
                "shows as a dark ring; it counts above L* 0.3. Hue (CAM16) turns by less than the last column in 99 of 100 "
                "colours."
            ),
            Words(text=f"media-relative · each table followed by A2B1 · {light}", role="conditions"),
        ),
    )

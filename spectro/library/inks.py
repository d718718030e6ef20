"""Inks behind a RIP, before a profile: limits and linearisation curves."""

from collections.abc import Mapping

from spectro.library.answers import Answer, Place, places
from spectro.library.readings import how_read
from spectro.report.inks_document import curves_document, limits_document
from spectro.workflow.inks.curves import inks_curves
from spectro.workflow.inks.limits import BOTH, inks_limits


def ink_limits(
    *readings: Place,
    bleeds: Mapping[str, float] | None = None,
    total_area: float | None = None,
    look_for: str = BOTH,
    stages: Place | None = None,
    on: tuple[str, ...] = (),
    out: Place | None = None,
) -> Answer:
    """Find where more ink stops helping, from readings of ramps and overprints; written only where `out` names a file.

    bleeds: percent by ink, or "total", from which on prints bleed or do not dry. total_area: percent, stated for the process.
    look_for: "single-inks", "total-area" or "both". stages: the file of what was set before, with `on`, what of it was on in
    print: "limits", "curves", "total". Raises errors of `spectro.errors`.

    >>> found = ink_limits("demo_measurements/demo-ink-ramps-m1.txt", look_for="single-inks")
    >>> [(one["ink"], one["decided_by"]) for one in found.numbers["limits"]]
    [('cyan', 'chroma'), ('magenta', 'chroma'), ('yellow', 'full'), ('black', 'density')]
    """
    found = inks_limits(
        places(list(readings)),
        look_for=look_for,
        bleeds=bleeds,
        total_area=total_area,
        stages=places(stages)[0] if stages is not None else None,
        on=on,
        out=places(out)[0] if out is not None else None,
    )
    return Answer(document=limits_document(found))


def ink_curves(
    *readings: Place,
    curve_aim: Place = "tone-value",
    against: Place | None = None,
    stages: Place | None = None,
    on: tuple[str, ...] = (),
    measurement_condition: str | None = None,
    out: Place | None = None,
    csv: Place | None = None,
    xml: Place | None = None,
) -> Answer:
    """Make linearisation curves from readings of ramps; written only where `out`, `csv` or `xml` name files.

    curve_aim: "tone-value", "spot-tone-value", "lightness", a CSV file with the columns sent and tone_value, or readings of an
    earlier print that today's is brought back to; or "near-neutral", greys of cyan, magenta and yellow, as light as those of
    the data set `against` where one is named. stages, on: as for `ink_limits`. Raises errors of `spectro.errors`.

    >>> found = ink_curves("demo_measurements/demo-ink-ramps-m1.txt", curve_aim="spot-tone-value")
    >>> [curve["ink"] for curve in found.numbers["curves"]]
    ['cyan', 'magenta', 'yellow', 'black']
    """
    named = [places(one)[0] if one is not None else None for one in (stages, out, csv, xml)]
    found = inks_curves(
        places(list(readings)),
        curve_aim=str(curve_aim),
        against=places(against)[0] if against is not None else None,
        stages=named[0],
        on=on,
        options=how_read(None, measurement_condition),
        out=named[1],
        csv=named[2],
        xml=named[3],
    )
    return Answer(document=curves_document(found))

"""Repairs of strips that were asked for: turn, swap, take as another strip, line up, leave out; a page turned or moved."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum

from spectro.checks.misread_findings import Seems
from spectro.checks.page_judging import LINE_UP, MOVED, JudgedPage
from spectro.checks.strip_alignment import align
from spectro.errors import InputError
from spectro.readings.read_strips import ReadStrip, leave_patch_out, line_up, take_as, turn
from spectro.records.arrays import FloatArray
from spectro.records.chart_layout import ChartLayout


@dataclass(frozen=True, slots=True, kw_only=True)
class Repairs:
    """What the user asked for. Names are those of strips and patches; "2:C" is strip C of the second reading."""

    turn: tuple[str, ...] = ()
    swap: tuple[tuple[str, str], ...] = ()
    take_as: tuple[tuple[str, str], ...] = ()
    line_up: tuple[str, ...] = ()
    leave_out: tuple[str, ...] = ()  # strips or patches
    turn_page: tuple[str, ...] = ()
    as_page: tuple[tuple[str, str], ...] = ()
    accept_offers: bool = False

    def tried(self) -> frozenset[str]:
        """Return the options that were given and that a note might offer, as notes word them."""
        single = (("`turn`", self.turn), ("`line_up`", self.line_up), ("`turn_page`", self.turn_page))
        pairs = (("`swap`", ",", self.swap), ("`take_as`", "=", self.take_as), ("`as_page`", "=", self.as_page))
        found = {f"{option} {_named(name)}" for option, names in single for name in names}
        found |= {f"{option} {sign.join(map(_named, names))}" for option, sign, each in pairs for names in each}
        return frozenset(found | {f"`swap` {_named(second)},{_named(first)}" for first, second in self.swap})


class Mend(StrEnum):
    """What was done to a strip, a patch or a page."""

    TURNED = "turned"
    SWAPPED = "swapped"
    TAKEN_AS = "taken as another strip"
    LINED_UP = "lined up"
    STRIP_LEFT_OUT = "strip left out"
    STRIP_REPEATED = "strip left out, another one again"
    PATCH_LEFT_OUT = "patch left out"
    PAGE_TURNED = "page turned"
    PAGE_TAKEN_AS = "page taken as another"


@dataclass(frozen=True, slots=True, kw_only=True)
class Repaired:
    """One repair that was made."""

    what: Mend
    name: str  # of the strip, patch or page, as it was asked for
    other: str = ""  # the strip or page it was swapped with or taken as
    extra: int = 0  # readings that were left out in lining up
    missed: tuple[str, ...] = ()  # patches that have no reading then


@dataclass(slots=True, kw_only=True)
class Bench:
    """Strips under repair, with the Lab of what was read."""

    strips: list[ReadStrip]
    lab: list[FloatArray]
    layout: ChartLayout
    done: list[Repaired] = field(default_factory=list)

    def change(self, index: int, strip: ReadStrip) -> None:
        """Put a repaired strip in the place of another; its Lab follows its readings."""
        known = {tuple(key): row for row, key in enumerate(self.strips[index].source.tolist())}
        self.lab[index] = self.lab[index][[known[tuple(key)] for key in strip.source.tolist()]]
        self.strips[index] = strip

    def drop(self, indices: Sequence[int]) -> None:
        """Leave strips out."""
        for index in sorted(indices, reverse=True):
            del self.strips[index], self.lab[index]


def repair(bench: Bench, wanted: Repairs, expected: FloatArray, paper: FloatArray) -> None:
    """Carry out what was asked for by name; what was done goes to `done`. expected: (n, 3) Lab of the chart's patches.

    Raises InputError for a name that is no strip or patch that was read.
    """
    layout = bench.layout
    for text in wanted.turn_page:
        reading, page = _page(bench, text)
        _turn_page(bench, _on(bench, reading, page), page)
    for text, target in wanted.as_page:
        reading, page = _page(bench, text)
        _as_page(bench, _on(bench, reading, page), page, int(_page(bench, target, read=False)[1]))
    for text in wanted.turn:
        index = _strip(bench, text)
        bench.change(index, turn(bench.strips[index]))
        bench.done.append(Repaired(what=Mend.TURNED, name=text))
    moves: dict[int, int] = {}
    for first, second in wanted.swap:
        one, two = _strip(bench, first), _strip(bench, second)
        moves |= {one: bench.strips[two].place, two: bench.strips[one].place}
        bench.done.append(Repaired(what=Mend.SWAPPED, name=first, other=second))
    for text, target in wanted.take_as:
        index = _strip(bench, text)
        moves[index] = _place(layout, target)
        bench.done.append(Repaired(what=Mend.TAKEN_AS, name=text, other=target))
    for index, place in moves.items():
        bench.change(index, take_as(bench.strips[index], place, layout))
    for text in wanted.line_up:
        _line_up(bench, _strip(bench, text), expected, paper)
    for text in wanted.leave_out:
        _leave_out(bench, text)


def accept(bench: Bench, pages: Sequence[JudgedPage], expected: FloatArray, paper: FloatArray) -> bool:
    """Carry out every offer that needs no new reading, and leave bad patches out. Returns whether anything was done."""
    before = len(bench.done)
    layout = bench.layout
    moves: dict[int, int] = {}
    dropped: list[int] = []
    for page in pages:
        seems = {finding.seems: finding for finding in page.judgement.findings}
        if Seems.UPSIDE_DOWN in seems:
            _turn_page(bench, list(page.strips), page.page)
            continue
        if Seems.WRONG_PAGE in seems:
            _as_page(bench, list(page.strips), page.page, int(seems[Seems.WRONG_PAGE].detail.split()[1].rstrip(",")))
            continue
        if Seems.WRONG_CHART in seems:
            continue
        for result in page.judgement.strips:
            index = page.strips[result.strip]
            strip = bench.strips[index]
            name = layout.strips[strip.place].name
            if result.seems == Seems.REVERSED:
                bench.change(index, turn(strip))
                bench.done.append(Repaired(what=Mend.TURNED, name=name))
            elif result.seems in MOVED and result.partner is not None:
                moves[index] = page.places[result.partner]
            elif result.seems == Seems.REPEATED_STRIP:
                dropped.append(index)
            elif result.seems in LINE_UP:
                _line_up(bench, index, expected, paper)
            elif result.seems == Seems.BAD_PATCH:
                for row in [int(strip.targets[at]) for at in result.patches]:
                    bench.change(index, leave_patch_out(bench.strips[index], row))
                    bench.done.append(Repaired(what=Mend.PATCH_LEFT_OUT, name=layout.patch_name(row)))
    for index, place in moves.items():
        old = layout.strips[bench.strips[index].place].name
        bench.change(index, take_as(bench.strips[index], place, layout))
        bench.done.append(Repaired(what=Mend.TAKEN_AS, name=old, other=layout.strips[place].name))
    for index in dropped:
        bench.done.append(Repaired(what=Mend.STRIP_REPEATED, name=layout.strips[bench.strips[index].place].name))
    bench.drop(dropped)
    return len(bench.done) > before


def _turn_page(bench: Bench, members: Sequence[int], page: int) -> None:
    places = bench.layout.on_page(page)
    for index in members:
        strip = bench.strips[index]
        place = places[len(places) - 1 - places.index(strip.place)]
        bench.change(index, take_as(turn(strip), place, bench.layout))
    bench.done.append(Repaired(what=Mend.PAGE_TURNED, name=str(page)))


def _as_page(bench: Bench, members: Sequence[int], page: int, target: int) -> None:
    from_places, to_places = bench.layout.on_page(page), bench.layout.on_page(target)
    if not to_places:
        raise InputError(f"page {target}", f"a page of the chart, {_listed(bench.layout.pages)}", "Correct `as_page`.")
    for index in members:
        at = from_places.index(bench.strips[index].place)
        if at < len(to_places):
            bench.change(index, take_as(bench.strips[index], to_places[at], bench.layout))
    bench.done.append(Repaired(what=Mend.PAGE_TAKEN_AS, name=str(page), other=str(target)))


def _line_up(bench: Bench, index: int, expected: FloatArray, paper: FloatArray) -> None:
    strip = bench.strips[index]
    whole = replace(strip, targets=bench.layout.strips[strip.place].rows)
    found = align(bench.lab[index], expected[whole.targets], paper)
    name = bench.layout.strips[strip.place].name
    if not found.pairs:
        raise InputError(
            f"strip {name}, which lines up with nothing", "a strip in its place", "Leave it out, or read it again."
        )
    missed = tuple(bench.layout.patch_name(int(whole.targets[at])) for at in found.missed)
    bench.change(index, line_up(whole, found.pairs))
    bench.done.append(Repaired(what=Mend.LINED_UP, name=name, extra=len(found.extra), missed=missed))


def _leave_out(bench: Bench, text: str) -> None:
    try:
        index = _strip(bench, text)
    except InputError:
        reading, name = _split(text)
        rows = [row for row in range(len(bench.layout)) if bench.layout.patch_name(row) == name] or [
            row for row, identity in enumerate(bench.layout.sample_ids) if identity == name
        ]
        found = [
            (at, row)
            for row in rows
            for at, strip in enumerate(bench.strips)
            if row in strip.targets and reading in (0, strip.reading)
        ]
        if len(found) != 1 or len(bench.strips[found[0][0]].source) != len(bench.strips[found[0][0]].targets):
            raise InputError(
                f"{text} in `leave_out`", "one strip or patch that was read, such as C, C7 or 2:C7", "Correct it."
            ) from None
        at, row = found[0]
        bench.change(at, leave_patch_out(bench.strips[at], row))
        bench.done.append(Repaired(what=Mend.PATCH_LEFT_OUT, name=text))
        return
    bench.drop([index])
    bench.done.append(Repaired(what=Mend.STRIP_LEFT_OUT, name=text))


def _named(text: str) -> str:
    """Return a name as notes write it."""
    reading, name = _split(text)
    return f"{reading}:{name}" if reading else name


def _split(text: str) -> tuple[int, str]:
    """Return the reading (0: not said) and the name of "2:C"."""
    number, colon, name = text.partition(":")
    if not colon:
        return 0, text.strip().upper() if "/" not in text and "-" not in text else text.strip()
    if not number.isdecimal():
        raise InputError(f"{text!r}", "a name such as C or 2:C (strip C of the second reading)", "Correct it.")
    return int(number), name.strip().upper() if "/" not in name and "-" not in name else name.strip()


def _strip(bench: Bench, text: str) -> int:
    reading, name = _split(text)
    found = [
        index
        for index, strip in enumerate(bench.strips)
        if bench.layout.strips[strip.place].name == name and reading in (0, strip.reading)
    ]
    if len(found) == 1:
        return found[0]
    names = [bench.layout.strips[strip.place].name for strip in bench.strips]
    if len(found) > 1:
        raise InputError(f"strip {text} in {len(found)} readings", f"which reading, such as 1:{name}", "Say which.")
    raise InputError(f"no strip {text}", f"one that was read: {_listed(dict.fromkeys(names))}", "Correct the name.")


def _place(layout: ChartLayout, text: str) -> int:
    name = _split(text)[1]
    for index, strip in enumerate(layout.strips):
        if strip.name == name:
            return index
    raise InputError(f"no strip {text}", f"one of {_listed(strip.name for strip in layout.strips)}", "Correct the name.")


def _page(bench: Bench, text: str, *, read: bool = True) -> tuple[int, int]:
    reading, name = _split(text)
    if not name.isdecimal() or (read and not _on(bench, reading, int(name))):
        raise InputError(f"no page {text}", f"one that was read, of {_listed(bench.layout.pages)}", "Correct the number.")
    return reading, int(name)


def _on(bench: Bench, reading: int, page: int) -> list[int]:
    return [
        index
        for index, strip in enumerate(bench.strips)
        if bench.layout.strips[strip.place].page == page and reading in (0, strip.reading)
    ]


def _listed(names: Iterable[object], most: int = 12) -> str:
    words = [str(name) for name in names]
    return ", ".join(words[:most]) + (f" … {words[-1]}" if len(words) > most else "")

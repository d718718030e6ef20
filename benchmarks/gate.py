"""What the gate catches: systematic mistakes on real prints, each at the least size that moves colours by ΔE00 2 in the mean.

    python benchmarks/gate.py [PAPERS]     PAPERS: how many odd but right papers must pass (500)
    python benchmarks/gate.py commands [whole] [N...]    every mistake as a file, through `readings add`, `readings show` and
                                           `profile build`; whole: all patches of a print, else 600; N: places in PRINTS
    python benchmarks/gate.py parts [N]    N parts of each real print, rows in a row or drawn, 40 to 400 of them (200)
    python benchmarks/gate.py files        every file of the check data through what commands ask of it: none may be stopped

Prints are the measured RGB and CMYK charts of the check data; mistakes and odd papers are invented. Each mistake is tried
on every print; where its size can be chosen it is the least that moves the mean by ΔE00 2, found by halving. What no data
can show is tried too and listed apart: there the mistaken print is itself a possible print.
"""

import logging
import os
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
import numpy as np

from spectro.checks.gate import gate
from spectro.colour.difference import delta_e_2000
from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import GateError, SpectroError
from spectro.readings.load import load_any_readings, load_readings
from spectro.records.conditions import MeasurementCondition
from spectro.records.gate import GateReport
from spectro.records.measurement import MeasurementSet
from spectro.records.profile_settings import ProfileSettings
from spectro.stand_in.paper import Paper, glossy_paper, matte_paper
from spectro.stand_in.printer import Printer, printed_reflectance
from spectro.standards.limits import shipped_limits
from spectro.workflow.profile.build import profile_build
from spectro.workflow.readings.add import readings_add
from spectro.workflow.readings.show import readings_show
from spectro.workflow.steps.gate import pass_gate, pass_gate_for_colours

DATA = Path(os.environ.get("SPECTRO_CHECK_DATA") or Path(__file__).resolve().parent.parent.parent / "shared" / "data")
PRINTS = (
    "photo-inkjet-glossy/chart-680-m0.txt",
    "photo-inkjet-glossy/chart-680-m2.txt",
    "photo-inkjet-matte/chart-a-2033-m0.txt",
    "photo-inkjet-matte/chart-a-2033-m2.txt",
    "photo-inkjet-matte/chart-b-2420-m0.txt",
    "photo-inkjet-matte/chart-b-2420-m2.txt",
    "offset-coated-fogra51/fogra51-spectral.txt",
    "offset-board/board-spectral.txt",
    "cmyk-10deg/it874-1617-m1.txt",
)
LEAST = 2.0  # ΔE00 in the mean
STRIP = 27  # patches a strip where a mistake is about strips
LIMITS = shipped_limits("gate")


@dataclass(frozen=True)
class Print:
    """Device values and spectra of one print."""

    name: str
    space: str
    device: np.ndarray
    wavelengths: np.ndarray
    spectra: np.ndarray

    def changed(self, device: np.ndarray | None = None, spectra: np.ndarray | None = None) -> "Print":
        """The print with other device values or spectra."""
        return Print(
            self.name,
            self.space,
            self.device if device is None else device,
            self.wavelengths,
            self.spectra if spectra is None else spectra,
        )

    def lab(self) -> np.ndarray:
        """Lab of every patch, D50/2°."""
        return spectra_to_lab(self.spectra, self.wavelengths)


Mistake = Callable[[Print, float], Print]


def judged(one: Print) -> GateReport:
    """The gate's report on a print."""
    ids = tuple(str(row) for row in range(len(one.device)))
    return gate(ids, one.space, one.device, one.lab(), LIMITS, spectra=one.spectra, wavelengths=one.wavelengths)


def stopped_by_commands(one: Print) -> bool:
    """Whether what commands ask of readings stops a print: laws of prints, and strips held against one another."""
    measured = MeasurementSet(
        sample_ids=tuple(str(row + 1) for row in range(len(one.device))),
        sample_names=("",) * len(one.device),
        device=one.device,
        colour_space=one.space,
        wavelengths=one.wavelengths,
        reflectance=one.spectra,
        condition=MeasurementCondition.M1,
        origin=one.name,
    )
    try:
        pass_gate(measured)
    except GateError as error:
        print(f"STOPPED {one.name}: {error}", flush=True)
        return True
    return False


def last_rows(change: Callable[[np.ndarray], np.ndarray], what: str = "spectra") -> Mistake:
    """A mistake that holds for the last share of the rows only. what: spectra or device, which values are wrong."""

    def mistake(one: Print, size: float) -> Print:
        values = getattr(one, what).copy()
        first = len(values) - max(2, round(size * len(values)))
        values[first:] = change(values[first:])
        return one.changed(**{what: values})

    return mistake


def of_device(change: Callable[[np.ndarray], np.ndarray]) -> Mistake:
    """A mistake in the device values of all rows."""
    return lambda one, size: one.changed(device=change(one.device.copy()))


def of_spectra(change: Callable[[np.ndarray], np.ndarray]) -> Mistake:
    """A mistake in the spectra of all rows."""
    return lambda one, size: one.changed(spectra=change(one.spectra.copy()))


def exchanged(first: int, second: int) -> Mistake:
    """Two channels exchanged."""

    def change(device: np.ndarray) -> np.ndarray:
        device[:, [first, second]] = device[:, [second, first]]
        return device

    return of_device(change)


def one_channel(channel: int, change: Callable[[np.ndarray], np.ndarray]) -> Mistake:
    """A mistake in one channel's column."""

    def inner(device: np.ndarray) -> np.ndarray:
        device[:, channel] = change(device[:, channel])
        return device

    return of_device(inner)


def strips_turned(rows: np.ndarray) -> np.ndarray:
    """Each strip of rows back to front."""
    whole = len(rows) // STRIP * STRIP
    turned = rows[:whole].reshape(-1, STRIP, *rows.shape[1:])[:, ::-1].reshape(whole, *rows.shape[1:])
    return np.concatenate([turned, rows[whole:][::-1]])


def next_strips(rows: np.ndarray) -> np.ndarray:
    """Each strip in the place of the next one."""
    return np.roll(rows, STRIP, axis=0)


def shuffled(rows: np.ndarray) -> np.ndarray:
    """Rows in no order."""
    return rows[np.random.default_rng(5).permutation(len(rows))]


def doubled(rows: np.ndarray) -> np.ndarray:
    """One row in place of all."""
    return np.repeat(rows[:1], len(rows), axis=0)


def by_columns(rows: np.ndarray) -> np.ndarray:
    """A table written row by row that was read column by column."""
    whole = len(rows) // STRIP * STRIP
    return np.concatenate(
        [rows[:whole].reshape(-1, STRIP, *rows.shape[1:]).swapaxes(0, 1).reshape(rows[:whole].shape), rows[whole:]]
    )


def mixed_columns(spectra: np.ndarray) -> np.ndarray:
    """Spectral columns in another order."""
    return spectra[:, np.random.default_rng(6).permutation(spectra.shape[1])]


def as_text(spectra: np.ndarray) -> np.ndarray:
    """Spectral columns sorted as words, 1000 before 380 and the like: halves exchanged."""
    return np.roll(spectra, spectra.shape[1] // 2, axis=1)


def emptied(spectra: np.ndarray) -> np.ndarray:
    """Every third column empty."""
    spectra[:, ::3] = 0
    return spectra


def last_rows_by(share: float, gain: float) -> Mistake:
    """The last share of the rows lighter by a share of their light, whatever the size asked for."""
    return lambda one, _size: last_rows(lambda spectra: (1 + gain) * spectra)(one, share)


KINDS: dict[str, Mistake] = {
    "device: inverted": of_device(lambda device: 1 - device),
    "device: 1st and 2nd exchanged": exchanged(0, 1),
    "device: 1st and 3rd exchanged": exchanged(0, 2),
    "device: 2nd and 3rd exchanged": exchanged(1, 2),
    "device: turned round once": of_device(lambda device: np.concatenate([device[:, [1, 2, 0]], device[:, 3:]], axis=1)),
    "device: turned round twice": of_device(lambda device: np.concatenate([device[:, [2, 0, 1]], device[:, 3:]], axis=1)),
    "device: 1st and last exchanged": of_device(lambda device: device[:, [-1, *range(1, device.shape[1] - 1), 0]]),
    "device: last read as first": of_device(lambda device: np.roll(device, 1, axis=1)),
    "device: first read as last": of_device(lambda device: np.roll(device, -1, axis=1)),
    "device: 2nd and last exchanged": of_device(lambda device: device[:, [0, -1, *range(2, device.shape[1] - 1), 1]]),
    "device: 1st inverted": one_channel(0, lambda column: 1 - column),
    "device: 2nd inverted": one_channel(1, lambda column: 1 - column),
    "device: 3rd inverted": one_channel(2, lambda column: 1 - column),
    "device: 1st lost": one_channel(0, np.zeros_like),
    "device: 2nd lost": one_channel(1, np.zeros_like),
    "device: 3rd lost": one_channel(2, np.zeros_like),
    "device: 1st is the 2nd": of_device(lambda device: device[:, [1, 1, *range(2, device.shape[1])]]),
    "device: last rows inverted": last_rows(lambda device: 1 - device, "device"),
    "device: last rows, 1st and 3rd exchanged": last_rows(
        lambda device: device[:, [2, 1, 0, *range(3, device.shape[1])]], "device"
    ),
    "device: last rows in per cent of the others": last_rows(lambda device: device / 100, "device"),
    "device: last rows on 0 to 100 for 255": last_rows(lambda device: device * 100 / 255, "device"),
    "device: last rows in no order": last_rows(shuffled, "device"),
    "rows: one lost": of_spectra(lambda spectra: np.roll(spectra, -1, axis=0)),
    "rows: one doubled": of_spectra(lambda spectra: np.roll(spectra, 1, axis=0)),
    "rows: two lost": of_spectra(lambda spectra: np.roll(spectra, -2, axis=0)),
    "rows: a strip lost": of_spectra(lambda spectra: np.roll(spectra, -STRIP, axis=0)),
    "rows: a strip doubled": of_spectra(lambda spectra: np.roll(spectra, STRIP, axis=0)),
    "rows: back to front": of_spectra(lambda spectra: spectra[::-1]),
    "rows: by columns": of_spectra(by_columns),
    "rows: in no order": of_spectra(shuffled),
    "rows: the last shifted by one": last_rows(lambda spectra: np.roll(spectra, 1, axis=0)),
    "rows: the last shifted by two": last_rows(lambda spectra: np.roll(spectra, -2, axis=0)),
    "rows: the last strips turned": last_rows(strips_turned),
    "rows: the last strips in the next one's place": last_rows(next_strips),
    "rows: the last in no order": last_rows(shuffled),
    "rows: the last all alike": last_rows(doubled),
    "rows: the last by columns": last_rows(by_columns),
    "scale: a hundred times too small": of_spectra(lambda spectra: spectra / 100),
    "scale: a hundred times too large": of_spectra(lambda spectra: spectra * 100),
    "scale: the last rows in per cent": last_rows(lambda spectra: spectra * 100),
    "scale: the last rows a hundredth": last_rows(lambda spectra: spectra / 100),
    "scale: the last rows half": last_rows(lambda spectra: spectra / 2),
    "scale: squared": of_spectra(lambda spectra: spectra**2),
    "scale: to the power of 2.2": of_spectra(lambda spectra: spectra**2.2),
    "scale: densities for reflectance": of_spectra(lambda spectra: -np.log10(np.maximum(spectra, 1e-3))),
    "scale: the last rows as densities": last_rows(lambda spectra: -np.log10(np.maximum(spectra, 1e-3))),
    "wavelengths: reversed": of_spectra(lambda spectra: spectra[:, ::-1]),
    "wavelengths: mixed up": of_spectra(mixed_columns),
    "wavelengths: halves exchanged": of_spectra(as_text),
    "wavelengths: every third empty": of_spectra(emptied),
    "wavelengths: the last rows reversed": last_rows(lambda spectra: spectra[:, ::-1]),
    "paper: the last rows on a paper half as light": last_rows(lambda spectra: 0.5 * spectra),
    "columns: the last rows of another column set": last_rows(lambda spectra: np.roll(spectra, 6, axis=1)),
}
SLIGHT: dict[str, Mistake] = {  # smaller than LEAST, each at the size it names
    f"light: the last {share:.0%} of the rows {abs(gain):.0%} {'lighter' if gain > 0 else 'darker'}": last_rows_by(share, gain)
    for share in (0.5, 0.15)
    for gain in (0.04, 0.08, -0.04, -0.08)
}
UNSEEN: dict[str, tuple[Mistake, str]] = {
    "scale: all too large": (lambda one, size: one.changed(spectra=one.spectra * (1 + size)), "a lighter paper has this print"),
    "scale: all too small": (lambda one, size: one.changed(spectra=one.spectra * (1 - size)), "a greyer paper has this print"),
    "scale: light added": (lambda one, size: one.changed(spectra=one.spectra + size), "a rougher surface has this black"),
    "device: another tone curve": (lambda one, size: one.changed(device=one.device ** (1 + size)), "another driver setting"),
    "scale: square roots": (
        lambda one, size: one.changed(spectra=one.spectra ** (1 - size)),
        "half as much ink, and half its spread under the paper, has this print",
    ),
    "wavelengths: off by some nm": (
        lambda one, size: one.changed(
            spectra=np.stack([np.interp(one.wavelengths + 40 * size, one.wavelengths, row) for row in one.spectra])
        ),
        "inks whose edges lie elsewhere",
    ),
    "paper: a tint over all": (
        lambda one, size: one.changed(spectra=one.spectra * (1 - size * (one.wavelengths < 500))),
        "a yellower paper has this print",
    ),
}
_SIZED = ("last rows", "the last")


def moved(one: Print, other: Print) -> float:
    """Mean ΔE00 between the colours that recipes have in two versions of a print: of the rows that a mistake changes.

    Where device values were mistaken, each row's colour is compared with that of the row whose device values it took over.
    """
    if other.device is not one.device:
        nearest = [int(np.abs(one.device - row).sum(axis=1).argmin()) for row in other.device]
        return float(delta_e_2000(one.lab()[nearest], one.lab()).mean())
    return float(delta_e_2000(one.lab(), np.nan_to_num(other.lab())).mean())


def least_size(one: Print, mistake: Mistake) -> float:
    """The least size from 0 to 1 that moves the mean by 2; 1 where no smaller one does."""
    low, high = 0.0, 1.0
    for _ in range(9):
        middle = (low + high) / 2
        low, high = (low, middle) if moved(one, mistake(one, middle)) >= LEAST else (middle, high)
    return high


def prints() -> Iterator[Print]:
    """The real prints."""
    for name in PRINTS:
        one = load_readings([DATA / name])
        yield Print(name, one.colour_space, one.device, one.wavelengths, one.reflectance)


def odd_papers(count: int) -> Iterator[tuple[str, Print]]:
    """Odd but right papers: half on the stand-in, half from the spectra of the real glossy print."""
    rng = np.random.default_rng(20260103)
    device = np.concatenate([np.stack(np.meshgrid(*[np.linspace(0, 1, 5)] * 3), -1).reshape(-1, 3), rng.random((75, 3))])
    real = next(prints())
    for number in range(count):
        kind = ("tinted", "metallic", "very dark", "low contrast", "bright")[number % 5]
        tint = 1 - rng.uniform(0, 0.6) * np.clip(
            (rng.choice([-1, 1]) * (real.wavelengths - rng.uniform(430, 650))) / rng.uniform(40, 200) + 0.5, 0, 1
        )
        if number % 2:
            base = real.spectra
            paper = base[real.device.sum(axis=1) == 3].mean(axis=0)
            spectra = base * tint if kind == "tinted" else base
            if kind == "metallic":  # ink scatters light that the sheet mirrors away from the reader
                cover = 1 - real.device.min(axis=1, keepdims=True)
                spectra = base * rng.uniform(0.4, 0.8) + 0.12 * cover * base / paper
            if kind == "very dark":
                spectra = base * rng.uniform(0.05, 0.2)
            if kind == "low contrast":
                share = rng.uniform(0.1, 0.4)
                spectra = share * base + (1 - share) * paper
            if kind == "bright":
                spectra = base * rng.uniform(1.02, 1.12)
            yield kind, Print(f"real {kind}", "RGB", real.device, real.wavelengths, np.clip(spectra, 1e-4, None))
            continue
        sheet = (matte_paper, glossy_paper)[number // 2 % 2]()
        scale = {"very dark": rng.uniform(0.06, 0.2), "metallic": rng.uniform(0.4, 0.8)}.get(kind, rng.uniform(0.95, 1.05))
        paper_ = Paper(
            name=kind,
            base=sheet.base * scale * (tint if kind in ("tinted", "metallic") else 1),
            emission=sheet.emission * (scale if kind == "very dark" else 1.0),
            surface=min(sheet.surface, 0.4 * float((sheet.base * scale * tint).min())),
            ink_strength=sheet.ink_strength * (rng.uniform(0.25, 0.5) if kind == "low contrast" else 1.0),
            spread=sheet.spread,
        )
        spectra = printed_reflectance(device, printer=Printer(), paper=paper_, condition=MeasurementCondition.M1)
        spectra = spectra * (1 + 0.003 * rng.normal(size=spectra.shape)) + 0.0002 * rng.normal(size=spectra.shape)
        yield kind, Print(f"stand-in {kind}", "RGB", device, real.wavelengths, np.clip(spectra, 1e-4, None))


def main(papers: int = 500, every: int = 1) -> dict[str, float]:
    """Run the campaign and print its table; return the share caught, and of false alarms. every: take each n-th print."""
    caught: dict[str, list[bool]] = defaultdict(list)
    slight: dict[str, list[bool]] = defaultdict(list)
    unseen: dict[str, list[float]] = defaultdict(list)
    alarms = 0
    for one in list(prints())[::every]:
        if judged(one).stops:
            alarms += 1
            print(f"FALSE ALARM on {one.name}")
        for kind, mistake in KINDS.items():
            size = least_size(one, mistake) if any(word in kind for word in _SIZED) else 1.0
            wrong = mistake(one, size)
            if moved(one, wrong) < LEAST:
                continue
            caught[kind].append(judged(wrong).stops)
        for kind, mistake in SLIGHT.items():
            slight[kind].append(judged(mistake(one, 1.0)).stops)
        for kind, (mistake, _) in UNSEEN.items():
            unseen[kind].append(float(judged(mistake(one, least_size(one, mistake))).stops))
    odd: dict[str, list[bool]] = defaultdict(list)
    for kind, one in odd_papers(papers):
        odd[kind].append(stopped_by_commands(one))
    for kind, found in caught.items():
        print(f"{sum(found):3d} of {len(found):3d}  {kind}")
    total = [one for found in caught.values() for one in found]
    print(f"caught {sum(total)} of {len(total)}, {len(caught)} kinds")
    for kind, found in slight.items():
        print(f"{sum(found):3d} of {len(found):3d}  {kind}, ΔE00 below {LEAST:g}")
    for kind, shares in unseen.items():
        print(f"{sum(shares):3.0f} of {len(shares):3d}  {kind}: no data can show it, {UNSEEN[kind][1]}")
    for kind, found in odd.items():
        print(f"{sum(found):3d} of {len(found):3d}  false alarms on {kind} papers")
    stopped = [one for found in odd.values() for one in found]
    print(f"false alarms: {alarms} real prints, {sum(stopped)} of {len(stopped)} odd papers")
    return {"caught": float(np.mean(total)), "alarms": alarms + float(np.sum(stopped))}


def parts(count: int = 200, seed: int = 1) -> dict[str, int]:
    """How many parts of each real print, as charts of their own, break a law so that they are stopped.

    A part may lack the bare paper, an ink's dark half, a whole ink: nothing of that is a fault.
    """
    rng = np.random.default_rng(seed)
    alarms: dict[str, int] = {}
    for one in prints():
        alarms[one.name] = 0
        for number in range(count):
            size = int(rng.integers(40, min(400, len(one.device))))
            start = int(rng.integers(len(one.device) - size + 1))
            rows = np.arange(start, start + size) if number % 2 else np.sort(rng.permutation(len(one.device))[:size])
            found = judged(one.changed(device=one.device[rows], spectra=one.spectra[rows]))
            if found.stops:
                alarms[one.name] += 1
                laws = ", ".join(f"{law.law} {law.found:.2f} {law.detail}".strip() for law in found.broken)
                print(f"STOPPED {one.name}, {size} rows from {start if number % 2 else 'anywhere'}: {laws}", flush=True)
        print(f"{alarms[one.name]:3d} of {count}  {one.name}", flush=True)
    return alarms


MOST_IN_FILES = 600  # patches of a print that goes through the commands, where not whole: their cost grows with the cube
GRID = ProfileSettings(grid=9)  # a build that goes on is a miss whatever its grid


def written(one: Print, file: Path) -> Path:
    """The print as a file without names and places, as most exports are; values on the scales most exports have."""
    fields = {"RGB": ("RGB_R", "RGB_G", "RGB_B"), "CMYK": ("CMYK_C", "CMYK_M", "CMYK_Y", "CMYK_K")}[one.space]
    full = 255 if one.space == "RGB" else 100
    lines = ["CGATS.17", "MEASUREMENT_SOURCE\tMeasurementCondition=M0", "BEGIN_DATA_FORMAT"]
    lines.append("\t".join(["SAMPLE_ID", *fields, *(f"SPECTRAL_NM{nm:g}" for nm in one.wavelengths)]))
    lines += ["END_DATA_FORMAT", f"NUMBER_OF_SETS\t{len(one.device)}", "BEGIN_DATA"]
    for row, (device, spectrum) in enumerate(zip(one.device, one.spectra, strict=True)):
        cells = [str(row + 1), *(f"{full * value:.3f}" for value in device), *(f"{value:.6f}" for value in spectrum)]
        lines.append("\t".join(cells))
    file.write_text("\n".join([*lines, "END_DATA", ""]), "utf-8")
    return file


def through_commands(one: Print, folder: Path) -> dict[str, str]:
    """How each command ends: "fault" (exit 3, nothing written), "unreadable" (exit 2), or "taken".

    The functions are those that the command line calls, in this process: starting 2000 of its own would cost more than they do.
    """
    file, out = written(one, folder / "readings.txt"), folder / "out"
    ends = {}
    for command, call in (
        ("add", lambda: readings_add([file], out=out, replace_existing=True).resolved),
        ("show", lambda: not readings_show(file).sheets[0].faulty),
        ("build", lambda: profile_build([file], out, settings=GRID) is not None),
    ):
        try:
            ends[command] = "taken" if call() else "fault"
        except GateError:
            ends[command] = "fault"
        except SpectroError:
            ends[command] = "unreadable"
        if out.exists():
            ends[command] = "taken"
            out.unlink()
    return ends


def some_rows(one: Print, most: int = MOST_IN_FILES) -> Print:
    """At most so many rows of a print, in their order; 0 for all."""
    rng = np.random.default_rng(6)
    rows = np.sort(rng.permutation(len(one.device))[: most or None])
    return one.changed(device=one.device[rows], spectra=one.spectra[rows])


def commands(which: tuple[int, ...] = (), every: int = 1, most: int = MOST_IN_FILES) -> dict[str, float]:
    """Run every mistake through the commands, print by print; return the share that all three catch, and false alarms.

    which: prints by their place in PRINTS, all by default. every: take each n-th mistake. most: patches of a print, 0 for all.
    A mistake that reading undoes (per cent of factors, say) is none any more: then the colours read are those of the print.
    """
    logging.getLogger("spectro").setLevel(logging.ERROR)
    caught: dict[str, dict[str, bool]] = defaultdict(dict)
    alarms = undone = small = 0
    with tempfile.TemporaryDirectory() as place:
        for one in [one for number, one in enumerate(prints()) if number in which or not which]:
            one = some_rows(one, most)
            ends = through_commands(one, Path(place))
            if set(ends.values()) != {"taken"}:
                alarms += 1
                print(f"FALSE ALARM on {one.name}: {ends}", flush=True)
            for kind, mistake in list(KINDS.items())[::every]:
                size = least_size(one, mistake) if any(word in kind for word in _SIZED) else 1.0
                wrong = mistake(one, size)
                if moved(one, wrong) < LEAST:
                    small += 1
                    continue
                if _undone(one, written(wrong, Path(place) / "readings.txt")):
                    undone += 1
                    continue
                ends = through_commands(wrong, Path(place))
                caught[kind][one.name] = "taken" not in ends.values()
                if "taken" in ends.values():
                    print(f"{one.name}: {kind} (size {size:.3f}): {ends}", flush=True)
            found = [kinds[one.name] for kinds in caught.values() if one.name in kinds]
            print(f"{sum(found):3d} of {len(found):3d}  {one.name}, {len(one.device)} patches", flush=True)
    for kind, by_print in caught.items():
        print(f"{sum(by_print.values()):3d} of {len(by_print):3d}  {kind}")
    total = [one for by_print in caught.values() for one in by_print.values()]
    print(
        f"caught by all three {sum(total)} of {len(total)}, {len(caught)} kinds; {undone} undone by reading, {small} too small"
    )
    print(f"{alarms} false alarms; {time.process_time():.0f} s of processor time")
    return {"caught": float(np.mean(total)), "alarms": float(alarms)}


def _undone(one: Print, file: Path) -> bool:
    """Whether reading a file gives the print's own device values and colours."""
    try:
        found = load_readings([file])
    except SpectroError:
        return False
    return bool(np.allclose(found.device, one.device, atol=0.002) and np.allclose(found.reflectance, one.spectra, atol=2e-4))


def shared_files() -> int:
    """Hold every file of the check data against what commands ask; print what is found, return how many are stopped."""
    stopped = 0
    judged_ones = passed_over = 0
    for file in sorted(path for path in DATA.rglob("*") if path.is_file() and path.suffix.lower() != ".md"):
        try:
            found = load_any_readings([file])
        except SpectroError:
            passed_over += 1  # profiles without data, charts without readings, files that name several conditions
            continue
        judged_ones += 1
        try:
            findings = pass_gate_for_colours(found)
            if found.has_spectra and found.has_device:
                findings += pass_gate(load_readings([file]))
            if findings:
                print(f"a question on {file.relative_to(DATA)}: {findings[0].finding}")
        except GateError as error:
            stopped += 1
            print(f"STOPPED {file.relative_to(DATA)}: {error}")
        except SpectroError as error:
            print(f"not a print's readings: {file.relative_to(DATA)}: {str(error)[:120]}")
    print(f"{stopped} of {judged_ones} files stopped; {passed_over} hold no readings that can be read without asking")
    return stopped


if __name__ == "__main__":
    match sys.argv[1:]:
        case ["commands", "whole", *numbers]:
            commands(tuple(map(int, numbers)), most=0)
        case ["commands", *numbers]:
            commands(tuple(map(int, numbers)))
        case ["parts", *numbers]:
            parts(*map(int, numbers))
        case ["files"]:
            shared_files()
        case [papers]:
            main(int(papers))
        case _:
            main(500)

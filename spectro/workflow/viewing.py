"""`spectro viewing`: screen and print side by side, the light they are in, and a display's own readings."""

from collections.abc import Sequence
from dataclasses import replace as with_fields
from pathlib import Path

from spectro.checks.display_aim import display_aim
from spectro.checks.display_causes import display_causes
from spectro.checks.display_evenness import display_evenness
from spectro.checks.display_gamut import display_gamut
from spectro.checks.display_tones import display_tones
from spectro.checks.display_white import display_white
from spectro.checks.print_view import ILLUMINANCE, print_view
from spectro.checks.viewing_light import judge_light
from spectro.colour.lights import is_light_name
from spectro.errors import InputError
from spectro.files.atomic import write_whole
from spectro.files.light_file import find_light
from spectro.files.overwriting import keeps_what_it_reads
from spectro.readings.display_patches import load_display
from spectro.readings.load import AS_STATED
from spectro.records.display_check import AimWishes, DisplayCheck, DisplayFindings
from spectro.records.light import Light
from spectro.records.limits import Limits
from spectro.records.progress import Progress, silent
from spectro.records.reading_options import ReadingOptions
from spectro.records.shown_text import text_bytes
from spectro.records.viewing_plan import LightCheck, PrintView, ViewingPlan
from spectro.report.viewing_document import viewing_document, white_field_html
from spectro.standards.limits import Tolerances, check_bounds
from spectro.words.display import display_advice, display_notes, display_verdict
from spectro.words.viewing import (
    THIS_PAPER,
    THIS_SCREEN,
    light_limits,
    practice_sentences,
    usual_screens,
    viewing_cautions,
    viewing_verdict,
)
from spectro.workflow.steps.paper_white import PaperWhite, paper_white
from spectro.workflow.steps.report_files import check_reports, write_reports


@keeps_what_it_reads()
def viewing(
    sources: Sequence[Path] = (),
    *,
    paper: tuple[float, float, float] | None = None,
    lux: float | None = None,
    condition: str | None = None,
    light: str | None = None,
    screen_luminance: float | None = None,
    display: Path | None = None,
    aim: AimWishes | None = None,
    white_luminance: float | None = None,
    options: ReadingOptions = AS_STATED,
    tolerances: Tolerances | None = None,
    white_field: Path | None = None,
    report: Path | None = None,
    pdf: Path | None = None,
    replace: bool = False,
    progress: Progress = silent,
) -> ViewingPlan:
    """Say what a screen has to be set to for it to agree with prints at a place, and judge light and display.

    sources: readings of the paper or of a chart on it, or one output profile; paper: Lab (D50) in their place.
    lux: illuminance at the print; condition: "P1" or "P2" of ISO 3664 in its place. light: a name, or a file of its spectrum,
    which is then judged. screen_luminance: what the screen has now, cd/m². display: its readings; aim: what they are held
    against; white_luminance: cd/m² of white where its XYZ are relative. options: how files are read; columns are the display's.
    tolerances: a person's own limits; None: as shipped. white_field, report: HTML files to write; pdf: the report as a PDF.
    Raises errors of `spectro.errors`; then nothing is written.
    """
    asked = bool(sources or paper or lux or condition or screen_luminance or white_field)  # how prints look there
    _check_place(lux, condition, screen_luminance, anything=bool(asked or light or display))
    _check_display_options(display, aim, white_luminance)
    limits = (tolerances or Tolerances()).of("viewing")
    check_reports(report, pdf, white_field, replace=replace)
    progress("paper and light", 0.1)
    found_light = find_light(light or "D50")
    assumed = asked and lux is None and condition is None
    view, notes = None, list[str]()
    if asked:
        white = paper_white(sources, paper, found_light, with_fields(options, columns={}))
        view, notes = _view(white, found_light, lux, condition, screen_luminance, limits), list(white.notes)
    checked = None
    if light is not None and not is_light_name(light):
        checked = check_viewing_light(found_light, None if view is None or assumed else view.lux, limits)
    progress("display", 0.4)
    shown = None
    if display is not None:
        wishes = aim or AimWishes()
        shown = check_display(display, wishes, view, limits, options, white_luminance=white_luminance)
    plan = ViewingPlan(
        verdict=viewing_verdict(view, screen_luminance, checked, shown, limits),
        view=view,
        light=checked,
        display=shown,
        practice=practice_sentences(view, limits) if view is not None or shown is not None else (),
        cautions=viewing_cautions(view, notes, checked, lux_assumed=assumed, named_light=found_light.name, limits=limits),
        limits=limits,
    )
    if white_field is not None and view is not None:
        write_whole(white_field, text_bytes(white_field_html(view)), replace=replace)
    write_reports(viewing_document(plan), report, pdf, replace=replace, progress=progress)
    progress("done", 1.0)
    return plan


def _view(
    white: PaperWhite, light: Light, lux: float | None, condition: str | None, screen: float | None, limits: Limits
) -> PrintView:
    used = condition or "P2"
    return print_view(
        white.white,
        white.black_y,
        light,
        ILLUMINANCE[used] if lux is None else lux,
        paper=white.origin,
        lux_from="measured" if lux is not None else f"ISO 3664 {used}",
        own_note=THIS_PAPER,
        screens=[*usual_screens(limits), *([(screen, THIS_SCREEN)] if screen is not None else [])],
    )


def check_viewing_light(light: Light, lux: float | None, limits: Limits) -> LightCheck:
    """Return what a light is and which limits it keeps. lux: the illuminance at the place, where it is known.

    limits: those of viewing.
    """
    found = judge_light(light, lux, limits)
    return LightCheck(
        name=light.name,
        origin=light.origin,
        power=tuple(float(value) for value in light.power / light.power.max()),
        kelvin=found.kelvin,
        duv=found.duv,
        uv_10=found.uv_10,
        rendering=found.rendering,
        excitation=found.excitation,
        limits=light_limits(found, limits),
    )


def _check_place(lux: float | None, condition: str | None, screen_luminance: float | None, *, anything: bool) -> None:
    if not anything:
        raise InputError(
            "nothing to go by",
            "a paper, the lux at the place, a light or a display's readings",
            "Give readings, a profile or `paper_white`, with `lux` or `viewing`; or `illuminant` FILE; or `display` FILE.",
        )
    if lux is not None and condition is not None:
        raise InputError("`lux` and `viewing`", "one of them", "Leave one out.")
    if condition is not None and condition not in ILLUMINANCE:
        raise InputError(f"`viewing` {condition}", "P1 or P2", "Correct it.")
    _check_luminance("screen_luminance", screen_luminance)


def _check_luminance(name: str, value: float | None) -> None:
    if value is not None:
        check_bounds("screen_luminance", value, f"`{name}` {value:g}", "Correct it.")


def _check_display_options(display: Path | None, aim: AimWishes | None, white_luminance: float | None) -> None:
    _check_luminance("white_luminance", white_luminance)
    if display is None and (white_luminance is not None or (aim or AimWishes()) != AimWishes()):
        raise InputError("an aim or a white's luminance for a display", "the display's readings with it", "Add `display` FILE.")


def check_display(
    path: Path,
    wishes: AimWishes,
    view: PrintView | None,
    limits: Limits,
    options: ReadingOptions,
    *,
    white_luminance: float | None,
) -> DisplayCheck:
    """Read a display's patches and hold them against the aim. limits: those of viewing. Raises errors of `spectro.errors`.

    wishes: what a person wants of the aim; the rest follows from view, the print's place, None where it is not known. options:
    how the file is read. white_luminance: cd/m² of white where its XYZ are relative.
    """
    aim = display_aim(wishes, view, limits)
    readings = load_display(path, device_scale=options.device_scale, white_luminance=white_luminance, columns=options.columns)
    found = DisplayFindings(
        aim=aim,
        white=display_white(readings, aim, limits),
        tones=display_tones(readings, aim.curve, limits),
        gamut=display_gamut(readings, aim, limits),
        evenness=display_evenness(readings, limits),
    )
    advice = display_advice(display_causes(found, limits), found, limits)
    return DisplayCheck(
        verdict=display_verdict(found, advice, limits),
        origin=readings.origin,
        readings=len(readings.places),
        aim=aim,
        white=found.white,
        tones=found.tones,
        gamut=found.gamut,
        evenness=found.evenness,
        advice=advice,
        notes=display_notes(found, white_luminance),
    )

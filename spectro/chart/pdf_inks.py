"""Fill colours of PDF pages in device spaces: DeviceGray, DeviceRGB, DeviceCMYK, or DeviceN with the inks by name.

Reference: [ISO-32000-1] device colour spaces; DeviceN colour spaces; type 4 (PostScript calculator) functions.
"""

from collections.abc import Callable
from typing import Any

import numpy as np

from spectro.chart.channels import CMYK, GREY, RGB
from spectro.chart.generic_printer import predict_ink_lab
from spectro.colour.srgb import lab_to_srgb
from spectro.records.arrays import FloatArray
from spectro.records.chart import Chart

_RESOURCE = "Inks"
_PROCESS = {"cyan": (1, 0, 0, 0), "magenta": (0, 1, 0, 0), "yellow": (0, 0, 1, 0), "black": (0, 0, 0, 1)}


def fill_setter(canvas: Any, chart: Chart) -> Callable[[tuple[float, ...]], None]:
    """Return the function that sets the fill colour of a page to device values, six decimals each."""
    if chart.channels == RGB:
        return lambda device: canvas.setFillColorRGB(*device)
    operators = {GREY: "g", CMYK: "k"}
    operator = operators.get(chart.channels)
    if operator is None:
        _add_ink_space(canvas, chart)
        operator = "scn"
    ink_space = "" if chart.channels in operators else f"/{_RESOURCE} cs "

    def set_fill(device: tuple[float, ...]) -> None:
        numbers = " ".join(f"{value:.6f}".rstrip("0").rstrip(".") for value in device)
        if ink_space:
            canvas._colorsUsed["ink-space"] = _RESOURCE  # of this page: each begins without resources
        canvas._code.append(f"{ink_space}{numbers} {operator}")

    return set_fill


def _add_ink_space(canvas: Any, chart: Chart) -> None:
    """Add the DeviceN space of the chart's inks to the file's resources, with what screens show in its place."""
    from reportlab.pdfbase import pdfdoc

    inks = len(chart.channels)
    domain = pdfdoc.PDFArray([0, 1] * inks)
    head = pdfdoc.PDFDictionary({"FunctionType": "4", "Domain": domain, "Range": pdfdoc.PDFArray([0, 1] * 4)})
    function = pdfdoc.PDFStream(dictionary=head, content=tint_program(chart), filters=[])
    reference = canvas._doc.Reference(function, "ink-tint")
    names = pdfdoc.PDFArray([pdfdoc.PDFName(pdf_ink_name(name)) for name in chart.channels])
    space = pdfdoc.PDFArray([pdfdoc.PDFName("DeviceN"), names, pdfdoc.PDFName("DeviceCMYK"), reference])
    canvas._doc.Reference(space, "ink-space")


def pdf_ink_name(name: str) -> str:
    """Return the colorant name of an ink: process inks as the standard names them.

    >>> pdf_ink_name("light cyan"), pdf_ink_name("black")
    ('Light Cyan', 'Black')
    """
    return name.title()


def screen_cmyk(chart: Chart) -> FloatArray:
    """Return what CMYK (inks, 4) shows each ink at full tone on a screen or a proof: process inks as themselves."""
    lab = predict_ink_lab(np.eye(len(chart.channels)), chart.channels, chart.recipe.ink_colours)
    shown = 1 - lab_to_srgb(lab)
    rows = [_PROCESS.get(name, (*shown[index].tolist(), 0.0)) for index, name in enumerate(chart.channels)]
    return np.asarray(np.round(np.array(rows, dtype=np.float64), 3), dtype=np.float64)


def tint_program(chart: Chart) -> str:
    """Return the PostScript program that turns inks into CMYK for display: sums of the inks' CMYK, one at most."""
    inks = len(chart.channels)
    shown = screen_cmyk(chart)
    words = []
    for process in range(4):
        words.append("0")
        for ink in range(inks):
            # the stack: the inks, results so far, the running sum
            words.append(f"{inks - ink + process} index {shown[ink, process]:g} mul add")
        words.append("dup 1 gt {pop 1} if")
    words.append(f"{inks + 4} 4 roll " + "pop " * inks)
    return "{ " + " ".join(words) + " }"

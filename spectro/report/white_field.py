"""A white page to match by eye against blank paper in the print's light, for those who have no meter.

The page needs no network: its own script alone adjusts the field. What it states is reckoned for a display of the sRGB
space [IEC-61966-2-1]; the light of the field over that of full white holds for every display with a curve near sRGB's.
"""

import functools
import json
from typing import TYPE_CHECKING

from spectro.colour.rgb_spaces import primaries_matrix, space_chromaticities
from spectro.records.viewing_plan import PrintView
from spectro.report.page_parts import page_template
from spectro.report.style import css_variables

if TYPE_CHECKING:
    from jinja2 import Template


def white_field_html(view: PrintView) -> str:
    """Return the page for a paper in a light: one self-contained HTML document, the same bytes for the same input."""
    from markupsafe import Markup

    chromaticities = space_chromaticities("sRGB")
    values = {
        "matrix": primaries_matrix(chromaticities).tolist(),
        "white": chromaticities[3].tolist(),
        "paperWhite": list(view.white_uv),
        "paperLuminance": view.luminance,
    }
    return _template().render(view=view, variables=Markup(css_variables()), start=Markup(json.dumps(values, sort_keys=True)))


@functools.cache
def _template() -> "Template":
    return page_template("white_field.html.j2")

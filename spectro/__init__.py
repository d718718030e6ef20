"""Spectral readings in, printer profiles and decisions out.

    import spectro

    readings = spectro.load_readings("chart-read.txt")
    profile = spectro.build_profile(readings, printer="my printer", paper="my paper")
    profile.verdict                            # what was found, in a sentence
    profile.write("my-paper.icc")              # nothing is written unless asked
    profile.assess("second-sheet.txt").report("report.html")

`dir(spectro)` lists the public functions, one a question. Importing this package loads nothing heavy, not even numpy: what a
function needs is loaded when it is first asked for.
"""

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from spectro.library.charts import adopt_chart, lay_out_again, make_chart, proof_page, show_chart
    from spectro.library.colours import colour_table
    from spectro.library.links import make_link
    from spectro.library.papers import compare_papers, describe_paper, find_substitutes
    from spectro.library.pictures import (
        convert_pictures,
        inspect_pictures,
        make_test_picture,
        make_test_strip,
        preview_picture,
    )
    from spectro.library.printers import fit_printer
    from spectro.library.profiles import assess_profile, build_profile, judge_greys, open_profile, refresh_profile, top_up
    from spectro.library.readings import check_readings, load_readings
    from spectro.library.shelf import on_shelf, put_on_shelf
    from spectro.library.watching import check_aim, drift, viewing

_PLACES = {
    "adopt_chart": "spectro.library.charts",
    "assess_profile": "spectro.library.profiles",
    "build_profile": "spectro.library.profiles",
    "check_aim": "spectro.library.watching",
    "check_readings": "spectro.library.readings",
    "colour_table": "spectro.library.colours",
    "compare_papers": "spectro.library.papers",
    "convert_pictures": "spectro.library.pictures",
    "describe_paper": "spectro.library.papers",
    "drift": "spectro.library.watching",
    "find_substitutes": "spectro.library.papers",
    "fit_printer": "spectro.library.printers",
    "ink_curves": "spectro.library.inks",
    "ink_limits": "spectro.library.inks",
    "inspect_pictures": "spectro.library.pictures",
    "judge_greys": "spectro.library.profiles",
    "lay_out_again": "spectro.library.charts",
    "load_readings": "spectro.library.readings",
    "make_chart": "spectro.library.charts",
    "make_link": "spectro.library.links",
    "make_test_picture": "spectro.library.pictures",
    "make_test_strip": "spectro.library.pictures",
    "on_shelf": "spectro.library.shelf",
    "open_profile": "spectro.library.profiles",
    "preview_picture": "spectro.library.pictures",
    "proof_page": "spectro.library.charts",
    "put_on_shelf": "spectro.library.shelf",
    "refresh_profile": "spectro.library.profiles",
    "show_chart": "spectro.library.charts",
    "top_up": "spectro.library.profiles",
    "viewing": "spectro.library.watching",
}
__all__ = [
    "adopt_chart",
    "assess_profile",
    "build_profile",
    "check_aim",
    "check_readings",
    "colour_table",
    "compare_papers",
    "convert_pictures",
    "describe_paper",
    "drift",
    "find_substitutes",
    "fit_printer",
    "ink_curves",
    "ink_limits",
    "inspect_pictures",
    "judge_greys",
    "lay_out_again",
    "load_readings",
    "make_chart",
    "make_link",
    "make_test_picture",
    "make_test_strip",
    "on_shelf",
    "open_profile",
    "preview_picture",
    "proof_page",
    "put_on_shelf",
    "refresh_profile",
    "show_chart",
    "top_up",
    "viewing",
]


def __getattr__(name: str) -> Any:
    """Load the module of a public function when the function is first asked for."""
    if name not in _PLACES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}; dir(spectro) lists what there is")
    return getattr(importlib.import_module(_PLACES[name]), name)


def __dir__() -> list[str]:
    """Return the public functions, for completion."""
    return sorted(__all__)

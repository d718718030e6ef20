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
    from spectro.library.colours import colour_table
    from spectro.library.papers import compare_papers, describe_paper
    from spectro.library.printers import fit_printer
    from spectro.library.profiles import assess_profile, build_profile, open_profile
    from spectro.library.readings import check_readings, load_readings
    from spectro.library.watching import drift, viewing

_PLACES = {
    "assess_profile": "spectro.library.profiles",
    "build_profile": "spectro.library.profiles",
    "check_readings": "spectro.library.readings",
    "colour_table": "spectro.library.colours",
    "compare_papers": "spectro.library.papers",
    "describe_paper": "spectro.library.papers",
    "drift": "spectro.library.watching",
    "fit_printer": "spectro.library.printers",
    "load_readings": "spectro.library.readings",
    "open_profile": "spectro.library.profiles",
    "viewing": "spectro.library.watching",
}
__all__ = [
    "assess_profile",
    "build_profile",
    "check_readings",
    "colour_table",
    "compare_papers",
    "describe_paper",
    "drift",
    "fit_printer",
    "load_readings",
    "open_profile",
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

"""Joins the steps and owns every loop. One public function a command, found here by name and loaded when asked for."""

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from spectro.workflow.assessing import profile_assess
    from spectro.workflow.building import profile_build
    from spectro.workflow.chart_making import chart_new
    from spectro.workflow.colour_listing import colours
    from spectro.workflow.demonstration import demo
    from spectro.workflow.installing import profile_install
    from spectro.workflow.paper_describing import paper_describe
    from spectro.workflow.screen_and_print import viewing
    from spectro.workflow.showing import profile_show

_PLACES = {
    "chart_new": "spectro.workflow.chart_making",
    "colours": "spectro.workflow.colour_listing",
    "demo": "spectro.workflow.demonstration",
    "paper_describe": "spectro.workflow.paper_describing",
    "profile_assess": "spectro.workflow.assessing",
    "profile_build": "spectro.workflow.building",
    "profile_install": "spectro.workflow.installing",
    "profile_show": "spectro.workflow.showing",
    "viewing": "spectro.workflow.screen_and_print",
}
__all__ = [
    "chart_new",
    "colours",
    "demo",
    "paper_describe",
    "profile_assess",
    "profile_build",
    "profile_install",
    "profile_show",
    "viewing",
]


def __getattr__(name: str) -> Any:
    """Load the module of a public function when the function is first asked for."""
    if name not in _PLACES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(importlib.import_module(_PLACES[name]), name)

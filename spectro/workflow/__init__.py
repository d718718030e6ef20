"""Joins the steps and owns every loop. One public function a command, found here by name and loaded when asked for."""

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from spectro.workflow.chart_adopting import chart_adopt
    from spectro.workflow.chart_making import chart_new
    from spectro.workflow.chart_pages import chart_pages
    from spectro.workflow.chart_showing import chart_show
    from spectro.workflow.colour_listing import colours
    from spectro.workflow.demonstration import demo
    from spectro.workflow.monochrome import profile_monochrome
    from spectro.workflow.paper_comparing import paper_compare
    from spectro.workflow.paper_describing import paper_describe
    from spectro.workflow.path_test_judging import judge_path_test
    from spectro.workflow.path_test_pages import path_test_pages
    from spectro.workflow.profile.assess import profile_assess
    from spectro.workflow.profile.build import profile_build
    from spectro.workflow.profile.install import profile_install
    from spectro.workflow.profile.proof import profile_proof_assess
    from spectro.workflow.profile.proof_page import profile_proof_page
    from spectro.workflow.profile.refresh import profile_refresh
    from spectro.workflow.profile.show import profile_show
    from spectro.workflow.profile.top_up import profile_top_up
    from spectro.workflow.readings_adding import readings_add
    from spectro.workflow.readings_showing import readings_show
    from spectro.workflow.shelf_keeping import add_event, add_to_shelf
    from spectro.workflow.shelf_packing import shelf_pack
    from spectro.workflow.shelving import shelf_list, shelf_new, shelf_verify
    from spectro.workflow.taking import readings_take
    from spectro.workflow.watching import readings_watch

_PLACES = {
    "add_event": "spectro.workflow.shelf_keeping",
    "add_to_shelf": "spectro.workflow.shelf_keeping",
    "chart_adopt": "spectro.workflow.chart_adopting",
    "chart_new": "spectro.workflow.chart_making",
    "chart_pages": "spectro.workflow.chart_pages",
    "chart_show": "spectro.workflow.chart_showing",
    "colours": "spectro.workflow.colour_listing",
    "demo": "spectro.workflow.demonstration",
    "judge_path_test": "spectro.workflow.path_test_judging",
    "paper_compare": "spectro.workflow.paper_comparing",
    "paper_describe": "spectro.workflow.paper_describing",
    "path_test_pages": "spectro.workflow.path_test_pages",
    "profile_assess": "spectro.workflow.profile.assess",
    "profile_build": "spectro.workflow.profile.build",
    "profile_install": "spectro.workflow.profile.install",
    "profile_monochrome": "spectro.workflow.monochrome",
    "profile_proof_assess": "spectro.workflow.profile.proof",
    "profile_proof_page": "spectro.workflow.profile.proof_page",
    "profile_refresh": "spectro.workflow.profile.refresh",
    "profile_show": "spectro.workflow.profile.show",
    "profile_top_up": "spectro.workflow.profile.top_up",
    "readings_add": "spectro.workflow.readings_adding",
    "readings_show": "spectro.workflow.readings_showing",
    "readings_take": "spectro.workflow.taking",
    "readings_watch": "spectro.workflow.watching",
    "shelf_list": "spectro.workflow.shelving",
    "shelf_new": "spectro.workflow.shelving",
    "shelf_note": "spectro.workflow.steps.shelved_checks",
    "shelf_pack": "spectro.workflow.shelf_packing",
    "shelf_verify": "spectro.workflow.shelving",
}
__all__ = [
    "add_event",
    "add_to_shelf",
    "chart_adopt",
    "chart_new",
    "chart_pages",
    "chart_show",
    "colours",
    "demo",
    "judge_path_test",
    "paper_compare",
    "paper_describe",
    "path_test_pages",
    "profile_assess",
    "profile_build",
    "profile_install",
    "profile_monochrome",
    "profile_proof_assess",
    "profile_proof_page",
    "profile_refresh",
    "profile_show",
    "profile_top_up",
    "readings_add",
    "readings_show",
    "readings_take",
    "readings_watch",
    "shelf_list",
    "shelf_new",
    "shelf_note",
    "shelf_pack",
    "shelf_verify",
]


def __getattr__(name: str) -> Any:
    """Load the module of a public function when the function is first asked for."""
    if name not in _PLACES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(importlib.import_module(_PLACES[name]), name)

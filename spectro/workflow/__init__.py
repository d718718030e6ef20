"""Joins the steps and owns every loop. One public function a command, found here by name and loaded when asked for."""

import importlib
import sys
from types import ModuleType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from spectro.workflow.aim.check import aim_check
    from spectro.workflow.aim.reach import aim_reach
    from spectro.workflow.chart.adopt import chart_adopt
    from spectro.workflow.chart.new import chart_new
    from spectro.workflow.chart.pages import chart_pages
    from spectro.workflow.chart.path_test import judge_path_test, path_test_pages
    from spectro.workflow.chart.show import chart_show
    from spectro.workflow.colours import colours
    from spectro.workflow.demo import demo
    from spectro.workflow.drift import drift
    from spectro.workflow.image.convert import image_convert
    from spectro.workflow.image.inspect import image_inspect
    from spectro.workflow.image.preview import image_preview
    from spectro.workflow.image.test_picture import image_test_picture
    from spectro.workflow.image.test_strip import image_test_strip
    from spectro.workflow.inks.chart import inks_chart
    from spectro.workflow.inks.curves import inks_curves
    from spectro.workflow.inks.limits import inks_limits
    from spectro.workflow.paper.compare import paper_compare
    from spectro.workflow.paper.describe import paper_describe
    from spectro.workflow.profile.assess import profile_assess
    from spectro.workflow.profile.build import profile_build
    from spectro.workflow.profile.install import profile_install
    from spectro.workflow.profile.link import profile_link
    from spectro.workflow.profile.monochrome import profile_monochrome
    from spectro.workflow.profile.proof import profile_proof_assess
    from spectro.workflow.profile.proof_page import profile_proof_page
    from spectro.workflow.profile.refresh import profile_refresh
    from spectro.workflow.profile.show import profile_show
    from spectro.workflow.profile.substitutes import profile_substitutes
    from spectro.workflow.profile.top_up import profile_top_up
    from spectro.workflow.readings.add import readings_add
    from spectro.workflow.readings.show import readings_show
    from spectro.workflow.readings.take import readings_take
    from spectro.workflow.readings.watch import readings_watch
    from spectro.workflow.shelf.list import shelf_list
    from spectro.workflow.shelf.new import shelf_new
    from spectro.workflow.shelf.pack import shelf_pack
    from spectro.workflow.shelf.verify import shelf_verify
    from spectro.workflow.steps.shelf import add_event, add_to_shelf
    from spectro.workflow.viewing import viewing

_PLACES = {
    "add_event": "spectro.workflow.steps.shelf",
    "add_to_shelf": "spectro.workflow.steps.shelf",
    "aim_check": "spectro.workflow.aim.check",
    "aim_reach": "spectro.workflow.aim.reach",
    "chart_adopt": "spectro.workflow.chart.adopt",
    "chart_new": "spectro.workflow.chart.new",
    "chart_pages": "spectro.workflow.chart.pages",
    "chart_show": "spectro.workflow.chart.show",
    "colours": "spectro.workflow.colours",
    "demo": "spectro.workflow.demo",
    "drift": "spectro.workflow.drift",
    "judge_path_test": "spectro.workflow.chart.path_test",
    "image_convert": "spectro.workflow.image.convert",
    "image_inspect": "spectro.workflow.image.inspect",
    "image_preview": "spectro.workflow.image.preview",
    "image_test_picture": "spectro.workflow.image.test_picture",
    "image_test_strip": "spectro.workflow.image.test_strip",
    "inks_chart": "spectro.workflow.inks.chart",
    "inks_curves": "spectro.workflow.inks.curves",
    "inks_limits": "spectro.workflow.inks.limits",
    "paper_compare": "spectro.workflow.paper.compare",
    "paper_describe": "spectro.workflow.paper.describe",
    "path_test_pages": "spectro.workflow.chart.path_test",
    "profile_assess": "spectro.workflow.profile.assess",
    "profile_build": "spectro.workflow.profile.build",
    "profile_install": "spectro.workflow.profile.install",
    "profile_link": "spectro.workflow.profile.link",
    "profile_monochrome": "spectro.workflow.profile.monochrome",
    "profile_proof_assess": "spectro.workflow.profile.proof",
    "profile_proof_page": "spectro.workflow.profile.proof_page",
    "profile_refresh": "spectro.workflow.profile.refresh",
    "profile_show": "spectro.workflow.profile.show",
    "profile_substitutes": "spectro.workflow.profile.substitutes",
    "profile_top_up": "spectro.workflow.profile.top_up",
    "readings_add": "spectro.workflow.readings.add",
    "readings_show": "spectro.workflow.readings.show",
    "readings_take": "spectro.workflow.readings.take",
    "readings_watch": "spectro.workflow.readings.watch",
    "shelf_list": "spectro.workflow.shelf.list",
    "shelf_new": "spectro.workflow.shelf.new",
    "shelf_note": "spectro.workflow.shelf.note",
    "shelf_pack": "spectro.workflow.shelf.pack",
    "shelf_verify": "spectro.workflow.shelf.verify",
    "viewing": "spectro.workflow.viewing",
}
__all__ = [
    "add_event",
    "add_to_shelf",
    "aim_check",
    "aim_reach",
    "chart_adopt",
    "chart_new",
    "chart_pages",
    "chart_show",
    "colours",
    "demo",
    "drift",
    "image_convert",
    "image_inspect",
    "image_preview",
    "image_test_picture",
    "image_test_strip",
    "inks_chart",
    "inks_curves",
    "inks_limits",
    "judge_path_test",
    "paper_compare",
    "paper_describe",
    "path_test_pages",
    "profile_assess",
    "profile_build",
    "profile_install",
    "profile_link",
    "profile_monochrome",
    "profile_proof_assess",
    "profile_proof_page",
    "profile_refresh",
    "profile_show",
    "profile_substitutes",
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
    "viewing",
]


def __getattr__(name: str) -> Any:
    """Load the module of a public function when the function is first asked for."""
    if name not in _PLACES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(importlib.import_module(_PLACES[name]), name)


class _Commands(ModuleType):
    """A package in which a function keeps its name although a module is named the same (`demo`, `drift`)."""

    def __setattr__(self, name: str, value: Any) -> None:
        """Set an attribute; the module that an import binds under the name of a function is left out."""
        if not (name in _PLACES and isinstance(value, ModuleType)):
            super().__setattr__(name, value)


sys.modules[__name__].__class__ = _Commands

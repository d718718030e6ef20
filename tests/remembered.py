"""What tests make again and again is computed once in each process: models, tables and patches of the same content.

A result is kept by everything that goes into it, byte for byte. Tests of being called off, of progress and of "the same input
gives the same bytes" are marked `afresh`: nothing is remembered there.
"""

import functools
import hashlib
import importlib
import pickle
from collections import OrderedDict
from collections.abc import Callable
from typing import Any

_MOST = 48  # results kept; a profile's tables are some megabytes
_FUNCTIONS = {
    "fit_printer": (
        "spectro.checks.fitted_printer", "spectro.checks.assessment", "spectro.checks.monochrome",
        "spectro.workflow.profile.build", "spectro.workflow.profile.refresh", "spectro.workflow.profile.top_up",
        "spectro.workflow.steps.judging", "spectro.workflow.chart.path_test",
    ),
    "fit_gaussian_process": (
        "spectro.checks.fitted_printer", "spectro.checks.compared_paper", "spectro.checks.profile_reuse",
        "spectro.checks.self_prediction", "spectro.checks.print_tones",
    ),
    "build_rgb_profile": ("spectro.workflow.profile.build",),
    "round_trip": ("spectro.workflow.profile.build", "spectro.workflow.profile.assess", "spectro.checks.profile_behaviour"),
    "least_error_rows": ("spectro.chart.spread",),
}  # fmt: skip
_KEPT: OrderedDict[bytes, Any] = OrderedDict()
ON = [True]


def _remembering(function: Callable[..., Any]) -> Callable[..., Any]:
    @functools.wraps(function)
    def call(*given: Any, **named: Any) -> Any:
        if not ON[0]:
            return function(*given, **named)
        told = {name: value for name, value in named.items() if name != "progress"}
        try:
            key = hashlib.sha256(pickle.dumps((function.__qualname__, given, sorted(told.items())))).digest()
        except (pickle.PicklingError, AttributeError, TypeError):  # a function of a test's own, for one
            return function(*given, **named)
        if key in _KEPT:
            _KEPT.move_to_end(key)
        else:
            _KEPT[key] = function(*given, **named)
            if len(_KEPT) > _MOST:
                _KEPT.popitem(last=False)
        return _KEPT[key]

    call.__remembers__ = True  # type: ignore[attr-defined]
    return call


def remember() -> None:
    """Let the functions above remember, wherever they are called from. A name that is no longer there is an error."""
    for name, places in _FUNCTIONS.items():
        for place in places:
            module = importlib.import_module(place)
            function = getattr(module, name)
            if not hasattr(function, "__remembers__"):
                setattr(module, name, _remembering(function))

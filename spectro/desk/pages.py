"""The desk's pages from their templates: everything is escaped, and a name that is missing is an error."""

import functools
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from spectro.desk.guard import too_much
from spectro.desk.texts import local, texts, word
from spectro.report.style import GROUND, HAIR, INK, LINE, PAPER, QUIET

_DARK = {"ink": "#ececec", "quiet": "#b0b0b0", "line": "#7a7a7a", "hair": "#3c3c3c", "ground": "#2a2a2a", "paper": "#1e1e1e"}
_LIGHT = {"ink": INK, "quiet": QUIET, "line": LINE, "hair": HAIR, "ground": GROUND, "paper": PAPER}


@functools.cache
def _templates() -> Environment:
    made = Environment(
        loader=PackageLoader("spectro.desk"), autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    made.globals["t"], made.globals["said"] = texts()["words"], word
    made.filters["local"] = local
    return made


def render(name: str, **values: Any) -> str:
    """Return the page called name."""
    return _templates().get_template(f"{name}.html.j2").render(**values)


def page(name: str, *, status: int = 200, **values: Any) -> HTMLResponse:
    """Return the page called name as an answer."""
    return HTMLResponse(render(name, **values), status)


async def refused(request: Request, error: Exception) -> Response:
    """Answer what cannot be done with the error's own words."""
    return page("refused", status=404 if request.method == "GET" else 422, title=word("refused_title"), error=str(error))


async def missing(request: Request, error: Exception) -> Response:
    """Answer an address that leads nowhere."""
    return page("refused", status=404, title=word("missing_title"), error=word("missing"))


async def too_large(request: Request, error: Exception) -> Response:
    """Answer a request that holds more than the desk takes."""
    return too_much()


def palette() -> str:
    """Return the reports' neutral greys as CSS variables, and the same turned round for the dark."""
    light, dark = ("".join(f"--{name}:{value};" for name, value in colours.items()) for colours in (_LIGHT, _DARK))
    return f":root{{{light}}}\n@media (prefers-color-scheme: dark){{:root{{{dark}}}}}\n"

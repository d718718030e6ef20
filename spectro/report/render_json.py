"""A document as plain values for JSON: its numbers, with the format they are in."""

from dataclasses import asdict, is_dataclass
from typing import Any

from spectro.records.document import Document
from spectro.report.plain_values import plain


def render_json(document: Document) -> dict[str, Any]:
    """Return the document's data as what JSON can hold; `format`, `verdict` and `level` are always among it."""
    data = {str(name): _plain(value) for name, value in {**document.data, **document.extra}.items()}
    data.setdefault("verdict", document.verdict.text)
    data.setdefault("level", str(document.verdict.level))
    if document.verdict.next:
        data.setdefault("next", document.verdict.next)
    return {**data, "format": document.format}


def _plain(value: Any) -> Any:
    if is_dataclass(value) and not isinstance(value, type):
        return plain(asdict(value))
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    if isinstance(value, dict):
        return {str(key): _plain(item) for key, item in value.items()}
    return plain(value)

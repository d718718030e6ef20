"""What was found in readings as plain values for JSON."""

from dataclasses import asdict, fields
from typing import Any

from spectro.records.readings_result import ReadingsResult
from spectro.records.readings_sheet import ReadingsShown


def adding_numbers(result: ReadingsResult) -> dict[str, Any]:
    """Return everything that was found and done, without the readings themselves."""
    values = {field.name: getattr(result, field.name) for field in fields(result) if field.name != "measurements"}
    return {"format": 1} | {name: plain(value) for name, value in values.items()}


def plain(value: Any) -> Any:
    """Return records and tuples as dicts and lists."""
    if hasattr(value, "__dataclass_fields__"):
        return {name: plain(item) for name, item in asdict(value).items()}
    if isinstance(value, dict):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    return value


def shown_numbers(shown: ReadingsShown) -> dict[str, Any]:
    """Return everything that was shown, without the readings themselves."""
    left_out = {"measurements", "lab", "layout"}
    sheets = [
        {field.name: plain(getattr(sheet, field.name)) for field in fields(sheet) if field.name not in left_out}
        for sheet in shown.sheets
    ]
    return {
        "format": 1,
        "verdict": shown.verdict,
        "sheets": sheets,
        "unread": [{"file": name, "why": why} for name, why in shown.unread],
        "picture": shown.picture,
        "drying": plain(shown.drying),
    }

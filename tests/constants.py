"""Give a constant of the package another value for a while: how a test shows what the constant is for."""

import contextlib
import importlib
import sys
from collections.abc import Iterator
from dataclasses import is_dataclass, replace
from typing import Any


@contextlib.contextmanager
def with_value(place: str, value: float) -> Iterator[None]:
    """Set `module.NAME`, `module.Record.field` or `module.RECORD.field`, one of several by `[number]`, wherever it is held.

    A field's default changes with it in every record that was made of it.
    """
    undo: list[tuple[Any, str, Any]] = []
    place, _, item = place.partition("[")
    holder, name = place.rsplit(".", 1)
    try:
        held: Any = importlib.import_module(holder)
    except ModuleNotFoundError:
        module, record = holder.rsplit(".", 1)
        held = getattr(importlib.import_module(module), record)
    before = held.__init__.__kwdefaults__[name] if isinstance(held, type) else getattr(held, name)
    new: Any = value
    if item:
        number = int(item.rstrip("]"))
        new = (*before[:number], value, *before[number + 1 :])
    if isinstance(held, type):
        for one, key, made in _records(held):
            if getattr(made, name) == before:
                undo.append((one, key, made))
                setattr(one, key, replace(made, **{name: new}))
        held.__init__.__kwdefaults__[name] = new
    else:
        if is_dataclass(held):
            held, name, before, new = importlib.import_module(module), record, held, replace(held, **{name: new})
        users = [one for one in _modules() if one is held or (vars(one).get(name) is before and not name.startswith("_"))]
        undo += [(one, name, before) for one in users]
        for one in users:
            setattr(one, name, new)
    try:
        yield
    finally:
        if isinstance(held, type):
            held.__init__.__kwdefaults__[name] = before
        for one, key, made in undo:
            setattr(one, key, made)


def _modules() -> list[Any]:
    return [module for name, module in list(sys.modules.items()) if name.startswith("spectro.")]


def _records(record: type) -> list[tuple[Any, str, Any]]:
    """Return what modules hold of a record: the module, the name, the record."""
    return [(one, key, made) for one in _modules() for key, made in list(vars(one).items()) if type(made) is record]

"""Drivers of instruments, found by name: those of other packages by the entry point group, the stand-in always."""

from collections.abc import Callable, Mapping
from importlib import import_module, metadata

from spectro.errors import InputError
from spectro.records.instrument import DRIVER_GROUP, InstrumentDriver

OWN = {"stand-in": "spectro.stand_in.reference_driver:open_driver"}
"""Ours, so that they are there in a checkout that is not installed; `pyproject.toml` declares the same."""


def driver_names() -> tuple[str, ...]:
    """Return the names of all drivers, sorted."""
    return tuple(sorted({*OWN, *(entry.name for entry in metadata.entry_points(group=DRIVER_GROUP))}))


def open_instrument(name: str, settings: Mapping[str, str]) -> InstrumentDriver:
    """Open the driver of a name. Raises InputError for an unknown name and for a driver that cannot be loaded."""
    found = {entry.name: entry.value for entry in metadata.entry_points(group=DRIVER_GROUP)} | OWN
    if name not in found:
        raise InputError(
            f"the instrument {name}", f"one of {', '.join(driver_names())}",
            f"Correct --instrument, or install a driver (a package with an entry point in the group {DRIVER_GROUP}).",
        )  # fmt: skip
    module, _, attribute = found[name].partition(":")
    try:
        factory: Callable[[Mapping[str, str]], InstrumentDriver] = getattr(import_module(module), attribute)
    except (ImportError, AttributeError) as error:
        raise InputError(
            f"the driver {name}, which cannot be loaded ({error})", "a driver that fits this version",
            "Install its package again.",
        ) from None  # fmt: skip
    return factory(settings)

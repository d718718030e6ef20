"""Array types, and the read-only copies that records keep."""

from typing import Any, TypeAlias

import numpy as np
import numpy.typing as npt

FloatArray: TypeAlias = npt.NDArray[np.float64]
IntArray: TypeAlias = npt.NDArray[np.int64]
BoolArray: TypeAlias = npt.NDArray[np.bool_]
AnyArray: TypeAlias = npt.NDArray[Any]
ArrayLike: TypeAlias = npt.ArrayLike


def frozen_floats(values: ArrayLike) -> FloatArray:
    """Return a read-only float64 copy of values, any shape."""
    copy = np.array(values, dtype=np.float64)
    copy.setflags(write=False)
    return copy


def frozen_integers(values: ArrayLike) -> IntArray:
    """Return a read-only int64 copy of values, any shape."""
    copy = np.array(values, dtype=np.int64)
    copy.setflags(write=False)
    return copy


def keep_floats(record: object, *names: str) -> None:
    """Let a record that is being made hold read-only float64 copies of its arrays of these names."""
    for name in names:
        object.__setattr__(record, name, frozen_floats(getattr(record, name)))


def keep_integers(record: object, *names: str) -> None:
    """Let a record that is being made hold read-only int64 copies of its arrays of these names."""
    for name in names:
        object.__setattr__(record, name, frozen_integers(getattr(record, name)))


def triple(values: ArrayLike) -> tuple[float, float, float]:
    """Return three values, such as Lab, as plain floats."""
    first, second, third = (float(value) for value in np.asarray(values, dtype=np.float64))
    return first, second, third

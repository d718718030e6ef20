"""Tables with curves of their own. [ICC.1-2022] lutAToBType and lutBToAType.

The order of processing is A curves, lattice, M curves, matrix, B curves in lutAToBType and the reverse in lutBToAType;
both lie in the file alike. Curves that a writer left out are read as the identity.
"""

import struct
from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar, Self, TypeAlias

import numpy as np

from spectro.errors import TagError
from spectro.icc.numbers import parse_s15fixed16, s15fixed16
from spectro.icc.tag_types.body import body_after_signature
from spectro.icc.tag_types.curve import Curve
from spectro.icc.tag_types.parametric_curve import ParametricCurve
from spectro.records.arrays import AnyArray

AnyCurve: TypeAlias = Curve | ParametricCurve


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _LutAB:
    """The common content. A tag that was read keeps its own bytes, so that it comes back unchanged."""

    SIGNATURE: ClassVar[bytes] = b""
    inputs: int
    outputs: int
    b_curves: tuple[AnyCurve, ...]
    matrix: tuple[float, ...] | None = None  # 9 factors, then 3 offsets
    m_curves: tuple[AnyCurve, ...] = ()
    lattice: AnyArray | None = None  # (g1, …, outputs), uint8 or uint16
    a_curves: tuple[AnyCurve, ...] = ()
    packed: bytes | None = None

    @classmethod
    def parse(cls, data: bytes) -> Self:
        """Parse the bytes of a tag."""
        name = cls.SIGNATURE.decode("ascii").strip()
        body = body_after_signature(data, cls.SIGNATURE)
        if len(body) < 24:
            raise TagError(f"{name}: cut before its offsets; the profile is damaged")
        inputs, outputs = body[0], body[1]
        if not 1 <= inputs <= 15 or not 1 <= outputs <= 15:
            raise TagError(f"{name}: {inputs} inputs, {outputs} outputs; expected 1 to 15 each")
        to_b, to_matrix, to_m, to_lattice, to_a = struct.unpack(">5I", body[4:24])
        device, pcs = (inputs, outputs) if cls.SIGNATURE == b"mAB " else (outputs, inputs)
        if not to_b:
            raise TagError(f"{name}: no B curves; the profile is damaged")
        if inputs != outputs and not to_lattice:
            raise TagError(f"{name}: {inputs} inputs, {outputs} outputs and no lattice; the profile is damaged")
        matrix = None
        if to_matrix:
            if to_matrix + 48 > len(data):
                raise TagError(f"{name}: the matrix lies outside the tag; the profile is cut or damaged")
            matrix = tuple(parse_s15fixed16(data[to_matrix + 4 * i : to_matrix + 4 * i + 4]) for i in range(12))
        return cls(
            inputs=inputs,
            outputs=outputs,
            b_curves=_parse_curves(name, data, to_b, pcs),
            matrix=matrix,
            m_curves=_parse_curves(name, data, to_m, pcs) if to_m else (),
            lattice=_parse_lattice(name, data, to_lattice, inputs, outputs) if to_lattice else None,
            a_curves=_parse_curves(name, data, to_a, device) if to_a else (),
            packed=data,
        )

    def pack(self) -> bytes:
        """Return the bytes of the tag."""
        if self.packed is not None:
            return self.packed
        offsets = []
        body = b""
        lattice = b""
        if self.lattice is not None:
            grid = bytes(self.lattice.shape[:-1]).ljust(16, b"\0")
            width = self.lattice.dtype.itemsize
            lattice = _padded(grid + bytes([width, 0, 0, 0]) + self.lattice.astype(f">u{width}").tobytes())
        matrix = b"" if self.matrix is None else b"".join(map(s15fixed16, self.matrix))
        parts = (_pack_curves(self.b_curves), matrix, _pack_curves(self.m_curves), lattice, _pack_curves(self.a_curves))
        for part in parts:
            offsets.append(32 + len(body) if part else 0)
            body += part
        return self.SIGNATURE + bytes(4) + bytes([self.inputs, self.outputs, 0, 0]) + struct.pack(">5I", *offsets) + body


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LutAToB(_LutAB):
    """Device to PCS."""

    SIGNATURE: ClassVar[bytes] = b"mAB "


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LutBToA(_LutAB):
    """PCS to device."""

    SIGNATURE: ClassVar[bytes] = b"mBA "


def _padded(data: bytes) -> bytes:
    return data + bytes(-len(data) % 4)


def _pack_curves(curves: Sequence[AnyCurve]) -> bytes:
    return b"".join(_padded(curve.pack()) for curve in curves)


def _parse_curves(name: str, data: bytes, offset: int, count: int) -> tuple[AnyCurve, ...]:
    curves: list[AnyCurve] = []
    for _ in range(count):
        signature = data[offset : offset + 4]
        curve: AnyCurve
        if signature == Curve.SIGNATURE:
            curve, size = Curve.parse_prefix(data[offset:])
        elif signature == ParametricCurve.SIGNATURE:
            curve, size = ParametricCurve.parse_prefix(data[offset:])
        else:
            raise TagError(f"{name}: {signature!r} at {offset}; expected a curve; the profile is cut or damaged")
        curves.append(curve)
        offset += size + (-size % 4)
    return tuple(curves)


def _parse_lattice(name: str, data: bytes, offset: int, inputs: int, outputs: int) -> AnyArray:
    head = data[offset : offset + 20]
    if len(head) < 20:
        raise TagError(f"{name}: the lattice lies outside the tag; the profile is cut or damaged")
    grid, width = list(head[:inputs]), head[16]
    count = outputs
    for nodes in grid:
        count *= nodes
        if nodes < 2 or count > 2**27:
            raise TagError(f"{name}: a lattice of {grid} nodes; expected 2 or more an axis, and one that fits into a file")
    if width not in (1, 2):
        raise TagError(f"{name}: lattice numbers of {width} bytes; expected 1 or 2")
    if offset + 20 + count * width > len(data):
        raise TagError(f"{name}: the lattice needs {count * width} bytes; the profile is cut or damaged")
    numbers = np.frombuffer(data, dtype=f">u{width}", count=count, offset=offset + 20)
    return numbers.astype(np.uint8 if width == 1 else np.uint16).reshape(*grid, outputs)

"""Evaluation of a profile's tables with a stated interpolation.

Two ways are known. "n-linear" is the interpolation of the ICC's reference code, in full precision. "cmm" is what colour
management modules in use do: 16-bit numbers between the stages, tetrahedral interpolation of RGB tables, linear along
the first and tetrahedral along the other axes of four and more, and linear along every axis where Lab is the input.
Every number that is reported about a profile uses "cmm".

References: [ICC.1-2022] lut16Type, lut8Type, lutAToBType, lutBToAType, PCS encodings, media-relative colorimetry.
"""

from collections.abc import Callable
from typing import Literal, TypeAlias

import numpy as np

from spectro.colour.adaptation import relative_to_absolute
from spectro.colour.lab import D50_PCS, lab_to_xyz, xyz_to_lab
from spectro.errors import TagError
from spectro.icc.numbers import D50_XYZ, decode_lab, decode_xyz, encode_lab, encode_xyz
from spectro.icc.profile_file import IccProfile
from spectro.icc.table_channels import lut_channels
from spectro.icc.tag_types import Lut, Lut8, Lut16, LutAToB, LutBToA, XyzNumbers
from spectro.icc.tag_types.lut_a_b import AnyCurve
from spectro.maths.lattice import linear_then_tetrahedral, n_linear
from spectro.records.arrays import AnyArray, FloatArray

_PCS = 3
Interpolation: TypeAlias = Literal["n-linear", "cmm"]


def evaluate_lut(lut: Lut, values: FloatArray, interpolation: Interpolation, *, lab_input: bool) -> FloatArray:
    """Return the encoded outputs (n, outputs) of encoded inputs (n, inputs), all fractions 0 to 1.

    lab_input: the inputs are Lab; then "cmm" interpolates linearly along every axis.
    """
    limit = _to_16_bits if interpolation == "cmm" else _clip
    look_up = n_linear if lab_input or interpolation == "n-linear" else linear_then_tetrahedral
    values = limit(np.asarray(values, dtype=np.float64))
    if isinstance(lut, Lut16 | Lut8):
        largest = 65535 if isinstance(lut, Lut16) else 255
        values = limit(_tables(lut.input_tables, values, largest))
        values = limit(_lattice(lut.lattice, values, look_up))
        return limit(_tables(lut.output_tables, values, largest))
    stages: list[Callable[[FloatArray], FloatArray]] = []
    if isinstance(lut, LutAToB | LutBToA):
        stages.append(lambda v: limit(_curves(lut.a_curves, v)))
        if lut.lattice is not None:
            lattice = lut.lattice
            stages.append(lambda v: limit(_lattice(lattice, v, look_up)))
        stages.append(lambda v: limit(_curves(lut.m_curves, v)))
        if lut.matrix is not None:
            matrix = np.array(lut.matrix)
            stages.append(lambda v: v @ matrix[:9].reshape(3, 3).T + matrix[9:])
        stages.append(lambda v: limit(_curves(lut.b_curves, v)))
    for stage in stages if isinstance(lut, LutAToB) else reversed(stages):
        values = stage(values)
    return values


def _clip(values: FloatArray) -> FloatArray:
    return np.clip(values, 0, 1)


def _to_16_bits(values: FloatArray) -> FloatArray:
    rounded: FloatArray = np.floor(np.clip(values, 0, 1) * 65535 + 0.5) / 65535
    return rounded


def _tables(tables: AnyArray, values: FloatArray, largest: int) -> FloatArray:
    steps = np.linspace(0, 1, tables.shape[1])
    return np.column_stack([np.interp(values[:, i], steps, tables[i] / largest) for i in range(len(tables))])


def _curves(curves: tuple[AnyCurve, ...], values: FloatArray) -> FloatArray:
    if not curves:
        return values
    return np.column_stack([curve.apply(values[:, i]) for i, curve in enumerate(curves)])


def _lattice(lattice: AnyArray, values: FloatArray, look_up: Callable[[FloatArray, FloatArray], FloatArray]) -> FloatArray:
    largest = 65535 if lattice.dtype == np.uint16 else 255
    return look_up(lattice / largest, values * (np.array(lattice.shape[:-1]) - 1))


def _lut(profile: IccProfile, name: str) -> Lut:
    tag = profile.tags.get(name)
    if not isinstance(tag, Lut8 | Lut16 | LutAToB | LutBToA):
        raise TagError(f"no table {name}; expected an output profile with tables")
    return tag


def _check_shape(name: str, lut: Lut, inputs: int, outputs: int | None) -> None:
    has = lut_channels(lut)
    if has != (inputs, has[1] if outputs is None else outputs):
        raise TagError(f"{name} with {has[0]} inputs and {has[1]} outputs; expected {inputs} and {outputs or 'any'}")


def _is_legacy(lut: Lut) -> bool:
    return isinstance(lut, Lut16)


def media_white(profile: IccProfile) -> FloatArray:
    """Return the XYZ (3,) of the media white point, Y = 100. Raises TagError where the profile has none."""
    tag = profile.tags.get("wtpt")
    if not isinstance(tag, XyzNumbers) or min(tag.values[0]) <= 0:
        raise TagError("no usable media white point (wtpt); the profile is damaged")
    return np.array(tag.values[0]) * 100


def device_to_lab(
    profile: IccProfile,
    device: FloatArray,
    table: str = "A2B1",
    interpolation: Interpolation = "cmm",
    *,
    absolute: bool = False,
) -> FloatArray:
    """Return Lab (n, 3) of device values (n, channels), 0 to 1, through a device-to-PCS table.

    absolute: scale the media-relative result by the media white point. Raises TagError where a tag is missing.
    """
    lut = _lut(profile, table)
    _check_shape(table, lut, np.shape(device)[-1], _PCS)
    encoded = evaluate_lut(lut, device, interpolation, lab_input=False)
    if profile.header.pcs == b"Lab ":
        lab = decode_lab(encoded, legacy=_is_legacy(lut))
    else:
        lab = xyz_to_lab(decode_xyz(encoded), D50_XYZ)
    return relative_to_absolute(lab, media_white(profile)) if absolute else lab


def lab_to_device(
    profile: IccProfile,
    lab: FloatArray,
    table: str = "B2A1",
    interpolation: Interpolation = "cmm",
    *,
    absolute: bool = False,
) -> FloatArray:
    """Return device values (n, channels), 0 to 1, of Lab (n, 3) through a PCS-to-device table.

    absolute: the Lab is absolute and is first made media-relative. Raises TagError where a tag is missing.
    """
    lut = _lut(profile, table)
    _check_shape(table, lut, _PCS, None)
    lab = np.asarray(lab, dtype=np.float64)
    if absolute:
        lab = xyz_to_lab(lab_to_xyz(lab) * D50_PCS / media_white(profile))
    if profile.header.pcs == b"Lab ":
        return evaluate_lut(lut, encode_lab(lab, legacy=_is_legacy(lut)), interpolation, lab_input=True)
    return evaluate_lut(lut, encode_xyz(lab_to_xyz(lab, D50_XYZ)), interpolation, lab_input=False)


def printed_lab(profile: IccProfile, lab: FloatArray, table: str = "B2A1") -> FloatArray:
    """Return the Lab (n, 3) that is printed where a table is asked for Lab (n, 3), both media-relative.

    table: signature of a table to device values; values beyond 0 to 1 are clipped, as a printer does. Raises TagError.
    """
    return device_to_lab(profile, np.clip(lab_to_device(profile, lab, table), 0, 1))


def darkest_lab(profile: IccProfile, *, absolute: bool = False) -> FloatArray:
    """Return the Lab (3,) of the darkest colour of a coarse lattice of device values of an RGB profile.

    Of a profile of inks it is what its own black prints: not all that inks could print is within their limits.
    absolute: ICC-absolute instead of relative to the media white.
    """
    if profile.header.colour_space != b"RGB ":
        black = np.clip(lab_to_device(profile, np.zeros((1, _PCS))), 0, 1)
        return np.asarray(device_to_lab(profile, black, absolute=absolute)[0])
    ramp = np.linspace(0, 1, 9)
    solid = device_to_lab(profile, np.stack(np.meshgrid(ramp, ramp, ramp), axis=-1).reshape(-1, 3), absolute=absolute)
    return np.asarray(solid[int(np.argmin(solid[:, 0]))])

"""A library of colours as ISO 17972 (CxF3) XML, written: names with reflectance spectra, or with Lab where there are none.

What is read is written back: names, wavelengths, values with as many digits as bring the same numbers back, and the
measurement condition. The date is fixed: same colours, same text. A library that is such a file already keeps every byte and
gets recipes added: part 4 of the standard, spot colours, has the same objects and a section of its own that refers to them,
which is described nowhere at hand, so nothing of it may be lost.
Reference: [ISO-17972-1] objects, colour values, colour specifications, measurement conditions.
"""

import re
from collections.abc import Sequence
from xml.sax.saxutils import quoteattr

import numpy as np

from spectro.errors import InputError
from spectro.files.reference_xml import DATE, head_lines
from spectro.records.arrays import FloatArray
from spectro.records.conditions import MeasurementCondition

_SPECIFICATION = "read"
_RECIPE = "Recipe"
_END = re.compile(rb"</(?P<prefix>[A-Za-z_][\w.-]*:)?Object\s*>")
_UNSURE = re.compile(
    rb'<!\[CDATA\[|<!--(?:(?!-->).)*Object(?:(?!-->).)*-->|Name\s*=\s*"Recipe"|encoding="(?!utf-8)', re.I | re.S
)


def pack_library(
    names: Sequence[str],
    lab: FloatArray,
    *,
    reflectance: FloatArray | None = None,
    wavelengths: FloatArray | None = None,
    condition: MeasurementCondition | None = None,
    description: str = "",
    recipes: Sequence[Sequence[tuple[str, str]]] = (),
) -> str:
    """Return the text of a library. lab: (n, 3), D50 and 2°. reflectance: (n, bands), 1 for the perfect diffuser, at
    wavelengths (bands,), whole nm in even steps. recipes: of each colour, channels and their values in words.

    Raises InputError for other wavelengths.
    """
    spectral = reflectance is not None and wavelengths is not None
    lines = head_lines(description)
    kind = f"{condition}_Measurement" if condition else "Standard"
    for number, name in enumerate(names):
        lines.append(f'\t\t\t<cc:Object ObjectType="{kind}" Name={quoteattr(name)} Id="c{number + 1}">')
        lines.append(f"\t\t\t\t<cc:CreationDate>{DATE}</cc:CreationDate>")
        lines.append("\t\t\t\t<cc:ColorValues>")
        if reflectance is not None and spectral:
            values = " ".join(repr(float(value)) for value in reflectance[number])
            lines.append(
                f'\t\t\t\t\t<cc:ReflectanceSpectrum ColorSpecification="{_SPECIFICATION}">{values}</cc:ReflectanceSpectrum>'
            )
        else:
            parts = "".join(f"<cc:{part}>{float(value)!r}</cc:{part}>" for part, value in zip("LAB", lab[number], strict=True))
            lines.append(f'\t\t\t\t\t<cc:ColorCIELab ColorSpecification="{_SPECIFICATION}">{parts}</cc:ColorCIELab>')
        lines.append("\t\t\t\t</cc:ColorValues>")
        if recipes:
            lines.append('\t\t\t\t<cc:TagCollection Name="Recipe">')
            tags = recipes[number]
            lines += [f"\t\t\t\t\t<cc:Tag Name={quoteattr(one)} Value={quoteattr(value)}/>" for one, value in tags]
            lines.append("\t\t\t\t</cc:TagCollection>")
        lines.append("\t\t\t</cc:Object>")
    lines.append("\t\t</cc:ObjectCollection>")
    lines += _specification(wavelengths if spectral else None, condition)
    return "\n".join([*lines, "\t</cc:Resources>", "</cc:CxF>", ""])


def with_recipes(data: bytes, recipes: Sequence[Sequence[tuple[str, str]]]) -> bytes | None:
    """Return a library with a recipe added to each of its objects, in their order, and nothing else changed.

    data: the file, in UTF-8. recipes: of each object, channels and their values in words. None where its objects cannot be
    told from its text for sure, are another number, or have recipes already.
    """
    ends = list(_END.finditer(data))
    if len(ends) != len(recipes) or _UNSURE.search(data):
        return None
    parts, last = [], 0
    for end, recipe in zip(ends, recipes, strict=True):
        mark = (end["prefix"] or b"").decode("ascii")
        tags = "".join(f"<{mark}Tag Name={quoteattr(one)} Value={quoteattr(value)}/>" for one, value in recipe)
        added = f'<{mark}TagCollection Name="{_RECIPE}">{tags}</{mark}TagCollection>'
        parts += [data[last : end.start()], added.encode("utf-8")]
        last = end.start()
    return b"".join([*parts, data[last:]])


def _specification(wavelengths: FloatArray | None, condition: MeasurementCondition | None) -> list[str]:
    """Return the lines of the specification that all values refer to."""
    lines = [
        "\t\t<cc:ColorSpecificationCollection>",
        f'\t\t\t<cc:ColorSpecification Id="{_SPECIFICATION}">',
        "\t\t\t\t<cc:TristimulusSpec>",
        "\t\t\t\t\t<cc:Illuminant>D50</cc:Illuminant>",
        "\t\t\t\t\t<cc:Observer>2_Degree</cc:Observer>",
        "\t\t\t\t</cc:TristimulusSpec>",
    ]
    if wavelengths is not None or condition is not None:
        lines.append("\t\t\t\t<cc:MeasurementSpec>")
        if wavelengths is not None:
            steps = np.unique(np.diff(wavelengths))
            if len(steps) != 1 or np.any(wavelengths != np.round(wavelengths)):
                raise InputError("uneven wavelengths", "whole nm in even steps", "Write a CGATS table instead.")
            lines.append("\t\t\t\t\t<cc:MeasurementType>Spectrum_Reflectance</cc:MeasurementType>")
            lines.append(f'\t\t\t\t\t<cc:WavelengthRange StartWL="{wavelengths[0]:.0f}" Increment="{steps[0]:.0f}"/>')
        if condition is not None:
            said = f"<cc:Device><cc:DeviceIllumination>{condition}</cc:DeviceIllumination></cc:Device>"
            lines.append(f"\t\t\t\t\t{said}")
        lines.append("\t\t\t\t</cc:MeasurementSpec>")
    return [*lines, "\t\t\t</cc:ColorSpecification>", "\t\t</cc:ColorSpecificationCollection>"]

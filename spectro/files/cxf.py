"""Colour exchange files (CxF3, ISO 17972-1), read: objects, their values and what their specifications say.

Values stay texts, as they stand in the file. What stands in FileInformation is description only: where that part alone
is damaged it is left out with a note, and the rest is read as strictly as ever.

References: [ISO-17972-1] colour exchange format; [ISO-13655-2017] measurement conditions.
"""

import re
from dataclasses import dataclass
from pathlib import Path

from spectro.errors import MeasurementFileError
from spectro.files.xml_nodes import XmlNode, narrow_xml, parse_xml
from spectro.records.conditions import MeasurementCondition

_ABOUT = re.compile(rb"<((?:\w+:)?)FileInformation(?:\s[^<>]*)?>(.*?)</\1FileInformation\s*>", re.DOTALL)
_LEADS_TO_DATA = re.compile(rb"<(?:\w+:)?(?:Resources|ObjectCollection|Object)\b|<!--|<!\[CDATA\[")
_CONDITION_WORD = re.compile(r"(M[0-3])(?![0-9A-Za-z])")
_NUMBERS = re.compile(r"\S+")
OWN_CREATOR = "spectro"  # what our own files name as Creator
SPOT = "SpotColor"
"""Element of an ink beside cyan, magenta, yellow and black; among components it is followed by the ink's name."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CxfSpectrum:
    """One spectrum of an object, values as written."""

    wavelengths: tuple[str, ...]  # nm, in file order
    values: tuple[str, ...]
    line: int


@dataclass(frozen=True, slots=True, kw_only=True)
class CxfSpecification:
    """What a colour specification says. None or "": it does not say."""

    id: str
    illuminant: str = ""
    observer: str = ""  # degrees
    condition: MeasurementCondition | None = None
    device: str = ""  # model of the instrument
    measurement_type: str = ""
    start: str = ""  # of the spectra, nm
    increment: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CxfObject:
    """One object: a reading, a target, or something else."""

    kind: str  # ObjectType
    name: str
    id: str
    line: int
    created: str
    tags: dict[str, str]  # of all tag collections of the object
    spectra: tuple[tuple[str, CxfSpectrum], ...]  # id of the specification, spectrum
    colours: tuple[tuple[str, str, dict[str, str]], ...]  # element, id of the specification, values
    device: tuple[tuple[str, dict[str, str]], ...]  # element, values
    emissions: tuple[CxfSpectrum, ...] = ()  # of a light


@dataclass(frozen=True, slots=True, kw_only=True)
class CxfDocument:
    """A whole file."""

    objects: tuple[CxfObject, ...]
    specifications: dict[str, CxfSpecification]
    created: str
    description: str
    tags: tuple[tuple[str, str], ...]  # of the file: what else the header of one of ours says; empty for others
    notes: tuple[str, ...]


def parse_cxf(data: bytes, path: Path | str) -> CxfDocument:
    """Parse the bytes of a colour exchange file. path: for messages. Raises MeasurementFileError."""
    notes: tuple[str, ...] = ()
    data = narrow_xml(data, path).rstrip(b"\0")
    try:
        root = parse_xml(data, path)
    except MeasurementFileError as error:
        rest = _without_information(data)
        if rest is None:
            raise
        root = parse_xml(rest, path)
        notes = (f"line {error.line}: FileInformation is not well formed ({error.found}) and was left out",)
    if root.name != "CxF" or "CxF3" not in root.namespace:
        raise MeasurementFileError(
            path,
            root.line,
            f"the element {root.name} of the namespace {root.namespace or 'nothing'}",
            "CxF of the namespace CxF3 (ISO 17972-1)",
            "Export the readings as CxF3 or as CGATS text.",
        )
    specifications = {}
    for node in _collected(root, "ColorSpecificationCollection", "ColorSpecification"):
        specification = _specification(node, path)
        if specification.id in specifications:
            raise MeasurementFileError(
                path, node.line, f"the specification {specification.id} twice", "each id once", "Correct the id."
            )
        specifications[specification.id] = specification
    nodes = _collected(root, "ObjectCollection", "Object")
    _check_places(root, nodes, path)
    objects = [_object(node, specifications, path) for node in nodes]
    return CxfDocument(
        objects=tuple(objects),
        specifications=specifications,
        created=root.said("FileInformation", "CreationDate"),
        description=root.said("FileInformation", "Description"),
        tags=_file_tags(root),
        notes=notes,
    )


def _file_tags(root: XmlNode) -> tuple[tuple[str, str], ...]:
    if root.said("FileInformation", "Creator") != OWN_CREATOR:
        return ()
    tags = [tag.attributes for about in root.all("FileInformation") for tag in about.all("Tag")]
    return tuple((tag.get("Name", ""), tag.get("Value", "")) for tag in tags if tag.get("Name"))


def _without_information(data: bytes) -> bytes | None:
    """Return the bytes with an empty FileInformation of as many lines, None where that part cannot be told for sure."""
    match = _ABOUT.search(data[:100_000])
    if match is None or _LEADS_TO_DATA.search(data, 0, match.end()):
        return None
    return data[: match.start()] + b"\n" * match.group().count(b"\n") + data[match.end() :]


def _collected(root: XmlNode, collection: str, name: str) -> list[XmlNode]:
    return [node for resources in root.all("Resources") for group in resources.all(collection) for node in group.all(name)]


def _check_places(root: XmlNode, objects: list[XmlNode], path: Path | str) -> None:
    """Refuse objects, spectra and device values that stand where nothing would look for them."""
    values = [value for node in objects for value in node.all("ColorValues", "DeviceColorValues")]
    known = {id(node) for node in objects} | {id(value) for value in values}
    known |= {id(child) for value in values for child in value.all("ReflectanceSpectrum", "CustomSpectrum")}
    names = {"Object", "ColorValues", "DeviceColorValues", "ReflectanceSpectrum", "CustomSpectrum"}
    waiting = [root]
    while waiting:
        node = waiting.pop()
        if node.name in names and node.namespace == root.namespace and id(node) not in known:
            raise MeasurementFileError(
                path,
                node.line,
                f"{node.name} out of its place",
                "objects in an ObjectCollection, values in objects",
                "Export it again.",
            )
        waiting += node.children


def _specification(node: XmlNode, path: Path | str) -> CxfSpecification:
    measured = node.first("MeasurementSpec")
    illumination = measured.said("Device", "DeviceIllumination") if measured else ""
    filtered = measured.said("Device", "DeviceFilter") if measured else ""
    named = _CONDITION_WORD.match(illumination.split("_")[0])
    condition = MeasurementCondition(named.group(1)) if named else None
    if filtered == "Filter_UVExcluded":
        if condition in (MeasurementCondition.M0, MeasurementCondition.M1):
            raise MeasurementFileError(
                path, node.line, f"{illumination} and {filtered}", "one measurement condition", "Correct the one that is wrong."
            )
        condition = condition or MeasurementCondition.M2
    span = measured.first("WavelengthRange") if measured else None
    observer = node.said("TristimulusSpec", "Observer")
    return CxfSpecification(
        id=node.attributes.get("Id", ""),
        illuminant=node.said("TristimulusSpec", "Illuminant"),
        observer=observer.removesuffix("_Degree") if observer.endswith("_Degree") else observer,
        condition=condition,
        device=measured.said("Device", "Model") if measured else "",
        measurement_type=measured.said("MeasurementType") if measured else "",
        start=span.attributes.get("StartWL", "") if span else "",
        increment=span.attributes.get("Increment", "") if span else "",
    )


def _object(node: XmlNode, specifications: dict[str, CxfSpecification], path: Path | str) -> CxfObject:
    spectra: list[tuple[str, CxfSpectrum]] = []
    colours: list[tuple[str, str, dict[str, str]]] = []
    emissions: list[CxfSpectrum] = []
    for values in node.all("ColorValues"):
        for value in values.children:
            if value.namespace != node.namespace:
                continue
            reference = value.attributes.get("ColorSpecification", "")
            if reference and reference not in specifications and value.name.endswith("Spectrum"):
                raise MeasurementFileError(
                    path, value.line, f"the specification {reference}, which is not there", "one of the file's", "Correct it."
                )
            if value.name == "ReflectanceSpectrum":
                specification = specifications.get(reference, CxfSpecification(id=reference))
                spectra.append((reference, _even_spectrum(value, specification, path)))
            elif value.name == "CustomSpectrum":
                points = value.all("SpectralPoint")
                spectrum = CxfSpectrum(
                    wavelengths=tuple(point.attributes.get("WL", "") for point in points),
                    values=tuple(point.text.strip() for point in points),
                    line=value.line,
                )
                spectra.append((reference, spectrum))
            elif value.name.endswith("Spectrum") and "Emiss" in value.name:
                emissions.append(_even_spectrum(value, specifications.get(reference, CxfSpecification(id=reference)), path))
            else:
                colours.append((value.name, reference, _components(value, path)))
    device = []
    for values in node.all("DeviceColorValues"):
        for value in values.children:
            unknown = set(value.attributes) - {"ColorSpecification", "Name", "Id"}
            if unknown:
                raise MeasurementFileError(
                    path, value.line, f"{value.name} with {', '.join(sorted(unknown))}", "plain device values",
                    "Export the device values in a CGATS table and give it with `chart`.",
                )  # fmt: skip
            device.append((value.name, _components(value, path)))
    return CxfObject(
        kind=node.attributes.get("ObjectType", ""),
        name=node.attributes.get("Name", "").strip(),
        id=node.attributes.get("Id", "").strip(),
        line=node.line,
        created=node.said("CreationDate"),
        tags=_tags(node, path),
        spectra=tuple(spectra),
        colours=tuple(colours),
        device=tuple(device),
        emissions=tuple(emissions),
    )


def _even_spectrum(value: XmlNode, specification: CxfSpecification, path: Path | str) -> CxfSpectrum:
    """Return a spectrum written as one list: where it starts and its increment stand beside it or in its specification."""
    levels = tuple(_NUMBERS.findall(value.text))
    if value.children:
        raise MeasurementFileError(path, value.line, "elements among spectral values", "numbers", "Export the file again.")
    places = []
    for name, stated in (("StartWL", specification.start), ("Increment", specification.increment)):
        own = value.attributes.get(name, "")
        text = own or stated
        if own and stated and _whole(own, path, value.line, name) != _whole(stated, path, value.line, name):
            raise MeasurementFileError(
                path, value.line, f"{name} {own} where its specification says {stated}", "one of them", "Correct one."
            )
        places.append(_whole(text, path, value.line, name))
    start, increment = places
    if increment <= 0 or start <= 0:
        raise MeasurementFileError(path, value.line, f"Increment {increment}", "1 or more", "Export the file again.")
    wavelengths = tuple(str(start + increment * index) for index in range(len(levels)))
    return CxfSpectrum(wavelengths=wavelengths, values=levels, line=value.line)


def _whole(text: str, path: Path | str, line: int, name: str) -> int:
    if not re.fullmatch(r"[0-9]{1,5}(\.0+)?", text):
        raise MeasurementFileError(
            path, line, f"{text!r} as {name}" if text else f"no {name}", "a whole number of nm", "Export the file again."
        )
    return int(float(text))


def _components(value: XmlNode, path: Path | str) -> dict[str, str]:
    found: dict[str, str] = {}
    for part in value.children:
        name, text = part.name, part.text.strip()
        if name == SPOT:  # an ink by its name, with its percentage within
            name, text = f"{SPOT} {part.attributes.get('Name', '').strip()}", part.said("Percentage")
        if name in found:
            raise MeasurementFileError(path, part.line, f"{name} twice", "each value once", "Export the file again.")
        found[name] = text
    return found


def _tags(node: XmlNode, path: Path | str) -> dict[str, str]:
    found: dict[str, str] = {}
    for collection in node.all("TagCollection"):
        for tag in collection.all("Tag"):
            name, value = tag.attributes.get("Name", ""), tag.attributes.get("Value", "").strip()
            if found.setdefault(name, value) != value:
                raise MeasurementFileError(
                    path, tag.line, f"{name} {value} after {name} {found[name]}", "one of them", "Correct one."
                )
    return found

"""Which column of a table means what: guessed from the names, said in one sentence, or given by the user.

Names of the standard [ISO-28178] and the spellings of field_names.py count as they are; plain words beside them are
common practice, no source. A name that could mean two things is not guessed.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from spectro.errors import MeasurementFileError
from spectro.files.cgats_table import CgatsTable, folded_name
from spectro.files.field_names import device_field, is_numeric_field, looks_spectral, spectral_field
from spectro.files.numeric_cells import uses_decimal_comma

FIX = "Say which column is which with `columns`, such as RGB_R=red."
_SPECTRAL_WORDS = re.compile(
    r"(?:(m[0-3])[ _-]*)?(?:spectral|spec|reflectance|refl|wavelength|wl|nm|r|λ)?[ _.-]*(\d{3,4})(?:[.,]0+)?[ _]*(?:nm)?",
    re.IGNORECASE,
)
_ALMOST = re.compile(r"\d.*nm\b|\bnm.*\d", re.IGNORECASE)
_GROUPS = (  # a group is recognised where each of its columns has a name, in the same one of the spellings
    ("RGB_R", "RGB_G", "RGB_B", (("r", "g", "b"), ("red", "green", "blue"))),
    ("CMYK_C", "CMYK_M", "CMYK_Y", "CMYK_K", (("c", "m", "y", "k"), ("cyan", "magenta", "yellow", "black"))),
    ("LAB_L", "LAB_A", "LAB_B", (("l", "a", "b"), ("l*", "a*", "b*"), ("lab l", "lab a", "lab b"))),
    ("XYZ_X", "XYZ_Y", "XYZ_Z", (("x", "y", "z"),)),
)
_SINGLE = {
    "SAMPLE_ID": ("sample id", "sampleid", "id", "sample no", "sample number", "no", "nr", "number", "sample", "patch id"),
    "SAMPLE_NAME": ("sample name", "samplename", "name", "patch", "patch name", "label", "location"),
    "PAGE": ("page", "page no", "sheet"),
    "ROW": ("row", "row no"),
    "COLUMN": ("column", "col", "strip"),
    "MEASUREMENT_CONDITION": ("measurement condition", "condition", "m condition"),
}


def guessed_names(names: Sequence[str], given: Mapping[str, str], path: Path | str, line: int) -> tuple[str, ...]:
    """Return the field name of each column: given, else guessed, else its own name.

    given: field name to the column's own name. Raises MeasurementFileError for a given column that is not there, for one
    name twice, and where a guess would be one of two.
    """
    result = list(names)
    fixed = _given_columns(names, given, path, line)
    for column, target in fixed.items():
        result[column] = target
    free = [column for column in range(len(names)) if column not in fixed]
    plain = {column: " ".join(names[column].lower().replace("_", " ").split()) for column in free}
    taken = {folded_name(target) for target in fixed.values()}
    for column in free:
        if folded_name(names[column]) in taken:
            result[column] = f"NOT_USED_{names[column]}"
        elif is_numeric_field(names[column]):
            taken.add(folded_name(names[column]))
    for column in free:
        words = _spectral_name(names[column])
        if words:
            result[column] = words
        elif result[column] == names[column] and not is_numeric_field(names[column]) and _ALMOST.search(names[column]):
            raise MeasurementFileError(
                path, line, f"the column {names[column]!r}", "spectral columns such as 380 nm", f"Correct or delete it. {FIX}"
            )
    _guess_groups(names, plain, result, taken, path, line)
    for target, spellings in _SINGLE.items():
        if folded_name(target) in taken or any(folded_name(name) == folded_name(target) for name in result):
            continue
        for spelling in spellings:
            found = [column for column in free if plain[column] == spelling and result[column] == names[column]]
            if found:
                result[found[0]] = target
                break
    return tuple(result)


def mapping_sentence(names: Sequence[str], fields: Sequence[str]) -> str:
    """Return the sentence that says what each column was taken for."""
    spectral = [name for name, field in zip(names, fields, strict=True) if spectral_field(field)]
    other = [
        field if field == name else f"{field} = {name}"
        for name, field in zip(names, fields, strict=True)
        if not spectral_field(field) and (is_numeric_field(field) or field in _SINGLE)
    ]
    unknown = [name for name, field in zip(names, fields, strict=True) if field not in _SINGLE and not is_numeric_field(field)]
    parts = [", ".join(other)] if other else []
    if spectral:
        parts.append(f"{len(spectral)} spectral columns, {spectral[0]} to {spectral[-1]}")
    if unknown:
        parts.append(f"not used: {', '.join(unknown)}")
    return "columns: " + "; ".join(parts)


def renamed(table: CgatsTable, given: Mapping[str, str], path: Path | str) -> CgatsTable:
    """Return a table with the given columns under their field names; what bore such a name before is no longer used."""
    fixed = _given_columns(table.fields, given, path, table.fields_line)
    taken = {folded_name(target) for target in fixed.values()}
    fields = tuple(
        fixed.get(column, f"NOT_USED_{name}" if folded_name(name) in taken else name)
        for column, name in enumerate(table.fields)
    )
    table = replace(table, fields=fields)
    cells = [row[column] for row in table.rows for column in fixed if is_numeric_field(fields[column])]
    if not table.decimal_comma and uses_decimal_comma(cells):
        raise MeasurementFileError(
            path, table.fields_line, "a decimal comma in the columns given only", "one way of writing numbers", "Mend the file."
        )
    return table


def _given_columns(names: Sequence[str], given: Mapping[str, str], path: Path | str, line: int) -> dict[int, str]:
    fixed: dict[int, str] = {}
    for target, name in given.items():
        if not (is_numeric_field(target) or target in _SINGLE):
            raise MeasurementFileError(
                path, line, f"the field {target} in `columns`", "names such as RGB_R, SPECTRAL_NM380, SAMPLE_ID", "Correct it."
            )
        found = [column for column, own in enumerate(names) if own.strip() == name.strip()]
        if len(found) != 1:
            raise MeasurementFileError(
                path, line, f"{len(found) or 'no'} column{'s' if len(found) > 1 else ''} of the name {name!r}, which is to be "
                f"{target}", f"one; there are {', '.join(names[:12])}", "Correct `columns`.",
            )  # fmt: skip
        if found[0] in fixed:
            raise MeasurementFileError(path, line, f"{name!r} for two fields", "one field a column", "Correct `columns`.")
        fixed[found[0]] = target
    return fixed


def _spectral_name(name: str) -> str | None:
    if spectral_field(name) or (looks_spectral(name) and "_" in name):
        return None  # understood as it is, or to be refused by name later
    match = _SPECTRAL_WORDS.fullmatch(name.strip())
    if match is None or not 200 <= int(match.group(2)) <= 2500:
        return None
    condition = f"{match.group(1).upper()}_" if match.group(1) else ""
    return f"{condition}SPECTRAL_NM{int(match.group(2))}"


def _guess_groups(
    names: Sequence[str], plain: dict[int, str], result: list[str], taken: set[str], path: Path | str, line: int
) -> None:
    claims: dict[int, list[str]] = {}
    for *targets, spellings in _GROUPS:
        if any(folded_name(str(target)) in taken for target in targets):
            continue
        colour_space = str(targets[0]).split("_")[0]
        if colour_space in ("RGB", "CMYK") and any(device_field(name) for name in result):
            continue
        for spelling in spellings:
            columns = [_columns_named(names, plain, word, targets[0] != "LAB_L") for word in spelling]
            if all(len(found) == 1 for found in columns):
                for target, found in zip(targets, columns, strict=True):
                    claims.setdefault(found[0], []).append(str(target))
                break
            if all(columns):
                raise MeasurementFileError(
                    path, line, f"several columns that could be {', '.join(map(str, targets))}", "one of each", FIX
                )
    for column, targets in claims.items():
        if len(targets) > 1:
            raise MeasurementFileError(
                path, line, f"the column {names[column]!r}, which could be {' or '.join(targets)}", "one meaning", FIX
            )
        result[column] = targets[0]


def _columns_named(names: Sequence[str], plain: dict[int, str], word: str, upper: bool) -> list[int]:
    """Return the columns of a name; where upper and lower case stand side by side, the one of the wanted case."""
    found = [column for column, text in plain.items() if text == word]
    if len(found) > 1 and len(word) == 1:
        wanted = word.upper() if upper else word
        return [column for column in found if names[column].strip() == wanted]
    return found

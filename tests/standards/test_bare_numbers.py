"""Numbers that decide stand in `standards/limits`, each with its unit, source and meaning, not in the code that judges."""

import ast
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

import spectro

SOURCE = Path(spectro.__file__).parent
ROOMS = ("checks", "words", "workflow")
PLAIN = {0, 1, 2, 100}  # nothing, a whole, a pair or a half of one, a percentage; also below zero
ROUNDING = 1e-6  # a number this small stands for what arithmetic leaves, not for a decision
COUNTED = {"len", "shape", "ndim", "version", "sum", "pages"}  # a small whole number beside these counts channels, bands, pages
FEW = 4
EXEMPT = Path(__file__).with_name("bare_numbers.toml")


def _value(node: ast.expr) -> float | None:
    """Return the number that a node writes out; None for all else."""
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub):
        inner = _value(node.operand)
        return None if inner is None else -inner
    if isinstance(node, ast.Constant) and isinstance(node.value, int | float) and not isinstance(node.value, bool):
        return float(node.value)
    return None


def _named(tree: ast.Module) -> dict[str, float]:
    """Return the numbers that a module gives a name at its top."""
    found = {}
    for statement in tree.body:
        if isinstance(statement, ast.Assign):
            target, value = statement.targets[0], statement.value
        elif isinstance(statement, ast.AnnAssign) and statement.value is not None:
            target, value = statement.target, statement.value
        else:
            continue
        both = [(target, value)]
        if isinstance(target, ast.Tuple) and isinstance(value, ast.Tuple):
            both = list(zip(target.elts, value.elts, strict=True))
        for name, number in both:
            if isinstance(name, ast.Name) and (known := _value(number)) is not None:
                found[name.id] = known
    return found


def _counts(compare: ast.Compare) -> bool:
    """Whether what is compared is a length, a shape or the like."""
    names = {node.id for node in ast.walk(compare) if isinstance(node, ast.Name)}
    return bool((names | {node.attr for node in ast.walk(compare) if isinstance(node, ast.Attribute)}) & COUNTED)


def _within(expression: ast.expr) -> Iterator[ast.expr]:
    """Yield the parts of an expression, what stands in an index left out."""
    yield expression
    if _value(expression) is not None:
        return
    for child in ast.iter_child_nodes(expression):
        if isinstance(child, ast.expr) and not (isinstance(expression, ast.Subscript) and child is expression.slice):
            yield from _within(child)


def bare_numbers(source: str) -> set[str]:
    """Return the numbers, written out or named at the top, that comparisons in a module's source decide by."""
    tree = ast.parse(source)
    named = _named(tree)
    found = set()
    for compare in ast.walk(tree):
        if not isinstance(compare, ast.Compare) or not any(
            isinstance(sign, ast.Lt | ast.Gt | ast.LtE | ast.GtE) for sign in compare.ops
        ):
            continue
        for node in (node for side in (compare.left, *compare.comparators) for node in _within(side)):
            value = named.get(node.id) if isinstance(node, ast.Name) else _value(node)
            if value is None or abs(value) in PLAIN or abs(value) <= ROUNDING:
                continue
            if float(value).is_integer() and abs(value) <= FEW and _counts(compare):
                continue
            found.add(node.id if isinstance(node, ast.Name) else f"{value:g}")
    return found


@pytest.mark.common_practice("no source: a limit that stands in code has no unit, no source and no meaning beside it")
def test_numbers_that_decide_are_data():
    """Every bare number is exempt for a reason, and every exemption is needed: the list only shrinks."""
    with EXEMPT.open("rb") as file:
        exempt = tomllib.load(file)
    assert all(reason for names in exempt.values() for reason in names.values())
    listed = {(file, name) for file, names in exempt.items() for name in names}
    found = {
        (path.relative_to(SOURCE).as_posix(), name)
        for room in ROOMS
        for path in sorted((SOURCE / room).rglob("*.py"))
        for name in bare_numbers(path.read_text("utf-8"))
    }
    assert sorted(found - listed) == []  # move the limit to standards/limits/SUBJECT.toml
    assert sorted(listed - found) == []  # it is gone: take the exemption away
    assert len(listed) <= 33


def test_what_counts_as_a_bare_number():
    """Written out, named, in a sum; not a count of channels, an index, rounding, or what comes from a limit."""
    assert bare_numbers("NEAR = 0.3\ndef near(x):\n    return x < NEAR") == {"NEAR"}
    assert bare_numbers("A, B = 0.3, 5\ndef near(x):\n    return x + B > 3.5 * x or A < 1") == {"A", "B", "3.5"}
    assert bare_numbers("def near(x):\n    return x.shape[1] < 3 or x[7] > 0 or abs(x) < 1e-9 or len(x) > 4") == set()
    assert bare_numbers("def near(x):\n    return len(x) < 40 or x > -10") == {"40", "-10"}
    assert bare_numbers('NEAR = shipped_limits("drift")["near"]\ndef near(x):\n    return x < NEAR') == set()

"""A person's own aims: every mistake is told with its line, and nothing of a wrong file is used."""

import pytest

from spectro.checks.aims import UNITS
from spectro.errors import InputError
from spectro.files.print_aim_file import parse_aim_file, read_aim_file
from spectro.records.aim import PrintKind

pytestmark = pytest.mark.common_practice("no source: an aim with mistakes is refused whole")
GOOD = """format = 1
name = "coated"
data = "a.txt"
condition = "M1"
backing = "white"
standard = "ISO 12647-7:2016"
kind = "contract-proof"

[limits.mean]
value = 2
unit = "ΔE00"
source = "agreed"
"""


def test_a_whole_aim(tmp_path):
    (tmp_path / "a.txt").write_text("x", "utf-8")
    (tmp_path / "aim.toml").write_text(GOOD, "utf-8")
    found = read_aim_file(tmp_path / "aim.toml", UNITS)
    assert (found.kind, found.limits["mean"].value, found.data) == (PrintKind.CONTRACT_PROOF, 2.0, tmp_path / "a.txt")


@pytest.mark.parametrize(
    ("old", "new", "line", "said"),
    [
        ("format = 1", "format = 2", 1, "format = 1"),
        ('name = "coated"', "name = 3", 2, "some text"),
        ('condition = "M1"', 'condition = "M7"', 4, "M0, M1, M2, M3"),
        ('backing = "white"', 'backing = "grey"', 5, "white, black"),
        ('standard = "ISO', 'edition = "ISO', 6, "unknown field 'edition'"),
        ('kind = "contract-proof"', 'kind = "proof"', 7, "press-run"),
        ("[limits.mean]", "[limits.average]", 9, "unknown limit 'average'"),
        ("value = 2", "value = -1", 10, "a number from 0"),
        ("value = 2", "value = nan", 10, "a number from 0"),
        ('unit = "ΔE00"', 'unit = "ΔE76"', 11, "mean is in ΔE00"),
        ('source = "agreed"', 'source = ""', 12, "its source"),
        ('source = "agreed"', 'edition = "x"', 12, "unknown field 'edition'"),
        ('source = "agreed"', "", 9, "mean without source"),
        ("value = 2", "value = ", 10, "no TOML"),
    ],
)
def test_a_mistake_is_told_with_its_line(old, new, line, said):
    assert old in GOOD
    _, mistakes = parse_aim_file(GOOD.replace(old, new), UNITS)
    assert any(one.line == line and said in one.text for one in mistakes), mistakes


def test_all_mistakes_are_told_at_once_and_a_lost_file_too(tmp_path):
    (tmp_path / "aim.toml").write_text(GOOD.replace("M1", "M9").replace('unit = "ΔE00"', 'unit = "mm"'), "utf-8")
    with pytest.raises(InputError, match=r"(?s)3 mistakes.*line 3: no file.*line 4.*line 11"):
        read_aim_file(tmp_path / "aim.toml", UNITS)
    (tmp_path / "aim.toml").write_text(GOOD, "utf-8")
    with pytest.raises(InputError, match=r"line 3: no file a\.txt"):
        read_aim_file(tmp_path / "aim.toml", UNITS)

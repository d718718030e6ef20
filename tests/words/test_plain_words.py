"""What people read is plain English: turns that are not stand in a list of exemptions that only shrinks."""

import re
import tomllib

import pytest
from plain_words import HERE, ROOT, exempted, found, texts, turns, values


def test_no_turn_stands_where_it_is_not_exempted():
    allowed, now = exempted(), found()
    more = {
        f"{file}: {turn}": number - allowed.get(file, {}).get(turn, 0)
        for file, counts in now.items()
        for turn, number in counts.items()
        if number > allowed.get(file, {}).get(turn, 0)
    }
    say = {name: entry["instead"] for name, entry in tomllib.loads((HERE / "turns.toml").read_text("utf-8")).items()}
    assert not more, [f"{place}, {number} more; say: {say[place.partition(': ')[2]]}" for place, number in more.items()]


def test_no_exemption_is_kept_that_is_no_longer_needed():
    """Numbers only go down: `python tests/words/plain_words.py --write` takes out what is no longer needed."""
    now = found()
    idle = {
        f"{file}: {turn}": number - now.get(file, {}).get(turn, 0)
        for file, counts in exempted().items()
        for turn, number in counts.items()
        if number > now.get(file, {}).get(turn, 0)
    }
    assert not idle


def test_exemptions_name_files_and_turns_that_there_are():
    known = set(turns())
    for file, counts in exempted().items():
        assert (ROOT / file).is_file(), file
        assert set(counts) <= known
        assert all(number > 0 for number in counts.values())


def test_values_that_are_listed_stand_in_their_files():
    for file, listed in values().items():
        assert set(listed) <= set(texts(ROOT / file)), file
        assert all(turn for turn in listed.values())


@pytest.mark.parametrize(
    ("text", "turn"),
    [
        ("The profile was held against readings.", "hold against"),
        ("hold it against", "hold against"),
        ("ΔE00 0.4 in the mean", "in the mean"),
        ("33 nodes an axis", "nodes an axis"),
        ("Leave one away.", "leave it away"),
        ("told by its name", "told"),
        ("Measure the check rules.", "check rules"),
        ("(common practice, no source)", "no source"),
        ("the raw path", "raw path"),
        ("52% of all", "percent sign without a space"),
        ("color", "color"),
        ("gray", "gray"),
    ],
)
def test_a_turn_is_found_in_a_sentence(text, turn):
    assert turns()[turn].search(text)


@pytest.mark.parametrize("text", ["52 % of all", "colours and greys", "the 95th percentile", "remind: yes", "behold"])
def test_plain_words_pass(text):
    assert not [name for name, pattern in turns().items() if pattern.search(text)]


def test_texts_of_code_leave_out_docstrings_and_keep_joined_texts_whole(tmp_path):
    file = tmp_path / "some.py"
    file.write_text(
        '"""Held against nothing."""\nNAME = "beside"\nx = 1\nTEXT = f"up to {x:.0%} of {x} in "\nMORE = "the mean, told"\n'
    )
    found_texts = list(texts(file))
    assert found_texts == ["up to {%} of {} in ", "the mean, told"]
    assert re.search(turns()["percent sign without a space"], found_texts[0])

"""Every command is a form of its own arguments, and a form that was sent is the command's words."""

from pathlib import Path

import pytest

from spectro.cli.main import COMMANDS, build_parser
from spectro.desk.forms import job_form, job_of_command, questions, shown_words, words_of
from spectro.desk.texts import texts
from spectro.errors import InputError
from spectro.words.start import QUESTIONS

SHELF = Path("/shelf")


def test_every_command_has_its_place_on_the_desk() -> None:
    commands = [tuple(word for word in names if word) for names in COMMANDS]
    missing = [command for command in commands if job_of_command(command) is None and command != ("desk",)]
    assert missing == []


def test_the_desk_has_steps_for_each_question_of_the_terminal_and_no_other() -> None:
    assert list(texts()["question"]) == [one.key for one in QUESTIONS]
    assert [one.title for one in questions()] == [one.asks for one in QUESTIONS]


def test_every_job_is_reached_from_a_question() -> None:
    reached = {job for question in questions() for job, _ in question.steps}
    assert set(texts()["job"]) == reached


@pytest.mark.parametrize("key", list(texts()["job"]))
def test_what_a_form_names_exists(key: str) -> None:
    form = job_form(key)
    names = {asked.name for asked in form.fields}
    first = texts()["job"][key].get("first", [])
    assert set(first) <= names
    for offer in form.offers:
        other = {asked.name: asked for asked in job_form(offer.job).fields}
        assert set(offer.fill) <= set(other), offer


def test_a_sent_form_is_parsed_as_the_terminal_would() -> None:
    sent = {"readings": ["/a/x.txt", "/a/y.txt"], "paper": ["Rag 310"], "grid": ["17"], "thorough": ["yes"], "columns": [""]}
    words = words_of(job_form("build"), sent, SHELF, ())
    arguments = build_parser(words).parse_args(words)
    assert arguments.readings == [Path("/a/x.txt"), Path("/a/y.txt")]
    assert (arguments.paper, arguments.grid, arguments.thorough, arguments.shelf) == ("Rag 310", 17, True, SHELF)


def test_values_that_look_like_options_stay_values() -> None:
    words = words_of(job_form("note"), {"name": ["studio"], "words": ["--replace everything"]}, SHELF, ())
    arguments = build_parser(words).parse_args(words)
    assert arguments.words == "--replace everything"
    words = words_of(job_form("build"), {"readings": ["/a.txt"], "paper": ["--json"]}, SHELF, ())
    assert build_parser(words).parse_args(words).paper == "--json"


def test_what_is_missing_is_named_as_the_form_names_it() -> None:
    with pytest.raises(InputError, match="Readings"):
        words_of(job_form("build"), {}, SHELF, ())


def test_a_wish_adds_its_file() -> None:
    sent = {"reference": ["/a.txt"], "new": ["/b.txt"]}
    assert "--pdf" in words_of(job_form("drift"), sent, SHELF, ["pdf"])
    assert "--pdf" not in words_of(job_form("drift"), sent, SHELF, ())


def test_people_copy_names_not_folders() -> None:
    words = words_of(job_form("build"), {"readings": ["/a/b/x.txt"]}, SHELF, ())
    assert shown_words(words, SHELF) == ("profile", "build", "x.txt")


def test_numbers_with_a_range_are_fields_for_numbers() -> None:
    """Also where the command's parser checks the range itself."""
    kinds = {asked.name: asked.kind for asked in job_form("sitting").fields}
    assert kinds["anchor_limit"] == kinds["stop_after"] == "number"
    assert kinds["printed"] == "text"


def test_all_conditions_are_meant_where_none_is_chosen_and_no_plan_is_given() -> None:
    batch = job_form("batch")
    assert build_parser(("batch",)).parse_args(words_of(batch, {"do": ["assess"]}, SHELF, ())).on_shelf == []
    planned = words_of(batch, {"plan": ["/a/plan.toml"]}, SHELF, ())
    assert "--on-shelf" not in planned

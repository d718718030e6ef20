"""Every text of the desk stands in one place, and every field has words of its own."""

import re
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from spectro.cli.main import build_parser
from spectro.desk.forms import job_form, questions
from spectro.desk.server import Desk
from spectro.desk.texts import texts

DESK = Path(__file__).resolve().parents[2] / "spectro" / "desk"
_CODE = re.compile(r"\{% set \w+ %\}.*?\{% endset %\}|\{%.*?%\}|\{\{.*?\}\}|\{#.*?#\}", re.DOTALL)
_SAID_BY_TAGS = re.compile(r'(?:title|alt|aria-label|placeholder|content)="([^"]*)"')
_TERMINAL = re.compile(r"--[a-z]|\bspectro |Ctrl-|\bNAME\b|\bFILE\b|%\(|“out”|“stages”|standard input|may be given")


@pytest.mark.parametrize("template", sorted(DESK.glob("templates/*.j2")), ids=lambda path: path.name)
def test_no_template_holds_a_text_of_its_own(template: Path) -> None:
    """What is left without code and tags is punctuation; what tags say comes from the texts too."""
    plain = re.sub(r"<!doctype[^>]*>|<meta[^>]*>", "", template.read_text("utf-8"))
    bare = _CODE.sub("", plain)
    for said in (re.sub(r"<[^>]*>", "", bare), *_SAID_BY_TAGS.findall(bare)):
        assert not re.search(r"[A-Za-z]{2}", said), said.strip()


def test_texts_of_pages_are_all_there_and_all_used() -> None:
    code = "".join(path.read_text("utf-8") for path in (*DESK.glob("templates/*.j2"), *DESK.glob("*.py")))
    unused = [name for name in texts()["words"] if not re.search(rf"\bt\.{name}\b|\"{name}\"", code)]
    assert unused == []
    wanted = re.findall(r'\b(?:word|said)\(\s*"([a-z_]+)"|\bt\.([a-z_]+)', code)
    assert {one or other for one, other in wanted} <= set(texts()["words"])


@pytest.mark.parametrize("key", list(texts()["job"]))
def test_a_form_speaks_to_somebody_who_has_no_terminal(key: str) -> None:
    form, labels = job_form(key), texts()["label"] | texts()["job"][key].get("label", {})
    assert [asked.name for asked in form.fields if asked.name not in labels] == []
    assert [(asked.name, asked.help) for asked in form.fields if _TERMINAL.search(asked.help)] == []
    assert len({asked.label for asked in form.fields}) == len(form.fields)


def test_nothing_is_written_for_arguments_that_no_command_has() -> None:
    names = {asked.name for key in texts()["job"] for asked in job_form(key).fields}
    assert set(texts()["either"]) <= names
    assert set(texts()["choice"]) <= names
    for table in ("label", "help", "sort"):
        assert set(texts()[table]) - names == set()


def test_words_for_choices_are_of_choices_that_there_are() -> None:
    for name, words in texts()["choice"].items():
        values = {
            value
            for key in texts()["job"]
            for asked in job_form(key).fields
            if asked.name == name
            for value, _ in asked.choices
        }
        assert set(words) <= values, name


def test_a_chart_of_greys_is_one_where_nothing_is_chosen(client: TestClient, desk: Desk) -> None:
    page = client.get("/do/grey-chart").text
    recipe = re.search(r'name="recipe" value="([^"]*)"', page)
    assert recipe
    assert recipe[1] == "grey-patch"
    assert client.post("/do/grey-chart", data={"recipe": recipe[1]}).status_code == 303
    assert next(desk.work.all()).job.words[:3] == ("chart", "new", "grey-patch")


@pytest.mark.parametrize("said", ["/etc/passwd", "../x", "~/.profile", "C:\\x", "secret.txt", ".hidden"])
def test_words_in_place_of_a_file_name_none_of_this_machine(client: TestClient, said: str) -> None:
    for job, name in (("chart", "recipe"), ("build", "illuminant"), ("which-chart", "what"), ("condition", "like")):
        assert client.post(f"/do/{job}", data={name: said, "printer": "P"}).status_code == 422, (job, name)


def test_what_is_written_is_never_asked_for_as_a_file() -> None:
    for key in texts()["job"]:
        form = job_form(key)
        assert not {asked.name for asked in form.fields} & {*form.makes, *form.wishes}, key


def test_several_can_be_chosen_where_a_command_takes_several(client: TestClient, desk: Desk) -> None:
    files = {"picture-new": ("p.png", b"png"), "papers-new": ("p.icc", b"icc")}
    client.post("/do/preview", data={"intents": ["relative", "perceptual"]}, files=files)
    words = next(desk.work.all()).job.words
    arguments = build_parser(words).parse_args(words)
    assert arguments.intents == ["relative", "perceptual"]


def test_the_source_of_a_link_is_a_file_and_no_instrument() -> None:
    kinds = {asked.name: (asked.kind, asked.sort) for asked in job_form("link").fields}
    assert kinds["source"] == kinds["target"] == ("file", "profile readings")


def test_every_question_begins_with_something_to_do() -> None:
    assert all(question.steps for question in questions())

"""The desk's pages and addresses."""

import asyncio
import contextlib
import json
import urllib.parse
from collections.abc import AsyncIterator, Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime
from importlib import resources
from pathlib import Path, PurePosixPath

from starlette.applications import Starlette
from starlette.datastructures import FormData, UploadFile
from starlette.requests import Request
from starlette.responses import (
    FileResponse,
    HTMLResponse,
    JSONResponse,
    PlainTextResponse,
    RedirectResponse,
    Response,
    StreamingResponse,
)
from starlette.routing import Route
from starlette.types import ASGIApp

from spectro.desk.fields import Asked
from spectro.desk.forms import JobForm, Offer, job_form, parsed, questions, shown_words, split_words, words_of
from spectro.desk.guard import Guard, TooMuch
from spectro.desk.live_sitting import ASIDE, SAID_ASIDE
from spectro.desk.pages import missing, page, palette, refused, too_large
from spectro.desk.processes import Processes
from spectro.desk.shelf_view import READ, conditions, entry_file, entry_path, known_files, listed, time_strip
from spectro.desk.texts import word
from spectro.desk.warm import Warm
from spectro.desk.work_folder import IN, OUT, Job, Work, WorkFolder, read_json, safe_name, write_json
from spectro.errors import InputError, SpectroError
from spectro.records.chart_origin import CHART_FILE

_MOST_FILES = 200
_TICK = 0.25
_CHUNK = 1 << 20
INCOMING = "incoming"
_EXAMPLE = "driver_example.txt"
_SCRIPTS = {"desk.js": "text/javascript", "desk.css": "text/css", _EXAMPLE: "text/plain"}
_PICTURES = {".png": "image/png"}


@dataclass(frozen=True, slots=True)
class Desk:
    """What the pages are made from."""

    shelf: Path
    work: WorkFolder
    processes: Processes
    incoming: Path  # where an instrument's program writes, chosen by the person who began the desk
    warm: Warm = field(default_factory=Warm)


def application(desk: Desk, token: str, hosts: tuple[str, ...]) -> ASGIApp:
    """Return the desk as an ASGI application, guarded."""

    @contextlib.asynccontextmanager
    async def alive(app: Starlette) -> AsyncIterator[None]:
        ticking = asyncio.create_task(_tick(desk))
        try:
            yield
        finally:
            ticking.cancel()
            await asyncio.to_thread(desk.warm.end)
            await asyncio.to_thread(desk.processes.end)

    app = Starlette(
        routes=[
            Route("/", _home),
            Route("/alive", lambda request: PlainTextResponse("alive")),
            Route("/ask/{key}", _question),
            Route("/do/{key}", _form),
            Route("/do/{key}", _begin, methods=["POST"]),
            Route("/preview/{key}", _preview, methods=["POST"]),
            Route("/work", _all_work),
            Route("/work/{id}", _work),
            Route("/work/{id}/page", _report),
            Route("/work/{id}/events", _events),
            Route("/work/{id}/stop", _stop, methods=["POST"]),
            Route("/work/{id}/answer", _answer, methods=["POST"]),
            Route("/work/{id}/aside", _aside, methods=["POST"]),
            Route("/work/{id}/{part}/{path:path}", _file),
            Route("/condition/{name}", _condition),
            Route("/condition/{name}/{entry}", _entry),
            Route("/driver", _driver),
            Route("/kept/{file}", _script),
        ],
        lifespan=alive,
        exception_handlers={SpectroError: refused, TooMuch: too_large, 404: missing},
    )
    app.router.redirect_slashes = False  # a path is what it is
    app.state.desk = desk
    return Guard(app, token, hosts)


async def _tick(desk: Desk) -> None:
    """Start work as room comes free."""
    while True:
        with contextlib.suppress(OSError):
            await asyncio.to_thread(desk.processes.start_waiting)
        await asyncio.sleep(_TICK)


def _desk(request: Request) -> Desk:
    desk: Desk = request.app.state.desk
    return desk


def _home(request: Request) -> Response:
    desk = _desk(request)
    work = list(desk.work.all(60))
    return page(
        "home",
        title=word("home_title"),
        questions=questions(),
        conditions=conditions(listed(desk.shelf), desk.shelf),
        open_work=[one for one in work if not one.ended],
        recent=[one for one in work if one.ended][:6],
        title_of=_title_of,
        nothing=not work,
    )


def _question(request: Request) -> Response:
    found = next((one for one in questions() if one.key == request.path_params["key"]), None)
    if found is None:
        raise InputError("no such question", "one of the first page", "Go back to it.")
    steps = [(job_form(job), why) for job, why in found.steps]
    return page("question", title=found.title, question=found, steps=steps)


def _form(request: Request) -> Response:
    form = job_form(request.path_params["key"])
    given = {name: request.query_params.getlist(name) for name in request.query_params}
    given = {name: [value] for name, value in form.given.items()} | given
    return _form_page(_desk(request), form, given)


def _form_page(desk: Desk, form: JobForm, given: dict[str, list[str]], error: str = "", status: int = 200) -> HTMLResponse:
    sorts = {asked.name: asked.sort for asked in form.fields if asked.kind in ("file", "either")}
    shelf = listed(desk.shelf)
    known = known_files(shelf, desk.work)
    return page(
        "form",
        status=status,
        title=form.title,
        form=form,
        given=given,
        error=error,
        conditions=conditions(shelf),
        choices={name: [one for one in known if one.fits(sort)] for name, sort in sorts.items()},
        incoming=desk.incoming,
        growing=sorted(path.name for path in desk.incoming.iterdir() if path.is_file()) if desk.incoming.is_dir() else [],
    )


async def _begin(request: Request) -> Response:
    """Take a form that was sent and begin the work it asks for."""
    desk, form = _desk(request), job_form(request.path_params["key"])
    name, folder = desk.work.new()
    try:
        async with request.form(max_files=_MOST_FILES, max_fields=2000) as sent:
            values, inputs = await _taken(desk, form, sent, folder)
        wishes = values.pop("wish", [])
        words = words_of(form, values, desk.shelf, wishes)
    except InputError as error:
        desk.work.drop(name)
        given = {key: [str(value) for value in sent.getlist(key) if isinstance(value, str)] for key in sent}
        return _form_page(desk, form, given, str(error), 422)
    except BaseException:
        desk.work.drop(name)
        raise
    job = Job(
        job=form.key,
        words=words,
        shown=("spectro", *shown_words(words, desk.shelf)),
        asked=datetime.now(UTC).isoformat(timespec="seconds"),
        inputs=(*inputs, *_plain_values(form, values, wishes)),
    )
    desk.work.begin(name, job)
    await asyncio.to_thread(desk.processes.start_waiting)
    return RedirectResponse(f"/work/{name}", 303)


async def _preview(request: Request) -> Response:
    """Say what a chart would be, with its picture, while its form is filled in."""
    desk, form = _desk(request), job_form(request.path_params["key"])
    if form.command != ("chart", "new"):
        raise InputError("a preview of that", "a chart's", "Go back.")
    async with request.form(max_files=0, max_fields=200) as sent:
        values = {
            asked.name: [str(value) for value in sent.getlist(asked.name)] for asked in form.fields if asked.kind != "file"
        }
    answer = await asyncio.to_thread(desk.warm.ask, words_of(form, values, desk.shelf, ()))
    words = form.plain(answer.get("message", ""))
    if answer.get("patches"):
        words = word("planned", **answer)
    return JSONResponse({**answer, "words": words})


def _plain_values(form: JobForm, values: dict[str, list[str]], wishes: list[str]) -> Iterator[tuple[str, str]]:
    """Yield what was sent but files, so that the form can be filled in the same way again."""
    for asked in form.fields:
        if asked.kind not in ("file", "either"):
            yield from ((asked.name, value) for value in values.get(asked.name, ()) if value)
    yield from (("wish", wish) for wish in wishes)


async def _taken(desk: Desk, form: JobForm, sent: FormData, folder: Path) -> tuple[dict[str, list[str]], list[tuple[str, str]]]:
    """Return the values of a sent form by argument, files as paths, and which file was given for what."""
    values: dict[str, list[str]] = {"wish": [str(value) for value in sent.getlist("wish")]}
    inputs: list[tuple[str, str]] = []
    for asked in form.fields:
        said = [value.strip() for value in sent.getlist(asked.name) if isinstance(value, str) and value.strip()]
        if asked.kind == "place":
            values[asked.name] = [str(desk.incoming)]
        elif asked.kind == "incoming":
            values[asked.name] = [_source(desk, value) for value in said]
        elif asked.kind == "condition":
            values[asked.name] = [_no_path(value, asked) for value in said]
        elif asked.kind in ("file", "either"):
            values[asked.name] = []
            for value in said:
                values[asked.name] += _file_or_words(desk, asked, value)
                inputs.append((asked.name, value))
            for place in await _kept(sent, f"{asked.name}-new", folder):
                values[asked.name].append(str(place))
                inputs.append((asked.name, f"work:{folder.name}/{IN}/{place.name}"))
        else:
            values[asked.name] = said
    return values, inputs


def _file_or_words(desk: Desk, asked: Asked, value: str) -> list[str]:
    """Return what a field that takes files, or words instead of one, was given: a path, or the words."""
    if asked.kind == "file" or value.startswith(("work:", "shelf:")):
        return [str(resolved(desk, value))]
    words = split_words(value) if asked.many else [value]
    return [_no_path(word, asked) for word in words]


def _no_path(value: str, asked: Asked) -> str:
    """Return words as they are. Raises InputError for what could name a file of this machine: no page may."""
    if "/" in value or "\\" in value or value.startswith((".", "~")) or Path(value).suffix.lower() in READ:
        raise InputError(f"{value!r} for “{asked.label}”", "a name, or a file that you choose", "Choose the file itself.")
    return value


async def _kept(sent: FormData, name: str, folder: Path) -> list[Path]:
    """Keep the files that were sent up for a field and return their places."""
    places = []
    for upload in sent.getlist(name):
        if isinstance(upload, UploadFile) and upload.filename:
            place = folder / IN / safe_name(upload.filename, (path.name for path in (folder / IN).iterdir()))
            await _keep(upload, place)
            places.append(place)
    return places


def _source(desk: Desk, said: str) -> str:
    """Return what readings come from: a port, or the path of a file in the folder that is there for it."""
    said = said.strip()
    if said.startswith("serial:"):
        return said
    if not said or said in (".", "..") or Path(said).name != said or "\\" in said:
        raise InputError(
            f"{said!r} to read from", f"a file in {desk.incoming}, or serial:PORT",
            "Let the instrument's program write there, and choose the file.",
        )  # fmt: skip
    path = desk.incoming / said
    if path.is_symlink() or not path.is_file():
        raise InputError(f"no file {said!r} in {desk.incoming}", "one that is there", "Let the instrument's program write it.")
    return str(path)


async def _keep(upload: UploadFile, place: Path) -> None:
    with place.open("wb") as file:
        while chunk := await upload.read(_CHUNK):
            file.write(chunk)


def resolved(desk: Desk, reference: str) -> Path:
    """Return the path that a reference of ours stands for: work:ID/in/NAME, work:ID/out/NAME or shelf:CONDITION/ENTRY.

    Raises InputError for anything else: no page can name a file of the machine.
    """
    place, _, rest = reference.partition(":")
    parts = rest.split("/", 2)
    if place == "work" and len(parts) == 3:
        return desk.work.file(*parts)
    if place == "shelf" and len(parts) == 2:
        return entry_path(desk.shelf, *parts)
    raise InputError(f"the file {reference!r}", "one that the desk lists, or one that you choose", "Choose another.")


def _title_of(work: Work) -> str:
    try:
        return job_form(work.job.job).title
    except InputError:
        return work.job.job


def _all_work(request: Request) -> Response:
    return page("all_work", title=word("work_title"), work=list(_desk(request).work.all()), title_of=_title_of)


def _work(request: Request) -> Response:
    desk = _desk(request)
    work = desk.work.find(request.path_params["id"])
    form = job_form(work.job.job)
    sitting = work.job.words[:2] == ("readings", "take")
    made = work.files(OUT)
    return page(
        "work",
        title=form.title,
        form=form,
        work=work,
        made=made,
        has_chart=any(PurePosixPath(file).name == CHART_FILE for file in made),
        given=work.files(IN),
        offers=_offers(desk, form, work) if work.ended else [],
        again=f"{form.address}?{_again(work)}",
        message=form.plain(work.message),
        verdict=str(work.answer.get("verdict", "")),
        sitting=sitting,
        live=read_json(work.folder / "live.json") if sitting else {},
        by_lines=sitting and any(word.startswith("--from") for word in work.job.words),
        pictures=[name for name in made if Path(name).suffix in _PICTURES][:3],
    )


def _again(work: Work) -> str:
    return urllib.parse.urlencode(list(work.job.inputs))


def _offer_address(offer: Offer, work: Work) -> str:
    """Return the form of the next job with what this one made already filled in."""
    filled: list[tuple[str, str]] = []
    for name, source in offer.fill.items():
        kind, _, what = source.partition(":")
        if kind == "in":
            filled += [(name, reference) for argument, reference in work.job.inputs if argument == what]
        elif kind == "answer":
            filled += [(name, str(work.answer[what]))] if what in work.answer else []
        elif (work.folder / OUT).is_dir():
            for found in sorted((work.folder / OUT).glob(what)):
                filled.append((name, f"work:{work.id}/{OUT}/{found.relative_to(work.folder / OUT).as_posix()}"))
    return _filled_in(offer.job, filled, work)


def _filled_in(job: str, filled: list[tuple[str, str]], work: Work) -> str:
    """Return the address of a job's form, filled in, for the same printing condition on the shelf."""
    shelf = next((value for name, value in work.job.inputs if name == "on_shelf"), "")
    if shelf and "on_shelf" not in dict(filled) and any(asked.name == "on_shelf" for asked in job_form(job).fields):
        filled = [*filled, ("on_shelf", shelf)]
    return f"/do/{job}" + (f"?{urllib.parse.urlencode(filled)}" if filled else "")


def _from_before(desk: Desk, work: Work, name: str) -> list[str]:
    """Return what the work that made this one's files was given for an argument: the profile that a page was made through."""
    for _, reference in work.job.inputs:
        place, _, rest = reference.partition(":")
        if place == "work":
            with contextlib.suppress(SpectroError):
                found = [value for argument, value in desk.work.find(rest.partition("/")[0]).job.inputs if argument == name]
                if found:
                    return found
    return []


def _told_next(desk: Desk, work: Work) -> list[tuple[Offer, str]]:
    """Return the command that the work itself names as the next one, as a form filled in as far as its files are known."""
    found = parsed(str(work.answer.get("next", "")))
    if found is None:
        return []
    key, values = found
    here = {Path(name).name: f"work:{work.id}/{part}/{name}" for part in (IN, OUT) for name in work.files(part)}
    here |= {path.name: f"work:{work.id}/{OUT}/{path.name}" for path in (work.folder / OUT).iterdir() if path.is_dir()}
    here |= {reference.rpartition("/")[2]: reference for _, reference in work.job.inputs if ":" in reference}
    filled = []
    for asked in job_form(key).fields:
        for value in values.get(asked.name, ()):
            if asked.kind in ("file", "either") and (asked.kind == "file" or Path(value).name in here):
                value = here.get(Path(value).name, "")
            if value and not value.isupper():
                filled.append((asked.name, value))
        if asked.needed and asked.name not in dict(filled):
            filled += [(asked.name, value) for value in _from_before(desk, work, asked.name)]
    return [(Offer(job=key, words=job_form(key).title), _filled_in(key, filled, work))]


def _offers(desk: Desk, form: JobForm, work: Work) -> list[tuple[Offer, str]]:
    """Return what can come next: what the work itself names, where that is not among the usual offers, goes first."""
    usual = [(offer, _offer_address(offer, work)) for offer in form.offers]
    jobs = {offer.job for offer in form.offers}
    return [*(one for one in _told_next(desk, work) if one[0].job not in jobs), *usual]


def _report(request: Request) -> Response:
    work = _desk(request).work.find(request.path_params["id"])
    if not work.has_page:
        raise InputError("no report", "work that has ended with one", "Go back to it.")
    return FileResponse(work.folder / "page.html", media_type="text/html; charset=utf-8")


async def _events(request: Request) -> Response:
    """Send how work stands, as it changes, until it ends."""
    desk, name = _desk(request), request.path_params["id"]
    desk.work.find(name)

    async def told() -> AsyncIterator[str]:
        last = ""
        while not await request.is_disconnected():
            work = await asyncio.to_thread(desk.work.find, name)
            live = read_json(work.folder / "live.json")
            state = {"state": work.state, "what": work.progress, "done": work.fraction, "ended": work.ended, "live": live}
            text = json.dumps(state, ensure_ascii=False)
            if text != last:
                yield f"data: {text}\n\n"
                last = text
            if work.ended:
                return
            await asyncio.sleep(0.1 if live else _TICK)

    return StreamingResponse(told(), media_type="text/event-stream")


async def _stop(request: Request) -> Response:
    desk, name = _desk(request), request.path_params["id"]
    await asyncio.to_thread(desk.processes.call_off, name)
    return RedirectResponse(f"/work/{name}", 303)


async def _answer(request: Request) -> Response:
    """Hand a person's answer to a sitting."""
    work = _desk(request).work.find(request.path_params["id"])
    async with request.form() as sent:
        answer, number = str(sent.get("answer", "")), str(sent.get("number", ""))
    if not number.isdecimal() or len(number) > 9:
        raise InputError("an answer without its question", "a button of the sitting", "Press one.")
    write_json(work.folder / f"answer-{number}.json", {"answer": answer})
    if "application/json" in request.headers.get("accept", ""):
        return PlainTextResponse("taken")
    return RedirectResponse(f"/work/{work.id}", 303)


async def _aside(request: Request) -> Response:
    """Hand a sitting what a person says between readings."""
    work = _desk(request).work.find(request.path_params["id"])
    async with request.form() as sent:
        said = str(sent.get("said", ""))
    if said not in SAID_ASIDE or work.ended:
        raise InputError("nothing that a sitting takes", "a button of a sitting that runs", "Go back to it.")
    with (work.folder / ASIDE).open("ab") as file:
        file.write(f"{said}\n".encode())
    if "application/json" in request.headers.get("accept", ""):
        return PlainTextResponse("taken")
    return RedirectResponse(f"/work/{work.id}", 303)


def _file(request: Request) -> Response:
    """Send a file that was given or made: a picture to be looked at, all else to be kept."""
    name, part, path = (request.path_params[key] for key in ("id", "part", "path"))
    found = _desk(request).work.file(name, part, path)
    if not found.is_file():
        raise InputError(f"no file {path!r} in this work", "one that it lists", "Go back to it.")
    if found.suffix in _PICTURES and "keep" not in request.query_params:
        return FileResponse(found, media_type=_PICTURES[found.suffix])
    return FileResponse(found, filename=found.name, media_type="application/octet-stream")


def _condition(request: Request) -> Response:
    found = time_strip(_desk(request).shelf, request.path_params["name"])
    return page("condition", title=found.title, strip=found)


def _entry(request: Request) -> Response:
    path, name = entry_file(_desk(request).shelf, request.path_params["name"], request.path_params["entry"])
    return FileResponse(path, filename=name, media_type="application/octet-stream")


def _driver(request: Request) -> Response:
    """Show how somebody with an instrument's own library makes a driver of it."""
    example = resources.files("spectro.desk").joinpath(_EXAMPLE).read_text("utf-8")
    return page("driver", title=word("driver_title"), example=example)


def _script(request: Request) -> Response:
    name = request.path_params["file"]
    if name not in _SCRIPTS:
        raise InputError(f"no file {name!r}", "one of the desk's", "Go back.")
    text = resources.files("spectro.desk").joinpath(name).read_text("utf-8")
    if name.endswith(".css"):
        text = palette() + text
    return Response(text, media_type=_SCRIPTS[name])

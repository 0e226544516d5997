"""The site of many records: lists, comparisons, and the page of each record.

It only reads, but for the word of a supervisor where it was started with their key.
"""

import logging
import re
from collections.abc import Awaitable, Callable
from math import ceil
from urllib.parse import urlencode

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp

from handsfree.errors import HandsfreeError
from handsfree.index import asking, runs
from handsfree.index.asking import MOST_MATCHES, ON_A_PAGE, Order
from handsfree.index.collection import Collection
from handsfree.index.drawing import BOX_WIDTH, COURSE_HEIGHT, COURSE_WIDTH, boxes, course
from handsfree.index.exporting import Table, content_of
from handsfree.index.filters import Filters, NotAsked
from handsfree.index.in_place import in_place
from handsfree.index.one_record import page_of_record, sound_of_record
from handsfree.index.rendering import POLICY, render, style
from handsfree.index.store import Cursor
from handsfree.index.tables import BAD, RecordRow
from handsfree.index.word_given import Reviewer, read_form
from handsfree.serving.access import POLICY as POLICY_HEADER
from handsfree.serving.access import Guard
from handsfree.task.limits.forms import Verdict

LIST = "list"  # how it is called to whoever may not read it
_WORD, _WORD_PATH = "/record/{id:str}/word", re.compile("/record/[0-9a-f]+/word")
_MOST_PAGES = 100_000
_FORMS = {"csv": "text/csv", "parquet": "application/vnd.apache.parquet"}
_NOT_SOUND = tuple(each.value for each in BAD)
_diagnostics = logging.getLogger(__name__)
_Answer = Callable[[Request], Response]


def index_site(
    collection: Collection,
    token: str | None,
    names: tuple[str, ...] = (),
    reviewer: Reviewer | None = None,
) -> ASGIApp:
    """The ASGI application. With `token` None, everybody who can reach it can read it.

    With a `reviewer` a word of theirs is taken too, and never without the token.
    """
    pages = _Pages(collection, reviewer)
    routes = {
        "/": pages.all_records,
        "/act": pages.to_act_on,
        "/runs": pages.side_by_side,
        "/index.css": lambda _: Response(style(), media_type="text/css"),
        "/record/{id:str}": pages.record,
        "/record/{id:str}/{clip:str}.flac": pages.sound,
        "/export/{table:str}.{form:str}": pages.export,
    }
    forms = [] if reviewer is None else [Route(_WORD, pages.word, methods=["POST"])]
    reads = [Route(path, pages.answering(does)) for path, does in routes.items()]
    site = Starlette(routes=[*forms, *reads])
    site.router.redirect_slashes = False  # it would repeat what the reader wrote as the host
    taken = None if reviewer is None else _WORD_PATH
    return Guard(site, LIST, POLICY, token, names, taken)


class _Pages:
    """What is answered to each address."""

    def __init__(self, collection: Collection, reviewer: Reviewer | None) -> None:
        self._collection = collection
        self._reviewer = reviewer

    def answering(self, does: _Answer) -> Callable[[Request], Awaitable[Response]]:
        """The answer, made beside the server; what is wrong is told on a page of its own."""

        async def answer(request: Request) -> Response:
            try:
                return await run_in_threadpool(does, request)
            except NotAsked as error:
                return self._message(400, "That cannot be asked", str(error))
            except HandsfreeError as error:
                return self._message(409, "This record cannot be shown", str(error))
            except HTTPException:
                return self._message(404, "There is no such page", "It may have been removed.")
            except Exception as error:
                # What one record holds, made by whoever it was, is told and ends nothing else.
                _diagnostics.exception("%s cannot be answered", request.url.path)
                why = f"handsfree itself failed at it ({type(error).__name__}: {error})."
                return self._message(500, "This page cannot be made", why)

        return answer

    def all_records(self, request: Request) -> Response:
        """The list, and what matches the filters in the records."""
        filters = Filters.asked(request.query_params)
        order, page = _order(request), _page(request)
        with self._collection.ask() as ask:
            return self._shown(
                "list",
                "/",
                filters,
                listed=(listed := asking.records(ask, filters, order, page)),
                tool_steps=asking.steps_with_tool(ask, filters) if filters.tool else None,
                said=asking.utterances(ask, filters) if filters.said else None,
                findings=asking.findings(ask, filters) if filters.finding else None,
                choices=asking.choices(ask),
                order=order.value,
                orders=[each.value for each in Order],
                page=page,
                pages=ceil(listed.count / ON_A_PAGE),
                with_page=lambda at: _address(filters, order=order.value, page=str(at)),
                not_sound=_NOT_SOUND,
                inside=Verdict.INSIDE.value,
                most=MOST_MATCHES,
            )

    def to_act_on(self, request: Request) -> Response:
        """Open findings, unfinished work, and records that cannot be relied on."""
        filters = Filters.asked(request.query_params)
        with self._collection.ask() as ask:
            act = asking.to_act_on(ask, filters)
            choices = asking.choices(ask)
        return self._shown("act", "/act", filters, act=act, choices=choices, most=MOST_MATCHES)

    def side_by_side(self, request: Request) -> Response:
        """The runs of one task, or the list of tasks where none is named."""
        filters = Filters.asked(request.query_params)
        with self._collection.ask() as ask:
            tasks = runs.tasks(ask)
            if not filters.task:
                return self._shown(
                    "tasks",
                    "/runs",
                    filters,
                    tasks=tasks,
                    most=runs.MOST_TASKS,
                    of_task=lambda task, revision: _address(filters, task=task, revision=revision),
                )
            return self._compared(ask, filters, tasks)

    def _compared(self, ask: Cursor, filters: Filters, tasks: asking.Rows) -> Response:
        found = runs.compared(ask, filters)
        titles = [each["title"] for each in tasks if each["task"] == filters.task]
        return self._shown(
            "runs",
            "/runs",
            filters,
            compared=found,
            drawn=boxes(found.spreads),
            courses=[course(each) for each in found.courses],
            title=titles[0] if titles else filters.task,
            choices=asking.choices(ask),
            box_width=BOX_WIDTH,
            width=COURSE_WIDTH,
            height=COURSE_HEIGHT,
        )

    def record(self, request: Request) -> Response:
        """The page of one record, made from the record as it is now."""
        page = page_of_record(self._collection, self._found(request), self._reviewer)
        told = {POLICY_HEADER: f"{page.policy}; frame-ancestors 'none'"}
        if self._reviewer is not None:
            # Under "no-referrer" a browser hides the origin of a form (Fetch, 3.2), which we ask.
            told["Referrer-Policy"] = "same-origin"
        return HTMLResponse(page.html, headers=told)

    async def word(self, request: Request) -> Response:
        """Put a supervisor's word on a record, and lead back to its page."""
        try:
            kind = request.headers.get("content-type", "")
            sent = await read_form(kind, request.stream())
            return await run_in_threadpool(self._give, request, sent)
        except HandsfreeError as error:
            return self._message(409, "Your word was not written", str(error))
        except HTTPException:
            return self._message(404, "There is no such record", "It may have been removed.")

    def _give(self, request: Request, sent: dict[str, str]) -> Response:
        assert self._reviewer is not None, "else there is no such address"
        found = self._found(request)
        with in_place(self._collection.root, found.place) as folder:
            self._reviewer.give(found.id, folder, sent, self._collection.trust)
        self._collection.look()
        return RedirectResponse(f"/record/{found.id}#word", 303)

    def _found(self, request: Request) -> RecordRow:
        with self._collection.ask() as ask:
            found = ask.record(request.path_params["id"])
        if found is None:
            raise HTTPException(404)
        return found

    def sound(self, request: Request) -> Response:
        """A clip of a record, where it is what was heard."""
        found = self._found(request)
        content = sound_of_record(self._collection, found, request.path_params["clip"])
        if content is None:
            raise HTTPException(404)
        return Response(content, media_type="audio/flac")

    def export(self, request: Request) -> Response:
        """A table of the records that the filters leave."""
        name, form = request.path_params["table"], request.path_params["form"]
        table = next((each for each in Table if each.value == name), None)
        if table is None or form not in _FORMS:
            raise HTTPException(404)
        filters = Filters.asked(request.query_params)
        with self._collection.ask() as ask:
            content = content_of(ask, table, filters, form)
        told = {"Content-Disposition": f'attachment; filename="{table.value}.{form}"'}
        return Response(content, media_type=_FORMS[form], headers=told)

    def _shown(self, name: str, here: str, filters: Filters, **shown: object) -> HTMLResponse:
        return HTMLResponse(render(name, here=here, filters=filters, **self._about(), **shown))

    def _message(self, status: int, head: str, text: str) -> Response:
        shown = render("message", here="", filters=Filters(), **self._about(), head=head, text=text)
        return HTMLResponse(shown, status)

    def _about(self) -> dict[str, object]:
        looked = self._collection.looked
        assert looked is not None, "it is looked at before it is served"
        return {
            "root": str(self._collection.root),
            "looked_at": looked.at.strftime("%Y-%m-%d at %H:%M:%S"),
            "indexed": looked.indexed,
        }


def _order(request: Request) -> Order:
    given = request.query_params.get("order", "") or Order.NEWEST.value
    found = next((each for each in Order if each.value == given), None)
    if found is None:
        known = ", ".join(each.value for each in Order)
        raise NotAsked("order", given, f"is none of: {known}.")
    return found


def _page(request: Request) -> int:
    given = request.query_params.get("page", "") or "0"
    if not (given.isascii() and given.isdigit() and len(given) < 7 and int(given) < _MOST_PAGES):
        raise NotAsked("page", given, f"is no page. Write a number below {_MOST_PAGES}.")
    return int(given)


def _address(filters: Filters, **more: str) -> str:
    """The same filters, and more or others, as a part of an address."""
    given = {name: getattr(filters, name) for name in Filters.__dataclass_fields__} | more
    return urlencode({name: text for name, text in given.items() if text})

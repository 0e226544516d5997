"""The site of the board: one page, its style and script, and the stream of views."""

from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import aclosing
from importlib.resources import files

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response, StreamingResponse
from starlette.routing import Route
from starlette.types import ASGIApp

from handsfree.board.feed import Feed, Update
from handsfree.serving.access import Guard

BEAT_S = 2.0  # the page takes the connection for lost after `LOST_AFTER_MS`, see board.js
MOST_STREAMS = 16  # each costs a task and a socket; far more than people around a stand

BOARD = "board"  # how it is called to whoever may not read it

# No inline script or style, and nothing from elsewhere. Trusted Types turn any way to write markup
# from script into an error: all text stays text.
_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'; "
    "require-trusted-types-for 'script'; trusted-types 'none'"
)
_ASSETS = {
    "/": ("board.html", "text/html"),
    "/board.css": ("board.css", "text/css"),
    "/board.js": ("board.js", "text/javascript"),
}


def board_site(feed: Feed, token: str | None, names: tuple[str, ...] = ()) -> ASGIApp:
    """The ASGI application. With `token` None, everybody who can reach it can read it."""

    async def events(_request: Request) -> Response:
        if feed.readers >= MOST_STREAMS:
            return PlainTextResponse("Too many boards are open. Close one.\n", 503)
        return StreamingResponse(_stream(feed), media_type="text/event-stream")

    routes = [Route(path, _asset(*asset)) for path, asset in _ASSETS.items()]
    site = Starlette(routes=[*routes, Route("/events", events)])
    site.router.redirect_slashes = False  # it would repeat what the reader wrote as the host
    return Guard(site, BOARD, _POLICY, token, names)


def _asset(name: str, media_type: str) -> Callable[[Request], Awaitable[Response]]:
    content = files("handsfree.board").joinpath("page", name).read_bytes()

    async def serve(_request: Request) -> Response:
        return Response(content, media_type=media_type)

    return serve


async def _stream(feed: Feed) -> AsyncIterator[str]:
    yield "retry: 1000\n\n"
    async with aclosing(feed.follow(BEAT_S)) as updates:
        async for update in updates:
            yield as_event(update)


def as_event(update: Update) -> str:
    """One server-sent event, as the HTML standard words it (section 9.2).

    The JSON is on one line, so that it is one `data` field.
    """
    if update.view is None:
        # A comment would keep the connection alive, but the script cannot see it.
        return "event: beat\ndata: -\n\n"
    return f"id: {update.number}\ndata: {update.view}\n\n"

"""The site: who may read it, what it answers, and that nothing in it can act."""

import asyncio
import json
from dataclasses import replace

import pytest
from starlette.testclient import TestClient
from starlette.types import Message, Scope

from handsfree.board.feed import Feed, Update
from handsfree.board.live import view_as_json
from handsfree.board.site import MOST_STREAMS, as_event, board_site
from handsfree.serving.access import is_own_name, new_token
from tests.board.following import at

HERE = "http://127.0.0.1:8347"
TOKEN = "a-token-for-this-test"

EVENTS: Scope = {
    "type": "http",
    "method": "GET",
    "path": "/events",
    "query_string": b"",
    "headers": [(b"host", b"127.0.0.1")],
    "server": ("127.0.0.1", 8347),
}


def client(token: str | None = None, feed: Feed | None = None, base_url: str = HERE) -> TestClient:
    site = board_site(feed or Feed(), token)
    return TestClient(site, base_url=base_url, follow_redirects=False)


def feed_of(*views: str) -> Feed:
    """A feed that has ended, so that its stream ends too."""
    feed = Feed()
    for view in views:
        feed.publish(view)
    feed.close()
    return feed


# The stream of views, as the HTML standard describes it (section 9.2, server-sent events).


def test_the_stream_begins_with_the_present_view() -> None:
    answer = client(feed=feed_of('{"step":1}', '{"step":2}')).get("/events")
    assert answer.status_code == 200
    assert answer.headers["content-type"].partition(";")[0] == "text/event-stream"
    assert answer.text == 'retry: 1000\n\nid: 2\ndata: {"step":2}\n\n'


def test_a_sign_of_life_is_an_event_that_a_page_can_see() -> None:
    assert as_event(Update(7, None)) == "event: beat\ndata: -\n\n"


def test_a_view_is_one_line_whatever_is_in_it() -> None:
    view = replace(at().view, instruction="one\n\ndata: two\r\n\u2028id: 9")
    text = view_as_json(view)
    assert len(text.splitlines()) == 1
    assert json.loads(text)["instruction"] == "one data: two id: 9"


def test_what_turns_the_direction_of_a_text_is_written_out() -> None:
    """Unicode Standard Annex 9: U+202E overrides the direction, and could turn 12 into 21."""
    shown = json.loads(view_as_json(replace(at().view, instruction="torque \u202e12")))
    assert shown["instruction"] == "torque \\u202e12"


def test_markup_in_a_task_goes_out_as_text() -> None:
    """The page puts it in as text, which `test_browser.py` looks at; no route serves it as HTML."""
    hostile = "</script><script>alert(1)</script>"
    feed = feed_of(view_as_json(replace(at().view, instruction=hostile)))
    assert json.loads(client(feed=feed).get("/events").text.split("data: ")[1])["instruction"] == (
        hostile
    )
    for path in ("/", "/board.js", "/board.css"):
        assert hostile not in client(feed=feed).get(path).text


def test_a_slow_page_holds_up_nobody_and_then_gets_the_latest_view() -> None:
    """Back-pressure: while a page takes nothing, nothing is made for it and nothing is kept."""

    async def read() -> tuple[list[str], int]:
        feed = Feed()
        feed.publish("first")
        sent: list[str] = []
        taken = asyncio.Event()
        stuck = asyncio.Event()

        async def send(message: Message) -> None:
            body = message.get("body", b"").decode()
            if body:
                sent.append(body)
            if "first" in body:
                stuck.set()
                await taken.wait()

        async def receive() -> Message:
            await asyncio.Event().wait()
            raise AssertionError

        request = asyncio.ensure_future(board_site(feed, None)(EVENTS, receive, send))
        await stuck.wait()
        for number in range(1000):
            feed.publish(f"view {number}")
        while_stuck = len(sent)
        feed.close()
        taken.set()
        await request
        return sent, while_stuck

    sent, while_stuck = asyncio.run(read())
    assert while_stuck == 2  # the time to try again after a loss, and the first view
    assert sent[2:] == ["id: 1001\ndata: view 999\n\n"]


def test_a_page_that_leaves_is_forgotten() -> None:
    async def read() -> tuple[int, int]:
        feed = Feed()
        leaves = asyncio.Event()
        during: list[int] = []

        async def send(message: Message) -> None:
            if b"first" in message.get("body", b""):
                during.append(feed.readers)
                leaves.set()

        async def receive() -> Message:
            await leaves.wait()
            return {"type": "http.disconnect"}

        feed.publish("first")
        await board_site(feed, None)(EVENTS, receive, send)
        return during[0], feed.readers

    assert asyncio.run(read()) == (1, 0)


def test_there_is_an_end_to_the_number_of_boards() -> None:
    class Full(Feed):
        readers = MOST_STREAMS

    answer = client(feed=Full()).get("/events")
    assert (answer.status_code, answer.text) == (503, "Too many boards are open. Close one.\n")


# Who may read it.


@pytest.mark.parametrize("path", ["/", "/board.js", "/board.css", "/events"])
def test_nothing_is_read_without_the_token_where_one_is_needed(path: str) -> None:
    answer = client(TOKEN, feed_of("{}")).get(path)
    assert answer.status_code == 403
    assert answer.text == (
        "The board needs its token. Open the whole address that handsfree printed.\n"
    )


@pytest.mark.parametrize("given", ["", "wrong", TOKEN[:-1], TOKEN + "x", "\u00e9"])
def test_another_token_is_refused(given: str) -> None:
    reader = client(TOKEN)
    assert reader.get("/", params={"token": given}).status_code == 403
    assert not reader.cookies


def test_the_token_opens_the_board_once_and_moves_into_a_cookie() -> None:
    reader = client(TOKEN, feed_of("{}"))
    answer = reader.get("/", params={"token": TOKEN})
    assert (answer.status_code, answer.headers["location"]) == (303, "/")
    cookie = answer.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=lax" in cookie
    assert reader.get("/").status_code == 200
    assert reader.get("/events").status_code == 200


def test_the_token_leads_to_the_board_and_nowhere_else() -> None:
    """CWE-601: a path of two slashes would lead to another host."""
    answer = client(TOKEN).get(f"{HERE}//evil.example/?token={TOKEN}")
    assert answer.headers["location"] == "/"


def test_two_boards_on_one_machine_do_not_take_each_others_cookie() -> None:
    names = {
        client(TOKEN, base_url=f"http://10.0.0.5:{port}")
        .get("/", params={"token": TOKEN})
        .headers["set-cookie"]
        .partition("=")[0]
        for port in (8347, 8348)
    }
    assert len(names) == 2


def test_a_token_has_128_random_bits() -> None:
    """16 bytes in base64url without padding (RFC 4648, section 5) are 22 characters."""
    tokens = {new_token() for _ in range(100)}
    assert len(tokens) == 100
    assert {len(token) for token in tokens} == {22}


@pytest.mark.parametrize("method", ["POST", "PUT", "PATCH", "DELETE", "HEAD", "OPTIONS", "TRACE"])
def test_the_board_can_only_be_read(method: str) -> None:
    answer = client().request(method, "/events")
    assert (answer.status_code, answer.headers["allow"]) == (405, "GET")


@pytest.mark.parametrize(
    "host",
    [
        "evil.example",
        "evil.example:8347",
        "127.0.0.1.evil.example",
        "localhost.evil",
        "",
        "[::1",
        "[evil.example]",
        "127.0.0.1:port",
        "127.0.0.1/",
        "evil.example@127.0.0.1",
    ],
)
def test_a_foreign_name_that_points_here_is_refused(host: str) -> None:
    """DNS rebinding: a page of evil.example could else read the board through its own name."""
    answer = client().get("/", headers={"host": host})
    assert answer.status_code == 421
    assert answer.text == (
        "This is not an address of the board. Use the one that handsfree printed.\n"
    )


@pytest.mark.parametrize(
    "host",
    ["127.0.0.1", "127.0.0.1:8347", "[::1]:8347", "192.0.2.7:8347", "localhost", "LocalHost:1"],
)
def test_an_address_in_figures_and_our_own_names_are_taken(host: str) -> None:
    assert client().get("/", headers={"host": host}).status_code == 200


def test_the_name_that_the_board_was_given_is_taken() -> None:
    assert is_own_name("stand-2.hangar.example:8347", ("Stand-2.hangar.example",))
    assert not is_own_name("stand-3.hangar.example:8347", ("Stand-2.hangar.example",))


# What every answer carries.


@pytest.mark.parametrize(
    ("path", "status"), [("/", 200), ("/events", 200), ("/nothing", 404), ("/board.js", 200)]
)
def test_every_answer_is_secured(path: str, status: int) -> None:
    """Names and values as in the OWASP Secure Headers Project (from memory)."""
    answer = client(feed=feed_of("{}")).get(path)
    assert answer.status_code == status
    assert answer.headers["x-frame-options"] == "DENY"
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert answer.headers["referrer-policy"] == "no-referrer"
    assert answer.headers["cache-control"] == "no-store"
    assert answer.headers["cross-origin-resource-policy"] == "same-origin"
    assert "access-control-allow-origin" not in answer.headers


def test_a_refusal_is_secured_too() -> None:
    assert client(TOKEN).get("/").headers["cache-control"] == "no-store"


def test_the_policy_allows_nothing_inline_and_nothing_from_elsewhere() -> None:
    """W3C Content Security Policy Level 3."""
    policy = client().get("/").headers["content-security-policy"]
    rules = dict(rule.strip().split(" ", 1) for rule in policy.split(";"))
    assert rules["default-src"] == "'none'"
    assert rules["frame-ancestors"] == rules["base-uri"] == rules["form-action"] == "'none'"
    assert {rules[each] for each in ("script-src", "style-src", "connect-src")} == {"'self'"}
    assert "unsafe" not in policy

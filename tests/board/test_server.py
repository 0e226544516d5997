"""The server on a real socket: it opens, it ends, and it never holds up the run."""

import http.client
import socket
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress
from typing import BinaryIO

import pytest

from handsfree.board.feed import Feed
from handsfree.board.live import BoardNotOpened, OpenBoard
from handsfree.board.site import board_site
from handsfree.engine.effects import Listen
from handsfree.serving import server
from handsfree.serving.server import MOST_CONNECTIONS, Server, bind, is_loopback
from tests.engine.conversation import TASK, Conversation

WAIT_S = 20  # for an answer that comes at once; only a board that hangs waits for it


@contextmanager
def events(board: OpenBoard) -> Iterator[http.client.HTTPResponse]:
    host, port = board.url.removeprefix("http://").rstrip("/").split(":")
    connection = http.client.HTTPConnection(host, int(port), timeout=WAIT_S)
    try:
        connection.request("GET", "/events")
        yield connection.getresponse()
    finally:
        connection.close()


def next_view_of(stream: http.client.HTTPResponse) -> str:
    for line in stream:
        if line.startswith(b"data: {"):
            return line.decode()
    raise AssertionError("the stream has ended")


def run_through(board: OpenBoard, *utterances: str) -> None:
    run = Conversation()
    run.start().say(*utterances)
    for effect in run.effects:
        board.board.follows(run.state, effect)


def test_a_page_sees_the_present_view_then_each_new_one_then_the_end() -> None:
    with OpenBoard(TASK, "127.0.0.1", 0) as board, events(board) as stream:
        assert '"activity": "getting ready"' in next_view_of(stream)
        run_through(board)
        while '"activity": "listening"' not in next_view_of(stream):
            pass
        board.close()
        assert '"activity": "stopped"' in next_view_of(stream)
        assert b"data" not in stream.read()


def test_a_page_that_takes_nothing_does_not_hold_up_the_run_or_its_end() -> None:
    with OpenBoard(TASK, "127.0.0.1", 0) as board, events(board) as stream:
        next_view_of(stream)
        run = Conversation().start()
        for _ in range(300):  # some megabytes, many times what the socket can hold
            for effect in run.effects:
                board.board.follows(run.state, effect)
        listen = next(each for each in run.effects if isinstance(each, Listen))
        board.board.follows(run.state, listen)
        with events(board) as another:
            assert '"activity": "listening"' in next_view_of(another)


def test_a_port_in_use_is_said_in_one_line_with_what_to_do() -> None:
    with bind("127.0.0.1", 0) as taken:
        port = taken.getsockname()[1]
        with pytest.raises(BoardNotOpened) as refused:
            OpenBoard(TASK, "127.0.0.1", port)
    assert str(refused.value) == (
        f"board: 127.0.0.1 port {port} cannot be used (Address already in use). The run goes on "
        "without a board; next time name another --board-port or --board-host."
    )


def test_a_host_that_is_not_there_is_said_in_one_line() -> None:
    with pytest.raises(BoardNotOpened, match=r"board: no\.such\.invalid port 0 cannot be used"):
        OpenBoard(TASK, "no.such.invalid", 0)  # RFC 6761: names under .invalid never exist


def test_on_this_machine_only_no_token_is_needed() -> None:
    with OpenBoard(TASK, "127.0.0.1", 0) as board:
        assert "token" not in board.url


def test_where_others_can_reach_it_the_address_has_a_token() -> None:
    with OpenBoard(TASK, "0.0.0.0", 0) as board:
        address, _, token = board.url.partition("/?token=")
        assert len(token) == 22
        host, port = address.removeprefix("http://").split(":")
        assert host not in ("0.0.0.0", "")  # an address that another machine can open
        connection = http.client.HTTPConnection("127.0.0.1", int(port), timeout=WAIT_S)
        for path, status in (("/events", 403), (f"/?token={token}", 303)):
            connection.request("GET", path)
            answer = connection.getresponse()
            answer.read()
            assert answer.status == status
        connection.close()


@pytest.mark.parametrize(("host", "only_here"), [("127.0.0.1", True), ("0.0.0.0", False)])
def test_what_others_can_reach_is_known_from_the_socket(host: str, only_here: bool) -> None:
    with bind(host, 0) as bound:
        assert is_loopback(bound) is only_here


def test_whoever_connects_again_and_again_takes_no_more_open_files_from_the_run() -> None:
    with served() as address, ExitStack() as opened:
        idle = [opened.enter_context(connected(address)) for _ in range(MOST_CONNECTIONS + 10)]
        # Those that have asked for nothing for the longest time make room.
        for one_too_many in idle[:10]:
            assert was_closed(one_too_many)
        assert answer_of(idle[-1]) == b"HTTP/1.1 200"


def test_idle_connections_shut_no_reader_with_the_token_out() -> None:
    with served(token="token") as address, ExitStack() as opened:
        for _ in range(MOST_CONNECTIONS):
            opened.enter_context(connected(address))
        name, cookie = f"handsfree-board-{address[1]}", "token"
        for path in ("/", "/board.js", "/events"):
            for _ in range(5):
                reader = opened.enter_context(connected(address))
                assert answer_of(reader, path, f"Cookie: {name}={cookie}\r\n") == b"HTTP/1.1 200"


def test_a_stream_is_not_closed_for_those_who_connect_later() -> None:
    feed = Feed()
    feed.publish('{"first": 1}')
    with served(feed) as address, ExitStack() as opened:
        connection = opened.enter_context(connected(address))
        connection.sendall(b"GET /events HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n")
        reader = opened.enter_context(connection.makefile("rb"))
        wait_for(reader, b"first")
        closed = [opened.enter_context(connected(address)) for _ in range(3 * MOST_CONNECTIONS)]
        for each in closed[: 2 * MOST_CONNECTIONS]:
            assert was_closed(each)
        feed.publish('{"second": 2}')
        wait_for(reader, b"second")


@pytest.mark.parametrize(
    "begun",
    [
        b"",
        b"GET / HTTP/1.1\r\nHost: 127",
        b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\nGET",
        b"POST / HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 9\r\n\r\n123",
    ],
    ids=["nothing", "half a request", "half a second one", "half a body"],
)
def test_who_asks_for_nothing_is_not_waited_for(
    monkeypatch: pytest.MonkeyPatch, begun: bytes
) -> None:
    """The wait is a twentieth of a second here, and 5 s in a run."""
    monkeypatch.setattr(server, "REQUEST_WITHIN_S", 0.05)
    with served() as address, connected(address) as slow:
        slow.sendall(begun)
        with suppress(ConnectionResetError):
            while slow.recv(65536):
                pass


@pytest.mark.parametrize(
    "header",
    [b"X: " + b"x" * 100_000, b"\r\n".join(b"X%d: y" % n for n in range(10_000))],
    ids=["one", "many"],
)
def test_headers_have_an_end(header: bytes) -> None:
    with served() as address, connected(address) as large:
        with suppress(ConnectionError):
            large.sendall(b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\n" + header + b"\r\n\r\n")
        with suppress(ConnectionResetError):
            # 431 where it arrived in one piece, 400 where it would not end.
            assert large.recv(12) in (b"HTTP/1.1 431", b"HTTP/1.1 400", b"")
        with connected(address) as another:
            assert answer_of(another) == b"HTTP/1.1 200"


@pytest.mark.parametrize("path", ["/", "/events"])
def test_what_follows_a_request_and_is_no_http_ends_it_without_a_traceback(
    path: str, caplog: pytest.LogCaptureFixture
) -> None:
    """Before the answer has begun, and while it lasts; RFC 9112, 7.1: a size comes first."""
    feed = Feed()
    feed.publish("{}")
    head = f"GET {path} HTTP/1.1\r\nHost: 127.0.0.1\r\nTransfer-Encoding: chunked\r\n\r\n"
    with served(feed) as address:
        with connected(address) as broken:
            broken.sendall(f"{head}no size\r\n".encode())
            assert broken.recv(12) == b"HTTP/1.1 400"
        with connected(address) as broken:
            broken.sendall(head.encode())
            assert broken.recv(12) == b"HTTP/1.1 200"
            with suppress(ConnectionError):
                broken.sendall(b"no size\r\n")
                while broken.recv(65536):
                    pass
        with connected(address) as another:
            assert answer_of(another) == b"HTTP/1.1 200"
    assert caplog.text == ""


@contextmanager
def served(feed: Feed | None = None, token: str | None = None) -> Iterator[tuple[str, int]]:
    """The address of a board's site that is being served."""
    feed = feed or Feed()
    with bind("127.0.0.1", 0) as bound:
        serving = Server(board_site(feed, token), bound, "board")
        yield bound.getsockname()
        feed.close()
        serving.close()


def connected(address: tuple[str, int]) -> socket.socket:
    return socket.create_connection(address, WAIT_S)


def answer_of(connection: socket.socket, path: str = "/", headers: str = "") -> bytes:
    """The first line of the answer, as far as its status."""
    connection.sendall(f"GET {path} HTTP/1.1\r\nHost: 127.0.0.1\r\n{headers}\r\n".encode())
    return connection.recv(12)


def wait_for(stream: BinaryIO, text: bytes) -> None:
    while text not in (line := stream.readline()):
        assert line, "the stream has ended"


def was_closed(connection: socket.socket) -> bool:
    try:
        return connection.recv(1) == b""
    except ConnectionResetError:
        return True


def test_a_server_that_fails_ends_alone(caplog: pytest.LogCaptureFixture) -> None:
    unbound = socket.socket()
    unbound.close()
    Server(board_site(Feed(), None), unbound, "board").close()
    assert "the server of the board has ended" in caplog.text


@pytest.mark.parametrize("host", ["192.168..5", ".", "a" * 70, "\ud800"])
def test_a_host_that_is_no_name_leaves_the_run_without_a_board(host: str) -> None:
    with pytest.raises(BoardNotOpened, match=r"cannot be used .*The run goes on without a board"):
        OpenBoard(TASK, host, 0)

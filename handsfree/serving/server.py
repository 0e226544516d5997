"""The server under a page: a thread of its own, which nobody waits for or depends on."""

import asyncio
import errno
import ipaddress
import logging
import socket
import threading

import h11
import uvicorn
from starlette.types import ASGIApp
from uvicorn.protocols.http.h11_impl import H11Protocol

from handsfree.serving.access import MOST_HEADER_BYTES

_diagnostics = logging.getLogger(__name__)
_LEAVE_S = 2.0  # how long an end waits for the pages to take what was sent last
_DEAD_AFTER_MS = 15_000  # a tablet that takes nothing for so long has gone
# Each connection is an open file of the program, and a run that can open no more cannot write its
# record. So whoever connects again and again gets no further than this. It is three times what the
# streams of a board can take, so there is always room for one that asks for something.
MOST_CONNECTIONS = 48
REQUEST_WITHIN_S = 5.0  # a browser asks as soon as it is connected
# Who finds no room to wait is heard a second later at the earliest, when they try again.
_ACCEPTED_AT_ONCE = 100


def bind(host: str, port: int) -> socket.socket:
    """A socket that connections can reach from now on; raises OSError. Port 0: any."""
    try:
        family, _, _, _, address = socket.getaddrinfo(
            host, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE
        )[0]
        bound = socket.socket(family, socket.SOCK_STREAM)
        try:
            _set_options(bound)
            bound.bind(address)
            bound.listen()
        except OSError:
            bound.close()
            raise
    except (OverflowError, UnicodeError) as error:  # a name such as 192.168..5
        raise OSError(errno.EINVAL, str(error)) from error
    return bound


def _set_options(bound: socket.socket) -> None:
    """What the connections inherit: a tablet that has gone is noticed, and buffers stay small."""
    bound.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    bound.setsockopt(socket.SOL_SOCKET, socket.SO_KEEPALIVE, 1)
    bound.setsockopt(socket.SOL_SOCKET, socket.SO_SNDBUF, 64 * 1024)
    bound.setsockopt(socket.IPPROTO_TCP, socket.TCP_USER_TIMEOUT, _DEAD_AFTER_MS)


def is_loopback(bound: socket.socket) -> bool:
    """Whether only this machine can reach the socket."""
    return ipaddress.ip_address(bound.getsockname()[0]).is_loopback


class _Http(H11Protocol):
    """HTTP on one connection, which must ask for something soon, and again after each answer.

    Where there are too many, the one that has asked for nothing for the longest time is closed. A
    stream of views is being answered all the time, so it is never closed for others.
    """

    _idle_since = 0.0  # by the clock of the loop
    _deadline: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        super().connection_made(transport)
        self._wait_for_a_request()
        there = [each for each in self.connections if isinstance(each, _Http) and each.is_open]
        if len(there) > MOST_CONNECTIONS:
            # This one is among them, so there is one.
            idle = (each for each in there if each.is_idle)
            min(idle, key=lambda each: each._idle_since).transport.abort()

    def connection_lost(self, exc: Exception | None) -> None:
        super().connection_lost(exc)
        if self._deadline is not None:
            self._deadline.cancel()

    def on_response_complete(self) -> None:
        super().on_response_complete()
        self._wait_for_a_request()

    def send_400_response(self, msg: str) -> None:
        """The bytes are no HTTP; after the head of a request, that one has no answer any more."""
        if not self.is_idle:
            self.cycle.disconnected = True
            self.cycle.message_event.set()
        if self.conn.our_state in (h11.IDLE, h11.SEND_RESPONSE):
            super().send_400_response(msg)
        else:  # an answer has begun, and another would be no HTTP either
            self.transport.abort()

    @property
    def is_open(self) -> bool:
        """Whether it is not being closed already."""
        return not self.transport.is_closing()

    @property
    def is_idle(self) -> bool:
        """Whether nothing is being answered; half a request is none."""
        return self.cycle is None or self.cycle.response_complete

    def _wait_for_a_request(self) -> None:
        if self._deadline is not None:
            self._deadline.cancel()
        self._idle_since = self.loop.time()
        self._deadline = self.loop.call_later(REQUEST_WITHIN_S, self._give_up)

    def _give_up(self) -> None:
        if self.is_idle:
            self.transport.abort()


class Server:
    """Serves an application on a bound socket until it is closed."""

    def __init__(self, app: ASGIApp, bound: socket.socket, what: str) -> None:
        """`what` is served, in one word."""
        config = uvicorn.Config(
            app,
            http=_Http,
            backlog=_ACCEPTED_AT_ONCE,
            lifespan="off",
            ws="none",
            log_config=None,  # the token is in an address, and no log may have it
            log_level="error",
            access_log=False,
            server_header=False,
            proxy_headers=False,
            h11_max_incomplete_event_size=MOST_HEADER_BYTES,
            timeout_graceful_shutdown=1,
        )
        self._server = uvicorn.Server(config)
        self._bound = bound
        self._what = what
        self._thread = threading.Thread(target=self._serve, name=what, daemon=True)
        self._thread.start()

    def wait(self) -> None:
        """Until it has ended; a signal that raises an exception in this thread is not held up."""
        self._thread.join()

    def close(self) -> None:
        """Stop serving; what is being sent has a moment to arrive."""
        self._server.should_exit = True
        self._thread.join(_LEAVE_S)

    def _serve(self) -> None:
        try:
            self._server.run(sockets=[self._bound])
        except Exception:  # it must end nothing else, and nobody waits for this thread
            _diagnostics.exception("the server of the %s has ended", self._what)


def url_of(address: tuple[str, int], token: str | None) -> str:
    """Where to open what is served there, with the token if one is needed.

    To be printed once, and not kept.
    """
    host, port = address[:2]
    if ipaddress.ip_address(host).is_unspecified:
        host = _own_address()
    if ":" in host:
        host = f"[{host}]"
    query = f"?token={token}" if token else ""
    return f"http://{host}:{port}/{query}"


def _own_address() -> str:
    """The address that others most likely reach this machine by; else its name."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            # Sends nothing: it only asks for the way to an address that is kept for documentation.
            probe.connect(("192.0.2.1", 9))  # RFC 5737, TEST-NET-1
        except OSError:
            return socket.gethostname()
        return str(probe.getsockname()[0])

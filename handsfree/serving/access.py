"""Who may read what is served: GET only, from our own address, with the token if there is one.

A form is taken where an application has one, only with the token, and only from its own pages.

A pure ASGI guard around the whole application, so that no route can be forgotten.
"""

import ipaddress
import re
import secrets
import socket
from collections.abc import Iterable
from dataclasses import dataclass

from starlette.datastructures import MutableHeaders
from starlette.requests import Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

POLICY = "content-security-policy"
# No frame around the page, nothing kept, and nothing that an answer does not allow by its policy.
SECURITY_HEADERS = {
    "X-Frame-Options": "DENY",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cache-Control": "no-store",
}
MOST_HEADER_BYTES = 16 * 1024  # a browser sends half a kilobyte
# RFC 9110, 7.2: a host and perhaps a port; an IPv6 address stands in brackets (RFC 3986, 3.2.2).
_HOST = re.compile(r"(?P<name>\[[0-9a-f:.]+\]|[^:\[\]/]+)(:[0-9]{1,5})?")


def new_token() -> str:
    """A token that cannot be guessed: 128 random bits."""
    return secrets.token_urlsafe(16)


def is_own_name(host: str, names: Iterable[str] = ()) -> bool:
    """Whether a Host header can only mean this machine.

    Against DNS rebinding, where a name of somebody else is made to point here: an address in
    figures cannot be made to point elsewhere, and `names` are our own. The port does not matter.
    """
    parts = _HOST.fullmatch(host.lower())
    if parts is None:
        return False
    name = parts.group("name")
    try:
        ipaddress.ip_address(name.strip("[]"))
    except ValueError:
        machine = socket.gethostname().lower()
        return name in {"localhost", machine, f"{machine}.local", *map(str.lower, names)}
    return True


@dataclass(frozen=True, slots=True)
class Guard:
    """Lets through what may be read, and puts the security headers on every answer."""

    app: ASGIApp
    what: str  # is served, in one word: it tells two servers of one machine apart
    policy: str  # the Content-Security-Policy of an answer that has none of its own
    token: str | None  # None: none is needed
    names: tuple[str, ...] = ()  # further names of this machine
    forms: re.Pattern[str] | None = None  # the paths that take a form; None: it is only read

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request."""

        async def send_secured(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in SECURITY_HEADERS.items():
                    headers.setdefault(name, value)
                headers.setdefault(POLICY, self.policy)
            await send(message)

        if scope["type"] != "http":
            raise ValueError(f"the {self.what} speaks HTTP and nothing else, not {scope['type']}")
        refusal = self._refusal(Request(scope))
        await (refusal or self.app)(scope, receive, send_secured)

    def _refusal(self, request: Request) -> Response | None:
        is_form = request.method == "POST" and self._takes_forms_at(request.scope["path"])
        if request.method != "GET" and not is_form:
            text = f"The {self.what} can only be read.\n"
            return PlainTextResponse(text, 405, headers={"Allow": "GET"})
        if sum(len(name) + len(value) for name, value in request.headers.raw) > MOST_HEADER_BYTES:
            return PlainTextResponse("So long a request is not read.\n", 431)  # RFC 6585, 5
        if not is_own_name(request.headers.get("host", ""), self.names):
            text = (
                f"This is not an address of the {self.what}. Use the one that handsfree printed.\n"
            )
            return PlainTextResponse(text, 421)
        if is_form and not _is_from_own_page(request):
            return PlainTextResponse(f"A form is taken from the {self.what} itself only.\n", 403)
        # Cookies do not tell ports apart, and two servers can run on one machine.
        cookie = f"handsfree-{self.what}-{request.scope['server'][1]}"
        if (self.token is None and not is_form) or self._fits(request.cookies.get(cookie)):
            return None
        if is_form or not self._fits(request.query_params.get("token")):
            text = (
                f"The {self.what} needs its token. Open the whole address that handsfree printed.\n"
            )
            return PlainTextResponse(text, 403)
        assert self.token is not None, "it was given"
        # The token moves from the address, which can be seen and kept, into a cookie.
        response = RedirectResponse("/", 303)
        response.set_cookie(cookie, self.token, httponly=True, samesite="lax")
        return response

    def _takes_forms_at(self, path: str) -> bool:
        return self.forms is not None and self.forms.fullmatch(path) is not None

    def _fits(self, given: str | None) -> bool:
        if self.token is None or given is None:
            return False
        return secrets.compare_digest(given.encode(), self.token.encode())


def _is_from_own_page(request: Request) -> bool:
    """Whether a browser says that the form stands on a page of this very address.

    Fetch, 3.2: a browser sends the origin with every POST, and no page can write it. Only browsers
    that know Fetch Metadata (W3C) send the other header.
    """
    own = f"http://{request.headers.get('host', '')}".lower()
    site = request.headers.get("sec-fetch-site", "same-origin")
    return request.headers.get("origin", "").lower() == own and site == "same-origin"

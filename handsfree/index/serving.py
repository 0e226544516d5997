"""Serve the list of records on this machine, or with a token where others can reach it."""

import socket
from typing import Self

from handsfree.errors import HandsfreeError
from handsfree.index.collection import Collection
from handsfree.index.site import LIST, index_site
from handsfree.index.word_given import Reviewer
from handsfree.serving.access import new_token
from handsfree.serving.server import Server, bind, is_loopback, url_of

DEFAULT_HOST = "127.0.0.1"
DEFAULT_PORT = 8348  # the board has the one before


class ListNotServed(HandsfreeError):
    """The list cannot be served there."""

    exit_code = 2

    def __init__(self, host: str, port: int, error: OSError) -> None:
        super().__init__(
            f"records: {host} port {port} cannot be used ({error.strerror or error}). Name another "
            "--port or --host."
        )


class KeyStaysHere(HandsfreeError):
    """A key would sign what other machines send."""

    exit_code = 2

    def __init__(self, host: str) -> None:
        super().__init__(
            f"records: with --reviewer-key nothing is served on {host}, which other machines can "
            "reach: a word is signed on the machine that has the key. Leave out --host."
        )


class OpenList:
    """A list of records that browsers can reach."""

    def __init__(
        self, collection: Collection, host: str, port: int, reviewer: Reviewer | None = None
    ) -> None:
        """Raises ListNotServed. Where other machines can reach it, a token is needed.

        With a `reviewer` a token is needed too, for others may use this machine; and no other
        machine may reach it: raises KeyStaysHere.
        """
        try:
            self._bound: socket.socket = bind(host, port)
        except OSError as error:
            raise ListNotServed(host, port, error) from error
        is_here = is_loopback(self._bound)
        if reviewer is not None and not is_here:
            self._bound.close()
            raise KeyStaysHere(host)
        self._token = None if is_here and reviewer is None else new_token()
        self._address = self._bound.getsockname()
        site = index_site(collection, self._token, (host,), reviewer)
        self._server = Server(site, self._bound, LIST)

    @property
    def url(self) -> str:
        """Where to open it, with the token if one is needed: to be printed once, and not kept."""
        return url_of(self._address, self._token)

    def wait(self) -> None:
        """Until the server has ended, or a signal ends the program."""
        self._server.wait()

    def close(self) -> None:
        """Stop serving."""
        self._server.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

"""The command line of what strange voices are heard by: one command listens, one prints."""

import argparse
from collections.abc import Callable, Sequence
from pathlib import Path

from tests.benchmarks.strangers import FOR_REPORTING, LEVELS

Command = Callable[[argparse.Namespace], None]


class ByStrangers:
    """Two commands over one file in which what was heard is kept."""

    def __init__(
        self, about: str | None, listen: Command, table: Command, levels: Sequence[str]
    ) -> None:
        """Both are called as their functions are; `levels` are listened at if none is named."""
        self._parser = argparse.ArgumentParser(description=(about or "").splitlines()[0])
        commands = self._parser.add_subparsers(required=True)
        self.listen, self.table = (
            self._command(commands.add_parser(each.__name__), each) for each in (listen, table)
        )
        self.listen.add_argument(
            "--mouth", required=True, help="command of models/training/strangers.py"
        )
        self.listen.add_argument("--levels", nargs="*", choices=LEVELS, default=list(levels))
        self.listen.add_argument(
            "--minutes", type=float, default=1e9, help="then begin nothing more"
        )

    @staticmethod
    def _command(parser: argparse.ArgumentParser, command: Command) -> argparse.ArgumentParser:
        parser.set_defaults(command=command)
        parser.add_argument("--kept", type=Path, required=True)
        parser.add_argument("--voices", nargs="*", default=FOR_REPORTING)
        return parser

    def do_what_is_asked(self, words: Sequence[str] | None = None) -> None:
        """Parse, and do it."""
        asked = self._parser.parse_args(words)
        asked.command(asked)

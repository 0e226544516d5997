"""The pages of many records as HTML. Every text of a record is escaped, and nothing can act.

There is no script at all, and no style but the one file: the policy forbids both.
"""

from collections.abc import Sequence
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from handsfree.index.tables import BAD, Stands
from handsfree.visible import visible

if TYPE_CHECKING:
    from jinja2 import Environment

POLICY = (
    "default-src 'none'; style-src 'self'; base-uri 'none'; form-action 'self'; "
    "frame-ancestors 'none'"
)


@cache
def _environment() -> "Environment":
    from jinja2 import Environment, PackageLoader, StrictUndefined

    environment = Environment(
        loader=PackageLoader("handsfree.index", "pages"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=lambda value: visible(value) if type(value) is str else value,
    )
    environment.filters["lasting"] = _lasting
    environment.filters["counted"] = _counted
    environment.filters["look"] = _look
    return environment


def render(name: str, **shown: Any) -> str:
    """The whole page of this name."""
    return _environment().get_template(f"{name}.html.jinja").render(shown)


def style() -> bytes:
    """The one style of all pages."""
    return files("handsfree.index").joinpath("pages", "index.css").read_bytes()


def _lasting(seconds: float) -> str:
    """A time as hours, minutes and seconds, without hours where there are none: "8:53"."""
    whole = round(seconds)
    hours, minutes = divmod(whole // 60, 60)
    told = f"{minutes:02d}:{whole % 60:02d}" if hours else f"{minutes}:{whole % 60:02d}"
    return f"{hours}:{told}" if hours else told


def _look(stands: str) -> str:
    """How it is marked that a record stands so."""
    if stands == Stands.FINISHED.value:
        return "good"
    return "bad" if stands in [each.value for each in BAD] else "open"


def _counted(rows: Sequence[object], most: int) -> str:
    return str(len(rows)) if len(rows) <= most else f"more than {most}"

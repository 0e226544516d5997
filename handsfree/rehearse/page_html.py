"""A rehearsal as one page of HTML: no script, nothing fetched, every text escaped.

The Content-Security-Policy allows the one style of the page by its hash (CSP Level 3, 2.3.1).
"""

import base64
import hashlib
from importlib.resources import files

from markupsafe import Markup

from handsfree.rehearse import plots
from handsfree.rehearse.bias import measured_bias, widened
from handsfree.rehearse.report import Rehearsal, StepResults
from handsfree.rehearse.standing import percent, standings
from handsfree.task.model import Task
from handsfree.visible import visible


def rehearsal_page(rehearsal: Rehearsal, task: Task) -> str:
    """The whole file."""
    from jinja2 import Environment, PackageLoader, StrictUndefined

    environment = Environment(
        loader=PackageLoader("handsfree.rehearse", "."),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=lambda value: visible(value) if type(value) is str else value,
    )
    environment.filters["percent"] = percent
    environment.filters["between"] = lambda each: f"{percent(each.low)} to {percent(each.high)}"
    style = files("handsfree.rehearse").joinpath("page.css").read_text(encoding="utf-8")
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    bound = task.hearing
    return environment.get_template("page.html.jinja").render(
        rehearsal=rehearsal,
        bound=bound,
        standings=() if bound is None else standings(rehearsal, bound),
        instructions={each.id: each.instruction for each in task.steps},
        bias=measured_bias(),
        widened=widened,
        plots=plots,
        said=_said(rehearsal.steps),
        said_recorded=_said(rehearsal.recorded),
        style=Markup(style),  # ours, as in the file that its hash is of
        style_hash=f"sha256-{digest}",
    )


def _said(rows: tuple[StepResults, ...]) -> tuple[StepResults, ...]:
    """The rows of the table: what is talk is counted with the whole only."""
    return tuple(each for each in rows if each.kind != "talk")

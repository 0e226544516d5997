"""The page as one file of HTML: nothing is fetched, and nothing of a record can act in it.

Every text is escaped. The Content-Security-Policy allows the one style and the one script of the
page by their hashes (CSP Level 3, 2.3.1), and sounds that lie in the page or beside it.
"""

import base64
import hashlib
from collections.abc import Mapping
from datetime import datetime
from functools import partial
from importlib.resources import files

from markupsafe import Markup

from handsfree.page.gathering import Page
from handsfree.page.voices import MOST_ROLES
from handsfree.page.word_form import WordForm
from handsfree.record.first_screen import (
    TRIAL,
    heard_in_a_line,
    reviews_told,
    trust_in_a_line,
    who_in_a_line,
)
from handsfree.record.in_words import clock
from handsfree.record.mishaps import Kind
from handsfree.record.standing import verdict
from handsfree.record.summary import Summary
from handsfree.visible import visible


def record_page(
    page: Page,
    sounds: Mapping[str, str],
    name: str,
    back: str | None = None,
    waveforms: Mapping[str, str] | None = None,
    no_sound: Mapping[str, str] | None = None,
    word_form: WordForm | None = None,
) -> str:
    """The whole file. `sounds` gives for the SHA-256 of a clip where it is: a URL of the page.

    `back` is the address of the list that the page was opened from; None: it stands alone.
    `waveforms` gives the path of the picture of a sound, and `no_sound` why there is no sound.
    `word_form` is where a supervisor can give their word; None: whoever serves the page takes none.
    """
    from jinja2 import Environment, PackageLoader, StrictUndefined

    environment = Environment(
        loader=PackageLoader("handsfree.page", "."),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=lambda value: visible(value) if type(value) is str else value,
    )
    style, script = _own("page.css"), _own("page.js")
    environment.filters["percent"] = lambda part: f"{part:.3f}%"
    template = environment.get_template("page.html.jinja")
    return template.render(
        page=page,
        summary=page.summary,
        sounds=sounds,
        waveforms={clip: path for clip, path in (waveforms or {}).items() if path},
        no_sound=no_sound or {},
        without_picture=0 if waveforms is None else len(set(sounds) - set(waveforms)),
        moments=page.moments,
        time_of=partial(_time_of, page.summary),
        name=name,
        back=back,
        verdict=verdict(page.summary.standing),
        trust=trust_in_a_line(page.summary),
        reviews=tuple(zip(page.summary.verified.reviews, reviews_told(page.summary), strict=True)),
        heard=heard_in_a_line(page.summary),
        who=who_in_a_line(page.summary),
        clock=clock,
        trial=TRIAL,
        kinds=Kind,
        most_roles=MOST_ROLES,
        style=Markup(style),  # ours, as in the file that its hash is of
        script=Markup(script),
        policy=page_policy(word_form is not None),
        word_form=word_form,
        length=max(page.timeline.length.total_seconds(), 1.0),
    )


def _time_of(summary: Summary, at: datetime) -> str:
    """By the clock on the wall, with the day where it is not the first."""
    time = summary.local(at)
    is_first_day = summary.began is None or time.date() == summary.began.date()
    return f"{time:%H:%M:%S}" if is_first_day else f"{time:%Y-%m-%d %H:%M:%S}"


def page_policy(with_form: bool = False) -> str:
    """What the page may do, for the page itself and for whoever serves it."""
    form = "'self'" if with_form else "'none'"
    return (
        f"default-src 'none'; style-src '{_hash(_own('page.css'))}'; "
        f"script-src '{_hash(_own('page.js'))}'; media-src data: 'self' file:; "
        f"base-uri 'none'; form-action {form}"
    )


def _own(name: str) -> str:
    return files("handsfree.page").joinpath(name).read_text(encoding="utf-8")


def _hash(text: str) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()

"""The file beside a task, and the page."""

import base64
import hashlib
import re
from pathlib import Path

import numpy as np
import pytest

from handsfree.fleet import code
from handsfree.rehearse.bias import measured_bias
from handsfree.rehearse.holds_for import sources_of, stale
from handsfree.rehearse.page_html import rehearsal_page
from handsfree.rehearse.plots import NAMES, SCALE, ratio_bars, step_rows
from handsfree.rehearse.report import (
    RehearsalUnreadable,
    Results,
    as_json,
    read_rehearsal,
    rehearsal_of,
)
from handsfree.rehearse.rewording import reworded
from tests.rehearse.reports import REPORT
from tests.rehearse.stages import SHORT, task_in

PAGE = rehearsal_page(REPORT, task_in(SHORT))


def test_what_is_written_is_read_back() -> None:
    assert read_rehearsal(Path("a"), as_json(REPORT)) == REPORT


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("{", "Invalid JSON"),
        ("{}", "task: Field required"),
        (as_json(REPORT).replace('"wrong": 1', '"wrong": -1', 1), "greater than or equal to 0"),
        (as_json(REPORT).replace('"format": 1', '"format": 2', 1), "format: "),
    ],
)
def test_what_is_no_rehearsal_is_told_with_its_place(text: str, what: str) -> None:
    with pytest.raises(RehearsalUnreadable, match=re.escape(what)) as error:
        read_rehearsal(Path("a.rehearsal.json"), text)
    assert "Rehearse the task anew" in str(error.value)


def test_it_lies_beside_its_task() -> None:
    assert rehearsal_of(Path("x/pin.yaml")) == Path("x/pin.rehearsal.json")


def test_all_that_was_said_at_a_ratio_counts_talk_too() -> None:
    assert REPORT.results_at(10.0) == Results(right=16, asked=2, wrong=1, read_back=1)
    assert REPORT.results_at(15.0).of == 0


def test_what_changes_no_hearing_leaves_a_rehearsal_in_date() -> None:
    task = task_in(SHORT)
    kept = REPORT.model_copy(update={"of": sources_of(task)})
    assert stale(task, kept) == ()
    other = task.model_copy(update={"title": "Another title", "revision": "9"})
    assert stale(other, kept) == ()


def test_another_phrase_model_library_or_code_makes_it_stale() -> None:
    task = task_in(SHORT)
    of = sources_of(task)
    kept = REPORT.model_copy(update={"of": of})
    other = reworded(task, "close-valve", "charging valve closed", "valve shut tight")
    assert stale(other, kept) == ("what is said at the steps",)
    model, *_ = of.models
    changed = of.model_copy(
        update={
            "models": of.models | {model: "0"},
            "code": of.code | {"hearing": "0", "engine": "0"},
            "libraries": of.libraries | {"onnxruntime": "1.0"},
        }
    )
    assert stale(task, REPORT.model_copy(update={"of": changed})) == (
        f"the model file {model}",
        "when a hearing is believed, and what follows",
        "how sound is heard",
        "the library onnxruntime",
    )


@pytest.mark.parametrize(
    ("file", "what"),
    [
        # Neither is a number with a name in capitals, which is all that was looked at before.
        ("hearing/weighing.py", "how sound is heard"),
        ("hearing/score.toml", "how sound is heard"),
        ("engine/evidence.py", "when a hearing is believed, and what follows"),
        ("words/numerals.py", "which words are phrases"),
        ("rehearse/judging.py", "how it is rehearsed"),
    ],
)
def test_code_that_changed_is_seen(monkeypatch: pytest.MonkeyPatch, file: str, what: str) -> None:
    kept = REPORT.model_copy(update={"of": sources_of(task_in(SHORT))})
    before = code.content_of

    def changed(path: Path) -> str:
        return "0" if path.as_posix().endswith(f"handsfree/{file}") else before(path)

    monkeypatch.setattr(code, "content_of", changed)
    code.code_of.cache_clear()
    try:
        assert stale(task_in(SHORT), kept) == (what,)
    finally:
        code.code_of.cache_clear()


def test_a_sentence_of_the_tool_changes_no_hearing(monkeypatch: pytest.MonkeyPatch) -> None:
    kept = REPORT.model_copy(update={"of": sources_of(task_in(SHORT))})
    before = code.content_of
    monkeypatch.setattr(
        code, "content_of", lambda path: "0" if "wording" in path.parts else before(path)
    )
    code.code_of.cache_clear()
    try:
        assert stale(task_in(SHORT), kept) == ()
    finally:
        code.code_of.cache_clear()


@pytest.mark.parametrize(
    ("before", "after", "helps"),
    [
        (Results(right=10, asked=30), Results(right=38, asked=2), True),
        (Results(right=35, asked=5), Results(right=38, asked=2), False),  # too few to tell
        (Results(right=10, asked=30), Results(right=38, asked=1, wrong=1), False),
        (Results(right=38, asked=2), Results(right=10, asked=30), False),
        (Results(), Results(), False),
    ],
)
def test_a_change_helps_where_the_interval_of_the_difference_shows_it(
    before: Results, after: Results, helps: bool
) -> None:
    (change,) = REPORT.rewordings
    found = {"results_before": before, "results_after": after}
    changed = change.model_copy(update=found | {"answers_before": before, "answers_after": after})
    assert changed.helps is helps
    assert (changed.fewer.low > 0) is (helps or after.wrong > 0)


def test_of_changes_that_change_nothing_at_most_one_in_forty_is_shown_to_help() -> None:
    """The interval has 95 %, and half of what is left lies on the side of an improvement."""
    rng = np.random.default_rng(2026)
    (change,) = REPORT.rewordings
    shown = 0
    for _ in range(2_000):
        rate, of = rng.uniform(0.05, 0.95), int(rng.integers(9, 60))
        asked = [int(each) for each in rng.binomial(of, rate, size=2)]
        before, after = (Results(right=of - each, asked=each) for each in asked)
        found = {"answers_before": before, "answers_after": after}
        shown += change.model_copy(update=found).fewer.low > 0
    assert shown <= 2_000 / 40


def test_the_page_allows_its_style_alone() -> None:
    policy = re.search(r'Content-Security-Policy" content="([^"]*)"', PAGE)
    style = re.search(r"<style>(.*?)</style>", PAGE, re.S)
    assert policy is not None
    assert style is not None
    digest = base64.b64encode(hashlib.sha256(style[1].encode()).digest()).decode()
    assert policy[1] == (
        f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"
    )
    assert not re.search(r"<script|<link|src=|href=| style=", PAGE)


def test_no_text_of_a_task_or_a_file_name_is_markup() -> None:
    assert "&lt;b&gt;the&lt;/b&gt;" in PAGE
    assert "<b>the" not in PAGE
    assert "&lt;script&gt;.wav" in PAGE


def test_the_page_tells_the_mistake_the_change_and_the_verdict() -> None:
    assert "pin not fitted" in PAGE
    assert "lock pin fitted" in PAGE
    assert "fewer than 0.02 of all that is said at the steps accepted wrong" in PAGE
    assert "It certifies nothing" in PAGE


def test_the_parts_of_a_bar_lie_side_by_side_and_are_all_of_it() -> None:
    for bar in ratio_bars(REPORT):
        at = NAMES
        for part in bar.parts:
            assert part.x == pytest.approx(at, abs=0.1)
            at += part.width
        assert at == pytest.approx(NAMES + SCALE, abs=0.3)


def test_a_dot_lies_within_its_interval() -> None:
    for row in step_rows(REPORT):
        assert len(row.dots) == 2
        for dot in row.dots:
            assert NAMES <= dot.low <= dot.x <= dot.high <= NAMES + SCALE


def test_the_page_says_at_which_ratios_no_people_were_measured() -> None:
    noisier = min(row.snr_db for row in measured_bias().at) - 1
    told = f"At {noisier:g} dB no people were measured"
    assert told not in PAGE
    settings = REPORT.settings.model_copy(update={"snrs_db": (20.0, 10.0, noisier)})
    other = REPORT.model_copy(update={"settings": settings})
    assert told in rehearsal_page(other, task_in(SHORT))


def test_the_page_says_where_real_people_are_heard_otherwise_than_foretold() -> None:
    for row in measured_bias().at:
        for result in row.outside:
            told = "asked again" if result == "asked" else "accepted wrong"
            assert f"At {row.snr_db:g} dB real people were {told} in" in PAGE
    assert PAGE.count("which is outside of what these voices foretold") == sum(
        len(row.outside) for row in measured_bias().at
    )

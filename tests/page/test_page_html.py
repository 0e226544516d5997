"""The page is one file in which nothing of a record can act."""

import base64
import hashlib
import re
from dataclasses import replace
from pathlib import Path

import pytest
from lxml import html

from handsfree.page.page_html import record_page
from handsfree.page.writing import page_of
from handsfree.record.entries import read_entries
from handsfree.record.keys import Keys
from handsfree.record.verify import verify
from tests.engine.people_task import TASK
from tests.page.records import page_of_run
from tests.record.six_runs import RUNS
from tests.record.test_reviewing import BAD, BOTH, OTHER, give

HOSTILE = "<script>alert(1)</script><img src=x onerror=alert(1)>\x1b[2J‮"


@pytest.mark.parametrize("name", RUNS)
def test_the_verdict_stands_first(name: str, tmp_path: Path) -> None:
    page = page_of_run(name, tmp_path / "run")
    shown = html.fromstring(record_page(page, {}, "run"))
    first = shown.xpath("//main/section")[0]
    assert first.get("id") == "verdict"
    assert first.get("class") == ("bad" if page.summary.why_unsigned else "good")


def test_a_record_that_was_changed_looks_so_at_first_glance(tmp_path: Path) -> None:
    folder = tmp_path / "run"
    RUNS["perfect"](folder)
    log = folder / "log.jsonl"
    log.write_bytes(log.read_bytes().replace(b'"pin fitted"', b'"pin Fitted"', 1))
    shown = record_page(page_of(folder, TASK, verify(folder), read_entries(folder)), {}, "run")
    assert '<h2 id="verdict-head">Do not trust this record</h2>' in shown


def test_the_cursor_moves_over_the_same_time_as_the_picture_was_drawn(tmp_path: Path) -> None:
    page = page_of_run("perfect", tmp_path / "run")
    picture = html.fromstring(record_page(page, {}, "run")).get_element_by_id("picture")
    assert float(picture.get("data-length")) == page.timeline.length.total_seconds()


def test_only_the_style_and_the_script_of_the_page_may_act(tmp_path: Path) -> None:
    shown = record_page(page_of_run("perfect", tmp_path / "run"), {}, "run")
    policy = html.fromstring(shown).xpath("//meta[@http-equiv]/@content")[0]
    for kind in ("style", "script"):
        [content] = re.findall(rf"<{kind}>(.*?)</{kind}>", shown, re.S)
        digest = base64.b64encode(hashlib.sha256(content.encode()).digest()).decode()
        assert f"{kind}-src 'sha256-{digest}'" in policy
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "http://" not in shown
    assert "https://" not in shown


def test_no_element_has_a_handler_or_a_style_of_its_own(tmp_path: Path) -> None:
    shown = html.fromstring(record_page(page_of_run("rework", tmp_path / "run"), {}, "run"))
    for element in shown.iter():
        assert not [each for each in element.attrib if each == "style" or each.startswith("on")]


def test_hostile_text_of_a_record_is_shown_and_does_not_act(tmp_path: Path) -> None:
    page = page_of_run("rework", tmp_path / "run")
    task = page.summary.task.model_copy(update={"title": HOSTILE})
    page = replace(
        page,
        summary=replace(page.summary, task=task),
        attention=tuple(replace(each, who=HOSTILE, why=HOSTILE) for each in page.attention),
        lines=tuple(replace(each, text=HOSTILE, who=HOSTILE) for each in page.lines),
        readings=tuple(replace(each, step=HOSTILE, by=HOSTILE) for each in page.readings),
        timeline=replace(
            page.timeline,
            lanes=tuple(
                replace(
                    lane,
                    name=HOSTILE,
                    spans=tuple(replace(span, text=HOSTILE) for span in lane.spans),
                )
                for lane in page.timeline.lanes
            ),
        ),
    )
    shown = record_page(page, {}, HOSTILE)
    parsed = html.fromstring(shown)
    assert len(parsed.xpath("//script")) == 1
    assert not parsed.xpath("//img")
    assert "\x1b" not in shown
    assert "‮" not in shown
    assert "\\x1b[2J" in shown


def test_sounds_are_played_from_where_they_are(tmp_path: Path) -> None:
    page = page_of_run("perfect", tmp_path / "run")
    clip = next(line.clip for line in page.lines if line.clip)
    shown = html.fromstring(record_page(page, {clip: "run-sounds/a.flac"}, "run"))
    assert set(shown.xpath("//button/@data-sound")) == {"run-sounds/a.flac"}
    assert "sound removed" in shown.text_content()


def test_a_supervisors_word_stands_above_the_verdict_and_one_that_does_not_count_says_so(
    tmp_path: Path,
) -> None:
    folder = tmp_path / "run"
    RUNS["perfect"](folder)
    give(folder, BAD)
    give(folder, keys=OTHER)
    page = page_of(folder, TASK, verify(folder, trusted=BOTH), read_entries(folder))
    shown = html.fromstring(record_page(page, {}, "run"))
    assert [each.get("id") for each in shown.xpath("//main/section")][:2] == ["word", "verdict"]
    assert shown.get_element_by_id("word-head").text == "Rejected by Vera Holm, shift lead"
    told = [each.text_content() for each in shown.xpath("//*[@id='word']//li")]
    assert "“read and listened to”. This word does not count: you do not trust its key." in told[0]
    assert "“the torque was never checked”." in told[1]


def test_a_rejected_record_does_not_look_good_until_it_is_accepted(tmp_path: Path) -> None:
    folder = tmp_path / "run"
    RUNS["perfect"](folder)

    def looks() -> str | None:
        page = page_of(folder, TASK, verify(folder), read_entries(folder))
        found: str | None = (
            html.fromstring(record_page(page, {}, "run")).get_element_by_id("verdict").get("class")
        )
        return found

    give(folder, BAD)
    assert looks() == "bad"
    give(folder)
    assert looks() == "good"


def test_what_happened_on_another_day_has_its_day(tmp_path: Path) -> None:
    folder = tmp_path / "run"
    RUNS["perfect"](folder)
    give(folder, keys=Keys("Tarn Osk", OTHER.private))
    page = page_of(folder, TASK, verify(folder), read_entries(folder))
    row = html.fromstring(record_page(page, {}, "run")).xpath("//*[@id='attention']//tbody/tr")[0]
    assert "2031-05-05 14:00:00" in row.text_content()
    assert "judge of their own work" in row.text_content()


def test_a_moment_has_what_each_listener_heard_and_what_came_of_it(tmp_path: Path) -> None:
    page = page_of_run("rework", tmp_path / "run")
    shown = html.fromstring(record_page(page, {}, "run"))
    refused = shown.xpath("//li[contains(@class, 'refused')]")[0]
    assert "not acted on: " in refused.xpath(".//details/dl/dd")[0].text_content()
    assert set(refused.get("class").split()) == {"person", "refused"}

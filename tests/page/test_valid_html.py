"""The page is HTML without a mistake, by html5lib's strict parser (WHATWG's, "13.2 Parsing").

That parser looks at syntax and nesting. What it does not know, and a checker of documents does, is
listed here: ids are there once, what is named by an id is there, and a label has its field.
"""

from collections import Counter
from pathlib import Path

import html5lib
import pytest
from lxml import html

from handsfree.page.page_html import record_page
from handsfree.page.writing import pictures_of
from tests.page.records import page_of_run
from tests.record.six_runs import RUNS


@pytest.fixture(params=RUNS)
def shown(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    page = page_of_run(request.param, tmp_path / "run")
    clips = {path.stem: path.read_bytes() for path in (tmp_path / "run" / "clips").iterdir()}
    sounds = {clip: f"sounds/{clip}.flac" for clip in clips}
    pictures = pictures_of(clips)
    return record_page(page, sounds, "run", waveforms=pictures)


def test_it_is_parsed_without_a_mistake(shown: str) -> None:
    html5lib.HTMLParser(strict=True).parse(shown)


def test_the_strict_parser_finds_mistakes() -> None:
    with pytest.raises(html5lib.html5parser.ParseError):
        html5lib.HTMLParser(strict=True).parse("<!DOCTYPE html><title>x</title><p><table><p>")


def test_each_id_is_there_once_and_what_is_named_is_there(shown: str) -> None:
    parsed = html.fromstring(shown)
    ids = Counter(parsed.xpath("//@id"))
    assert [each for each, count in ids.items() if count > 1] == []
    for named in parsed.xpath("//@aria-labelledby"):
        assert set(named.split()) <= set(ids)
    # An entry of which nothing was said has no line; its script goes to the line before.
    script = shown.partition("<script>")[2]
    assert "lineOf" in script
    for field in parsed.xpath("//input | //select"):
        assert next(field.iterancestors("label"), None) is not None


def test_no_attribute_is_empty_that_must_not_be(shown: str) -> None:
    parsed = html.fromstring(shown)
    for svg in parsed.xpath("//*[local-name()='svg'][@role='img']"):
        assert svg.get("aria-label")
    for button in parsed.xpath("//button"):
        assert button.get("type") == "button"
        assert (button.text_content() or button.get("aria-label") or "").strip()


def test_all_that_is_shown_lies_in_a_landmark(shown: str) -> None:
    """Whoever goes from landmark to landmark comes by it, the sound too.

    Source: WAI-ARIA 1.2, 5.3.4 "Landmark Roles" (from memory).
    """
    (body,) = html.fromstring(shown).xpath("//body")
    parts = {each.tag for each in body} - {"script"}
    assert parts <= {"header", "nav", "main", "aside", "footer"}

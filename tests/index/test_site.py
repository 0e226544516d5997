"""The site: it only reads, only for whoever may, and nothing in a record can act in it."""

import os
import re
from collections.abc import Iterator
from dataclasses import fields, replace
from pathlib import Path
from urllib.parse import urlencode

import pytest
from lxml import html
from starlette.testclient import TestClient

from handsfree.index import asking
from handsfree.index.collection import Collection
from handsfree.index.folders import Place
from handsfree.index.noting import Trust
from handsfree.index.site import index_site
from handsfree.index.store import Store
from handsfree.index.tables import (
    EyesRow,
    FindingRow,
    PersonRow,
    ReadingRow,
    RecordRow,
    Row,
    SaidRow,
    Stands,
    StepRow,
    ToolRow,
)
from tests.index.shelf import NOW, collected
from tests.record.runs import hold
from tests.record.six_runs import RUNS
from tests.record.test_reviewing import BAD, give

HERE = "http://127.0.0.1:8348"
TOKEN = "a-token-for-this-test"
HOSTILE = "<script>alert(1)</script><img src=x onerror=alert(1)>\"' onload=x \x1b[2J‮{{ 7*7 }}"
PAGES = (
    "/",
    "/?tool=TA31&said=affirm&finding=e&since=2000-01-01",
    "/?order=worst&page=0",
    "/act",
    "/runs",
    "/runs?task=valve",
    "/?since=never",
    "/record/nothing",
)


@pytest.fixture(scope="module")
def collection(six: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Collection]:
    with collected(six, tmp_path_factory.mktemp("index") / "index") as served:
        yield served


def client(served: Collection, token: str | None = None) -> TestClient:
    return TestClient(index_site(served, token), base_url=HERE, follow_redirects=False)


def id_of(name: str) -> str:
    return Place(os.fsencode(name), Path()).id


# What it shows.


def test_the_list_shows_every_record_and_how_it_stands(collection: Collection) -> None:
    page = html.fromstring(client(collection).get("/").text)
    shown = {row[0].text_content(): row[2].text_content() for row in page.xpath("//tbody/tr")}
    assert set(shown) == {name.replace(" ", "-") for name in RUNS}
    assert shown["perfect"] == "finished"
    assert "finished, not every step done" in shown["deferral"]
    assert "1 open finding" in shown["deferral"]


def test_a_rejected_record_is_shown_as_one_that_cannot_be_relied_on(tmp_path: Path) -> None:
    hold(tmp_path / "root" / "run")
    give(tmp_path / "root" / "run", BAD)
    with collected(tmp_path / "root", tmp_path / "index") as served:
        shown = html.fromstring(client(served).get("/?review=rejected").text)
        act = html.fromstring(client(served).get("/act").text)
        none = html.fromstring(client(served).get("/?review=accepted").text)
    [row] = shown.xpath("//table[@class='records']/tbody/tr")
    [stands] = row.find_class("stands-bad")
    assert stands.text_content() == "rejected by a supervisor"
    assert row[3].text_content() == "rejected"
    [told] = act.xpath("//section[@aria-labelledby='doubt-head']//tbody/tr")
    assert "the torque was never checked" in told.text_content()
    assert not none.xpath("//table[@class='records']")


def test_a_search_shows_what_matches_with_a_link_to_the_very_line(collection: Collection) -> None:
    page = html.fromstring(client(collection).get("/?said=hinge+bent").text)
    [link] = page.xpath("//section[@aria-labelledby='said-head']//tbody//a/@href")
    record, _, line = link.partition("#")
    opened = html.fromstring(client(collection).get(record).text)
    assert "the hinge is bent" in opened.get_element_by_id(line).text_content()


def test_the_longest_run_is_said_in_the_first_sentence(collection: Collection) -> None:
    page = html.fromstring(client(collection).get("/runs?task=valve").text)
    [answer] = page.find_class("answer")
    assert re.fullmatch(
        r"The longest is [\w-]+: [\d:]+ of work, where the middle one took [\d:]+\. "
        r"It lost the most at step \d+, [\w-]+: [\d:]+, where [\d:]+ is usual\. "
        r"The one that stood by the longest, which is no work, is deferral: 6:00; "
        r"there it says why\.",
        " ".join(answer.text_content().split()),
    )
    longest, slow, stood = answer.xpath(".//a/@href")
    opened = html.fromstring(client(collection).get(longest).text)
    assert opened.get_element_by_id(slow.partition("#")[2]).text_content()
    said = html.fromstring(client(collection).get(stood).text).get_element_by_id("stood")
    assert "for 0:06:00, " in said.getnext().text_content()


def test_the_page_of_a_record_is_opened_from_the_list_and_plays_its_sounds(
    collection: Collection,
) -> None:
    reader = client(collection)
    answer = reader.get(f"/record/{id_of('perfect')}")
    page = html.fromstring(answer.text)
    assert "It verifies" in page.get_element_by_id("verdict-head").text_content()
    [sound, *_] = page.xpath("//button/@data-sound")
    played = reader.get(sound)
    assert (played.status_code, played.headers["content-type"]) == (200, "audio/flac")
    assert played.content.startswith(b"fLaC")


def test_the_page_of_a_record_compares_voices_unless_that_is_left_out(
    six: Path, tmp_path: Path
) -> None:
    for with_voices in (True, False):
        with Store(tmp_path / f"index-{with_voices}") as store:
            served = Collection(six, store, Trust(), lambda: NOW, with_voices)
            served.look()
            page = html.fromstring(client(served).get(f"/record/{id_of('perfect')}").text)
        assert bool(page.xpath("//section[@id='voices']")) is with_voices
        assert page.xpath("//*[local-name()='svg']")


def test_an_undone_value_is_struck_through_and_said_to_be(collection: Collection) -> None:
    page = html.fromstring(client(collection).get("/runs?task=valve").text)
    undone = {row[2].text_content() for row in page.xpath("//tr[@class='undone']")}
    assert undone == {"15 (undone)"}


def test_exports_are_files(collection: Collection) -> None:
    for form in ("csv", "parquet"):
        answer = client(collection).get(f"/export/steps.{form}?task=valve")
        assert answer.status_code == 200
        assert answer.headers["content-disposition"] == f'attachment; filename="steps.{form}"'


def test_the_pages_say_how_old_they_are(collection: Collection) -> None:
    assert "looked at 2031-06-01 at 09:30:00" in client(collection).get("/act").text


# What it never does.


@pytest.mark.parametrize("path", PAGES)
def test_no_page_of_the_list_has_a_script_a_handler_or_a_style_of_its_own(
    collection: Collection, path: str
) -> None:
    page = html.fromstring(client(collection).get(path).text)
    assert not page.xpath("//script | //style | //iframe | //object | //embed")
    for element in page.iter():
        assert not [each for each in element.attrib if each == "style" or each.startswith("on")]


def hostile_rows() -> list[Row]:
    """A row of every kind, with all its text hostile; only what is compared is as it must be."""

    def filled(kind: type[Row], **own: object) -> Row:
        text = {each.name: HOSTILE for each in fields(kind) if each.type is str}
        return kind(**{**text, **own})  # type: ignore[arg-type]

    record = filled(
        RecordRow, id="a", place=b"", rank=Stands.NOT_FINISHED.rank, task="t", open_findings=1
    )
    assert isinstance(record, RecordRow)
    times = {"utc": "2031-03-01T08:00:00.000+00:00", "day": "2031-03-01"}
    kind = {"record": "a", "entry": 1, **times}
    return [
        record,
        replace(record, id="b", rank=Stands.CANNOT_BE_READ.rank, task=""),
        StepRow("a", 0, HOSTILE, 1, HOSTILE, 1, HOSTILE, HOSTILE, 9.0, 0.0, 1, 2, HOSTILE, False,
                HOSTILE, None, **dict.fromkeys(("value", "unit", "tool_due", "verdict"), HOSTILE)),
        ToolRow("a", 0, HOSTILE, "TA31", True),
        filled(ReadingRow, **kind, place=1, affirmed=True, undone=False, value_drawn=1.0,
               lowest_drawn=0.0, highest_drawn=2.0),
        filled(SaidRow, **kind, score=0.5, asked_again=True, taken_back=False),
        filled(FindingRow, record="a", number=1, is_open=True),
        filled(EyesRow, record="a", entry=1, weight=0),
        PersonRow("a", HOSTILE, HOSTILE, 1),
    ]  # fmt: skip


@pytest.mark.parametrize(
    "path", ["/", "/?tool=TA31", "/?said=alert", "/?finding=alert", "/act", "/runs", "/runs?task=t"]
)
def test_hostile_text_of_a_record_is_shown_and_does_not_act(path: str, tmp_path: Path) -> None:
    with Store(tmp_path / "index") as store:
        (tmp_path / "root").mkdir()
        served = Collection(tmp_path / "root", store, Trust(), lambda: NOW)
        served.look()
        store.replace([], hostile_rows())
        text = client(served).get(path).text
    page = html.fromstring(text)
    assert not page.xpath("//script | //img")
    for element in page.iter():
        assert not [each for each in element.attrib if each.startswith("on")]
    assert "<script>alert(1)</script>" in page.text_content()
    assert "\\x1b[2J" in text
    assert "\x1b" not in text
    assert "‮" not in text
    assert "{{ 7*7 }}" in text


def test_a_field_offers_what_most_records_have_and_says_how_much_it_leaves_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One record can name as many people and tools as its log has room for."""
    monkeypatch.setattr(asking, "MOST_CHOICES", 2)
    hold(tmp_path / "root" / "run")
    with collected(tmp_path / "root", tmp_path / "index") as served:
        [row] = served._store.cursor().rows("SELECT * FROM records")
        for number, aircraft in enumerate(("QD-ABL", "QD-KES", "QD-OLM", "QD-ABL", "QD-KES")):
            own = {"id": str(number), "aircraft": aircraft}
            served._store.replace([], [RecordRow(**{**row, **own})])
        people_of_0 = [PersonRow("0", f"Person {each}", "did", 1) for each in range(15)]
        served._store.replace([], people_of_0)
        page = html.fromstring(client(served).get("/?aircraft=QD-OLM").text)
        people = client(served).get("/?person=Person").text
    assert page.get_element_by_id("f-aircraft").get("value") == "QD-OLM"
    assert page.xpath("//datalist[@id='l-aircraft']/option/@value") == ["QD-ABL", "QD-KES"]
    [of_aircraft, of_people] = page.find_class("left-out")
    assert of_aircraft.text_content() == (
        "Of the aircraft, the 2 of the most records are offered; 2 more can be written in full."
    )
    assert "more can be written in full" in of_people.text_content()
    assert f" and {15 - asking.MOST_PEOPLE} more" in people


def test_hostile_words_of_an_address_are_shown_and_do_not_act(collection: Collection) -> None:
    asked = urlencode({"person": HOSTILE, "said": HOSTILE[:40]})
    for path in ("/", "/act", "/runs?task=valve"):
        answer = client(collection).get(f"{path}{'&' if '?' in path else '?'}{asked}")
        page = html.fromstring(answer.text)
        assert not page.xpath("//script | //img")
        assert page.get_element_by_id("f-person").get("value").startswith("<script>alert(1)")


def test_a_record_whose_name_is_hostile_is_opened_like_any_other(tmp_path: Path) -> None:
    name = "<script>alert(1)<'\">\x1b[2J&#e1?x=%2e%2e"
    hold(tmp_path / "root" / name)
    hold(tmp_path / "root" / os.fsdecode(b"run-\xff"))
    with collected(tmp_path / "root", tmp_path / "index") as served:
        reader = client(served)
        links = html.fromstring(reader.get("/").text).xpath("//tbody//a/@href")
        assert len(links) == 2
        for link in links:
            assert re.fullmatch("/record/[0-9a-f]{20}", link)
            page = html.fromstring(reader.get(link).text)
            assert len(page.xpath("//script")) == 1  # its own, by its hash


@pytest.mark.parametrize(
    "path",
    [
        "/record/../../../etc/passwd",
        "/record/%2e%2e%2f%2e%2e%2fetc%2fpasswd",
        "/record/perfect",
        "/record//etc/passwd",
        "/record/{id}/..%2flog.jsonl",
        "/record/{id}/log.jsonl",
        "/record/{id}/../log.flac",
        "/record/{id}/%2e%2e%2flog.flac",
        "/record/{id}/{zeros}.flac",
        "/export/people.csv",
        "/export/about.csv",
        "/export/steps.exe",
        "/export/..%2fsteps.csv",
        "/index.html",
        "//evil.example/",
    ],
)
def test_no_address_leads_to_a_file(collection: Collection, path: str) -> None:
    asked = path.format(id=id_of("perfect"), zeros="0" * 64)
    answer = client(collection).get(f"{HERE}{asked}")
    assert answer.status_code == 404


def test_a_sound_that_is_not_what_was_heard_is_not_played(tmp_path: Path) -> None:
    hold(tmp_path / "root" / "run")
    clip = next((tmp_path / "root" / "run" / "clips").iterdir())
    with collected(tmp_path / "root", tmp_path / "index") as served:
        path = f"/record/{id_of('run')}/{clip.name}"
        assert client(served).get(path).status_code == 200
        clip.write_bytes(b"another one")
        assert client(served).get(path).status_code == 404


def test_a_link_that_takes_the_place_of_a_record_is_not_followed(tmp_path: Path) -> None:
    hold(tmp_path / "root" / "year" / "run")
    hold(tmp_path / "elsewhere" / "run")
    with collected(tmp_path / "root", tmp_path / "index") as served:
        (tmp_path / "root" / "year").rename(tmp_path / "away")
        (tmp_path / "root" / "year").symlink_to(tmp_path / "elsewhere")
        answer = client(served).get(f"/record/{id_of('year/run')}")
    assert answer.status_code == 409
    assert "is a link, and is not followed" in answer.text


def test_a_record_that_is_damaged_since_is_told_on_a_page(tmp_path: Path) -> None:
    hold(tmp_path / "root" / "run")
    with collected(tmp_path / "root", tmp_path / "index") as served:
        os.mkfifo(tmp_path / "root" / "run" / "clips" / "pipe")
        answer = client(served).get(f"/record/{id_of('run')}")
        assert answer.status_code == 409
        assert "pipe: is a pipe; a record holds only plain files and folders" in answer.text
        clip = next((tmp_path / "root" / "run" / "clips").glob("*.flac"))
        assert client(served).get(f"/record/{id_of('run')}/{clip.name}").status_code == 409


def test_a_record_that_was_changed_since_is_shown_as_it_is_and_not_as_it_was_indexed(
    tmp_path: Path,
) -> None:
    hold(tmp_path / "root" / "run")
    log = tmp_path / "root" / "run" / "log.jsonl"
    with collected(tmp_path / "root", tmp_path / "index") as served:
        log.write_bytes(log.read_bytes().replace(b'"value":"15"', b'"value":"16"', 1))
        page = html.fromstring(client(served).get(f"/record/{id_of('run')}").text)
    assert page.get_element_by_id("verdict-head").text_content() == "Do not trust this record"


# Who may read it.


@pytest.mark.parametrize("path", [*PAGES, "/index.css", "/export/steps.csv"])
def test_nothing_is_read_without_the_token_where_one_is_needed(
    collection: Collection, path: str
) -> None:
    answer = client(collection, TOKEN).get(path)
    assert answer.status_code == 403
    assert answer.text == (
        "The list needs its token. Open the whole address that handsfree printed.\n"
    )


def test_the_token_opens_the_list_once_and_moves_into_a_cookie(collection: Collection) -> None:
    reader = client(collection, TOKEN)
    answer = reader.get("/", params={"token": TOKEN})
    assert (answer.status_code, answer.headers["location"]) == (303, "/")
    assert reader.get("/act").status_code == 200


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "HEAD", "OPTIONS"])
def test_it_can_only_be_read(collection: Collection, method: str) -> None:
    answer = client(collection).request(method, "/")
    assert (answer.status_code, answer.headers["allow"]) == (405, "GET")


@pytest.mark.parametrize("host", ["evil.example", "localhost.evil", "", "127.0.0.1.evil.example"])
def test_a_foreign_name_that_points_here_is_refused(collection: Collection, host: str) -> None:
    """DNS rebinding: a page of evil.example could else read the list through its own name."""
    assert client(collection).get("/", headers={"host": host}).status_code == 421


@pytest.mark.parametrize("path", [*PAGES, "/index.css", "/nothing"])
def test_every_answer_of_the_list_is_secured_and_may_run_nothing(
    collection: Collection, path: str
) -> None:
    """W3C Content Security Policy Level 3: without a script-src, default-src holds."""
    answer = client(collection).get(path)
    rules = dict(
        rule.strip().split(" ", 1) for rule in answer.headers["content-security-policy"].split(";")
    )
    assert rules == {
        "default-src": "'none'",
        "style-src": "'self'",
        "base-uri": "'none'",
        "form-action": "'self'",
        "frame-ancestors": "'none'",
    }
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert answer.headers["cache-control"] == "no-store"


def test_the_page_of_a_record_may_do_what_it_says_itself_and_not_be_framed(
    collection: Collection,
) -> None:
    answer = client(collection).get(f"/record/{id_of('perfect')}")
    [own] = html.fromstring(answer.text).xpath("//meta[@http-equiv]/@content")
    assert answer.headers["content-security-policy"] == f"{own}; frame-ancestors 'none'"


# For everybody.


@pytest.mark.parametrize("path", PAGES)
def test_every_field_has_a_label_and_every_table_its_heads(
    collection: Collection, path: str
) -> None:
    """WCAG 2.2, 1.3.1 and 3.3.2."""
    page = html.fromstring(client(collection).get(path).text)
    labelled = set(page.xpath("//label/@for"))
    for field in page.xpath("//input | //select"):
        assert field.get("id") in labelled
    for table in page.xpath("//table"):
        heads = table.xpath("./thead/tr/th[@scope='col']")
        for row in table.xpath("./tbody/tr"):
            assert sum(int(cell.get("colspan", 1)) for cell in row) == len(heads)
    ids = page.xpath("//@id")
    assert len(ids) == len(set(ids))
    assert page.get("lang") == "en"
    assert len(page.xpath("//h1")) == 1


@pytest.mark.parametrize("path", PAGES)
def test_every_page_is_html_without_a_mistake(collection: Collection, path: str) -> None:
    """By html5lib, which parses as the HTML standard says and here forgives nothing."""
    parser = pytest.importorskip("html5lib", reason="html5lib is not installed")
    parser.HTMLParser(strict=True).parse(client(collection).get(path).text)

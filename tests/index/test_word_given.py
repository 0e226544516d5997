"""A supervisor's word from the page of a record: only theirs, only from here, and only once."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import html5lib
import pytest
from lxml import html
from starlette.testclient import TestClient

from handsfree.index import word_given
from handsfree.index.collection import Collection
from handsfree.index.serving import KeyStaysHere, OpenList
from handsfree.index.site import index_site
from handsfree.index.word_given import MOST_BYTES, MOST_TICKETS, Reviewer
from handsfree.record.verify import verify
from tests.index.shelf import NOW, collected
from tests.index.test_site import HERE, TOKEN, id_of
from tests.record.runs import SMALL_SAID, hold, lines_of
from tests.record.test_reviewing import BAD, OTHER, VERA, give


@dataclass
class Desk:
    """The site with a supervisor's key, and one record on it."""

    folder: Path
    reader: TestClient
    served: Collection

    @property
    def path(self) -> str:
        return f"/record/{id_of('run')}"

    def form(self) -> dict[str, str]:
        """The fields of the form as the page has them, without what a person adds."""
        page = html.fromstring(self.reader.get(self.path).text)
        [form] = page.xpath("//section[@id='give']//form")
        assert form.get("action") == f"{self.path}/word"
        return {
            each.get("name"): each.get("value") for each in form.xpath(".//input[@type='hidden']")
        }

    def send(self, sent: dict[str, str], **headers: str):  # type: ignore[no-untyped-def]  # of httpx
        told = {"origin": HERE} | {name.replace("_", "-"): each for name, each in headers.items()}
        return self.reader.post(f"{self.path}/word", data=sent, headers=told)


SAID = {"verdict": "accept", "remark": "read and listened to"}


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    hold(tmp_path / "root" / "run")
    with collected(tmp_path / "root", tmp_path / "index") as served:
        site = index_site(served, TOKEN, (), Reviewer(VERA, lambda: NOW))
        reader = TestClient(site, base_url=HERE, follow_redirects=False)
        reader.get("/", params={"token": TOKEN})
        yield Desk(tmp_path / "root" / "run", reader, served)


def test_a_word_is_signed_sealed_and_shown_and_the_list_knows_it(desk: Desk) -> None:
    before, seen = lines_of(desk.folder), desk.served.looked
    answer = desk.send(desk.form() | SAID)
    assert (answer.status_code, answer.headers["location"]) == (303, f"{desk.path}#word")
    assert lines_of(desk.folder)[:-1] == before
    word = verify(desk.folder).word
    assert word is not None
    assert (word.verdict, word.said.key, word.said.remark) == (
        "accepted",
        VERA.public,
        "read and listened to",
    )
    page = html.fromstring(desk.reader.get(desk.path).text)
    assert page.get_element_by_id("word-head").text == "Accepted by Vera Holm, supervisor"
    looked = desk.served.looked
    assert looked is not None
    assert looked is not seen
    assert looked.indexed.read == 1  # the index has the record as it is now


def test_a_rejection_is_shown_as_one(desk: Desk) -> None:
    desk.send(desk.form() | {"verdict": "reject", "remark": "the torque was never checked"})
    page = html.fromstring(desk.reader.get(desk.path).text)
    assert page.get_element_by_id("word-head").text == "Rejected by Vera Holm, supervisor"
    assert page.get_element_by_id("verdict").get("class") == "bad"


def refused(desk: Desk, sent: dict[str, str], status: int, why: str, **headers: str) -> None:
    before = lines_of(desk.folder)
    answer = desk.send(sent, **headers)
    assert answer.status_code == status
    assert why in html.fromstring(answer.text).text_content()
    assert lines_of(desk.folder) == before


def test_a_form_can_be_sent_once(desk: Desk) -> None:
    sent = desk.form() | SAID
    desk.send(sent)
    refused(desk, sent, 409, "This form was sent already, or is too old.")


def test_a_form_that_was_not_handed_out_is_not_taken(desk: Desk) -> None:
    refused(desk, SAID | {"ticket": "guessed"}, 409, "This form was sent already, or is too old.")


def test_a_form_of_another_record_is_not_taken(desk: Desk, tmp_path: Path) -> None:
    hold(tmp_path / "root" / "other")
    desk.served.look()
    sent, there = desk.form() | SAID, f"/record/{id_of('other')}/word"
    assert desk.reader.post(there, data=sent, headers={"origin": HERE}).status_code == 409
    nowhere = there.replace(id_of("other"), "0" * 20)
    assert desk.reader.post(nowhere, data=sent, headers={"origin": HERE}).status_code == 404
    for name in ("run", "other"):
        assert verify(tmp_path / "root" / name).word is None


def test_only_so_many_forms_are_open_at_a_time(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    assert MOST_TICKETS < 100
    monkeypatch.setattr(word_given, "MOST_TICKETS", 3)
    first = desk.form()
    for _ in range(3):
        desk.form()
    refused(desk, first | SAID, 409, "This form was sent already, or is too old.")


def test_what_was_changed_since_the_page_was_made_is_not_judged(desk: Desk) -> None:
    sent = desk.form() | SAID
    give(desk.folder, BAD, keys=OTHER)
    refused(desk, sent, 409, "The record was changed since you opened its page.")


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"origin": ""},
        {"origin": "http://127.0.0.1:9999"},
        {"origin": "https://127.0.0.1:8348"},
        {"origin": HERE, "sec_fetch_site": "cross-site"},
        {"origin": HERE, "sec_fetch_site": "same-site"},
    ],
)
def test_no_other_page_can_send_a_word(desk: Desk, headers: dict[str, str]) -> None:
    """Cross-site request forgery: a page of somebody else, open in the same browser."""
    refused(desk, desk.form() | SAID, 403, "A form is taken from the list itself only.", **headers)


def test_a_foreign_name_that_points_here_takes_no_word(desk: Desk) -> None:
    """DNS rebinding."""
    evil = {"origin": "http://evil.example", "host": "evil.example"}
    refused(desk, desk.form() | SAID, 421, "This is not an address of the list.", **evil)


def test_without_the_token_no_word_is_taken(desk: Desk) -> None:
    sent = desk.form() | SAID
    desk.reader.cookies.clear()
    refused(desk, sent, 403, "The list needs its token.")
    answer = desk.reader.post(
        f"{desk.path}/word?token={TOKEN}", data=sent, headers={"origin": HERE}
    )
    assert answer.status_code == 403


@pytest.mark.parametrize(
    ("changed", "why"),
    [
        ({"verdict": "perhaps"}, "Neither accepted nor rejected."),
        ({"remark": ""}, "the remark is empty"),
        ({"remark": "x" * 2001}, "longer than 2000 characters"),
        ({"remark": "\u202egood"}, "has what cannot be seen"),
        ({"remark": "x" * MOST_BYTES}, f"That is more than {MOST_BYTES} bytes."),
        ({"more": "x"}, "That is not what the form of a record sends."),
    ],
)
def test_what_is_no_word_is_told(desk: Desk, changed: dict[str, str], why: str) -> None:
    refused(desk, desk.form() | SAID | changed, 409, why)


def test_a_body_of_another_kind_is_told(desk: Desk) -> None:
    for content, kind in (
        (b"{}", "application/json"),
        (b"\xff\xfe", "application/x-www-form-urlencoded"),
        (b"ticket=%ff&verdict=accept&remark=x", "application/x-www-form-urlencoded"),
        (b"ticket=a&ticket=b&verdict=accept&remark=x", "application/x-www-form-urlencoded"),
        (b"", ""),
    ):
        answer = desk.reader.post(
            f"{desk.path}/word",
            content=content,
            headers={"origin": HERE, "content-type": kind},
        )
        assert answer.status_code == 409
        assert "That is not what the form of a record sends." in answer.text


def test_what_cannot_be_accepted_has_no_choice_to_accept_it(tmp_path: Path) -> None:
    hold(tmp_path / "root" / "run", SMALL_SAID[:2])
    with collected(tmp_path / "root", tmp_path / "index") as served:
        site = index_site(served, TOKEN, (), Reviewer(VERA, lambda: NOW))
        desk = Desk(tmp_path / "root" / "run", TestClient(site, base_url=HERE), served)
        desk.reader.get("/", params={"token": TOKEN})
        form = html.fromstring(desk.reader.get(desk.path).text).get_element_by_id("give")
        assert "It cannot be accepted: it is not finished." in form.text_content()
        assert form.xpath(".//input[@type='radio']/@value") == ["reject"]
        refused(desk, desk.form() | SAID, 409, "it cannot be accepted: it is not finished")


def test_only_the_page_of_a_record_takes_a_word(desk: Desk) -> None:
    for path in ("/", "/act", desk.path, f"{desk.path}/word/more"):
        answer = desk.reader.post(path, data=desk.form() | SAID, headers={"origin": HERE})
        assert answer.status_code == 405
    assert desk.reader.get(f"{desk.path}/word").status_code in (404, 405)
    assert verify(desk.folder).word is None


def test_the_page_with_a_form_may_send_it_here_and_nowhere_else(desk: Desk) -> None:
    answer = desk.reader.get(desk.path)
    assert re.search(r"form-action 'self';", answer.headers["content-security-policy"])
    assert answer.headers["referrer-policy"] == "same-origin"


def test_without_a_key_there_is_no_form_and_nothing_is_taken(tmp_path: Path) -> None:
    hold(tmp_path / "root" / "run")
    with collected(tmp_path / "root", tmp_path / "index") as served:
        for token in (None, TOKEN):
            reader = TestClient(index_site(served, token), base_url=HERE)
            reader.get("/", params={"token": TOKEN})
            answer = reader.get(f"/record/{id_of('run')}")
            page = html.fromstring(answer.text)
            assert not page.xpath("//form | //*[@id='give'] | //a[@href='#give']")
            assert "form-action 'none'" in answer.headers["content-security-policy"]
            taken = reader.post(f"/record/{id_of('run')}/word", data=SAID, headers={"origin": HERE})
            assert (taken.status_code, taken.headers["allow"]) == (405, "GET")


def test_no_word_is_taken_where_no_token_is_needed(tmp_path: Path) -> None:
    hold(tmp_path / "root" / "run")
    with collected(tmp_path / "root", tmp_path / "index") as served:
        site = index_site(served, None, (), Reviewer(VERA, lambda: NOW))
        desk = Desk(tmp_path / "root" / "run", TestClient(site, base_url=HERE), served)
        refused(desk, desk.form() | SAID, 403, "The list needs its token.")


def test_with_a_key_this_machine_needs_the_token_too_and_no_other_is_served(
    tmp_path: Path,
) -> None:
    (tmp_path / "root").mkdir()
    reviewer = Reviewer(VERA, lambda: NOW)
    with collected(tmp_path / "root", tmp_path / "index") as served:
        with OpenList(served, "127.0.0.1", 0, reviewer) as opened:
            assert "?token=" in opened.url
        with pytest.raises(KeyStaysHere) as caught:
            OpenList(served, "0.0.0.0", 0, reviewer)
    assert str(caught.value) == (
        "records: with --reviewer-key nothing is served on 0.0.0.0, which other machines can "
        "reach: a word is signed on the machine that has the key. Leave out --host."
    )


def test_a_page_with_the_form_is_parsed_without_a_mistake(desk: Desk) -> None:
    """WHATWG's HTML, 13.2, by html5lib's strict parser."""
    shown = desk.reader.get(desk.path).text
    html5lib.HTMLParser(strict=True).parse(shown)
    page = html.fromstring(shown)
    labelled = {*page.xpath("//label/@for"), *page.xpath("//label//input/@id")}
    for field in page.xpath("//*[@id='give']//input[@type != 'hidden']"):
        assert field.get("id") in labelled or next(field.iterancestors("label"), None) is not None

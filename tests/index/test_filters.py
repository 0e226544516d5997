"""What is found is what was asked for, held against the same question asked without a database."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from handsfree.index.asking import (
    Order,
    findings,
    records,
    steps_with_tool,
    to_act_on,
    utterances,
)
from handsfree.index.filters import Filters, NotAsked
from handsfree.index.folders import records_below
from handsfree.index.noting import Noting, Trust
from handsfree.index.store import Cursor, Store
from handsfree.index.tables import (
    FindingRow,
    PersonRow,
    RecordRow,
    Row,
    SaidRow,
    Stands,
    ToolRow,
    Word,
    tool_key,
)
from tests.how_many import examples
from tests.index.made import copy, make
from tests.index.shelf import looked
from tests.record.test_reviewing import BAD, give

pytestmark = pytest.mark.slow  # the records that they ask are made first


@pytest.fixture(scope="module")
def root(six: Path, ten: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = Path(shutil.copytree(six, tmp_path_factory.mktemp("root"), dirs_exist_ok=True))
    shutil.copytree(ten / "run-0", folder / "long")
    make(folder / "long-unfinished", 1, 40)
    copy(folder / "long", folder / "long-later", 20, "QD-KES")
    give(folder / "perfect")
    give(folder / "rework", BAD)
    give(folder / "undone")
    (folder / "undone" / "seal.json").unlink()
    (folder / "gone").mkdir()
    (folder / "gone" / "log.jsonl").write_text("{}")
    return folder


@pytest.fixture(scope="module")
def rows(root: Path) -> dict[str, tuple[Row, ...]]:
    return {
        place.below.decode(): Noting(Trust()).note(place) for place in records_below(root).places
    }


@pytest.fixture(scope="module")
def ask(root: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Cursor]:
    with Store(tmp_path_factory.mktemp("index") / "index") as store:
        looked(store, root)
        with store.cursor() as cursor:
            yield cursor


def has(rows: tuple[Row, ...], asked: Filters) -> bool:
    """The same question, without any database."""
    record = rows[0]
    assert isinstance(record, RecordRow)
    words = asked.said.lower().split()
    findings_of = [each for each in rows if isinstance(each, FindingRow)]
    return (
        asked.aircraft in ("", record.aircraft)
        and asked.task in ("", record.task)
        and asked.revision in ("", record.revision)
        and asked.stands in ("", record.stands)
        and asked.review in ("", record.review)
        and (not asked.since or record.day >= asked.since)
        and (not asked.until or record.day <= asked.until)
        and (
            not asked.person
            or any(
                asked.person.lower() in each.person.lower()
                for each in rows
                if isinstance(each, PersonRow)
            )
        )
        and (
            not asked.tool
            or any(isinstance(each, ToolRow) and each.key == tool_key(asked.tool) for each in rows)
        )
        and (
            not (asked.finding or asked.open)
            or any(
                (each.is_open or not asked.open)
                and asked.finding.lower()
                in " ".join((each.remark, each.category, each.step, each.action)).lower()
                for each in findings_of
            )
        )
        and (
            not words
            or any(
                all(word in f"{each.words} {each.wrote}".lower() for word in words)
                for each in rows
                if isinstance(each, SaidRow)
            )
        )
    )


ASKED = st.builds(
    Filters,
    aircraft=st.sampled_from(["", "", "Any 1", "Ostrel Air, Quillane 40, QD-KES", "none"]),
    task=st.sampled_from(["", "", "valve", "door-slide-refit"]),
    revision=st.sampled_from(["", "", "1", "5"]),
    stands=st.sampled_from(["", "", *(each.value for each in Stands)]),
    review=st.sampled_from(["", "", "", *(each.value for each in Word)]),
    person=st.sampled_from(["", "", "osk", "OA522", "%", "nobody"]),
    tool=st.sampled_from(["", "", "ta-31", "TA28", "PG-12"]),
    finding=st.sampled_from(["", "", "hinge", "PART", "_", "cover"]),
    open=st.sampled_from(["", "", "yes"]),
    said=st.sampled_from(["", "", "hinge bent", "affirm", "Pin Fitted", "%", "bent the is hinge"]),
    since=st.sampled_from(["", "", "2031-03-02", "2031-05-04"]),
    until=st.sampled_from(["", "", "2031-03-20", "2031-05-03"]),
)


@settings(max_examples=examples(150), suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(ASKED, st.sampled_from(Order))
def test_the_records_that_are_found_are_those_that_have_what_is_asked(
    rows: dict[str, tuple[Row, ...]], ask: Cursor, asked: Filters, order: Order
) -> None:
    found = records(ask, asked, order, 0)
    assert {each["name"] for each in found.rows} == {
        name for name, each in rows.items() if has(each, asked)
    }
    assert found.count == len(found.rows)
    assert found.of == len(rows)


@given(ASKED)
def test_an_address_says_what_was_asked(asked: Filters) -> None:
    from urllib.parse import parse_qsl

    assert Filters.asked(dict(parse_qsl(asked.query))) == asked


@pytest.mark.parametrize(
    ("query", "told"),
    [
        ({"since": "March"}, "since: 'March' is no day. Write it as 2031-03-01."),
        ({"until": "2031-02-30"}, "until: '2031-02-30' is no day. Write it as 2031-03-01."),
        ({"stands": "well"}, "stands: 'well' is none of: cannot be read, does not verify, "),
        ({"open": "no"}, "open: 'no' is not 'yes'."),
        ({"tool": "--"}, "tool: '--' has no letter and no figure."),
        ({"said": "a " * 11}, "has more than 10 words."),
        ({"person": "x" * 201}, "is longer than 200 characters. Ask for less."),
        ({"since": "\x1b[2J"}, "since: '\\x1b[2J' is no day."),
    ],
)
def test_what_means_nothing_is_told(query: dict[str, str], told: str) -> None:
    with pytest.raises(NotAsked) as caught:
        Filters.asked(query)
    assert told in str(caught.value)


def test_everything_done_with_a_wrench_since_a_day(ask: Cursor) -> None:
    asked = Filters(tool="ta 31", since="2031-03-02")
    found = steps_with_tool(ask, asked)
    assert {each["name"] for each in found} == {"long-later"}
    used = [each["step"] for each in found if each["used"]]
    assert sorted(used) == ["left-bolt", "right-bolt"]
    assert all(each["value"] for each in found if each["used"])
    assert len(steps_with_tool(ask, Filters(tool="ta31"))) == 2 * len(found)


def test_where_something_was_said_is_found_by_all_its_words(ask: Cursor) -> None:
    [found] = utterances(ask, Filters(said="BENT hinge"))
    assert (found["words"], found["step"], found["name"]) == (
        "the hinge is bent",
        "cover",
        "deferral",
    )


def test_findings_are_found_by_what_was_said_of_them(ask: Cursor) -> None:
    [found] = findings(ask, Filters(finding="hinge"))
    assert found["is_open"]


def test_what_must_be_acted_on_is_there_and_nothing_else(ask: Cursor) -> None:
    act = to_act_on(ask, Filters())
    assert [each["name"] for each in act.doubtful] == ["gone", "undone", "rework"]
    assert {each["name"] for each in act.unfinished} == {"deferral", "long-unfinished"}
    assert "deferral" in {each["name"] for each in act.findings}
    assert all(each["is_open"] for each in act.findings)


def test_the_worst_and_the_longest_stand_first(ask: Cursor) -> None:
    worst = records(ask, Filters(), Order.WORST, 0).rows
    assert worst[0]["name"] == "gone"
    ranks = [each["rank"] for each in worst]
    assert ranks == sorted(ranks)
    longest = [each["work_s"] for each in records(ask, Filters(), Order.LONGEST, 0).rows]
    assert longest == sorted(longest, reverse=True)

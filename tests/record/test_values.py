"""Every entry, event and mark is read back as it was written, with no word about it in record/."""

import json
import math
from dataclasses import dataclass, fields, is_dataclass
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any, get_args

import pytest
import rfc8785
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from handsfree.engine.effects import Say
from handsfree.engine.entries import Entry, FindingClosed, NotActedOn, NotHeeded, ReadingTaken
from handsfree.engine.events import Event
from handsfree.record.entries import ENVELOPE, EntryUnreadable, LoggedEntry, read_entry
from handsfree.record.marks import Mark, Redacted, Reviewed
from handsfree.record.values import NotReadable, as_json, fields_of, kind_of, value_from
from handsfree.task.limits.forms import Verdict
from handsfree.words.heard import EndedBy, EndRule, Heard, Opinion
from tests.how_many import examples

KINDS = (*get_args(Entry), *get_args(Event), *get_args(Mark), Say)
# What JSON can hold as a double, in the ranges that the core uses.
TIMES = st.timedeltas(timedelta(0), timedelta(days=30))
NUMBERS = st.floats(-1e6, 1e6) | st.sampled_from([math.inf, -math.inf])
st.register_type_strategy(timedelta, TIMES)
st.register_type_strategy(Decimal, st.decimals(-10000, 10000, places=3))
st.register_type_strategy(float, NUMBERS)
st.register_type_strategy(int, st.integers(-(2**53) + 1, 2**53 - 1))  # RFC 8785, 3.2.2.3


def heards() -> st.SearchStrategy[Heard]:
    words = st.lists(st.text("abc", min_size=1), max_size=3).map(tuple)
    return st.builds(
        lambda said, score, others, opinions, began, lasts: Heard(
            said, score, tuple(others), tuple(opinions), began, began + lasts
        ),
        words,
        st.floats(0, 1),
        st.lists(words, max_size=2),
        st.lists(st.from_type(Opinion), max_size=2),
        TIMES,
        TIMES,
    )


st.register_type_strategy(Heard, heards())
st.register_type_strategy(
    Redacted,
    st.builds(
        Redacted,
        st.lists(st.binary(min_size=32, max_size=32).map(bytes.hex), max_size=2).map(tuple),
        st.none() | st.text(),
        st.text(),
    ),
)

st.register_type_strategy(
    Reviewed,
    st.builds(
        Reviewed,
        st.text(),
        st.binary(min_size=32, max_size=32).map(bytes.hex),
        st.text(),
        st.booleans(),
        st.text(),
        st.lists(st.text(), max_size=2).map(tuple),
        st.binary(min_size=64, max_size=64).map(bytes.hex),
    ),
)


@pytest.mark.parametrize(
    "figures", [2**53, -(2**53), 1 << 64, 10**400], ids=lambda each: len(str(each))
)
def test_a_whole_number_that_no_double_holds_is_told_as_damage(figures: int) -> None:
    """RFC 8785, 3.2.2.3: JSON numbers are doubles, so no larger one was ever written."""
    with pytest.raises(NotReadable, match=r"'finding-closed': a whole number beyond 2\^53"):
        value_from(FindingClosed, {"number": figures, "by": "OA417", "name": "Tarn Osk"})
    line = json.dumps({"kind": "spoken", "seq": figures, "utc": "x", "offset_ms": 0}).encode()
    with pytest.raises(EntryUnreadable, match="entry 7: cannot be read"):
        read_entry(line, 7)


def test_a_value_with_more_figures_than_can_be_said_is_told_as_damage() -> None:
    """Arithmetic on it would take for ever, and no float holds it."""
    fields = fields_of(
        ReadingTaken("torque", Decimal(15), "N.m", "15", Verdict.INSIDE, None, None, False)
    )
    with pytest.raises(NotReadable, match="more than 100 figures"):
        value_from(ReadingTaken, fields | {"value": "1" + "0" * 400})


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
@settings(max_examples=examples(10), suppress_health_check=[HealthCheck.too_slow])
@given(st.data())
def test_whatever_is_written_is_read_back_as_it_was(kind: type[Any], data: st.DataObject) -> None:
    value = data.draw(st.from_type(kind))
    line = rfc8785.dumps(
        {
            **fields_of(value),
            "kind": kind_of(value),
            "seq": 3,
            "utc": "2031-05-04T12:00:00.000+00:00",
            "offset_ms": 5,
            "prev": "0" * 64,
        }
    )
    entry = read_entry(line, 3)
    assert entry.value == value
    assert type(entry.value) is type(value)
    assert (entry.seq, entry.offset) == (3, timedelta(milliseconds=5))


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
def test_no_entry_has_a_field_that_every_entry_has(kind: type[Any]) -> None:
    """It would hide the number, the time or the chain of its own line."""
    assert is_dataclass(kind)
    assert not {field.name for field in fields(kind)} & {*ENVELOPE, "clip"}


def test_no_two_kinds_have_one_name() -> None:
    names = [kind_of(kind.__new__(kind)) for kind in KINDS]
    assert len(set(names)) == len(KINDS)


@dataclass(frozen=True)
class Inner:
    x: int


@dataclass(frozen=True)
class Other:
    x: int


@dataclass(frozen=True)
class Everything:
    pair: tuple[str, int]
    many: list[int]
    by_name: dict[str, Decimal]
    either: Inner | Other | None
    share: Fraction
    when: datetime
    flag: bool | None
    odd: float


def test_what_new_entries_may_need_is_read_back_too() -> None:
    value = Everything(
        ("a", 1),
        [2],
        {"b": Decimal("1.50")},
        Other(3),
        Fraction(8000, 3),
        datetime(2031, 5, 4, tzinfo=UTC),
        None,
        -math.inf,
    )
    assert value_from(Everything, json.loads(rfc8785.dumps(fields_of(value)))) == value


def test_a_number_that_is_none_is_read_back() -> None:
    written = as_json(Opinion("reader", (), math.nan, 0.0, ""))
    assert isinstance(written, dict)
    assert written["log_probability"] == "NaN"


@dataclass(frozen=True)
class Unclear:
    value: Decimal | str


def test_a_field_that_can_be_two_things_on_the_record_is_refused() -> None:
    with pytest.raises(TypeError, match="cannot be told apart"):
        value_from(Unclear, {"value": "1"})


@dataclass(frozen=True)
class Unknown:
    value: complex


def test_a_type_without_a_form_on_the_record_is_refused() -> None:
    with pytest.raises(TypeError, match="the record has no form for"):
        value_from(Unknown, {"value": "1"})


@pytest.mark.parametrize(
    ("found", "why"),
    [
        ({"step": "a", "words": []}, "fields that are missing or unknown: reason"),
        ({"step": "a", "words": [], "reason": "no", "x": 1}, "missing or unknown: x"),
        ({"step": "a", "words": [], "reason": "whim"}, "'whim' is not a valid NotActedOn"),
        ({"step": "a", "words": "b", "reason": "doubtful hearing"}, "'b' is no tuple"),
        ({"step": 1, "words": [], "reason": "doubtful hearing"}, "1 is no str"),
    ],
)
def test_what_was_not_written_so_is_not_read(found: dict[str, Any], why: str) -> None:
    with pytest.raises(NotReadable, match=why):
        value_from(NotHeeded, found)


def test_a_text_that_is_no_number_is_not_read_as_one() -> None:
    written = {**fields_of(Opinion("reader", (), -1.0, 0.0, "")), "margin": "much"}
    with pytest.raises(NotReadable, match="'much' is no number"):
        value_from(Opinion, written)


@dataclass(frozen=True)
class Grown:
    step: str
    counts: tuple[tuple[str, int], ...] = ()  # came with a later version


A_READING = ReadingTaken("a", Decimal(1), "psi", "1", Verdict.INSIDE, None, None, corrects=False)


@pytest.mark.parametrize("value", ["1e9", "1E+999999999", "Infinity", "NaN", " 1", "1_0", "+1"])
def test_a_number_that_is_not_written_so_is_not_read(value: str) -> None:
    """One with a large exponent would fill any memory as soon as its figures are written out."""
    with pytest.raises(NotReadable, match="is no Decimal in plain figures"):
        value_from(ReadingTaken, {**fields_of(A_READING), "value": value})


def test_what_an_older_version_did_not_write_has_its_default() -> None:
    assert value_from(Grown, {"step": "a"}) == Grown("a")
    assert value_from(Grown, {"step": "a", "counts": [["pin", 2]]}) == Grown("a", (("pin", 2),))
    with pytest.raises(NotReadable, match="unknown: step"):
        value_from(Grown, {"counts": []})


def test_a_hearing_of_an_older_version_does_not_tell_what_ended_it() -> None:
    heard = Heard(("affirm",), 0.99, (), (), timedelta(0), timedelta(seconds=1))
    written = fields_of(heard)
    del written["ended_by"]
    assert value_from(Heard, written) == heard


def test_what_ended_a_hearing_is_written_in_words_and_ms() -> None:
    ended_by = EndedBy(EndRule.NOTHING_LEFT, timedelta(milliseconds=192), 1.25, 1)
    heard = Heard((), 0.0, (), (), timedelta(0), timedelta(0), ended_by=ended_by)
    assert fields_of(heard)["ended_by"] == {
        "kind": "ended-by",
        "rule": "nothing can follow",
        "after": 192,
        "pace": 1.25,
        "joined": 1,
    }
    assert value_from(Heard, fields_of(heard)) == heard


def test_a_kind_that_this_version_does_not_know_is_told() -> None:
    entry = LoggedEntry(7, "sung", "", timedelta(0), None, None, {})
    with pytest.raises(EntryUnreadable, match=r"entry 7: cannot be read.*nothing is called 'sung'"):
        _ = entry.value


def test_a_reason_is_written_as_its_words() -> None:
    assert as_json(NotActedOn.DOUBTFUL) == "doubtful hearing"

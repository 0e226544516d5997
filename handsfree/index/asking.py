"""What is asked of an index: the list of records, what is to be acted on, and what matches."""

from dataclasses import dataclass
from enum import Enum
from typing import Any

from handsfree.index.filters import Filters
from handsfree.index.store import Cursor
from handsfree.index.tables import BAD, Stands, Word

Rows = list[dict[str, Any]]

ON_A_PAGE = 50
MOST_MATCHES = 200  # of steps, utterances and findings on one page
MOST_CHOICES = 300  # that one field offers
MOST_PEOPLE = 12  # that are named of one record


class Order(Enum):
    """What stands first in the list."""

    NEWEST = "newest"
    WORST = "worst"
    LONGEST = "longest"
    ASKED = "asked again"

    @property
    def sql(self) -> str:
        """As the statement has it; the name decides where all else is equal."""
        first = {
            Order.NEWEST: "r.began DESC",
            Order.WORST: "r.rank, r.wrong DESC, r.doubtful DESC, r.began DESC",
            Order.LONGEST: "r.work_s DESC",
            Order.ASKED: "r.asked_again DESC",
        }[self]
        return f"{first}, r.name"


@dataclass(frozen=True, slots=True)
class Listed:
    """A page of the list."""

    rows: Rows
    count: int  # on all pages
    of: int  # records in the index


def records(ask: Cursor, filters: Filters, order: Order, page: int) -> Listed:
    """The records on this page of the list, from 0."""
    where = f"{filters.of_record} AND {filters.of_day('r')}"
    bound = filters.bound(where)
    rows = ask.rows(
        f"SELECT r.*, ({_PEOPLE}) AS people FROM records r WHERE {where} "
        f"ORDER BY {order.sql} LIMIT {ON_A_PAGE} OFFSET $skip",
        bound | {"skip": page * ON_A_PAGE},
    )
    count = ask.one(f"SELECT count(*) FROM records r WHERE {where}", bound)
    return Listed(rows, count, ask.one("SELECT count(*) FROM records"))


_PEOPLE = (
    "SELECT array_to_string(list(DISTINCT p.person ORDER BY p.person)"
    f"[:{MOST_PEOPLE}], ', ') || CASE WHEN count(DISTINCT p.person) > {MOST_PEOPLE} "
    f"THEN ' and ' || (count(DISTINCT p.person) - {MOST_PEOPLE}) || ' more' ELSE '' END "
    "FROM people p WHERE p.record = r.id"
)


@dataclass(frozen=True, slots=True)
class Choice:
    """What one field of the form offers."""

    values: tuple[str, ...]  # in their order
    left_out: int = 0  # so many more there are, in fewer records each


def choices(ask: Cursor) -> dict[str, Choice]:
    """What the records have, for the fields in which one of them is chosen or written."""
    return {
        "stands": Choice(tuple(each.value for each in Stands)),
        "review": Choice(tuple(each.value for each in Word)),
        **{each: _choice(ask, "records", each, "id") for each in ("aircraft", "task", "revision")},
        "person": _choice(ask, "people", "person", "record"),
        "tool": _choice(ask, "tools", "serial", "record"),
    }


def _choice(ask: Cursor, table: str, column: str, record: str) -> Choice:
    """The values of the most records: one record could fill a page with names that it made up."""
    rows = ask.rows(
        f"SELECT {column} AS value, count(DISTINCT {record}) AS records FROM {table} "
        f"WHERE {column} <> '' GROUP BY value ORDER BY records DESC, value "
    )
    values = [row["value"] for row in rows[:MOST_CHOICES]]
    return Choice(tuple(sorted(values)), max(len(rows) - MOST_CHOICES, 0))


def steps_with_tool(ask: Cursor, filters: Filters) -> Rows:
    """All that was done with the tool, newest first; what was undone too, and said to be."""
    where = f"{filters.of_record} AND {filters.of_day('s')} AND {filters.of_person_at_step}"
    return ask.rows(
        "SELECT s.*, r.name, r.aircraft, r.stands, t.used, t.serial FROM tools t "
        "JOIN steps s ON s.record = t.record AND s.pass_number = t.pass_number "
        f"JOIN records r ON r.id = t.record WHERE t.key = $tool AND {where} "
        f"ORDER BY s.began DESC, s.pass_number LIMIT {MOST_MATCHES + 1}",
        filters.bound("$tool", where),
    )


def utterances(ask: Cursor, filters: Filters) -> Rows:
    """Where it was said, newest first."""
    where = f"{filters.of_said} AND {filters.of_record} AND {filters.of_day('s')}"
    return ask.rows(
        "SELECT s.*, r.name, r.aircraft, r.stands FROM said s JOIN records r ON r.id = s.record "
        f"WHERE {where} ORDER BY s.utc DESC LIMIT {MOST_MATCHES + 1}",
        filters.bound(where),
    )


def findings(ask: Cursor, filters: Filters) -> Rows:
    """The findings that match, the oldest first, for it waits the longest."""
    where = f"{filters.of_finding} AND {filters.of_record} AND {filters.of_day('f')}"
    return ask.rows(
        "SELECT f.*, r.name, r.aircraft, r.title, r.stands FROM findings f "
        f"JOIN records r ON r.id = f.record WHERE {where} "
        f"ORDER BY f.is_open DESC, f.raised LIMIT {MOST_MATCHES + 1}",
        filters.bound(where),
    )


@dataclass(frozen=True, slots=True)
class ToAct:
    """What somebody must act on."""

    findings: Rows  # that are open
    unfinished: Rows
    doubtful: Rows  # records that cannot be read, do not verify, decide otherwise, or are rejected


def to_act_on(ask: Cursor, filters: Filters) -> ToAct:
    """Open findings, unfinished work, and records that cannot be relied on."""
    where = f"{filters.of_record} AND {filters.of_day('r')}"
    bound = filters.bound(where)

    def standing(*stands: Stands) -> Rows:
        ranks = ", ".join(str(each.rank) for each in stands)
        return ask.rows(
            f"SELECT r.*, ({_PEOPLE}) AS people FROM records r "
            f"WHERE r.rank IN ({ranks}) AND {where} "
            f"ORDER BY r.rank, r.began, r.name LIMIT {MOST_MATCHES + 1}",
            bound,
        )

    still_open = Filters(**{**_fields_of(filters), "open": "yes"})
    return ToAct(
        findings=findings(ask, still_open),
        unfinished=standing(Stands.NOT_FINISHED, Stands.NOT_ALL_DONE),
        doubtful=standing(*BAD),
    )


def _fields_of(filters: Filters) -> dict[str, str]:
    return {name: getattr(filters, name) for name in Filters.__dataclass_fields__}

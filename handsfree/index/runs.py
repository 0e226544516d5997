"""The runs of one task side by side: which took longest and where, and what is misheard."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from handsfree.index.asking import Rows
from handsfree.index.filters import Filters
from handsfree.index.store import Cursor
from handsfree.index.tables import Stands
from handsfree.task.limits.forms import Verdict

MOST_RUNS = 100  # in the table, the longest first; all of them are in the figures
MOST_POINTS = 300  # of one reading, the newest
MOST_FAR_OUT = 6  # of one step
MOST_MISHEARD = 20
MOST_STEPS = 500  # a record can name steps that no task has: those of the most runs are shown
MOST_COURSES = 60  # of readings, likewise
MOST_TASKS = 500
_INSIDE = Verdict.INSIDE.value
_WHISKER = 1.5  # times the box, as John W. Tukey draws them ("Exploratory Data Analysis", 1977)


@dataclass(frozen=True, slots=True)
class Spread:
    """How long one step took, in seconds, over all runs that went through it."""

    step: str
    place: int
    text: str
    runs: int
    least: float  # where the whiskers end
    low: float  # quartiles
    middle: float
    high: float
    most: float
    far_out: tuple[tuple[float, str, str], ...]  # seconds, id and name of runs beyond the whiskers
    longest: float
    longest_id: str
    longest_name: str
    asked_again: int
    asked_in: int  # so many runs
    most_asked: int
    most_asked_id: str
    most_asked_name: str


@dataclass(frozen=True, slots=True)
class Point:
    """One value in the course of time."""

    day: str
    utc: str
    value: str
    drawn: float
    lowest: str
    highest: str
    lowest_drawn: float | None
    highest_drawn: float | None
    is_inside: bool
    is_undone: bool
    record: str
    name: str
    entry: int
    person: str


@dataclass(frozen=True, slots=True)
class Course:
    """One reading of the task over time."""

    step: str
    quantity: str
    unit: str
    points: tuple[Point, ...]  # oldest first
    count: int  # with those that are not shown
    outside: int
    not_drawn: int = 0  # too large for any picture


@dataclass(frozen=True, slots=True)
class Compared:
    """All runs of a task that the filters leave."""

    runs: Rows
    count: int
    not_sound: int  # so many of them do not verify, or decide otherwise
    middle_s: float  # of the work
    stood_s: float  # the longest that one of them stood by in all
    stood_id: str | None
    stood_name: str | None
    spreads: tuple[Spread, ...]
    steps: int  # with those that are not shown
    courses: tuple[Course, ...]
    readings: int  # with those that are not shown
    misheard: Rows


def tasks(ask: Cursor) -> Rows:
    """Every task with its revisions, and how many runs there are of each."""
    return ask.rows(
        "SELECT task, revision, any_value(title) AS title, count(*) AS runs, "
        "min(day) AS first, max(day) AS last FROM records WHERE task <> '' "
        "GROUP BY task, revision ORDER BY runs DESC, task, revision"
    )


def compared(ask: Cursor, filters: Filters) -> Compared:
    """The runs that the filters leave, side by side. A trial did no work, and is left out."""
    where = (
        f"{filters.of_record} AND {filters.of_day('r')} AND r.task <> '' "
        f"AND r.rank <> {Stands.TRIAL.rank}"
    )
    bound = filters.bound(where)
    # Asked for once, for each question after it is about the same runs.
    chosen = f"WITH r AS (SELECT * FROM records r WHERE {where})"
    [told] = ask.rows(
        f"{chosen} SELECT count(*) AS count, coalesce(median(work_s), 0) AS middle, "
        f"count(*) FILTER (rank <= {Stands.DECIDES_OTHERWISE.rank}) AS not_sound, "
        "coalesce(max(stand_by_s), 0) AS stood_s, arg_max(id, stand_by_s) AS stood_id, "
        "arg_max(name, stand_by_s) AS stood_name FROM r",
        bound,
    )
    readings = _readings(ask, chosen, bound)
    return Compared(
        runs=_runs(ask, chosen, bound),
        count=told["count"],
        not_sound=told["not_sound"],
        middle_s=told["middle"],
        stood_s=told["stood_s"],
        stood_id=told["stood_id"],
        stood_name=told["stood_name"],
        spreads=tuple(_spreads(ask, chosen, bound)),
        steps=ask.one(f"{chosen}, {_AT_STEPS} SELECT count(*) FROM usual", bound),
        courses=tuple(_courses(ask, chosen, bound, readings[:MOST_COURSES])),
        readings=len(readings),
        misheard=_misheard(ask, chosen, bound),
    )


# All time at a step counts, also that of a pass that was undone: somebody spent it. A step that is
# still open has no time yet.
_AT_STEPS = """
    at_steps AS (
        SELECT s.record, s.step, any_value(r.name) AS name, max(s.place) AS place,
            any_value(s.text) AS text, sum(s.work_s) AS seconds, sum(s.asked_again) AS asked,
            arg_max(s.entry, s.work_s) AS entry
        FROM steps s JOIN r ON r.id = s.record
        WHERE s.ended_as <> 'open' GROUP BY s.record, s.step
    ),
    usual AS (SELECT step, median(seconds) AS middle FROM at_steps GROUP BY step)
"""


def _runs(ask: Cursor, chosen: str, bound: dict[str, Any]) -> Rows:
    """Each run, the longest first, with the step at which it lost the most against the usual."""
    return ask.rows(
        f"""{chosen}, {_AT_STEPS},
        lost AS (
            SELECT a.record, a.step, a.place, a.entry, a.seconds, u.middle,
                a.seconds - u.middle AS over
            FROM at_steps a JOIN usual u ON u.step = a.step
            QUALIFY row_number() OVER (PARTITION BY a.record ORDER BY over DESC, a.place) = 1
        )
        SELECT r.*, l.step AS slow_step, l.place AS slow_place,
            l.entry AS slow_entry, l.seconds AS slow_s,
            l.middle AS slow_middle
        FROM r LEFT JOIN lost l ON l.record = r.id
        ORDER BY r.work_s DESC, r.name LIMIT {MOST_RUNS}""",
        bound,
    )


def _spreads(ask: Cursor, chosen: str, bound: dict[str, Any]) -> Iterator[Spread]:
    rows = ask.rows(
        f"""{chosen}, {_AT_STEPS},
        boxes AS (
            SELECT step, max(place) AS place, any_value(text) AS text, count(*) AS runs,
                quantile_cont(seconds, 0.25) AS low, median(seconds) AS middle,
                quantile_cont(seconds, 0.75) AS high, max(seconds) AS longest,
                arg_max(record, seconds) AS longest_id, arg_max(name, seconds) AS longest_name,
                sum(asked) AS asked_again, count(*) FILTER (asked > 0) AS asked_in,
                max(asked) AS most_asked, arg_max(record, asked) AS most_asked_id,
                arg_max(name, asked) AS most_asked_name
            FROM at_steps GROUP BY step ORDER BY runs DESC, place, step LIMIT {MOST_STEPS}
        )
        SELECT b.*,
            min(a.seconds) FILTER (a.seconds >= b.low - {_WHISKER} * (b.high - b.low)) AS least,
            max(a.seconds) FILTER (a.seconds <= b.high + {_WHISKER} * (b.high - b.low)) AS most,
            list({{'s': a.seconds, 'id': a.record, 'name': a.name}} ORDER BY a.seconds DESC)
                FILTER (a.seconds > b.high + {_WHISKER} * (b.high - b.low))[:{MOST_FAR_OUT}]
                AS far_out
        FROM boxes b JOIN at_steps a ON a.step = b.step
        GROUP BY ALL ORDER BY b.place, b.step""",
        bound,
    )
    for row in rows:
        far = tuple((each["s"], each["id"], each["name"]) for each in row.pop("far_out") or ())
        yield Spread(**row, far_out=far)


# A value that was corrected before it was affirmed is not shown.
_VALUES = f"""
    v AS (SELECT v.*, r.name FROM readings v JOIN r ON r.id = v.record
        WHERE v.affirmed OR v.undone OR v.verdict <> '{_INSIDE}')
"""


def _readings(ask: Cursor, chosen: str, bound: dict[str, Any]) -> Rows:
    """What is read at which step in which unit, that of the most runs first."""
    return ask.rows(
        f"{chosen}, {_VALUES} SELECT step, quantity, unit, count(*) AS count, "
        "count(*) FILTER (value_drawn IS NULL) AS not_drawn, min(place) AS place, "
        f"count(*) FILTER (verdict <> '{_INSIDE}' AND NOT undone) AS outside FROM v "
        "GROUP BY step, quantity, unit "
        "ORDER BY count(DISTINCT record) DESC, place, step, quantity, unit",
        bound,
    )


def _courses(ask: Cursor, chosen: str, bound: dict[str, Any], readings: Rows) -> Iterator[Course]:
    """Each of these readings over time, in the order of the task."""
    in_order = ("place", "step", "quantity", "unit")
    for reading in sorted(readings, key=lambda each: [each[name] for name in in_order]):
        points = ask.rows(
            f"{chosen}, {_VALUES} SELECT * FROM v WHERE value_drawn IS NOT NULL "
            "AND step = $step AND quantity = $quantity AND unit = $unit "
            f"ORDER BY utc DESC LIMIT {MOST_POINTS}",
            bound | {each: reading[each] for each in ("step", "quantity", "unit")},
        )
        yield Course(
            step=reading["step"],
            quantity=reading["quantity"],
            unit=reading["unit"],
            points=tuple(_point(row) for row in reversed(points)),
            count=reading["count"],
            outside=reading["outside"],
            not_drawn=reading["not_drawn"],
        )


def _point(row: dict[str, Any]) -> Point:
    return Point(
        day=row["day"],
        utc=row["utc"],
        value=row["value"],
        drawn=row["value_drawn"],
        lowest=row["lowest"],
        highest=row["highest"],
        lowest_drawn=row["lowest_drawn"],
        highest_drawn=row["highest_drawn"],
        is_inside=row["verdict"] == _INSIDE,
        is_undone=row["undone"],
        record=row["record"],
        name=row["name"],
        entry=row["entry"],
        person=row["person"],
    )


def _misheard(ask: Cursor, chosen: str, bound: dict[str, Any]) -> Rows:
    """Phrases that had to be said again or were taken back, those it befalls most often first."""
    return ask.rows(
        f"""{chosen},
        said AS (SELECT s.* FROM said s JOIN r ON r.id = s.record WHERE s.meant <> '')
        SELECT s.step, s.meant, count(*) AS times, count(*) FILTER (s.asked_again) AS asked,
            count(*) FILTER (s.taken_back) AS back,
            count(DISTINCT s.record) FILTER (s.asked_again OR s.taken_back) AS runs,
            list(DISTINCT s.words ORDER BY s.words)
                FILTER (s.asked_again AND s.words <> s.meant AND s.words <> ''
                    AND NOT starts_with(s.meant, '('))[:4] AS taken_for
        FROM said s GROUP BY s.step, s.meant
        HAVING asked + back > 0
        ORDER BY asked + back DESC, s.step, s.meant LIMIT {MOST_MISHEARD}""",
        bound,
    )

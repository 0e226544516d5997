"""The drawings of a rehearsal's page, in numbers: what lies where. The template writes the SVG."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from handsfree.rehearse.report import Rehearsal, Results, StepTime

WIDTH = 640.0
NAMES = 190.0  # at the left
ROW = 20.0
_RIGHT = 56.0  # for a number behind the bar
SCALE = WIDTH - NAMES - _RIGHT


@dataclass(frozen=True, slots=True)
class Part:
    """One result of a bar."""

    kind: str  # right, asked or wrong
    x: float
    width: float


@dataclass(frozen=True, slots=True)
class Bar:
    """A row of parts, all of them 100 %."""

    name: str
    y: float
    parts: tuple[Part, ...]
    told: str  # behind the bar
    described: str


@dataclass(frozen=True, slots=True)
class Dot:
    """A share with its interval on the scale."""

    x: float
    low: float
    high: float
    y: float
    shade: int  # 0 is the clearest ratio
    described: str


@dataclass(frozen=True, slots=True)
class StepRow:
    """The shares of one step, a dot for each ratio."""

    name: str
    y: float
    dots: tuple[Dot, ...]


@dataclass(frozen=True, slots=True)
class TimeBar:
    """Seconds of one step."""

    name: str
    y: float
    width: float
    told: str


def bars(rows: Iterable[tuple[str, Results]]) -> tuple[Bar, ...]:
    """A bar for each row that has results."""
    found = []
    for at, (name, results) in enumerate((name, each) for name, each in rows if each.of):
        x, parts = NAMES, []
        for kind in ("right", "asked", "wrong"):
            width = SCALE * getattr(results, kind) / results.of
            parts.append(Part(kind, round(x, 1), round(width, 1)))
            x += width
        described = (
            f"{name}: {results.right} accepted right, {results.asked} asked again, "
            f"{results.wrong} accepted wrong, of {results.of}"
        )
        told = f"{results.wrong} wrong" if results.wrong else ""
        found.append(Bar(name, at * ROW, tuple(parts), told, described))
    return tuple(found)


def ratio_bars(rehearsal: Rehearsal, *, recorded: bool = False) -> tuple[Bar, ...]:
    """What came of all that was said, by ratio."""
    return bars(
        (f"{snr_db:g} dB", rehearsal.results_at(snr_db, recorded=recorded))
        for snr_db in rehearsal.settings.snrs_db
    )


def name_bars(results: Mapping[str, Results]) -> tuple[Bar, ...]:
    """What came of the answers, by noise or by voice."""
    return bars(results.items())


def step_rows(rehearsal: Rehearsal) -> tuple[StepRow, ...]:
    """The share of answers that were not accepted right at once, by step."""
    ratios = rehearsal.settings.snrs_db
    steps = dict.fromkeys(each.step for each in rehearsal.steps)
    found = []
    for at, step in enumerate(steps):
        y = at * (ROW + 4)
        rows = [each for each in rehearsal.steps if each.step == step and each.kind == "answer"]
        dots = [
            _dot(each.results, y, ratios.index(each.snr_db), len(ratios), each.snr_db)
            for each in rows
            if each.results.of
        ]
        found.append(StepRow(step, y, tuple(dots)))
    return tuple(found)


def _dot(results: Results, y: float, shade: int, ratios: int, snr_db: float) -> Dot:
    asked = results.count("asked")
    limits = asked.interval
    described = f"{snr_db:g} dB: asked again {asked.times} of {asked.of}"
    return Dot(
        x=_at(asked.rate),
        low=_at(limits.low),
        high=_at(limits.high),
        y=round(y + 4 + shade * (ROW - 6) / max(1, ratios - 1), 1),
        shade=min(shade, 2),
        described=described,
    )


def _at(share: float) -> float:
    return round(NAMES + SCALE * share, 1)


def time_bars(times: Sequence[StepTime]) -> tuple[TimeBar, ...]:
    """Seconds by step, on one scale."""
    longest = max((each.seconds for each in times), default=1.0) or 1.0
    return tuple(
        TimeBar(
            each.step,
            at * ROW,
            round(SCALE * each.seconds / longest, 1),
            f"{each.seconds:.0f} s, {each.turns:.1f} turns",
        )
        for at, each in enumerate(times)
    )

"""A whole conversation of the scripted crew with the engine, by whatever hears them."""

from collections.abc import Generator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from handsfree.engine.advance import advance, before_start
from handsfree.engine.effects import Effect, Say, Write
from handsfree.engine.entries import NotActedOn, NotHeeded
from handsfree.engine.events import Event, Spoken, Started
from handsfree.engine.phase import Phase
from handsfree.engine.state import State
from handsfree.rehearse.answers import day_of
from handsfree.rehearse.crew import Line, Script, next_line, roster_for
from handsfree.rehearse.heard_surely import surely
from handsfree.task.model import Task
from handsfree.words.heard import Heard

Variants = tuple[tuple[str, str], ...]

# A turn takes about so long, whatever is said. It only has to be more than no time at all.
_A_TURN = timedelta(seconds=4)
# More turns than this at each step, on the whole, and the crew gives up.
_MOST_TURNS_A_STEP = 12
_MOST_TURNS_BESIDES = 40

_IN_DOUBT = frozenset({NotActedOn.DOUBTFUL, NotActedOn.AMBIGUOUS})


@dataclass(frozen=True, slots=True)
class Said:
    """A line at the moment when it is said."""

    state: State
    line: Line
    at: timedelta  # the running time


@dataclass(frozen=True, slots=True)
class Turn:
    """One line, and what the tool did after it."""

    step: str  # where it was said
    state: State  # in which it was listened for
    line: Line
    heard: Heard
    said: tuple[str, ...]  # what the tool says after it, each in one breath
    in_doubt: bool  # it was asked for again
    after: State


@dataclass(frozen=True, slots=True)
class Conversation:
    """From the start of a task to its end, or to where the crew gave up."""

    variants: Variants
    script: tuple[tuple[str, str], ...]
    opening: tuple[str, ...]  # what the tool says before the first turn
    turns: tuple[Turn, ...]
    finished: bool


def hold(
    task: Task,
    variants: Variants = (),
    script: Script | None = None,
    seed: str = "",
    confusable: tuple[str, ...] = (),
) -> Conversation:
    """Let the crew go through `task`, where all that they say is heard surely.

    Raises NothingToSay where nothing that they could say leads to what the script wants.
    """
    talk = conversing(task, variants, script or {}, seed, confusable)
    try:
        said = next(talk)
        while True:
            said = talk.send(surely(said.line.words, said.at, said.line.channel))
    except StopIteration as ended:
        held: Conversation = ended.value
        return held


def conversing(
    task: Task,
    variants: Variants,
    script: Script,
    seed: str,
    confusable: tuple[str, ...],
) -> Generator[Said, Heard, Conversation]:
    """A conversation that gives each line, and wants to be told what was heard of it.

    Raises NothingToSay as `hold` does.
    """
    day = day_of(task)
    begins = datetime(day.year, day.month, day.day, 8, tzinfo=UTC)
    people = roster_for(task)
    started = Started(confusable, variants, day, people=people, clock=begins)
    state, effects = _spoken_out(task, *advance(task, before_start(task), started))
    opening, turns = _says(effects), list[Turn]()
    told = opening
    most = _MOST_TURNS_A_STEP * len(task.steps) + _MOST_TURNS_BESIDES
    while state.phase is not Phase.FINISHED and len(turns) < most:
        line = next_line(task, state, script, seed, told)
        now = max(state.now + _A_TURN, line.after)
        heard = yield Said(state, line, now)
        after, effects = _spoken_out(task, *advance(task, state, heard))
        at = task.steps[min(state.step, len(task.steps) - 1)].id
        told = _says(effects)
        turns.append(Turn(at, state, line, heard, told, _in_doubt(effects), after))
        state = after
    finished = state.phase is Phase.FINISHED
    return Conversation(variants, tuple(script.items()), opening, tuple(turns), finished)


def _in_doubt(effects: tuple[Effect, ...]) -> bool:
    return any(
        isinstance(each, Write)
        and isinstance(each.entry, NotHeeded)
        and each.entry.reason in _IN_DOUBT
        for each in effects
    )


def _spoken_out(
    task: Task, state: State, effects: tuple[Effect, ...]
) -> tuple[State, tuple[Effect, ...]]:
    """All that is said is said to its end, also where a step is only said and the next follows."""
    while state.speaking:
        event: Event = Spoken()
        state, more = advance(task, state, event)
        effects = (*effects, *more)
    return state, effects


def _says(effects: tuple[Effect, ...]) -> tuple[str, ...]:
    return tuple(each.text for each in effects if isinstance(each, Say))

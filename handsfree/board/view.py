"""What the board shows at each moment. Pure: equal inputs give equal views."""

from dataclasses import dataclass, replace
from enum import Enum

from handsfree.board.last_value import (
    LastValue,
    Standing,
    left_open,
    limits_before,
    of_present_step,
    value_after,
)
from handsfree.board.sayable import fitting_answers, other_words
from handsfree.engine.effects import Effect, Finish, Listen, Say, Speech, Write
from handsfree.engine.entries import NotActedOn, NotHeeded
from handsfree.engine.helping import SHOWN_LARGE_FROM
from handsfree.engine.phase import AT_A_STEP, Phase
from handsfree.engine.phrases_now import can_close_finding
from handsfree.engine.replies import step_of
from handsfree.engine.state import State
from handsfree.task.model import Task
from handsfree.task.roles import Role
from handsfree.task.step import Step
from handsfree.words.spoken_numbers import speak_text


class Activity(Enum):
    """What the tool does now."""

    READY = "getting ready"
    SPEAKING = "speaking"
    LISTENING = "listening"
    STANDING_BY = "standing by"
    FINISHED = "finished"
    STOPPED = "stopped"  # the run ended before the task did
    FAILED = "board failed"  # the run goes on, the board does not


class Focus(Enum):
    """What matters most now, and is the largest."""

    STEP = "step"
    ALERT = "alert"  # the warning, caution or note that is being spoken
    VALUE = "value"
    VOICE = "voice"  # what the tool said
    ANSWERS = "answers"  # what can be said: a person was told twice, and said something else


@dataclass(frozen=True, slots=True)
class Alert:
    """A warning, caution or note of the step."""

    kind: str  # "warning", "caution" or "note"
    text: str
    spoken_now: bool = False


@dataclass(frozen=True, slots=True)
class Inspection:
    """The work of the step is done, and an inspector is to look at it."""

    inspector: str  # the name of who does; empty: they have not said who they are


@dataclass(frozen=True, slots=True)
class BoardView:
    """Everything on the board."""

    title: str
    revision: str
    step: int  # from 1; past the last one when finished
    steps: int
    activity: Activity
    focus: Focus
    alerts: tuple[Alert, ...]
    instruction: str  # empty when finished
    limits: str  # of the reading that the step wants; empty: there are none, or none to be shown
    inspection: Inspection | None  # None: the step is not being inspected; else `value` is to be
    value: LastValue | None  # None: none was stated at this step
    voice: tuple[str, ...]  # what was said last, where the board does not show it anyway
    not_acted_on: str  # what was heard last and not acted on, and why; empty: nothing
    answers: tuple[str, ...]  # what can be said now to go on; empty while the tool speaks
    other_words: tuple[str, ...]  # what else can be said now
    states: tuple[tuple[str, str], ...]  # of pins and levers, and of what is counted, by name
    foremost: tuple[str, ...]  # the names of those that the step changes, or that are asked about
    concerned: tuple[str, ...]  # of those besides that the step needs, or can change in another way
    findings: tuple[str, ...]  # those that are open: the number, what stands in the way, the step
    left_undone: tuple[str, ...]  # the steps that were passed undone, and how they were left
    trouble: str = ""  # empty: none


def first_view(task: Task, state: State) -> BoardView:
    """The board before the run has begun."""
    blank = BoardView(
        title=task.title,
        revision=task.revision,
        step=0,
        steps=len(task.steps),
        activity=Activity.READY,
        focus=Focus.STEP,
        alerts=(),
        instruction="",
        limits="",
        inspection=None,
        value=None,
        voice=(),
        not_acted_on="",
        answers=(),
        other_words=(),
        states=(),
        foremost=(),
        concerned=(),
        findings=(),
        left_undone=(),
    )
    return _where_it_stands(task, state, blank)


def next_view(task: Task, state: State, effect: Effect, before: BoardView) -> BoardView:
    """The board once `effect` begins; for a `Write`, once it is on the record.

    `state` is the state that the engine gave together with `effect`; `before` is the view until
    now.
    """
    view = _where_it_stands(task, state, before)
    match effect:
        case Write(entry):
            value = value_after(view.value, task, state, entry)
            # A new decision ends what was said about the one before, and what could be answered.
            view = replace(view, value=value, voice=(), not_acted_on="", trouble="")
            if state.speaking:
                view = _about_to_speak(view)
            if isinstance(entry, NotHeeded) and entry.reason is not NotActedOn.STANDING_BY:
                words = " ".join(entry.words) or "nothing that fits"
                if task.steps[task.index_of[entry.step]].read_back:
                    # It may be the value that the second person must not see before they look.
                    words = "something"
                return replace(view, not_acted_on=f"{words}: {entry.reason.value}")
            return view
        case Say():
            return _saying(state, effect, view)
        case Listen():
            standing_by = state.phase is Phase.STANDING_BY
            view = replace(view, answers=fitting_answers(state.phase, step_of(task, state).expect))
            return replace(
                view,
                activity=Activity.STANDING_BY if standing_by else Activity.LISTENING,
                focus=_focus(state, view),
                other_words=other_words(state.phase, can_close_finding(state)),
            )
        case Finish():
            return replace(view, activity=Activity.FINISHED, focus=Focus.VOICE)


def stopped_view(before: BoardView) -> BoardView:
    """The board when the run has ended: a task that is not finished says so."""
    if before.activity is Activity.FINISHED:
        return before
    value = None if before.value is None else left_open(before.value)
    return replace(before, activity=Activity.STOPPED, value=value, answers=(), other_words=())


def failed_view(before: BoardView) -> BoardView:
    """The board when it cannot follow the run any more, which goes on."""
    return replace(
        before,
        activity=Activity.FAILED,
        answers=(),
        other_words=(),
        trouble="The board does not follow any more: listen to the voice.",
    )


def _where_it_stands(task: Task, state: State, view: BoardView) -> BoardView:
    """`view` with all that follows from the state alone."""
    # Before the start nobody may begin with the first step, so it is not shown yet.
    is_ready = state.phase is Phase.READY
    step = None if is_ready or state.step >= len(task.steps) else task.steps[state.step]
    foremost = _foremost(task, state, step)
    concerned = () if step is None else _concerned(task, step)
    return replace(
        view,
        step=0 if is_ready else state.step + 1,
        alerts=_of_task(task) if is_ready else () if step is None else _alerts(step),
        instruction="" if step is None else step.instruction,
        limits=(
            limits_before(step, dict(state.readings))
            if step is not None and state.phase in AT_A_STEP
            else ""
        ),
        inspection=_inspection(state),
        value=of_present_step(view.value, state),
        states=(
            *((task.states[name].called, value) for name, value in state.states),
            *((_out(task, name), str(out)) for name, out in state.counts),
        ),
        foremost=foremost,
        concerned=tuple(name for name in concerned if name not in foremost),
        # Not what was said about them: it was said freely, and can hold a value.
        findings=tuple(
            f"finding {each.number}, {each.category.value}, step {task.index_of[each.step] + 1}"
            for each in state.findings.open
        ),
        left_undone=tuple(
            f"step {task.index_of[step] + 1}, {how}" for step, how in state.progress.left_undone
        ),
    )


def _foremost(task: Task, state: State, step: Step | None) -> tuple[str, ...]:
    if state.resumption.checks:
        return (task.states[state.resumption.checks[0]].called,)
    if step is None:
        return ()
    return (
        *(task.states[name].called for name in step.sets),
        *(_out(task, name) for name in dict.fromkeys((*step.counts_out, *step.counts_in))),
    )


def _concerned(task: Task, step: Step) -> tuple[str, ...]:
    in_another_way = (name for each in step.then.values() for name in each.sets)
    return tuple(task.states[name].called for name in dict.fromkeys((*step.needs, *in_another_way)))


def _out(task: Task, counted: str) -> str:
    return f"{task.counted[counted].called} out"


def _inspection(state: State) -> Inspection | None:
    if state.this_step.uninspected is None:
        return None
    number = state.crew.number_of(Role.INSPECTOR)
    # Who inspected the step before is not yet who inspects this one.
    unknown = number is None or Role.INSPECTOR in state.crew.missing
    person = None if unknown or number is None else state.crew.person(number)
    return Inspection(person.name if person else "")


def _of_task(task: Task) -> tuple[Alert, ...]:
    return tuple(Alert("warning", text) for text in task.warning)


def _alerts(step: Step) -> tuple[Alert, ...]:
    return (
        *(Alert("warning", text) for text in step.warning),
        *(Alert("caution", text) for text in step.caution),
        *(Alert("note", text) for text in step.note),
    )


def _about_to_speak(view: BoardView) -> BoardView:
    # Nothing that is said now is acted on, so there is nothing that can be said.
    return replace(view, activity=Activity.SPEAKING, answers=(), other_words=())


def _saying(state: State, say: Say, view: BoardView) -> BoardView:
    alerts = tuple(replace(alert, spoken_now=_is_said(alert, say)) for alert in view.alerts)
    said_before = view.voice if view.activity is Activity.SPEAKING else ()
    view = replace(_about_to_speak(view), alerts=alerts)
    if any(alert.spoken_now for alert in alerts):
        return replace(view, focus=Focus.ALERT, voice=())
    if say.speech is Speech.INSTRUCTION:
        return replace(view, focus=Focus.STEP, voice=())
    # An answer is shown whole. Notices are many and long: one after the other.
    whole = say.speech in (Speech.READ_BACK, Speech.QUESTION)
    view = replace(view, voice=(*said_before, say.text) if whole else (say.text,))
    return replace(view, focus=Focus.VALUE if _value_is_asked(state, view) else Focus.VOICE)


def _is_said(alert: Alert, say: Say) -> bool:
    return say.speech.value == alert.kind and say.text.endswith(speak_text(alert.text))


def _focus(state: State, view: BoardView) -> Focus:
    if max(state.exchange.helped, state.exchange.doubt.count) >= SHOWN_LARGE_FROM and view.answers:
        return Focus.ANSWERS
    if _value_is_asked(state, view):
        return Focus.VALUE
    # What waits for "affirm" and is no value, and why the task stands by, was only said.
    waits_for_the_step = state.phase in (Phase.ANSWERING, Phase.OUTSIDE)
    return Focus.STEP if waits_for_the_step else Focus.VOICE


def _value_is_asked(state: State, view: BoardView) -> bool:
    """Whether the run waits for a word about the value that is shown."""
    if view.value is None:
        return False
    asked = {
        Phase.CONFIRMING: Standing.WAITING,
        Phase.OUTSIDE: Standing.NOT_ACCEPTED,
        Phase.INSPECTING: Standing.UNINSPECTED,
    }
    return view.value.standing is asked.get(state.phase)

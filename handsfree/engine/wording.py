"""Every sentence that the tool says."""

import re
from collections.abc import Mapping
from datetime import date, timedelta
from decimal import Context, Decimal
from fractions import Fraction

from handsfree.engine.effects import Say, Speech
from handsfree.engine.entries import CountDiffers
from handsfree.task.limits import Bounds, Verdict
from handsfree.task.model import (
    ChoiceExpected,
    ConfirmExpected,
    DateExpected,
    Expectation,
    IdentityExpected,
    ReadingExpected,
    Step,
    Task,
)
from handsfree.task.validity import DateVerdict
from handsfree.words.alphabet import SPOKEN_LETTERS, speak_characters
from handsfree.words.dates import MONTHS, speak_date
from handsfree.words.fractions import FRACTION_WORDS, as_fraction, speak_measured
from handsfree.words.meanings import Stated
from handsfree.words.numerals import speak_figures, speak_number, speak_text
from handsfree.words.units import UNITS, speak_unit

# A run of the words that `speak_measured`, `speak_characters` and `speak_date` say values in. A
# month belongs to it only between figures: "may" and "march" are also other words.
_VALUE_WORDS = "|".join(
    sorted({*speak_figures("0123456789.-").split(), *SPOKEN_LETTERS, *FRACTION_WORDS}, reverse=True)
)
_MONTHS = f"(?:{'|'.join(MONTHS)})"
_VALUE_IN_SPEECH = re.compile(
    rf"\b(?:{_VALUE_WORDS})(?:(?: and| {_MONTHS})? (?:{_VALUE_WORDS}))*\b", re.IGNORECASE
)
_FIGURES = Context(prec=200)  # more than any value that is spoken has
# A value that is nearer to a limit than this many figures show is the limit, to any ear.
_MOST_MORE_PLACES = 20

RELEASE = "This tool certifies nothing. Release to service is for licensed certifying staff."


def opening(task: Task, variants: Mapping[str, str]) -> tuple[Say, ...]:
    """What is said before the first step."""
    data = task.approved_data
    this_run = ", ".join(f"{name.replace('-', ' ')} {value}" for name, value in variants.items())
    return (
        *(say(Speech.NOTICE, text) for text in task.notice),
        say(Speech.NOTICE, f"{_ended(task.title)} Task revision {task.revision}."),
        say(
            Speech.NOTICE,
            f"It follows {data.reference}, revision {data.revision}, which outranks it.",
        ),
        *((say(Speech.NOTICE, f"This run is for {this_run}."),) if variants else ()),
        *(say(Speech.WARNING, f"Warning. {text}") for text in task.warning),
    )


def step(number: int, step: Step) -> tuple[Say, ...]:
    """Warnings and cautions, then the instruction, then what to answer."""
    return (
        *(say(Speech.WARNING, f"Warning. {text}") for text in step.warning),
        *(say(Speech.CAUTION, f"Caution. {text}") for text in step.caution),
        *(say(Speech.NOTE, f"Note. {text}") for text in step.note),
        say(Speech.INSTRUCTION, f"Step {number}. {_ended(step.instruction)}{_answer(step.expect)}"),
    )


def expected_answer(expected: Expectation | None) -> str:
    """What the step waits for, as an order."""
    match expected:
        case ConfirmExpected():
            return f"Report {expected.confirm}."
        case ReadingExpected():
            scales = (expected.unit, *(scale.unit for scale in expected.other_scales))
            units = " or ".join(speak_unit(unit) for unit in scales)
            twice = ", words twice, with the unit each time" if expected.words_twice else ""
            return f"Report {expected.reading} in {units}{twice}."
        case IdentityExpected():
            return f"Read out the {expected.identity}."
        case DateExpected():
            return f"Read out the {expected.date}: day, month by name, year."
        case ChoiceExpected():
            return f"Report {' or '.join(expected.choose)}."
    return ""


def confirmed(phrase: str) -> Say:
    """The confirmation as it was heard."""
    return say(Speech.READ_BACK, _ended(phrase.capitalize()))


def phrase_read_back(phrase: str) -> tuple[Say, ...]:
    """The phrase as it was heard, to be affirmed."""
    return (confirmed(phrase), say(Speech.QUESTION, "Affirm?"))


def reading(
    stated: Stated, expected: ReadingExpected, bounds: Bounds, exact: Fraction
) -> tuple[Say, ...]:
    """The value digit by digit with its verdict, and what may be said now.

    `exact` is the value in the unit of the task. A value read on another scale is said in both.
    """
    verdict = bounds.verdict(exact)
    unit = stated.unit or expected.unit
    value = f"{speak_measured(stated.figures).capitalize()} {speak_unit(unit)}"
    if unit != expected.unit:
        value += f", that is {_converted(exact, expected, bounds)} {speak_unit(expected.unit)}"
    value += "."
    if verdict is Verdict.INSIDE:
        return (
            say(Speech.READ_BACK, f"{value} Inside limits."),
            say(Speech.QUESTION, "Affirm?"),
        )
    limit = (
        bounds.lowest_readable(expected.resolution)
        if verdict is Verdict.BELOW
        else bounds.highest_readable(expected.resolution)
    )
    spoken_limit = _spoken_value(limit, expected) if limit is not None else ""
    return (
        say(Speech.READ_BACK, f"{value} {verdict.value.capitalize()}, {spoken_limit}."),
        say(Speech.QUESTION, "Correct it, measure again, or say unable."),
    )


def _converted(exact: Fraction, expected: ReadingExpected, bounds: Bounds) -> str:
    """`exact` for the ear, to a tenth of the scale.

    What is said must not contradict the verdict: a value just outside a limit is not said as the
    limit. Then more figures are said.
    """
    least = max(0, 1 - expected.resolution.adjusted())
    for places in range(least, least + _MOST_MORE_PLACES):
        spoken = _FIGURES.divide(Decimal(round(exact * 10**places)), Decimal(10) ** places)
        if Fraction(spoken) == exact:
            return _spoken_value(spoken.normalize(_FIGURES), expected)
        if bounds.verdict(spoken) is bounds.verdict(exact):
            break
    return f"about {_spoken_value(spoken.normalize(_FIGURES), expected)}"


def _spoken_value(value: Decimal, expected: ReadingExpected) -> str:
    return speak_measured(as_fraction(value)) if expected.fractions else speak_number(value)


def wrong_kind(said: str, expected: ReadingExpected) -> tuple[Say, ...]:
    """The value came in a unit of something else."""
    what = f"I heard {speak_unit(said)}, which is {UNITS[said].quantity}."
    return (say(Speech.QUESTION, f"{what} {expected_answer(expected)}"),)


def leads_on(number: int | None) -> Say:
    """A value outside its limits that the task has a way for; it must have been heard right."""
    leads = "ends the task" if number is None else f"leads to step {number}"
    return say(Speech.QUESTION, f"This {leads}. Affirm?")


def too_early(remaining: timedelta) -> tuple[Say, ...]:
    """The step was answered before its time."""
    return (say(Speech.QUESTION, f"Too early. Wait {spoken_time(remaining)} more, then report."),)


def late(number: int) -> Say:
    """The step was answered after its time."""
    return say(Speech.READ_BACK, f"Too late. The time for step {number} is over.")


def no_limits(value_figures: str, unit: str, why: str) -> tuple[Say, ...]:
    """The value cannot be judged, so it is not taken; `why` follows from earlier readings."""
    value = f"{speak_measured(value_figures).capitalize()} {speak_unit(unit)}."
    return (
        say(Speech.READ_BACK, f"{value} Not accepted. There are no limits for it: {why}."),
        say(Speech.QUESTION, "Say unable, and tell your supervisor."),
    )


def wrong_unit(said: str, expected: ReadingExpected) -> tuple[Say, ...]:
    """The value came in another unit."""
    return (say(Speech.QUESTION, f"I heard {speak_unit(said)}. {expected_answer(expected)}"),)


def said_once(expected: ReadingExpected) -> tuple[Say, ...]:
    """The value is to be said twice, and was said once."""
    return (say(Speech.QUESTION, f"I heard it once. {expected_answer(expected)}"),)


def too_fine(expected: ReadingExpected, resolution: Decimal, unit: str) -> tuple[Say, ...]:
    """The value has more figures than the gauge can show."""
    finest = f"{_spoken_value(resolution, expected)} {speak_unit(unit)}"
    return (
        say(
            Speech.QUESTION, f"The scale reads in steps of {finest}. Read {expected.reading} again."
        ),
    )


def identity(characters: str, expected: IdentityExpected, refusal: str) -> tuple[Say, ...]:
    """The identity character by character, and why it is not accepted; empty: it is.

    The right one is not spoken: it would be an invitation to read it off the voice.
    """
    read_back = f"{expected.identity.capitalize()} {speak_characters(characters)}."
    if not refusal:
        return (say(Speech.READ_BACK, read_back), say(Speech.QUESTION, "Affirm?"))
    return (
        say(Speech.READ_BACK, f"{read_back} {_sentence(refusal)}"),
        say(Speech.QUESTION, "Read it again, or say unable."),
    )


def date_read(
    iso: str, expected: DateExpected, verdict: DateVerdict, today: date | None
) -> tuple[Say, ...]:
    """The date with its verdict. One that is on file is not spoken: it could be read off."""
    read_back = f"{expected.date.capitalize()} {speak_date(iso)}."
    match verdict:
        case DateVerdict.IN_DATE:
            return (
                say(Speech.READ_BACK, f"{read_back} In date."),
                say(Speech.QUESTION, "Affirm?"),
            )
        case DateVerdict.NO_SUCH_DATE:
            told = f"There is no {speak_date(iso)}."
        case DateVerdict.OUT_OF_DATE if today is not None:
            told = f"{read_back} Out of date. Today is {speak_date(today.isoformat())}."
        case _:
            told = f"{read_back} Not accepted: {verdict.value}."
    return (say(Speech.READ_BACK, told), say(Speech.QUESTION, "Read it again, or say unable."))


def count_differs(task: Task, differs: CountDiffers) -> Say:
    """What is missing of the things that come back, and where each was seen last."""
    item = task.counted[differs.item]
    short = f"{differs.missing} missing" if differs.missing > 0 else f"{-differs.missing} too many"
    told = [f"{item.called.capitalize()}: {differs.out} out, {differs.counted_in} in, {short}."]
    for name, step_id in differs.last_seen:
        at = task.index_of[step_id]
        called = "" if name == differs.item else f" {name.replace('-', ' ')},"
        told.append(f"Last seen:{called} step {at + 1}, {_clause(task.steps[at].instruction)}")
    return say(Speech.READ_BACK, " ".join(told))


def wrong_choice(choice: str, expected: ChoiceExpected) -> tuple[Say, ...]:
    """A choice that does not let the step go on."""
    return (
        say(Speech.READ_BACK, f"{choice.capitalize()}. The task needs {expected.required}."),
        say(Speech.QUESTION, "Put it right and report, or say unable."),
    )


def withdrawn(expected: Expectation | None) -> tuple[Say, ...]:
    """The value was taken back."""
    return (say(Speech.QUESTION, f"Withdrawn. {expected_answer(expected)}"),)


def no_use(heard: str, expected: str) -> tuple[Say, ...]:
    """Something was understood that does not answer the step."""
    return (say(Speech.QUESTION, f"I heard {heard}. {expected}"),)


def confirm_or_correct(heard: str) -> tuple[Say, ...]:
    """While a value waits, only a clear word moves it."""
    return no_use(heard, "Say affirm, or correction and the value.")


def say_again(reason: str = "") -> tuple[Say, ...]:
    """Ask for a repetition."""
    return (say(Speech.QUESTION, f"Say again: {reason}." if reason else "Say again."),)


def words_twice(says: tuple[Say, ...]) -> tuple[Say, ...]:
    """`says` with every number and every spelled word in it said twice (ICAO Doc 9432, 2.6)."""
    return tuple(Say(each.speech, _VALUE_IN_SPEECH.sub(_said_twice, each.text)) for each in says)


def _said_twice(value: re.Match[str]) -> str:
    return f"{value.group()}, {value.group().lower()}"


def readability(score: float) -> Say:
    """The answer to "how do you read", on the scale of ICAO Annex 10 Vol II, 5.2.1.8.4.

    5 is perfectly readable, 4 readable; a worse hearing is asked for again before it gets here.
    """
    return say(Speech.READ_BACK, f"Readability {5 if score >= 0.99 else 4}.")


def standing_by() -> tuple[Say, ...]:
    """Acknowledge "stand by"."""
    return (say(Speech.READ_BACK, "Standing by. Say why, then go ahead to go on."),)


def unable(number: int, finding: int) -> tuple[Say, ...]:
    """Why a step is not done has been said."""
    return (
        say(
            Speech.READ_BACK,
            f"Finding {finding} is open. Step {number} is not done. "
            "Tell your supervisor. Say go ahead to try it again.",
        ),
    )


def may_defer(number: int, finding: int, authority: str) -> tuple[Say, ...]:
    """The same at a step that may be deferred."""
    return (
        say(
            Speech.QUESTION,
            f"Finding {finding} is open. Step {number} can be deferred by {authority}. "
            "Say affirm when it is deferred, or go ahead to try it again.",
        ),
    )


def deferred(number: int) -> Say:
    """The step stays undone."""
    return say(Speech.READ_BACK, f"Step {number} is deferred. A finding is open.")


def defer_or_go_ahead(heard: str) -> tuple[Say, ...]:
    """Only a clear word defers a step."""
    return no_use(heard, "Say affirm when the step is deferred, or go ahead to try it again.")


def not_heard(times: int, number: int) -> tuple[Say, ...]:
    """Too many doubtful hearings."""
    return (
        say(
            Speech.READ_BACK,
            f"I did not hear you well, {times} times. Step {number} waits. "
            "Come closer or wait for quiet, then say go ahead.",
        ),
    )


def hearing_lost(reason: str, number: int) -> tuple[Say, ...]:
    """Nothing could be heard for a while; what was to be done may have changed since."""
    lost = f"I could not hear: {reason}. Step {number} waits."
    return (say(Speech.READ_BACK, f"{lost} Say go ahead when you are ready."),)


def hearing_returned() -> tuple[Say, ...]:
    """The microphone is back."""
    return (say(Speech.READ_BACK, "I can hear again. Say go ahead to go on."),)


def voice_lost(reason: str, number: int) -> tuple[Say, ...]:
    """What was said last was not heard, or only as beeps; this may be no better."""
    lost = f"I was not heard: {reason}. Step {number} waits."
    return (say(Speech.READ_BACK, f"{lost} Read what is shown, then say go ahead."),)


def going_on() -> Say:
    """Acknowledge "go ahead"."""
    return say(Speech.READ_BACK, "Going on.")


def going_on_from_the_record() -> Say:
    """What is said first after the program had ended."""
    return say(Speech.NOTICE, "Going on from the record.")


def record_not_written() -> Say:
    """The last thing that is said when nothing can be proved any more."""
    return say(
        Speech.WARNING,
        "The record cannot be written. The task holds. Do not go on with the work. "
        "Tell your supervisor.",
    )


def ending(
    task: Task,
    states: Mapping[str, str],
    counts: Mapping[str, int],
    findings: Mapping[str, str],
) -> tuple[Say, ...]:
    """What is said when the last step is done."""
    straight = not any(each.applies or each.then or each.deferral for each in task.steps)
    steps = f"All {len(task.steps)} steps are" if straight else "Every step on this way is"
    but = ", but for what follows" if findings else ""
    ended = [f"{task.states[name].called.capitalize()} {value}." for name, value in states.items()]
    ended += [
        f"{task.counted[name].called.capitalize()} out: {out}." for name, out in counts.items()
    ]
    still_open = (
        say(
            Speech.NOTICE,
            f"Step {task.index_of[step] + 1} is not done, {outcome}. Its finding is open: "
            f"{_ended(task.steps[task.index_of[step]].instruction)}",
        )
        for step, outcome in findings.items()
    )
    return (
        say(Speech.NOTICE, " ".join((f"{steps} confirmed{but}.", *ended))),
        *still_open,
        say(Speech.NOTICE, RELEASE),
    )


def _answer(expected: Expectation | None) -> str:
    # An instruction to read a gauge or a number needs no second sentence that says so, unless there
    # is more to know than the instruction tells.
    special = isinstance(expected, ReadingExpected) and (
        expected.words_twice or expected.other_scales
    )
    if special or isinstance(expected, ConfirmExpected | ChoiceExpected):
        return f" {expected_answer(expected)}"
    return ""


def spoken_time(time: timedelta) -> str:
    """A time for the ear, never shorter than it is, such as "3 minutes 1 second"."""
    seconds = -(-time // timedelta(seconds=1))
    parts = ((seconds // 3600, "hour"), (seconds // 60 % 60, "minute"), (seconds % 60, "second"))
    said = [f"{number} {name}{'s' * (number != 1)}" for number, name in parts if number]
    return " ".join(said)


def _sentence(clause: str) -> str:
    return _ended(clause[:1].upper() + clause[1:])


def _clause(sentence: str) -> str:
    return _ended(sentence[:1].lower() + sentence[1:])


def _ended(text: str) -> str:
    return text if text.endswith((".", "!", "?")) else f"{text}."


def say(speech: Speech, text: str) -> Say:
    """`text` with its numbers in words."""
    return Say(speech, speak_text(text))

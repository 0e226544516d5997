"""Six people, each with a manner of their own, through the long task: none of them is left alone.

All are invented. At every moment each says what people of that manner say, and then what is right.
Whatever was said, the next sentence of the tool tells what to do; at the end the record is that of
a run by the book.
"""

import re

import pytest

from handsfree.engine.effects import Write
from handsfree.engine.entries import StepConfirmed
from handsfree.engine.phase import Phase
from tests.long_task import LongRun

PEOPLE = {
    "nervous": (
        *("sorry", "what was that", "no wait", "is that right", "i mean the other one", "pardon"),
        *("what is the limit", "i think two nine", "no no", "oh no", "scratch that", "help"),
        *("what is the warning", "about two", "sorry sorry", "repeat that", "don't go ahead"),
    ),
    "terse": (
        *("yes", "done", "ok", "next", "check", "no", "go", "fine", "in", "fitted", "roger"),
        *("same", "good", "say", "pin", "yep"),
    ),
    "chatty": (
        "okay so that is in now i would say",
        "well it looks good to me",
        "all right then let us have a look at this one",
        "it's a bit stiff but it will do",
        "the pressure is about where it was yesterday",
        "thanks that's right",
        "so how many steps are left",
        "what do i do now",
        "yeah yeah okay",
        "my back hurts",
        "what was the temperature",
    ),
    "second language": (
        *("repeat please", "i not understand", "is fitted the pin", "what is next", "come again"),
        *("finish", "yes is good", "pin no fitted", "slow please", "twenty nine eighty", "fife"),
        *("what mean this", "how many left", "what can i say", "bottle pin is not fitted"),
    ),
    "interrupting": (
        *("wait", "stop", "hold on", "where are we", "pause", "no stop", "one moment"),
        *("go back", "stand by", "what step is this", "what was the last reading", "which tool"),
    ),
    "by the book": (
        *("say again", "words twice", "how do you read", "where am i", "read back", "stand by"),
    ),
}
# An order or a question; what is said of a step is an order too. Who asks where
# they are is told what is waited for.
TELLS = re.compile(
    r"\b(Say|say|Report|Read|read|speak|Affirm\?|Affirm|Look|Is it|waiting for|Readability|"
    r"Step [a-z ,]+\.)"
)


def confirmed(run: LongRun) -> list[tuple[str, str]]:
    entries = [each.entry for each in run.effects if isinstance(each, Write)]
    return [(each.step, each.words) for each in entries if isinstance(each, StepConfirmed)]


@pytest.fixture(scope="module")
def by_the_book() -> LongRun:
    run = LongRun().begin()
    while not run.finished:
        run.go_on()
    return run


@pytest.mark.parametrize("manner", PEOPLE)
def test_everyone_comes_to_the_end_and_is_told_what_to_do_at_every_moment(
    manner: str, by_the_book: LongRun
) -> None:
    run, said = LongRun().begin(), PEOPLE[manner]
    turn = 0
    while not run.finished:
        words = said[turn % len(said)]
        turn += 1
        before = run.state
        # While the task waits, people talk to each other: only what is for the tool is answered.
        if before.phase is not Phase.STANDING_BY:
            run.hear(words, run.right()[1])
            assert TELLS.search(run.answer), (words, before.phase, run.answer)
            assert run.state.readings == before.readings, words
            assert len(run.state.done) == len(before.done), words
        if run.state.phase is Phase.STANDING_BY:
            run.hear("somebody wants the door")
            assert run.answer == "Noted. Say go ahead to go on."
        run.go_on()
        if before.phase is not Phase.FINISHED and not run.finished:
            assert TELLS.search(run.answer), (run.right(), run.answer)
    assert confirmed(run) == confirmed(by_the_book)
    assert run.state.readings == by_the_book.state.readings
    assert run.state.states == by_the_book.state.states
    assert turn >= len(said)

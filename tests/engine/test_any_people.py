"""Random conversations of several people; what must hold stands in `people_model`."""

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, precondition, rule

from handsfree.words.standard import StandardWord
from tests.engine.people_model import CHANNELS, PAUSES, SCORES, WORDS, Model
from tests.how_many import examples


class Conversations(RuleBasedStateMachine):
    """People say anything at any moment, fall silent, and the program ends and goes on."""

    def __init__(self) -> None:
        super().__init__()
        self.model = Model()

    @rule(times=st.integers(1, 12))
    def answers_rightly(self, times: int) -> None:
        for _ in range(times):
            if not self.model.finished:
                self.model.hear(self.model.right_answer())

    @rule(
        words=st.sampled_from(WORDS),
        score=st.sampled_from(SCORES),
        channel=st.sampled_from(CHANNELS),
        pause=st.sampled_from(PAUSES),
    )
    def says(self, words: str, score: float, channel: int | None, pause: object) -> None:
        self.model.now += pause  # type: ignore[operator] # a sampled timedelta
        self.model.hear(words, score, channel)

    @rule(data=st.data())
    def says_what_could_be_said_here(self, data: st.DataObject) -> None:
        self.model.hear(data.draw(st.sampled_from(self.model.plausible())))

    @rule(word=st.sampled_from(StandardWord))
    def says_a_standard_word(self, word: StandardWord) -> None:
        self.model.hear(word.value)

    @rule(words=st.sampled_from(WORDS))
    def speaks_over_the_tool(self, words: str) -> None:
        if not self.model.finished:
            self.model.speak_over(words)

    @precondition(lambda self: not self.model.finished)
    @rule()
    def is_silent(self) -> None:
        self.model.silence()

    @rule()
    def program_ends_and_goes_on(self) -> None:
        self.model.end_of_the_program()

    def teardown(self) -> None:
        self.model.end()
        self.model.check_replay()


TestConversations = pytest.mark.slow(Conversations.TestCase)
TestConversations.settings = settings(
    max_examples=examples(150), stateful_step_count=25, deadline=None
)

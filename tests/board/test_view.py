"""What the board shows at each moment."""

import subprocess
import sys
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest
from hypothesis import given, settings

from handsfree.board.last_value import Sign, Standing
from handsfree.board.live import view_as_json
from handsfree.board.view import (
    Activity,
    Alert,
    BoardView,
    Focus,
    Inspection,
    failed_view,
    first_view,
    next_view,
    stopped_view,
)
from handsfree.engine import wording
from handsfree.engine.advance import before_start
from handsfree.engine.effects import Listen, Say, Speech
from handsfree.engine.events import Started
from handsfree.engine.interrupting import LONG_INTERRUPTION
from handsfree.engine.phase import ACTED_ON, DELIVERY, ORDERED_IN, Phase
from handsfree.engine.phrases_now import phrases_now
from handsfree.engine.waiting import Answering, Confirming
from handsfree.task.branching import Exit
from handsfree.task.expectations import IdentityExpected, OtherScale, ReadingExpected
from handsfree.task.limits.forms import FixedLimits
from handsfree.task.roles import Role
from handsfree.words.plain import PlainWord
from tests.board.following import (
    ROOT,
    TO_INSPECTION,
    FollowedConversation,
    FollowedCrew,
    at,
    crew_at,
    shipped,
)
from tests.engine.conversation import TASK, TO_END, TO_PRESSURE, TO_SERIAL, TO_SIDE, heard
from tests.engine.people_task import (
    AGREED,
    INES,
    INSPECTED,
    SEFA,
    TARN,
    TO_COVER,
    TO_FIRST,
    TO_LOCK,
    TO_TORQUE,
)
from tests.engine.test_any_conversation import UTTERANCES
from tests.engine.tools import LISTED, TO_DATE, TO_NUMBER, TODAY
from tests.engine.tools import TASK as TOOLS_TASK
from tests.how_many import examples
from tests.test_boundaries import ALLOWED, IMPURE, imported


def spoken_views(run: FollowedConversation) -> list[BoardView]:
    return [view for view in run.views if view.activity is Activity.SPEAKING]


def changed_at(step: int, **changed: object) -> FollowedConversation:
    """A run of the small task in which one step expects a reading that is changed like this."""
    expected = TASK.steps[step].expect
    assert isinstance(expected, ReadingExpected)
    return with_step(step, expect=expected.model_copy(update=changed))


def with_step(step: int, **changed: object) -> FollowedConversation:
    """A run of the small task in which one step is changed like this."""
    other = TASK.steps[step].model_copy(update=changed)
    steps = (*TASK.steps[:step], other, *TASK.steps[step + 1 :])
    return FollowedConversation(TASK.model_copy(update={"steps": steps}))


# The step.


def test_before_the_start_nothing_can_be_said() -> None:
    view = FollowedConversation().view
    assert (view.activity, view.step, view.steps) == (Activity.READY, 0, 7)
    assert view.answers == view.other_words == ()


def test_a_step_is_shown_with_its_warning_caution_and_note() -> None:
    view = at().view
    assert (view.step, view.instruction) == (1, "Fit the safety pin.")
    assert view.alerts == (
        Alert("warning", "The door can move."),
        Alert("caution", "Do not force the pin."),
        Alert("note", "The pin has a red flag."),
    )


def test_each_warning_is_the_largest_while_it_is_spoken() -> None:
    views = FollowedConversation().start().views
    largest = [
        [alert.text for alert in view.alerts if alert.spoken_now]
        for view in views
        if view.focus is Focus.ALERT
    ]
    assert largest == [
        ["The door can move."],
        ["Do not force the pin."],
        ["The pin has a red flag."],
    ]


@pytest.mark.parametrize("name", ["door-slide-refit.yaml", "accumulator-nitrogen.yaml"])
def test_every_warning_is_known_again_in_what_is_spoken(name: str) -> None:
    """A text with figures is spoken in digits, and must still be found on the board."""
    task = shipped(name)
    for number, step in enumerate(task.steps):
        state = replace(before_start(task).at_step(number), waits_for=Answering(), speaking=True)
        view, spoken = first_view(task, state), []
        for say in wording.steps.step(number + 1, step):
            view = next_view(task, state, say, view)
            spoken += [alert.text for alert in view.alerts if alert.spoken_now]
        assert spoken == [*step.warning, *step.caution, *step.note]


def test_the_warning_of_the_task_is_shown_though_no_step_has_it() -> None:
    views = FollowedConversation().start().views
    shown = next(view for view in views if view.voice == ("Warning. A bottle can burst.",))
    assert shown.focus is Focus.VOICE


def test_while_the_tool_speaks_nothing_can_be_said() -> None:
    views = spoken_views(FollowedConversation().start())
    assert views
    assert all(view.answers == view.other_words == () for view in views)


def test_while_the_tool_listens_the_step_is_the_largest_and_its_answer_is_shown() -> None:
    view = at().view
    assert (view.activity, view.focus) == (Activity.LISTENING, Focus.STEP)
    assert view.answers == ("pin fitted",)
    assert {"say again", "stand by", "unable"} <= set(view.other_words)
    assert not {"affirm", "negative", "go ahead"} & set(view.other_words)


def test_states_are_shown_by_what_they_are_called() -> None:
    assert at().view.states == (("safety pin", "removed"),)
    assert at("pin fitted").view.states == (("safety pin", "fitted"),)


def test_a_reading_is_asked_for_with_its_printed_unit() -> None:
    assert at("pin fitted").view.answers == ("the temperature in °C",)


def test_choices_and_identities_are_asked_for() -> None:
    assert at(*TO_SERIAL).view.answers == ("the part number",)
    assert at(*TO_SIDE).view.answers == ("left side", "right side")


# Values.


def test_a_value_inside_waits_for_affirm_and_is_the_largest() -> None:
    view = at(*TO_PRESSURE, "three thousand").view
    assert view.value is not None
    assert (view.value.text, view.value.verdict, view.value.mark) == (
        "3000 psi",
        "inside limits",
        Sign.GOOD,
    )
    assert view.value.standing is Standing.WAITING
    assert view.value.limits == "2850 to 3150 psi"
    assert view.focus is Focus.VALUE
    assert view.answers == ("affirm", "negative", "correction")


def test_a_value_outside_says_on_which_side_in_words_and_by_its_sign() -> None:
    low, high = at(*TO_PRESSURE, "two eight four zero"), at(*TO_PRESSURE, "three one six zero")
    assert low.view.value is not None
    assert high.view.value is not None
    assert (low.view.value.verdict, low.view.value.mark) == ("below minimum", Sign.LOW)
    assert (high.view.value.verdict, high.view.value.mark) == ("above maximum", Sign.HIGH)
    assert low.view.value.standing is Standing.NOT_ACCEPTED
    assert low.view.answers == ("the pressure in psi", "correction")
    assert "affirm" not in low.view.other_words


def test_no_value_and_no_verdict_of_a_step_stands_at_a_later_one() -> None:
    run = at(*TO_PRESSURE, "three thousand")
    assert "inside limits" in view_as_json(run.view)
    run.say("affirm")
    assert run.view.step == 5
    for view in run.views:
        assert view.value is None
        assert "inside limits" not in view_as_json(view)
        assert "3000" not in view_as_json(view)


def test_a_corrected_value_replaces_the_one_before() -> None:
    value = at(*TO_PRESSURE, "three thousand", "correction two nine zero zero").view.value
    assert value is not None
    assert (value.text, value.standing) == ("2900 psi", Standing.WAITING)


def test_a_value_that_was_taken_back_never_looks_good() -> None:
    for word in ("negative", "stand by", "unable"):
        value = at(*TO_PRESSURE, "three thousand", word).view.value
        assert value is not None
        assert (value.standing, value.verdict, value.mark) == (
            Standing.TAKEN_BACK,
            "taken back",
            Sign.VOID,
        )


def test_what_was_read_before_going_back_is_not_shown_where_it_is_read_again() -> None:
    run = at(*TO_SERIAL, "kilo delta four eight bravo", "back to step four", "affirm")
    assert run.view.step == 4
    assert run.view.value is None


def test_a_step_that_leads_back_to_itself_begins_without_its_old_verdict() -> None:
    run = with_step(3, then={"below": Exit(go="pressure")})
    run.start().say(*TO_PRESSURE, "two eight four zero")
    assert run.view.value is not None
    assert run.view.value.verdict == "below minimum"
    run.say("affirm")
    assert run.view.step == 4
    assert run.view.value is None


# Limits, before the reading.


def test_the_limits_of_the_step_stand_there_before_its_reading() -> None:
    assert at().view.limits == ""
    assert at("pin fitted").view.limits == "-20 to 50 °C"
    before = at(*TO_PRESSURE).view
    assert (before.value, before.limits) == (None, "2850 to 3150 psi")
    read = at(*TO_PRESSURE, "three thousand").view
    assert read.value is not None
    assert read.value.limits == read.limits


def test_the_limits_follow_from_what_was_read_before() -> None:
    """The table of the small task is linear from 2500 at -20 to 3200 at 50: at 0, 2700."""
    assert at("pin fitted", "zero", "affirm").view.limits == "2700 to 3000 psi"


def test_limits_that_leave_one_value_are_not_said_before_it_was_counted() -> None:
    run = changed_at(2, limits=FixedLimits(min=Decimal(15), max=Decimal(15)))
    run.start().say("pin fitted")
    assert run.view.limits == ""
    run.say("one six")
    assert run.view.value is not None
    assert run.view.value.limits == "exactly 15 °C"


def test_where_there_are_no_limits_none_are_shown() -> None:
    """The table needs the temperature, and ends at 50."""
    run = at(*TO_PRESSURE)
    readings = (("temperature", Decimal(60)),)
    hot = replace(run.state, progress=replace(run.state.progress, readings=readings))
    assert first_view(run.task, hot).limits == ""


def test_limits_are_not_shown_where_no_reading_is_wanted() -> None:
    assert at("pin fitted", "stand by").view.limits == ""


# Where pins and levers are.


def test_the_states_that_the_step_changes_or_needs_come_to_the_fore() -> None:
    view = crew_at(*TO_FIRST, "pin fitted")
    assert (view.instruction, view.foremost, view.concerned) == (
        "Open the valve.",
        ("valve",),
        ("safety pin",),
    )


def test_so_does_what_is_counted_and_what_another_outcome_would_change() -> None:
    assert crew_at(*TO_LOCK).foremost == ("ties out",)
    torque = crew_at(*TO_TORQUE)
    assert (torque.foremost, torque.concerned) == ((), ("rework",))


def test_a_state_that_is_asked_about_after_an_interruption_comes_to_the_fore() -> None:
    run = FollowedCrew()
    run.say(*TO_LOCK, "stand by").after(LONG_INTERRUPTION + timedelta(seconds=1))
    run.say("away for parts", "go ahead")
    while run.state.crew.missing:
        run.say(TARN if run.state.crew.missing[0] is Role.TECHNICIAN else SEFA, "affirm")
    assert run.state.phase is Phase.CHECKING_STATES
    assert run.view is not None
    assert run.view.foremost == ("safety pin",)
    run.say("affirm")
    assert run.view.foremost == ("valve",)


def test_every_state_that_comes_to_the_fore_is_on_the_board() -> None:
    for name in ("door-slide-refit.yaml", "accumulator-nitrogen.yaml"):
        task = shipped(name)
        for at_step in range(len(task.steps)):
            view = first_view(task, before_start(task).at_step(at_step))
            named = (*view.foremost, *view.concerned)
            assert set(named) <= {called for called, _ in view.states}
            assert len(set(named)) == len(named)


# Inspections.


def test_an_inspection_names_itself_the_inspector_and_what_was_reported() -> None:
    view = crew_at(*TO_LOCK, "lock tied", INES, "affirm")
    assert view.inspection == Inspection("Ines Varga")
    assert view.value is not None
    assert (view.value.number, view.value.text) == (6, "lock tied")
    assert (view.value.verdict, view.value.standing) == ("reported", Standing.UNINSPECTED)
    assert (view.focus, view.answers) == (Focus.VALUE, ("inspected", "rejected"))


def test_a_value_to_be_inspected_has_its_limits_and_nobody_elses_verdict() -> None:
    view = crew_at(*TO_INSPECTION, INES, "affirm")
    assert view.value is not None
    assert (view.value.text, view.value.limits) == ("15 N·m", "10 to 20 N·m")
    assert (view.value.verdict, view.value.mark) == ("reported", Sign.NOTED)
    assert "inside limits" not in view_as_json(view)


def test_an_inspector_has_no_name_before_it_was_affirmed() -> None:
    """Who inspected the step before need not be who inspects this one."""
    for said in ((), (INES,)):
        assert crew_at(*TO_INSPECTION, *said).inspection == Inspection("")
    assert crew_at(*TO_INSPECTION, INES, "affirm", "stand by").inspection == Inspection(
        "Ines Varga"
    )


def test_no_inspection_is_shown_where_there_is_none() -> None:
    assert crew_at(*TO_LOCK).inspection is None
    assert crew_at(*TO_TORQUE).inspection is None
    assert crew_at(*TO_INSPECTION, INES, "affirm", "rejected").inspection is None


def test_what_an_inspector_passed_leaves_the_board_with_its_step() -> None:
    view = crew_at(*TO_INSPECTION, *INSPECTED)
    assert (view.step, view.value) == (9, None)


@pytest.mark.parametrize(
    ("utterances", "text"), [(TO_INSPECTION, "15 N·m"), ((*TO_LOCK, "lock tied"), "lock tied")]
)
def test_what_an_inspector_rejected_says_so(utterances: tuple[str, ...], text: str) -> None:
    run = FollowedCrew()
    run.say(*utterances, INES, "affirm", "rejected")
    assert run.value_shown() == (text, Standing.REJECTED, Sign.BAD)


def test_a_value_that_waited_too_long_for_the_inspector_is_taken_back() -> None:
    run = FollowedCrew()
    run.say(*TO_INSPECTION, "stand by").after(LONG_INTERRUPTION + timedelta(seconds=1))
    run.say("the inspector is away", "go ahead")
    assert run.value_shown() == ("15 N·m", Standing.TAKEN_BACK, Sign.VOID)


def test_a_value_in_another_unit_is_shown_as_said_and_not_accepted() -> None:
    value = at(*TO_PRESSURE, "two zero zero bar").view.value
    assert value is not None
    assert (value.text, value.verdict, value.standing) == (
        "200 bar",
        "another unit",
        Standing.NOT_ACCEPTED,
    )


def test_a_value_on_another_scale_of_the_gauge_is_shown_as_it_is_read_back() -> None:
    """The limits stay those of the task. 1 bar is 100 000 Pa (SI brochure, 9th edition, table 8).

    With 1 psi of 6894.757 Pa (NIST SP 811, appendix B.8), 207 bar are 3002 psi.
    """
    run = changed_at(3, other_scales=(OtherScale(unit="bar", resolution=Decimal(1)),))
    value = run.start().say(*TO_PRESSURE, "two zero seven bar").view.value
    assert value is not None
    assert (value.text, value.verdict) == ("207 bar", "inside limits")
    assert value.limits == "2850 to 3150 psi"


def test_a_phrase_that_waits_for_affirm_is_what_is_largest_and_no_value_before_it() -> None:
    """A choice that was wrong must not stand where "affirm" is asked for."""
    run = at(*TO_SIDE, "right side")
    reads_back = Say(Speech.READ_BACK, "Left side.")
    waiting = replace(
        run.state, waits_for=Confirming("left side", "left side", (reads_back,)), speaking=True
    )
    view = next_view(run.task, waiting, reads_back, run.view)
    assert (view.focus, view.voice) == (Focus.VOICE, ("Left side.",))
    listening = replace(waiting, speaking=False)
    view = next_view(run.task, listening, Listen(phrases_now(run.task, listening)), view)
    assert view.focus is Focus.VOICE
    assert "affirm" in view.answers


def test_the_right_identity_is_not_shown_before_it_was_read() -> None:
    """It would be an invitation to read it off the board."""
    run = at(*TO_SERIAL, "kilo delta four eight bravo")
    assert run.view.value is not None
    assert run.view.value.verdict == "not named by the task"
    assert "KD47B" not in repr(run.view).replace("-", "")


def test_a_wrong_choice_is_not_accepted_and_the_right_one_goes_on() -> None:
    wrong = at(*TO_SIDE, "right side").view.value
    assert wrong is not None
    assert (wrong.mark, wrong.standing) == (Sign.BAD, Standing.NOT_ACCEPTED)
    assert at(*TO_END).view.value is None


def test_a_choice_that_was_not_heard_surely_waits_for_affirm_and_can_be_taken_back() -> None:
    run = with_step(5, critical=True)
    run.start().say(*TO_SIDE).mumble("left side", 0.93)
    value = run.view.value
    assert value is not None
    assert (value.text, value.standing) == ("left side", Standing.WAITING)
    assert "affirm" in run.view.answers
    run.say("negative")
    assert run.view.value is not None
    assert (run.view.value.standing, run.view.value.mark) == (Standing.TAKEN_BACK, Sign.VOID)


def test_what_was_not_compared_with_anything_gets_no_tick() -> None:
    run = with_step(4, expect=IdentityExpected(identity="part number"))
    value = run.start().say(*TO_SERIAL, "kilo delta four eight bravo").view.value
    assert value is not None
    assert (value.text, value.verdict, value.mark) == ("KD48B", "written down", Sign.NOTED)


@pytest.mark.parametrize(
    ("limits", "shown"),
    [
        (FixedLimits(max=Decimal(50)), "at most 50 °C"),
        (FixedLimits(min=Decimal("-20.5")), "at least -20 °C"),
        (FixedLimits(min=Decimal(15), max=Decimal(15)), "exactly 15 °C"),
    ],
)
def test_limits_are_worded_as_what_can_be_read_on_the_scale(
    limits: FixedLimits, shown: str
) -> None:
    """The second is the lowest that the scale, in steps of 1, can show."""
    value = changed_at(2, limits=limits).start().say("pin fitted", "one five").view.value
    assert value is not None
    assert value.limits == shown


# What was heard and not acted on.


def test_a_doubtful_hearing_is_shown_with_its_reason() -> None:
    run = at()
    run.mumble("pin fitted", score=0.5)
    assert run.view.not_acted_on == "pin fitted: doubtful hearing"
    assert run.view.voice == ("Say again.",)
    assert run.say("pin fitted").view.not_acted_on == ""


def test_what_is_said_while_the_tool_speaks_is_shown_as_not_acted_on() -> None:
    run = FollowedConversation().start()
    run.send(heard("say again"))
    run.send(heard("pin fitted"))
    assert run.view.not_acted_on == "pin fitted: said while the tool was speaking"
    assert run.view.activity is Activity.SPEAKING
    assert run.view.answers == ()


def test_people_who_talk_while_the_task_stands_by_are_not_written_on_the_board() -> None:
    run = at("stand by", "the weather is fine")
    assert run.view.not_acted_on == ""
    assert run.view.activity is Activity.STANDING_BY


# Standing by, and the end.


def test_standing_by_shows_only_go_ahead_and_how_to_go_on() -> None:
    view = at("stand by").view
    assert (view.activity, view.focus) == (Activity.STANDING_BY, Focus.VOICE)
    assert (view.answers, view.other_words) == (("go ahead",), ())
    assert view.voice == ("Standing by. Say why, then go ahead to go on.",)


def test_a_finding_can_be_closed_only_where_there_is_one_and_a_roster() -> None:
    run = FollowedCrew()
    closing = "close finding and its number"
    run.say(*TO_TORQUE)
    assert run.view is not None
    assert closing not in run.view.other_words
    run.say("unable", "no torque wrench is here", "tool", "go ahead")
    assert run.view is not None
    assert closing in run.view.other_words


def test_an_open_finding_is_shown_from_its_first_word_and_to_the_end() -> None:
    opened = crew_at(*TO_COVER, "unable")
    assert opened.findings == ("finding 1, other, step 9",)
    about = "the part is one zero millimetres short"
    standing_by = crew_at(*TO_COVER, "unable", about, "part")
    assert standing_by.findings == ("finding 1, part, step 9",)
    # It was said freely: at another step it can be the value that is to be read twice.
    assert about not in view_as_json(standing_by)
    ended = crew_at(*TO_COVER, "unable", about, "part", *AGREED, "pin removed")
    assert ended.activity is Activity.FINISHED
    assert ended.findings == ("finding 1, part, step 9",)
    assert ended.left_undone == ("step 9, deferred",)


def test_a_closed_finding_leaves_the_board() -> None:
    opened = ("unable", "it is short", "part", "go ahead")
    closed = ("close finding one", SEFA, "affirm", "it is mended")
    assert crew_at(*TO_COVER, *opened, *closed).findings == ()


def test_a_finished_task_shows_its_states_and_who_releases() -> None:
    view = at(*TO_END, "pin removed").view
    assert view.activity is Activity.FINISHED
    assert view.states == (("safety pin", "removed"),)
    assert view.voice == (
        "This tool certifies nothing. Release to service is for licensed certifying staff.",
    )
    assert view.answers == view.other_words == ()
    assert stopped_view(view) == view


def test_a_run_that_ends_before_its_task_is_stopped_and_never_finished() -> None:
    view = stopped_view(at("pin fitted").view)
    assert view.activity is Activity.STOPPED
    assert (view.answers, view.other_words) == ((), ())


def test_a_board_that_fails_says_so_and_shows_nothing_that_can_be_said() -> None:
    view = failed_view(at().view)
    assert view.activity is Activity.FAILED
    assert view.trouble == "The board does not follow any more: listen to the voice."
    assert view.answers == ()


# In any order of utterances.


@settings(max_examples=examples(100))
@given(UTTERANCES)
def test_the_board_never_says_more_than_the_engine(utterances: list[tuple[str, float]]) -> None:
    run = FollowedConversation().start()
    for words, score in utterances:
        if run.finished:
            break
        run.send(heard(words, score))
        run.finish_speaking()
        for view in run.views:
            if view.activity is Activity.SPEAKING:
                assert view.answers == view.other_words == ()
        view, state = run.view, run.state
        assert (view.activity is Activity.FINISHED) == run.finished
        if view.value is not None:
            assert (view.value.standing is Standing.WAITING) <= (state.pending is not None)
            assert (view.value.mark is Sign.GOOD) <= (view.value.standing is Standing.WAITING)
            assert view.value.number == view.step
        if view.focus is Focus.VALUE and "affirm" in view.answers:
            assert view.value is not None
            assert view.value.standing is Standing.WAITING
            assert view.value.mark is Sign.GOOD
        if not run.finished:
            said_now = {*view.answers, *view.other_words}
            assert {word.value for word in ACTED_ON[state.phase]} <= said_now
            orders = {
                (f"{word.value} and its number" if word.takes_number else word.value)
                for word in PlainWord
                if state.phase in ORDERED_IN[word]
                and word not in {PlainWord.CLOSE_FINDING, *EVERYDAY}
            }
            assert orders == said_now & {
                "where am i",
                "hand over",
                "back to step and its number",
                "close finding and its number",
            }


EVERYDAY = (PlainWord.GO_BACK, PlainWord.HELP, PlainWord.STOP, *DELIVERY)


def test_what_can_be_said_is_the_largest_after_help_was_given_twice() -> None:
    run = at("okay")
    assert run.view.focus is Focus.STEP
    run.say("okay")
    assert (run.view.focus, run.view.answers) == (Focus.ANSWERS, ("pin fitted",))
    assert at(*TO_PRESSURE, "three thousand", "yes", "yes").view.focus is Focus.ANSWERS
    assert run.say("pin fitted").view.focus is not Focus.ANSWERS


# Pure.


@pytest.mark.parametrize("name", ["view", "last_value", "sayable", "symbols"])
def test_what_is_shown_follows_from_the_core_alone(name: str) -> None:
    pure = {f"handsfree.board.{each}" for each in ("view", "last_value", "sayable", "symbols")}
    for each in imported(ROOT / "handsfree" / "board" / f"{name}.py"):
        assert each.split(".")[0] not in IMPURE
        if each.startswith("handsfree"):
            assert each in pure or ".".join(each.split(".")[:2]) in ALLOWED


def test_the_view_loads_no_web_library() -> None:
    code = (
        "import sys\n"
        "import handsfree.board.view\n"
        "print(sorted({'starlette', 'uvicorn', 'anyio'} & set(sys.modules)))\n"
    )
    assert subprocess.check_output([sys.executable, "-c", code], text=True, cwd=ROOT) == "[]\n"


def test_a_date_is_shown_with_its_verdict_and_how_it_is_said() -> None:
    run = FollowedConversation(TOOLS_TASK)
    run.send(Started(today=TODAY))
    run.finish_speaking()
    run.say(*TO_DATE)
    assert run.view.answers == ("the calibration due: day, month by name, year",)
    run.say("one four march two zero two seven")
    shown = run.view.value
    assert shown is not None
    assert (shown.text, shown.verdict, shown.mark) == ("2027-03-14", "out of date", Sign.BAD)
    run.say("correction one five march two zero two seven")
    assert run.view.value is not None
    assert run.view.value.mark is Sign.GOOD


def test_a_number_that_the_equipment_list_refuses_is_shown_with_the_reason() -> None:
    run = FollowedConversation(TOOLS_TASK)
    run.send(Started(today=TODAY, equipment=LISTED))
    run.finish_speaking()
    run.say(*TO_NUMBER, "kilo one")
    assert run.view.value is not None
    assert run.view.value.verdict == "it is not in the equipment list"


@pytest.mark.parametrize(
    "view",
    [at(*TO_PRESSURE, "three thousand").view, crew_at(*TO_INSPECTION, INES, "affirm")],
    ids=["waits for affirm", "waits for the inspector"],
)
def test_what_was_open_when_the_run_ended_waits_for_nobody_and_looks_good_to_nobody(
    view: BoardView,
) -> None:
    stopped = stopped_view(view)
    assert stopped.value is not None
    assert (stopped.value.standing, stopped.value.mark) == (Standing.LEFT_OPEN, Sign.NOTED)
    assert "inside limits" not in view_as_json(stopped)
    assert "waits" not in view_as_json(stopped)


def test_before_the_start_the_board_shows_the_task_and_nothing_to_do_yet() -> None:
    view = first_view(TASK, before_start(TASK))
    assert (view.step, view.instruction, view.limits, view.foremost) == (0, "", "", ())
    assert [each.text for each in view.alerts] == list(TASK.warning)
    assert view.title == TASK.title

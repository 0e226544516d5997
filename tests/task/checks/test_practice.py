"""Safety practice that a task lacks is told at its line, and answered in place with `because`."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.rehearse import warnings_about
from handsfree.review.sheet import sheet_of
from handsfree.task.checks.advice import advise
from handsfree.task.checks.answers import answers
from handsfree.task.checks.practice import _passing_slip
from handsfree.task.read import read_and_prove
from tests.task.faults import NEVER, TWO, step, task

TORQUE = "{reading: torque, unit: N.m, resolution: 0.5, limits: {min: 22, max: 26}}"
WRENCH = "equipment:\n  - {name: Torque wrench, id: wrench}\n  - {name: Mirror, id: mirror}\n"
WIDE = "{reading: pressure, unit: psi, resolution: 10, limits: {min: 200, max: 3000}}"


def told(text: str) -> list[str]:
    """All that is warned of and not answered; what sounds alike is left to its own tests."""
    checked, _, source = read_and_prove(text, "t.yaml")
    left = answers(checked, source, advise(checked, source)).left
    return [each.describe("t.yaml") for each in left]


@pytest.mark.parametrize(
    ("text", "line"),
    [
        (
            task(step("look", "caution: The door can crush your hand.")),
            "t.yaml:12:5: a caution of step 'look' speaks of 'crush', and a caution is about "
            "damage (ASD-STE100 7.1). Write it as a warning",
        ),
        (
            task(step("look", "warning: The gas can kill you.")),
            "t.yaml:12:5: a warning of step 'look' speaks of 'kill', and the step is not critical: "
            "a doubtful answer is believed there as anywhere. Write 'critical: true', or why not "
            "as 'because'",
        ),
        (
            task(step("tighten", "critical: true", TORQUE)),
            "t.yaml:11:5: the critical torque of step 'tighten' has no torque wrench among 'uses': "
            "nothing proves that the wrench is in calibration. Name the torque wrench in 'uses', "
            "with an 'id' under 'equipment'",
        ),
        (
            task(step("tighten", "critical: true\nuses: [mirror]", TORQUE), more=WRENCH),
            "t.yaml:16:5: the critical torque of step 'tighten' has no torque wrench among 'uses': "
            "nothing proves that the wrench is in calibration. Name the torque wrench in 'uses', "
            "with an 'id' under 'equipment'",
        ),
        (
            task(step("tighten", "critical: true\nuses: [wrench]", TORQUE), more=WRENCH),
            "t.yaml:16:5: the critical torque of step 'tighten' is measured with a tool that "
            "carries no calibration date. Write 'calibrated: true' at the torque wrench under "
            "'equipment'",
        ),
        (
            task(step("read", "", WIDE)),
            "t.yaml:11:60: the limits are so wide that 3000 with a figure dropped passes, as 300. "
            "Write narrower limits, or have it said twice ('words_twice') or by two ('read_back')",
        ),
        (
            task(step("read", "critical: true", WIDE.replace(", max: 3000", ""))),
            "t.yaml:11:60: the limits have no max, so a value with a figure said twice passes. "
            "Write a max, if only what the gauge can show",
        ),
        (
            task(
                step(
                    "read",
                    "then: {below: {go: fit, sets: {pin: removed}}}",
                    WIDE.replace("200", "2900"),
                ),
                step("leave", "then: end"),
                step("fit", "sets: {pin: fitted}"),
            ),
            "t.yaml:12:29: a reading outside its limits, 'below', leads on and sets 'pin': nobody "
            "confirms it. Lead to a step that a person confirms, and set it there",
        ),
        (
            task(
                step("pull", "sets: {pin: removed}"),
                step("fit", "sets: {pin: fitted}", "{confirm: it is in}"),
                step("look", "", "{confirm: it is in}"),
            ),
            "t.yaml:19:5: the phrase of step 'look' also confirms step 'fit', which sets pin "
            "fitted. Write another phrase here: one that is heard late confirms the wrong step",
        ),
        (
            task(
                step("close", "sets: {door: closed}\ninspection: true"),
                step("pull", "sets: {pin: removed}"),
                step("fit", "sets: {pin: fitted}"),
                step("open", "sets: {door: open}"),
                states=TWO,
                more=NEVER,
            ),
            "t.yaml:7:3: no reading, identity or inspection ever proves 'pin', which a never rule "
            "rests on. Add 'inspection: true', or a reading, to a step that sets it; or write why "
            "not as 'because'",
        ),
    ],
)
def test_what_practice_would_have_otherwise_is_told_at_its_line(text: str, line: str) -> None:
    assert told(text) == [line]


@pytest.mark.parametrize(
    "text",
    [
        task(step("look", "warning: The gas can kill you.\ncritical: true")),
        task(step("look", "warning: The gas can hurt you.\ncaution: The seal can tear.")),
        task(step("tighten", "", TORQUE)),
        task(
            step("number", "", "{identity: number, tool: wrench}"),
            step("due", "then: {expired: number}", "{date: due, tool: wrench}"),
            step("tighten", "critical: true\nuses: [wrench]", TORQUE),
            more=WRENCH.replace("id: wrench", "id: wrench, calibrated: true"),
        ),
        task(step("read", "read_back: true", WIDE)),
        task(step("read", "", WIDE.replace("limits", "words_twice: true, limits"))),
        task(step("read", "", WIDE.replace("200", "2900"))),
        task(
            step("pull", "sets: {pin: removed}"),
            step("fit", "sets: {pin: fitted}", "{confirm: it is in}"),
            step("fit-again", "sets: {pin: fitted}", "{confirm: it is in}"),
        ),
    ],
)
def test_what_is_good_practice_is_not_warned_of(text: str) -> None:
    assert told(text) == []


def test_a_warning_is_answered_in_place_and_shown() -> None:
    text = task(step("look", "warning: The gas can kill you.\nbecause: Nothing is opened here."))
    checked, _, source = read_and_prove(text, "t.yaml")
    assert told(text) == []
    found = answers(checked, source, advise(checked, source))
    assert [text for _, text in found.answered] == ["Nothing is opened here."]
    assert sheet_of(checked, "0" * 64).answered == (
        "A warning of step 'look' speaks of 'kill', and the step is not critical: a doubtful "
        "answer is believed there as anywhere. Answer: Nothing is opened here.",
    )


TWO_WARNINGS = "warning: The gas can kill you.\ncaution: The door can crush your hand.\n"


def test_one_text_does_not_answer_two_different_warnings() -> None:
    """Else a reason for one would silence the other, which nobody thought of."""
    lines = told(task(step("look", f"{TWO_WARNINGS}because: Nothing is opened here.")))
    assert [line.split(":")[1] for line in lines] == ["12", "13", "14"]
    assert lines[2] == (
        "t.yaml:14:5: one 'because' cannot answer 2 different warnings. Answer each at its key: "
        "'because: {warning: TEXT, caution: TEXT}'"
    )


def test_each_of_two_warnings_has_its_own_answer() -> None:
    both = f"{TWO_WARNINGS}because: {{warning: No gas here., caution: No door here.}}"
    assert told(task(step("look", both))) == []
    one = f"{TWO_WARNINGS}because: {{warning: No gas here.}}"
    (line,) = told(task(step("look", one)))
    assert line.startswith("t.yaml:13:5: a caution of step 'look' speaks of 'crush'")


def test_an_answer_at_a_key_that_nothing_is_warned_of_is_told() -> None:
    text = "warning: The gas can kill you.\nbecause: {warning: No gas here., uses: Why not.}"
    assert told(task(step("look", text))) == [
        "t.yaml:13:38: 'because' answers no warning at 'uses'. Delete it"
    ]


def test_the_copies_of_a_repeated_step_are_answered_once() -> None:
    text = task(
        step(
            "look",
            "each: {side: [left, right]}\nwarning: The gas can kill you.\nbecause: No gas here.",
            "{confirm: look at <side> done}",
        )
    )
    assert told(text) == []


def test_an_answer_to_nothing_is_told() -> None:
    assert told(task(step("look", "because: It was always so."))) == [
        "t.yaml:12:5: 'because' answers no warning here. Delete it"
    ]
    pin = "states:\n  pin: {called: pin, values: [a, b], start: a, end: a, because: so}\n"
    assert told(task(step("look"), states=pin)) == [
        "t.yaml:7:56: 'because' answers no warning here. Delete it"
    ]


@given(st.integers(1, 99_999), st.integers(0, 99_999))
def test_a_slip_that_is_told_of_is_a_slip_and_stays_inside(low: int, wide: int) -> None:
    found = _passing_slip(Decimal(low), Decimal(low + wide), Decimal(1))
    if found is None:
        return
    value, heard, how = found
    assert low <= min(value, heard) <= max(value, heard) <= low + wide
    longer, shorter = (str(value), str(heard)) if how == "dropped" else (str(heard), str(value))
    kept = [longer[:at] + longer[at + 1 :] for at in range(len(longer))]
    assert Decimal(shorter) in [Decimal(each or 0) for each in kept]


@given(st.integers(100, 9_999), st.integers(0, 9_999))
def test_limits_of_less_than_a_tenth_of_their_size_pass_no_slip(low: int, part: int) -> None:
    """A figure that is missing leaves at most a fifth of a number of three figures or more."""
    assert _passing_slip(Decimal(low), Decimal(low + low * part // 100_000), Decimal(1)) is None


OPPOSITES = (
    step("take", "sets: {hook: unlocked}", "{confirm: hook unlocked}"),
    step("give", "sets: {hook: locked}", "{confirm: hook locked}"),
)
HOOK = "states:\n  hook: {called: hook, values: [locked, unlocked], start: locked, end: locked}\n"


def sound(text: str) -> list[tuple[str, bool]]:
    checked, _, source = read_and_prove(text, "t.yaml")
    return [(each.line, each.fails) for each in warnings_about(checked, source)]


def test_opposites_that_differ_by_a_prefix_are_refused_where_one_is_critical() -> None:
    (critical,) = sound(task(OPPOSITES[0], OPPOSITES[1] + "    critical: true\n", states=HOOK))
    assert critical == (
        "t.yaml:15:5: error: 'hook unlocked' and 'hook locked' are opposites that differ only by a "
        "prefix, which is the first to be lost in noise. Write 'hook released' and 'hook locked', "
        "for example",
        True,
    )
    ((_, fails),) = sound(task(*OPPOSITES, states=HOOK))
    assert not fails


def test_opposite_choices_of_one_critical_step_are_refused() -> None:
    look = step("look", "critical: true", "{choose: [pipe mounted, pipe dismounted]}")
    assert [fails for _, fails in sound(task(look))] == [True]


@pytest.mark.parametrize(
    ("plain", "opposite"),
    [
        ("locked", "unlocked"),
        ("connected", "disconnected"),
        ("pressurised", "depressurised"),
        ("operative", "inoperative"),
        ("movable", "immovable"),
        ("return", "nonreturn"),
        ("aligned", "misaligned"),
    ],
)
def test_every_prefix_that_turns_a_word_round_is_known(plain: str, opposite: str) -> None:
    look = step("look", "critical: true", f"{{choose: [pipe {plain}, pipe {opposite}]}}")
    assert any("differ only by a prefix" in line for line, _ in sound(task(look)))


def test_a_prefix_between_things_that_do_not_exclude_each_other_is_no_opposite() -> None:
    text = task(
        step("one", "critical: true", "{confirm: left hook locked}"),
        step("two", "", "{confirm: left hook unlocked}"),
    )
    assert not any(fails for _, fails in sound(text))


def test_identities_one_sound_apart_are_told() -> None:
    """ "Five" and "nine": the confusion that ICAO's "niner" is against."""
    text = task(
        step("left", "", "{identity: part number, accept: [VK-4085]}"),
        step("right", "", "{identity: part number, accept: [VK-4089, VK-4082]}"),
    )
    assert sound(text) == [
        (
            "t.yaml:14:37: warning: 'VK-4085' and 'VK-4089' are one sound apart: 'five' and "
            "'nine'. Have it read back by a second person, or answer with 'because'",
            False,
        )
    ]


def test_identities_that_are_further_apart_are_not_told() -> None:
    text = task(step("left", "", "{identity: part number, accept: [VK-4085, VK-4058, VK-4087]}"))
    assert sound(text) == []


def test_a_phrase_that_says_what_another_step_sets_is_told() -> None:
    text = task(
        step("shut", "sets: {door: closed}", "{confirm: pin fitted}"),
        step("pull", "sets: {pin: removed}"),
        step("fit", "sets: {pin: fitted}"),
        step("open", "sets: {door: open}"),
        states=TWO,
    )
    assert told(text) == [
        "t.yaml:12:5: 'pin fitted' says what step 'fit' sets, and step 'shut' sets door closed. "
        "Write a phrase that says what is done here"
    ]


def test_a_state_that_a_critical_step_rests_on_is_proved_by_more_than_words() -> None:
    pull, fit = step("pull", "sets: {pin: removed}"), step("fit", "sets: {pin: fitted}")
    assert told(task(pull, fit)) == []
    (line,) = told(task(pull, fit + "    critical: true\n"))
    assert "ever proves 'pin', which a critical step rests on" in line


@pytest.mark.parametrize(
    "word",
    [
        *("kill", "kills", "death", "deadly", "lethal", "fatal", "fatally", "die", "dies"),
        *("crush", "crushes", "amputate", "sever", "electrocute", "asphyxiate", "suffocate"),
        "Kill",
    ],
)
def test_what_can_end_a_life_or_maim_is_no_damage(word: str) -> None:
    (line,) = told(task(step("look", f"caution: It can {word} you.")))
    assert f"speaks of '{word}', and a caution is about damage" in line
    assert told(task(step("look", f"caution: It can un{word} you."))) == []


@pytest.mark.parametrize("word", ["severe", "diet", "hurt", "tear", "burn", "crash"])
def test_lesser_harm_and_damage_are_left_alone(word: str) -> None:
    assert told(task(step("look", f"caution: It can {word} you."))) == []


def test_a_warning_of_a_step_that_is_only_said_is_left_alone() -> None:
    said = "  - {id: said, instruction: Mind it., warning: It can kill you.}\n"
    assert told(task(said, step("look"))) == []


def reading(quantity: str, limits: str, more: str = "") -> str:
    expect = f"{{reading: {quantity}, resolution: 1, limits: {{{limits}}}}}"
    return task(step("read", more, expect))


@pytest.mark.parametrize(
    ("text", "slip"),
    [
        (reading("pressure, unit: psi", "min: 30, max: 300"), "300 with a figure dropped"),
        (reading("pressure, unit: psi", "min: 31, max: 300"), "299 with a figure"),
        (reading("temperature, unit: degC", "min: 10, max: 300"), "300 with a figure dropped"),
        (reading("temperature difference, unit: delta_degC", "min: 10, max: 100"), "100 with"),
        # Where limits come near zero, the size of a temperature says little of how wrong it is.
        (reading("temperature, unit: degC", "min: 9, max: 300"), None),
        (reading("temperature, unit: degC", "min: -40, max: 300"), None),
        (reading("temperature, unit: degC", "max: 300"), None),
        (reading("pressure, unit: psi", "min: 9, max: 300"), "300 with a figure dropped"),
        # What is counted was seen, and is no figure of a scale.
        (reading("count, unit: each", "min: 3, max: 33"), None),
        (reading("pressure, unit: psi", "min: 250, max: 300"), None),
        (reading("pressure, unit: psi", "min: -300, max: -30"), "-30 with a figure said twice"),
    ],
)
def test_limits_that_let_a_slip_pass_are_told_with_one(text: str, slip: str | None) -> None:
    found = told(text)
    assert found == [] if slip is None else f"so wide that {slip}" in found[0]


@pytest.mark.parametrize("more", ["critical: true", "read_back: true"])
@pytest.mark.parametrize(
    ("limits", "open_end"),
    [
        ("max: 300", "no min, so a value with a figure dropped passes. Write a min"),
        ("min: 300", "no max, so a value with a figure said twice passes. Write a max"),
    ],
)
def test_an_open_end_is_told_where_it_matters(more: str, limits: str, open_end: str) -> None:
    (line,) = told(reading("pressure, unit: psi", limits, more))
    assert f"the limits have {open_end}, if only what the gauge can show" in line
    assert told(reading("pressure, unit: psi", limits)) == []


@pytest.mark.parametrize("outcome", ["below", "above"])
def test_a_state_that_is_set_by_what_is_outside_is_told_for_either_side(outcome: str) -> None:
    text = task(
        step("read", f"then: {{{outcome}: {{go: fit, sets: {{pin: removed}}}}}}", WIDE),
        step("leave", "then: end"),
        step("fit", "sets: {pin: fitted}"),
    )
    assert any(
        f"a reading outside its limits, '{outcome}', leads on" in line for line in told(text)
    )
    inside = "then: {inside: {sets: {pin: removed}}}"
    usual = task(step("read", inside, WIDE), step("fit", "sets: {pin: fitted}"))
    assert not any("outside its limits" in line for line in told(usual))


def test_a_phrase_that_says_what_is_so_without_setting_it_is_left_alone() -> None:
    text = task(
        step("pull", "sets: {pin: removed}"),
        step("fit", "sets: {pin: fitted}"),
        step("look", "", "{confirm: pin fitted}"),
    )
    assert told(text) == []
    assert told(text.replace("{confirm: fit done}", "{confirm: pin fitted}")) != []


CRITICAL = "critical: true\nneeds: {pin: fitted}"


@pytest.mark.parametrize(
    ("fit", "expect", "is_proved"),
    [
        ("", "{confirm: fit done}", False),
        ("inspection: true", "{confirm: fit done}", True),
        ("", "{reading: force, unit: N, resolution: 1, limits: {min: 90, max: 99}}", True),
        ("", "{identity: part number}", True),
        ("", "{date: life limit}", False),
        ("", "{choose: [all good, all well]}", False),
    ],
)
def test_a_state_that_a_critical_step_needs_is_proved_by_more_than_words(
    fit: str, expect: str, is_proved: bool
) -> None:
    text = task(
        step("pull", "sets: {pin: removed}"),
        step("fit", f"sets: {{pin: fitted}}\n{fit}", expect),
        step("work", CRITICAL),
    )
    found = [line for line in told(text) if "ever proves 'pin', which a critical step" in line]
    assert (not found) is is_proved
    assert not any("ever proves" in line for line in told(text.replace("critical: true", "")))

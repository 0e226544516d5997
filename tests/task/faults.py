"""Small tasks with one known fault each. What is said of each stands in `faults.txt`."""

from textwrap import dedent

HEAD = """\
task: small
title: A small task
revision: "1"
approved_data: {reference: QX 1, revision: "2"}
applicability: {aircraft: Any 1, component: bottle}
"""

PIN = "  pin: {called: pin, values: [fitted, removed], start: fitted, end: fitted}\n"
DOOR = "  door: {called: door, values: [open, closed], start: open, end: open}\n"
TWO = f"states:\n{PIN}{DOOR}"


def step(id: str, more: str = "", expect: str = "") -> str:
    """A step that is confirmed by its own name, or expects something else."""
    words = id.replace("-", " ")
    expect = expect or f"{{confirm: {words} done}}"
    lines = f"id: {id}\ninstruction: Do {words}.\nexpect: {expect}\n{dedent(more)}".rstrip()
    return "  - " + lines.replace("\n", "\n    ") + "\n"


def task(*steps: str, states: str = f"states:\n{PIN}", more: str = "") -> str:
    """The text of a task file."""
    return HEAD + states + dedent(more) + "steps:\n" + "".join(steps)


READING = "{reading: temperature, unit: degC, resolution: 1, limits: {min: 0, max: 40}}"
CHOICE = "{choose: [all good, crack found, seal torn], required: all good}"


def over(step: str) -> str:
    return (
        "{reading: pressure, unit: psi, resolution: 10, limits: {over: "
        + step
        + ", table: [{at: 0, min: 100, max: 200}, {at: 40, min: 300, max: 400}]}}"
    )


PRESSURE = "{{reading: pressure, unit: psi, resolution: 1, limits: {}}}"
TORQUE = "{{reading: torque, unit: lbf.in, resolution: 1, limits: {}}}"

NEVER = """\
never:
  - when: {pin: removed, door: open}
    because: the door can move
"""

TASKS: dict[str, str] = {
    # Never rules.
    "the start breaks a never rule": task(
        step("look"),
        states=TWO.replace("start: fitted, end: fitted", "start: removed, end: removed"),
        more=NEVER,
    ),
    "a straight way breaks a never rule": task(
        step("look"),
        step("pull-pin", "sets: {pin: removed}"),
        step("fit-pin", "sets: {pin: fitted}"),
        states=TWO,
        more=NEVER,
    ),
    "only a choice breaks a never rule": task(
        step("close-door", "sets: {door: closed}"),
        step("pull-pin", "sets: {pin: removed}"),
        step("look", "then: {seal torn: open-door}", CHOICE),
        step("fit-pin", "sets: {pin: fitted}"),
        step("open-door", "sets: {door: open}"),
        states=TWO.replace("end: fitted", "end: [fitted, removed]"),
        more=NEVER,
    ),
    "only rework breaks a never rule": task(
        step("close-door", "sets: {door: closed}"),
        step("pull-pin", "sets: {pin: removed}"),
        step("measure", "then: {above: vent}", READING),
        step("fit-pin", "sets: {pin: fitted}"),
        step("open-door", "sets: {door: open}\nthen: end"),
        step("vent", "sets: {door: open}\nthen: close-door"),
        states=TWO,
        more=NEVER,
    ),
    "only a deferral breaks a never rule": task(
        step("close-door", "sets: {door: closed}\ndeferral: {authority: the duty engineer}"),
        step("pull-pin", "sets: {pin: removed}"),
        step("fit-pin", "sets: {pin: fitted}"),
        step("open-door", "sets: {door: open}"),
        states=TWO,
        more=NEVER,
    ),
    "what a deferral sets breaks a never rule": task(
        step("look", "deferral: {authority: the duty engineer, sets: {pin: removed}, go: end}"),
        states=TWO.replace("end: fitted", "end: [fitted, removed]"),
        more=NEVER,
    ),
    "only one variant breaks a never rule": task(
        step("close-door", "applies: {side: left}\nsets: {door: closed}"),
        step("pull-pin", "sets: {pin: removed}"),
        step("fit-pin", "sets: {pin: fitted}"),
        step("open-door", "applies: {side: left}\nsets: {door: open}"),
        states="variants: {side: [left, right]}\n" + TWO,
        more=NEVER,
    ),
    "a never rule with 'not' is broken": task(
        step("loosen-pin", "sets: {pin: loose}"),
        step("fit-pin", "sets: {pin: fitted}"),
        states=TWO.replace("[fitted, removed]", "[fitted, loose, removed]"),
        more="""\
            never:
              - when: {pin: {not: fitted}, door: {not: closed}}
                because: the door can move
            """,
    ),
    "a never rule with one of several values is broken": task(
        step("loosen-pin", "sets: {pin: loose}"),
        step("fit-pin", "sets: {pin: fitted}"),
        states=TWO.replace("[fitted, removed]", "[fitted, loose, removed]"),
        more="""\
            never:
              - when: {pin: [loose, removed], door: open}
                because: the door can move
            """,
    ),
    "a step acts while a state of a never rule is unknown": task(
        step("open-door", "sets: {door: open}"),
        step("prove-pin", "sets: {pin: fitted}"),
        states=TWO.replace("start: fitted", "start: unknown").replace(
            "start: open", "start: closed"
        ),
        more=NEVER,
    ),
    "a dangerous value is proved before what makes it safe": task(
        step("prove-door", "sets: {door: open}"),
        step("prove-pin", "sets: {pin: fitted}"),
        states=TWO.replace("start: fitted", "start: unknown").replace("open, end", "unknown, end"),
        more=NEVER,
    ),
    "a repeated step breaks a never rule at its second item": task(
        step("pull", "each: {thing: [door, pin]}\nsets: {<thing>: loose}"),
        step("fit", "each: {thing: [pin, door]}\nsets: {<thing>: tight}"),
        states="""\
states:
  door: {called: door, values: [tight, loose], start: tight, end: tight}
  pin: {called: pin, values: [tight, loose], start: tight, end: tight}
never:
  - when: {pin: loose, door: loose}
    because: the door can fall
""",
    ),
    # Needs.
    "a straight way misses what a step needs": task(
        step("pull-pin", "sets: {pin: removed}"),
        step("work", "needs: {pin: fitted}"),
        step("fit-pin", "sets: {pin: fitted}"),
    ),
    "a jump passes over what a step needs": task(
        step("look", "then: {crack found: work}", CHOICE),
        step("close-door", "sets: {door: closed}"),
        step("work", "needs: {door: closed}"),
        step("open-door", "sets: {door: open}"),
        states=TWO,
    ),
    "a deferral passes over what a step needs": task(
        step("close-door", "sets: {door: closed}\ndeferral: {authority: the duty engineer}"),
        step("work", "needs: {door: {not: open}}"),
        step("open-door", "sets: {door: open}"),
        states=TWO,
    ),
    "rework comes back without what a step needs": task(
        step("close-door", "sets: {door: closed}"),
        step("measure", "needs: {door: closed}\nthen: {below: open-door}", READING),
        step("leave", "then: end", "{confirm: leave done}"),
        step("open-door", "sets: {door: open}\nthen: measure"),
        states=TWO.replace("end: open", "end: [open, closed]"),
    ),
    "a step needs a state that is still unknown": task(
        step("work", "needs: {pin: fitted}"),
        step("prove-pin", "sets: {pin: fitted}"),
        states=f"states:\n{PIN}".replace("start: fitted", "start: unknown"),
    ),
    # The end.
    "a straight way ends in the wrong state": task(step("pull-pin", "sets: {pin: removed}")),
    "a deferral ends in the wrong state": task(
        step("look"),
        step("pull-pin", "sets: {pin: removed}"),
        step("look-again"),
        step("fit-pin", "sets: {pin: fitted}\ndeferral: {authority: the duty engineer}"),
    ),
    "a jump to the end leaves the wrong state": task(
        step("pull-pin", "sets: {pin: removed}"),
        step("look", "then: {crack found: end}", CHOICE),
        step("fit-pin", "sets: {pin: fitted}"),
    ),
    "a state is never proved": task(
        step("look"), states=f"states:\n{PIN}".replace("start: fitted", "start: unknown")
    ),
    # Counts.
    "more is counted out than there is": task(
        step("take", "counts_out: {ties: 4}"),
        step("take-more", "counts_out: {ties: 3}"),
        step("give", "counts_in: {ties: 6}"),
        more="counted: {ties: {called: harness ties, total: 6}}\n",
    ),
    "more is counted in than is out": task(
        step("take", "counts_out: {ties: 4}"),
        step("give", "counts_in: {ties: 5}"),
        more="counted: {ties: {called: harness ties, total: 6}}\n",
    ),
    "a tie is lost at the end": task(
        step("take", "counts_out: {ties: 4}"),
        step("give", "counts_in: {ties: 3}"),
        more="counted: {ties: {called: harness ties, total: 6}}\n",
    ),
    "only rework counts out twice": task(
        step("take", "counts_out: {ties: 4}"),
        step("measure", "then: {above: take}", READING),
        step("give", "counts_in: {ties: 4}"),
        more="counted: {ties: {called: harness ties, total: 6}}\n",
    ),
    "a deferral loses a pin": task(
        step("take", "counts_out: {pins: 1}"),
        step("give", "counts_in: {pins: 1}\ndeferral: {authority: the duty engineer}"),
        more="counted: {pins: {called: safety pins, total: 1}}\n",
    ),
    # The end, and steps, that cannot be reached.
    "two steps lead to each other for ever": task(
        step("one"), step("two", "then: one", "{confirm: two done}")
    ),
    "only one outcome leads into a circle": task(
        step("look", "then: {crack found: mend}", CHOICE),
        step("leave", "then: end", "{confirm: leave done}"),
        step("mend"),
        step("polish", "then: mend", "{confirm: polish done}"),
    ),
    "a step that is jumped over by every way": task(
        step("one", "then: three", "{confirm: one done}"), step("two"), step("three")
    ),
    "a step that applies to no variant with the state it needs": task(
        step("one", "applies: {pin: removed}"), step("two")
    ),
    "whether a step applies is not known": task(
        step("one", "applies: {pin: removed}\nsets: {pin: fitted}"),
        step("two", "sets: {pin: fitted}"),
        states=f"states:\n{PIN}".replace("start: fitted", "start: unknown"),
    ),
    # What a step rests on.
    "a jump passes over a reading that is used": task(
        step("look", "then: {seal torn: pressure}", CHOICE),
        step("temperature", "", READING),
        step("pressure", "", over("temperature")),
    ),
    "a jump passes over a reading that another is compared with": task(
        step("look", "then: {seal torn: face-b}", CHOICE),
        step("face-a", "", READING),
        step("face-b", "", READING.replace("{min", "{of: {difference: [this, face-a]}, min")),
    ),
    "an outside reading leads on to a limit that rests on it": task(
        step("temperature", "then: {above: pressure}", READING),
        step("pressure", "", over("temperature")),
    ),
    "a wait is counted from a step that can be deferred": task(
        step("close-valve", "deferral: {authority: the duty engineer}"),
        step("open-valve", "wait: {since: close-valve, at_least: 10 min}"),
    ),
    "what is too late leads back without what a step needs": task(
        step("close-door", "sets: {door: closed}"),
        step("work", "needs: {door: closed}"),
        step("seal", "wait: {since: work, at_most: 10 min}\nthen: {late: open-door}"),
        step("leave", "then: end", "{confirm: leave done}"),
        step("open-door", "sets: {door: open}\nthen: work"),
        states=TWO.replace("end: open", "end: [open, closed]"),
    ),
    # What is told of the way: the last step always, of those before it what matters.
    "a state is never proved, and the last step of three is told": task(
        *(step(each) for each in ("one", "two", "three")),
        states=f"states:\n{PIN}".replace("start: fitted", "start: unknown"),
    ),
    "a step that leads on elsewhere is told, and one that changes what matters": task(
        step("one", "then: three"),
        step("two", "then: six"),
        step("three"),
        step("four"),
        step("five", "sets: {pin: removed, door: closed}\nthen: two"),
        step("six"),
        states=TWO.replace("end: fitted", "end: [fitted, removed]").replace(
            "end: open", "end: [open, closed]"
        ),
        more=NEVER.replace("pin: removed, door: open", "pin: removed, door: closed"),
    ),
    "a step that is left undone is told though it leads on to the next one": task(
        step("look"),
        step("close-valve", "deferral: {authority: the duty engineer}"),
        step("feel"),
        step("open-valve", "wait: {since: close-valve, at_least: 10 min}"),
    ),
    # How a step that others rest on may be left, one each; and where each names it.
    "a reading that is used may be below its limits": task(
        step("temperature", "then: {below: pressure}", READING),
        step("pressure", "", over("temperature")),
    ),
    "a step that a wait is counted from may find a date that is over": task(
        step("due", "then: {expired: open-valve}", "{date: life limit}"),
        step("open-valve", "wait: {since: due, at_least: 10 min}"),
    ),
    "a step that a wait is counted from may come too late": task(
        step("look"),
        step("close-valve", "wait: {since: look, at_most: 1 h}\nthen: {late: open-valve}"),
        step("open-valve", "wait: {since: close-valve, at_least: 10 min}"),
    ),
    "a step that a wait is counted from may be rejected": task(
        step("close-valve", "inspection: true\nthen: {rejected: open-valve}"),
        step("open-valve", "wait: {since: close-valve, at_least: 10 min}"),
    ),
    "a step that a wait is counted from may be left by a choice": task(
        step("look", "then: {seal torn: open-valve}", CHOICE),
        step("open-valve", "wait: {since: look, at_least: 10 min}"),
    ),
    "a reading that is used applies only to some": task(
        step("temperature", "applies: {side: left, wing: {not: high}}", READING),
        step("pressure", "", over("temperature")),
        states="variants: {side: [left, right], wing: [high, low]}\n",
    ),
    "a deferral leads past a reading that is used": task(
        step("look", "deferral: {authority: the duty engineer, go: pressure}"),
        step("temperature", "", READING),
        step("pressure", "", over("temperature")),
    ),
    "another tool is taken, and its date is not read": task(
        step("number", "", "{identity: wrench number, tool: wrench}"),
        step(
            "due",
            "applies: {pin: fitted}\nthen: {expired: number}",
            "{date: calibration due, tool: wrench}",
        ),
        step("tighten", "uses: [wrench]\nsets: {pin: removed}"),
        step("look", "then: {seal torn: number}", CHOICE),
        states=f"states:\n{PIN}".replace("end: fitted", "end: [fitted, removed]"),
        more="equipment: [{name: Torque wrench, id: wrench, calibrated: true}]\n",
    ),
    "the second of several limits rests on what may not be done": task(
        step("before", "then: {below: after}", PRESSURE.format("{min: 50}")),
        step(
            "after",
            "",
            PRESSURE.format("[{min: 0}, {of: {difference: [before, this]}, max: 9}]"),
        ),
    ),
    "a prevailing torque may not be done": task(
        step("run-down", "then: {above: nut}", TORQUE.format("{min: 0, max: 20}")),
        step(
            "nut",
            "",
            TORQUE.format(
                "{torque: {min: 100 lbf.in, max: 200 lbf.in}, wrench: {min: 30 lbf.in, "
                "max: 400 lbf.in}, prevailing: {over: run-down, with_extension: false}}"
            ),
        ),
    ),
    # Nothing to do.
    "no step applies to one of two variants": task(
        step("look", "applies: {side: left, wing: high}"),
        step("feel", "applies: {side: right}"),
        states="variants: {side: [left, right], wing: [high, low]}\n",
    ),
}

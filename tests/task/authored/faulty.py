"""Forty faulty files: two tasks of a first author, each with one fault, and the line it is at."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

HERE = Path(__file__).parent
TEXTS = {
    "wheel": (HERE / "wheel-and-brake.yaml").read_text(encoding="utf-8"),
    "leak": (HERE / "leak-check.yaml").read_text(encoding="utf-8"),
}


@dataclass(frozen=True)
class Fault:
    """One fault."""

    kind: str  # form, meaning or practice
    task: str
    old: str  # what stood there
    new: str
    at: str  # the fault is at the line where this begins, after the last place of `before`
    told: str  # a part of what is told there
    before: str = ""
    made: Callable[[str], str] | None = None  # in place of old and new

    @property
    def text(self) -> str:
        """The faulty file."""
        if self.made is not None:
            return self.made(TEXTS[self.task])
        assert TEXTS[self.task].count(self.old) >= 1, self.old
        return TEXTS[self.task].replace(self.old, self.new, 1)

    @property
    def line(self) -> int:
        """Where the fault is."""
        start = self.text.index(self.before) if self.before else 0
        return self.text.count("\n", 0, self.text.index(self.at, start)) + 1


def form(task: str, old: str, new: str, told: str, at: str = "", before: str = "") -> Fault:
    return Fault("form", task, old, new, at or new.lstrip(), told, before)


def meaning(task: str, old: str, new: str, at: str, told: str, before: str = "") -> Fault:
    return Fault("meaning", task, old, new, at, told, before)


def practice(task: str, old: str, new: str, at: str, told: str, before: str = "") -> Fault:
    return Fault("practice", task, old, new, at, told, before)


def _for_one_door(text: str) -> str:
    """Every step is done for one value of a variant, so for the other there is none."""
    head, steps = text.split("steps:\n")
    steps = steps.replace("\n    instruction:", "\n    applies: {door: cargo}\n    instruction:")
    return f"{head}variants:\n  door: [cargo,\n    cabin]\nsteps:\n{steps}"


FAULTS = {
    # Form.
    "a key that is misspelt": form(
        "wheel",
        "instruction: Take the chocks away.",
        "instructon: Take the chocks away.",
        "unknown key 'instructon'. Did you mean 'instruction'?",
    ),
    "a tab in place of spaces": form(
        "wheel", "      called: tyre\n", "\t called: tyre\n", "not YAML: ", at="\t called"
    ),
    "a unit that is not known": form(
        "wheel", "unit: N.m,", "unit: Nm,", "unknown unit 'Nm'. For torque write one of N.m, lbf.in"
    ),
    "a quantity that is not known": form(
        "leak", "reading: drop rate", "reading: drops", "unknown quantity 'drops'"
    ),
    "two kinds of expectation": form(
        "wheel",
        "{confirm: axle is clean}",
        "{confirm: axle is clean, identity: axle number}",
        "the step expects 2 kinds of answer: confirm, identity",
    ),
    "an expectation that is misspelt": form(
        "wheel",
        "{confirm: axle is clean}",
        "{confim: axle is clean}",
        "the step expects nothing that can be heard",
    ),
    "a key that is written twice": form(
        "wheel",
        "critical: true\n    sets: {chocks: set}",
        "critical: true\n    sets: {chocks: set}\n    critical: false",
        "key 'critical' is written twice",
        at="critical: false",
    ),
    "a step for three lists of things": form(
        "wheel",
        "each: {bolt: [upper, lower]}",
        "each: {bolt: [upper, lower], side: [left, right], end: [fore, aft]}",
        "'each' has more than 2. Write fewer",
    ),
    "one thing where a list must be": form(
        "wheel", "uses: [jack]", "uses: jack", "'jack': a list must stand here"
    ),
    "a number in words": form(
        "wheel", "resolution: 0.1", "resolution: a tenth", "'a tenth' is no number"
    ),
    "a phrase with a capital": form(
        "leak", "confirm: pump runs", "confirm: Pump runs", "'Pump runs' is not written as it must"
    ),
    "a time in words": form(
        "leak", "at_least: 10 min", "at_least: ten minutes", "'ten minutes' is not a time"
    ),
    "neither true nor false": form(
        "leak", "critical: true", "critical: very", "'very' is neither true nor false"
    ),
    "a part number in small letters": form(
        "wheel", "accept: [QB-2204]", "accept: [qb-2204]", "'qb-2204' is not written as it must be"
    ),
    # Meaning.
    "a variant that leaves no step to do": Fault(
        "meaning",
        "leak",
        "",
        "",
        "cabin",
        "where 'door' is cabin no step is left to do",
        made=_for_one_door,
    ),
    "a loop without an end": meaning(
        "leak",
        "expect: {confirm: pump is stopped}\n",
        "expect: {confirm: pump is stopped}\n    then: start-pump\n",
        "then: start-pump",
        "no way leads to the end: step 'stop-pump' leads back to 'start-pump' for ever",
    ),
    "a reading that only one variant takes": meaning(
        "wheel",
        "  - id: temperature\n",
        "  - id: temperature\n    applies: {side: left}\n",
        "over: temperature",
        "which may not be done by then: it applies only where 'side' is left",
    ),
    "a reading that can be deferred and is used": meaning(
        "wheel",
        "  - id: temperature\n",
        "  - id: temperature\n    deferral: {authority: the duty engineer}\n",
        "over: temperature",
        "which may not be done by then: it can be deferred",
    ),
    "a tool that is out of date and leads on": meaning(
        "wheel",
        "then: {expired: wrench-number}",
        "then: {expired: set-chocks}",
        "then: {expired: set-chocks}",
        "'expired' leads on with the number of the tool that is out of date",
    ),
    "an outcome without its limit": meaning(
        "leak",
        "then: {above: stop-to-mend, rejected: stop-to-mend}",
        "then: {below: stop-to-mend, rejected: stop-to-mend}",
        "then: {below: stop-to-mend, rejected",
        "step 'drops' has no outcome 'below'",
    ),
    "an outcome that no value can have": meaning(
        "leak",
        "limits: {max: 2}}\n    inspection: true\n    then: {above: stop-to-mend,",
        "limits: {min: 0, max: 2}}\n    inspection: true\n    then: {below: stop-to-mend,",
        "then: {below: stop-to-mend, rejected",
        "no value of step 'drops' can be 'below'",
    ),
    "a phrase that says one thing and sets another": meaning(
        "leak",
        "{confirm: pump runs}",
        "{confirm: pump stopped}",
        "sets: {pump: running}",
        "'pump stopped' is said, and it sets 'pump' running",
    ),
    "a state that nobody brings about": meaning(
        "wheel",
        "    sets: {brake-pressure: released}\n",
        "",
        "needs: {axle: on the jack, brake-pressure: released}",
        "needs 'brake-pressure' released, but by then it can be present",
    ),
    "a way to what must never be": meaning(
        "leak",
        "then: {above: stop-to-mend, rejected: stop-to-mend}",
        "then: {above: loosen, rejected: stop-to-mend}",
        "needs: {pump: stopped}",
        "step 'loosen' needs 'pump' stopped, but by then it can be running",
        "- id: loosen",
    ),
    "a tool that does not come back": meaning(
        "wheel",
        "limits: {min: 3, max: 3}}\n    counts_in: {tools: 3}",
        "limits: {min: 2, max: 2}}\n    counts_in: {tools: 2}",
        "tools: {called: tools, total: 3",
        "0 tools must be out at the end, but it can be 1",
    ),
    "a time from a step that may not be done": meaning(
        "leak",
        "since: before,",
        "since: stop-to-mend,",
        "wait: {since: stop-to-mend",
        "'after' rests on step 'stop-to-mend', which may not be done by then: it comes later",
    ),
    "a tool by a wrong name": meaning(
        "leak",
        "    uses: [wrench]\n    sets: {fitting: tight}",
        "    uses: [spanner]\n    sets: {fitting: tight}",
        "uses: [spanner]",
        "there is no tool 'spanner'",
    ),
    "a way to a step that is not there": meaning(
        "leak", "then: tighten\n", "then: tigthen\n", "then: tigthen", "Did you mean 'tighten'?"
    ),
    "a reading that leaves its table": meaning(
        "wheel",
        "unit: degC, resolution: 1, limits: {min: 0, max: 40}",
        "unit: degC, resolution: 1, limits: {min: -10, max: 40}",
        "table: [{at: 0",
        "the limits of 'temperature' allow values outside this table",
    ),
    "a step that no way leads to": meaning(
        "leak",
        "seal is torn: new-seal",
        "seal is torn: tighten",
        "- id: new-seal",
        "no way leads to step 'new-seal'",
    ),
    # Practice, the first of which is refused.
    "opposites that differ by a prefix, and one is critical": Fault(
        "practice",
        "wheel",
        "",
        "",
        "expect: {confirm: chocks unsecured}",
        "'chocks secured' and 'chocks unsecured' are opposites that differ only by a prefix",
        made=lambda text: text.replace("chocks are set", "chocks secured").replace(
            "chocks are away", "chocks unsecured"
        ),
    ),
    "a critical torque without a torque wrench": practice(
        "wheel",
        "    critical: true\n    uses: [wrench]\n  - id: clean-axle",
        "    critical: true\n  - id: clean-axle",
        "expect: {reading: torque, called: <bolt> bolt",
        "has no torque wrench among 'uses'",
    ),
    "a deadly warning at a step that is not critical": practice(
        "leak",
        "  - id: start-pump\n",
        "  - id: start-pump\n    warning: The door can crush you.\n",
        "warning: The door can crush you.",
        "speaks of 'crush', and the step is not critical",
    ),
    "a caution that speaks of death": practice(
        "wheel",
        "caution: Do not let the wheel hit the axle thread.",
        "caution: Do not stand below. The wheel can kill you.",
        "caution: Do not stand below.",
        "a caution is about damage",
    ),
    "limits that a dropped figure passes": practice(
        "leak",
        "resolution: 10, limits: {min: 2900, max: 3100}",
        "resolution: 10, limits: {min: 200, max: 3100}",
        "expect: {reading: pressure, unit: psi, resolution: 10, limits: {min: 200",
        "with a figure dropped passes",
    ),
    "a reading outside its limits that sets a state": practice(
        "wheel",
        "then: {below: remove-brake, inside: clean-axle}",
        "then: {below: {go: remove-brake, sets: {brake: worn}}, inside: clean-axle}",
        "then: {below: {go: remove-brake",
        "a reading outside its limits, 'below', leads on and sets 'brake'",
    ),
    "a phrase that confirms two things": practice(
        "wheel",
        "{confirm: axle is clean}",
        "{confirm: wheel is off}",
        "expect: {confirm: wheel is off}",
        "also confirms step 'remove-wheel', which sets wheel removed",
        "- id: clean-axle",
    ),
    "a state that nothing but words proves": practice(
        "wheel",
        "    needs: {axle: on the jack, brake: fitted}\n    inspection: true\n",
        "    needs: {axle: on the jack, brake: fitted}\n",
        "  wheel:\n",
        "no reading, identity or inspection ever proves 'wheel'",
    ),
    "part numbers one sound apart": practice(
        "wheel",
        "accept: [QW-7716]",
        "accept: [QW-7715, QW-7719]",
        "expect: {identity: part number, accept: [QW-7715",
        "'QW-7715' and 'QW-7719' are one sound apart: 'five' and 'nine'",
    ),
    "a second order in one step": practice(
        "leak",
        "instruction: Start the pump.",
        "instruction: Start the pump, and read its gauge.",
        "instruction: Start the pump, and read",
        "gives a second order, 'read'",
    ),
}

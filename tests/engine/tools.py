"""A task that reads a tool before it uses it, and counts what it takes out."""

from datetime import date

from handsfree.engine.events import Started
from handsfree.task.equipment_list import ListedTool
from handsfree.task.model import Task
from handsfree.task.read import read_task
from tests.engine.conversation import Conversation

TOOLS = """\
task: bolts
title: Tighten a bolt
revision: "1"
approved_data: {reference: QX 12, revision: "7"}
applicability: {aircraft: Any 1, component: bolt}
equipment:
  - {name: Torque wrench, id: wrench, calibrated: true}
  - {name: Socket, id: socket}
counted:
  tools: {called: tools, total: 2, tools: [wrench, socket]}
  pins: {called: safety pins, total: 2, start: 2}
steps:
  - id: take-out
    instruction: Count the tools.
    expect:
      {reading: count, called: tools, unit: each, resolution: 1, limits: {min: 2, max: 2}}
    counts_out: {tools: 2}
  - id: wrench-number
    instruction: Read the number of the wrench.
    expect: {identity: wrench number, tool: wrench}
  - id: wrench-date
    instruction: Read the calibration date.
    expect: {date: calibration due, called: calibrated until, tool: wrench}
    then: {expired: wrench-number}
  - id: tighten
    instruction: Tighten the bolt.
    expect: {reading: torque, unit: N.m, resolution: 1, limits: {min: 20, max: 30}}
    uses: [wrench, socket]
  - id: look
    instruction: Look at the bolt.
    expect: {confirm: bolt tight}
    uses: [pins]
  - id: pins-in
    instruction: Count the pins into their stowage.
    expect: {reading: count, called: pins, unit: each, resolution: 1, limits: {min: 2, max: 2}}
    counts_in: {pins: 2}
  - id: put-back
    instruction: Count the tools into the kit.
    expect: {reading: count, called: tools, unit: each, resolution: 1, limits: {min: 2, max: 2}}
    counts_in: {tools: 2}
"""
TASK = read_task(TOOLS, "tools.yaml")
TODAY = date(2027, 3, 15)
LISTED = (
    ListedTool("TW31", "Torque wrench", date(2027, 3, 15), "serviceable"),
    ListedTool("TW28", "Torque wrench", date(2027, 3, 14), "serviceable"),
    ListedTool("TW29", "Torque wrench", None, "serviceable"),
    ListedTool("TW30", "Torque wrench", date(2030, 1, 1), "quarantined"),
    ListedTool("SO12", "Socket", None, "serviceable"),
)

TO_NUMBER = ("two", "affirm")
TO_DATE = (*TO_NUMBER, "tango whiskey three one", "affirm")
TO_TIGHTEN = (*TO_DATE, "one five march two zero two seven", "affirm")
TO_PINS = (*TO_TIGHTEN, "two five", "affirm", "bolt tight")
TO_BACK = (*TO_PINS, "two", "affirm")


def at(
    *utterances: str,
    today: date | None = TODAY,
    equipment: tuple[ListedTool, ...] | None = None,
    task: Task = TASK,
) -> Conversation:
    run = Conversation(task)
    run.send(Started(today=today, equipment=equipment))
    return run.finish_speaking().say(*utterances)

"""A task that reads gauges of several kinds, each with its own way of saying a value."""

from handsfree.engine.effects import Listen
from handsfree.task.read import read_task
from handsfree.words.phrases import PhraseSet
from tests.engine.conversation import Conversation

GAUGES = """\
task: gauges
title: Read the gauges
revision: "1"
approved_data: {reference: QX 12, revision: "7"}
applicability: {aircraft: Any 1, component: gauges}
steps:
  - id: pressure
    instruction: Read the pressure.
    expect:
      reading: pressure
      unit: psi
      resolution: 10
      other_scales: [{unit: bar, resolution: 1}]
      limits: {min: 2900, max: 3100}
  - id: temperature
    instruction: Read the temperature.
    expect:
      reading: temperature
      unit: degC
      resolution: 1
      other_scales: [{unit: degF, resolution: 1}]
      limits: {min: -40, max: 40}
  - id: length
    instruction: Measure the gap.
    expect:
      reading: length
      called: gap
      unit: in
      resolution: 0.0625
      fractions: true
      limits: {min: 2.5, max: 3.5}
  - id: torque
    critical: true
    instruction: Read the torque.
    expect:
      reading: torque
      unit: N.m
      resolution: 1
      words_twice: true
      doubles: true
      limits: {min: 20, max: 30}
"""
GAUGE_TASK = read_task(GAUGES, "gauges.yaml")
TO_GAUGE_TEMPERATURE = ("three thousand p s i", "affirm")
TO_LENGTH = (*TO_GAUGE_TEMPERATURE, "two zero degrees celsius", "affirm")
TO_TORQUE = (*TO_LENGTH, "three inches", "affirm")


def at_gauge(*utterances: str) -> Conversation:
    return Conversation(GAUGE_TASK).start().say(*utterances)


def listened_for(run: Conversation) -> PhraseSet:
    return next(each.phrases for each in reversed(run.effects) if isinstance(each, Listen))

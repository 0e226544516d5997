"""A small task of our own for tests that look at its very words, so that others may change."""

SMALL = """\
task: pin-and-pressure
title: Check a bottle
revision: "1"
approved_data: {reference: QX 1, revision: "2"}
applicability: {aircraft: Any 1, component: bottle}
equipment:
  - name: Gauge
    calibrated: true
states:
  pin: {called: safety pin, values: [fitted, removed], start: removed, end: removed}
  cover: {called: cover, values: [open, closed], start: open, end: open}
never:
  - when: {pin: removed, cover: closed}
    because: the cover hides that there is no pin
steps:
  - id: fit-pin
    warning: The bottle can kill you.
    instruction: Fit the pin.
    expect: {confirm: pin fitted}
    sets: {pin: fitted}
  - id: temperature
    instruction: Read the temperature.
    expect:
      reading: temperature
      unit: degC
      resolution: 1
      limits: {min: -20, max: 50}
  - id: pressure
    caution: Do not press on the glass.
    note: The gauge is in the hose.
    instruction: Read the pressure.
    needs: {pin: fitted}
    expect:
      reading: pressure
      called: [bottle pressure, gauge]
      unit: psi
      resolution: 10
      limits:
        over: temperature
        table:
          - {at: -20, min: 2500, max: 2800}
          - {at: 50, min: 3000, max: 3300}
  - id: close-cover
    instruction: Close the cover.
    expect: {confirm: cover closed}
    sets: {cover: closed}
  - id: open-cover
    instruction: Open the cover.
    expect: {confirm: cover open}
    sets: {cover: open}
  - id: remove-pin
    instruction: Remove the pin.
    expect: {confirm: pin removed}
    needs: {cover: open}
    sets: {pin: removed}
"""

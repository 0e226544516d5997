"""The demo itself: render the people's voices, then run the real pipeline on their sound."""

import sys
import time
from datetime import UTC, datetime, timedelta

import numpy as np
from rich.console import Console
from rich.progress import track

from demo.people import People, voice_line
from demo.script import DROWNED_SNR_DB, SCRIPT, SNR_DB
from demo.tally import Tally
from handsfree.engine.entries import Entry
from handsfree.engine.phase import Phase
from handsfree.environment import ROOT
from handsfree.errors import HandsfreeError
from handsfree.hearing.models.versions import models_that_listen
from handsfree.hearing.opening import open_recognizer
from handsfree.record import Circumstances, Record
from handsfree.record.marks import Way
from handsfree.running.loop import run
from handsfree.running.screen import TextScreen
from handsfree.speaking import open_speaker
from handsfree.task.equipment_list import read_equipment
from handsfree.task.read import read_task
from handsfree.task.roster import read_roster

TASK = ROOT / "tasks" / "door-slide-refit.yaml"
EQUIPMENT = ROOT / "tasks" / "door-slide-equipment.csv"
ROSTER = ROOT / "tasks" / "door-slide-roster.yaml"
_SEED = 20
# Invented like the dates of tools and authorisations, so that they never run out.
TODAY = datetime(2070, 1, 1, tzinfo=UTC)


class DemoScreen(TextScreen):
    """Prints the run, lets the people take it in, and counts for the summary."""

    def __init__(self, console: Console) -> None:
        super().__init__(console)
        self.people: People | None = None
        self.tally = Tally()

    def decided(self, entry: Entry) -> None:
        """Let the people know, and count what the summary tells."""
        super().decided(entry)
        if self.people is not None:
            self.people.hear_decision(entry)
        self.tally.take(entry)


def main() -> int:
    """Hold the conversation; 0 if the task was finished."""
    console = Console(highlight=False)
    errors = Console(stderr=True)
    began = time.monotonic()
    lines = tuple(
        (line, voice_line(line))
        for line in track(SCRIPT, "Rendering three voices", console=errors, transient=True)
    )
    with errors.status("Loading the speech model"):
        recognizer = open_recognizer()

    def since_start() -> timedelta:
        return timedelta(seconds=time.monotonic() - began)

    def utc_now() -> datetime:
        return datetime.now(UTC)

    text = TASK.read_text(encoding="utf-8")
    task = read_task(text, TASK.name)
    equipment = read_equipment(EQUIPMENT.read_bytes(), EQUIPMENT.name)
    roster = read_roster(ROSTER.read_text(encoding="utf-8"), ROSTER.name)
    folder = ROOT / "records" / f"{utc_now():%Y%m%dT%H%M%SZ}-demo"
    console.print(
        f"Two people and an inspector at a door, in hangar noise at {SNR_DB:g} dB. One utterance "
        f"is\ndrowned, at {DROWNED_SNR_DB:g} dB. Each has a headset, which tells who speaks. "
        "Names, type and\nvalues are invented. The number behind each utterance is how sure the "
        "hearing is.\n",
        soft_wrap=True,
    )
    screen = DemoScreen(console)
    people = People(lines, recognizer, since_start, np.random.default_rng(_SEED))
    screen.people = people
    how = Circumstances(task.task, task.revision, Way.CLIP, models_that_listen())
    with Record(folder, text, utc_now, since_start, circumstances=how) as record:
        speech = folder / "speech.wav"
        speaker = open_speaker(speech)
        try:
            end = run(
                *(task, people, record, speaker, screen),
                equipment=equipment,
                people=roster,
                utc_now=lambda: TODAY,
            )
        finally:
            speaker.close()
    console.print()
    for line in screen.tally.lines():
        console.print(line)
    console.print(f"{since_start().total_seconds():4.0f} seconds in all")
    console.print(f"\nrecord: {folder.relative_to(ROOT)}", soft_wrap=True)
    console.print(f"the tool's voice: {speech.relative_to(ROOT)}", soft_wrap=True)
    return 0 if end.phase is Phase.FINISHED else 1


if __name__ == "__main__":
    try:
        raise SystemExit(main())
    except HandsfreeError as error:
        print(error, file=sys.stderr)
        raise SystemExit(error.exit_code) from error

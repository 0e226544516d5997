"""What a person asks of `handsfree run`, checked when it is made: no two options that exclude."""

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from handsfree.engine.manner import Manner
from handsfree.errors import Misuse
from handsfree.speaking.voices import VoiceName

if TYPE_CHECKING:
    from handsfree.running.live import Headsets


@dataclass(frozen=True, slots=True, kw_only=True)
class RunRequest:
    """The options of the command, by their names there; raises Misuse where they do not fit."""

    task: Path | None
    clips: Path | None
    keyboard: bool
    record: Path | None
    resume: Path | None
    keys: Path | None
    speech_file: Path | None
    voice: VoiceName
    manner: Manner | None
    roster: Path | None
    variant: tuple[str, ...]
    equipment: Path | None
    board: bool
    board_host: str | None
    board_port: int | None
    device: str | None
    second_device: str | None
    second_channel: int | None
    inspector_device: str | None
    voice_stops_speech: bool
    rehearse_clock: int
    hearing_check: bool = False

    def __post_init__(self) -> None:
        if self.equipment and self.resume:
            raise Misuse("run: a run that goes on keeps its equipment list: leave --equipment out.")
        if self.manner and self.resume:
            raise Misuse("run: a run that goes on keeps its manner: leave --manner out.")
        if self.clips is not None and self.keyboard:
            raise Misuse("run: hear either from --clips FOLDER or from --keyboard.")
        if self.second_device is not None and self.second_channel is not None:
            raise Misuse(
                "run: the second person is at --second-device or --second-channel, not both."
            )
        if not self.is_live and self._names_a_microphone():
            raise Misuse("run: --clips and --keyboard need no microphone.")
        if self.hearing_check and (not self.is_live or self.resume):
            raise Misuse("run: --hearing-check is for the start of a new run with microphones.")
        if (self.task is None) == (self.resume is None) or (self.record and self.resume):
            raise Misuse("run: name either a TASK, with or without --record, or --resume RECORD.")
        if self.rehearse_clock != 1 and (not self.keyboard or self.resume):
            raise Misuse(
                "run: --rehearse-clock is for trying a task: begin a new one, with --keyboard."
            )
        if not self.board and (self.board_host is not None or self.board_port is not None):
            raise Misuse("run: --board-host and --board-port go with --board.")

    @property
    def is_live(self) -> bool:
        """Whether microphones are listened to."""
        return self.clips is None and not self.keyboard

    def headsets(self) -> "Headsets":
        """Who is heard through what."""
        from handsfree.running.live import Headsets

        return Headsets(
            self.device,
            self.second_device,
            self.second_channel,
            self.inspector_device,
            self.voice_stops_speech,
        )

    def _names_a_microphone(self) -> bool:
        named = (self.device, self.second_device, self.second_channel, self.inspector_device)
        return any(each is not None for each in named) or self.voice_stops_speech

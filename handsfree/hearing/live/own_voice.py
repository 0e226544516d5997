"""Whether the tool's own voice reaches the microphones, found out while it speaks. Pure.

Most headsets keep it out, and then a person can be heard through it: whoever notices only as the
tool answers that the wrong word was said can take it back. A loudspeaker beside an open microphone
does not, and then the tool would hear itself.
"""

# Judgements. The notice and the first instruction of a task take longer than this.
_LONG_ENOUGH = 94  # frames, 3 s of the tool's voice through which no voice was heard
_AT_ITS_BEGINNING = 16  # frames, 0.5 s
_IN_A_ROW = 2  # people begin to speak just as the tool does, but hardly twice one after the other


class OwnVoice:
    """Keeps count of what was heard while the tool spoke.

    It counts as kept out once it was not heard for three seconds, and until twice in a row a voice
    was heard from the beginning of what the tool said.
    """

    def __init__(self, *, is_kept_out: bool = False) -> None:
        """`is_kept_out`: a person has said so, and it need not be found out."""
        self._is_known = is_kept_out
        self._quiet = 0  # frames of the tool's voice, all of them without a voice in them
        self._echoes = 0  # in a row
        self._frames = 0  # of what it says now
        self._heard_at: int | None = None  # the first frame of that with a voice in it

    @property
    def is_kept_out(self) -> bool:
        """Whether a voice that is heard while the tool speaks is a person's."""
        return self._is_known or self._quiet >= _LONG_ENOUGH

    def begins(self) -> None:
        """The tool begins to say something; what it said before is over."""
        self.ends()

    def frame(self, *, is_voice: bool) -> None:
        """A frame was taken up while it spoke, with somebody's voice in it or without."""
        self._frames += 1
        if is_voice and self._heard_at is None:
            self._heard_at = self._frames

    def ends(self) -> None:
        """It has finished."""
        frames, heard_at = self._frames, self._heard_at
        self._frames, self._heard_at = 0, None
        if heard_at is None:
            self._quiet += frames
            self._echoes = 0 if frames else self._echoes
            return
        self._echoes = self._echoes + 1 if heard_at <= _AT_ITS_BEGINNING else 0
        if self._quiet < _LONG_ENOUGH or self._echoes >= _IN_A_ROW:
            self._quiet = 0

"""The speaker for a machine that cannot be heard."""


class SilentSpeaker:
    """Drops every utterance. Whoever chooses it tells the person so."""

    def say(self, text: str) -> None:
        """Return at once."""

    def close(self) -> None:
        """Hold nothing, so let go of nothing."""

"""The ears of these tests."""

import pytest

from handsfree.rehear import hearing_again
from tests.rehear.records import ReadsClips


@pytest.fixture
def ears(monkeypatch: pytest.MonkeyPatch) -> ReadsClips:
    """All that listens today."""
    recognizer = ReadsClips()
    monkeypatch.setattr(hearing_again, "_recognizer", lambda _: recognizer)
    return recognizer

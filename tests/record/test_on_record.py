"""The forms of `record` that stand in records are those that earlier versions wrote."""

from tests.on_record import forms, kept


def test_what_older_records_hold_is_still_called_and_read_so() -> None:
    assert forms("record") == kept("record").read_text(encoding="utf-8")

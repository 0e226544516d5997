"""How much a record may hold, as it was decided on purpose. Common practice, no source."""

from handsfree.record import entries, reviewing, values


def test_the_bounds_are_those_that_were_decided() -> None:
    assert entries.MOST_ENTRY_BYTES == 32_000_000
    assert reviewing.LONGEST == 2000  # characters of a supervisor's remark
    assert values.LARGEST_WHOLE == 9_007_199_254_740_991  # RFC 8785, 3.2.2.3

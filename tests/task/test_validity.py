"""Verdicts on dates, held against the order of `datetime.date`."""

from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from handsfree.task.validity import DateVerdict, judge_date

DATES = st.dates(date(2020, 1, 1), date(2020, 1, 5))  # few, so that they often are the same


@given(DATES, DATES, st.lists(DATES, max_size=2))
def test_a_date_is_in_date_only_where_nothing_on_file_says_otherwise(
    said: date, today: date, on_file: list[date]
) -> None:
    verdict = judge_date(said, today, on_file)
    alike = all(each == said for each in on_file)
    assert (verdict is DateVerdict.IN_DATE) == (alike and said >= today)
    assert (verdict is DateVerdict.OUT_OF_DATE) == any(each < today for each in (said, *on_file))


def test_a_day_that_does_not_exist_is_told_before_all_else() -> None:
    assert judge_date(None, None, ()) is DateVerdict.NO_SUCH_DATE


def test_nothing_is_in_date_where_today_is_not_known() -> None:
    assert judge_date(date(2099, 1, 1), None, ()) is DateVerdict.TODAY_UNKNOWN

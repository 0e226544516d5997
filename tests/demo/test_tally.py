from demo.tally import Tally
from handsfree.engine.entries import (
    NotActedOn,
    NotHeeded,
    StatementsDiffer,
    StepBegun,
    StepConfirmed,
    StoodBy,
)


def test_one_of_a_kind_is_told_in_the_singular_and_several_in_the_plural() -> None:
    tally = Tally()
    for entry in (
        StepConfirmed("fit", "pin fitted", ()),
        NotHeeded("fit", ("oh",), NotActedOn.DOUBTFUL),
        StepConfirmed("remove", "pin removed", ()),
        StatementsDiffer("pressure", "2980", "2960", 1),
    ):
        tally.take(entry)
    assert tally.lines() == (
        "   2 steps confirmed",
        "   1 reading on which two people differed, read again",
        "   1 doubtful hearing, asked again",
    )


def test_what_did_not_happen_and_what_is_not_told_has_no_line() -> None:
    tally = Tally()
    tally.take(StepBegun("fit"))
    tally.take(StoodBy("fit", "stand by"))
    tally.take(NotHeeded("fit", ("oh",), NotActedOn.STANDING_BY))
    assert tally.lines() == ()

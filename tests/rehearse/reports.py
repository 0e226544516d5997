"""A small rehearsal as it is kept, for tests of what is made of it."""

from handsfree.rehearse.report import (
    LeftOut,
    Rehearsal,
    Results,
    Rewording,
    Settings,
    Sources,
    StepResults,
    StepTime,
    Taken,
    Talk,
    WayTime,
)

RESULTS = Results(right=7, asked=2, wrong=1, read_back=1)
REPORT = Rehearsal(
    task="t",
    title="Fit <b>the</b> pin",
    revision="1",
    made_on="2026-11-29",  # type: ignore[arg-type]
    made_with="handsfree 0",
    of=Sources(phrases="0", models={}, code={}, libraries={}),
    settings=Settings(
        voices=("anna",),
        recordings=0,
        people=(),
        noises=("hangar",),
        snrs_db=(20.0, 10.0),
        runs=1,
        seed=1,
    ),
    steps=(
        StepResults(step="fit", kind="answer", snr_db=20.0, results=RESULTS),
        StepResults(step="fit", kind="answer", snr_db=10.0, results=RESULTS),
        StepResults(step="fit", kind="talk", snr_db=10.0, results=Results(right=9)),
    ),
    by_noise={"hangar": RESULTS},
    by_voice={"anna": RESULTS},
    recorded=(),
    left_out=(LeftOut(file="<script>.wav", why="silent"),),
    taken=(
        Taken(
            step="fit",
            at="answering",
            kind="mistake",
            said="pin not fitted",
            heard="pin fitted",
            result="accepted wrong",
            times=1,
            snrs_db=(10.0,),
        ),
    ),
    unreached=(),
    carried_over=0,
    times=(StepTime(step="fit", turns=1, tool_words=9, people_words=2, seconds=4.5),),
    talks=(Talk(voice="anna", snr_db=10, finished=True, turns=3, asked_again=1, minutes=1.5),),
    ways=(WayTime(way="as usual", turns=2, minutes=1.0),),
    rewordings=(
        Rewording(
            step="fit",
            before="pin fitted",
            after="lock pin fitted",
            results_before=RESULTS,
            results_after=Results(right=10),
        ),
    ),
)

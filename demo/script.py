"""What the people of the demo say, in order.

The people, their words and all values are invented; the task is `tasks/door-slide-refit.yaml`.
"""

from dataclasses import dataclass

from handsfree.task.roles import Headset

SNR_DB = 20.0  # of an ordinary utterance
DROWNED_SNR_DB = -12.0  # of one that a rivet gun drowns


@dataclass(frozen=True, slots=True)
class Line:
    """One utterance."""

    headset: Headset
    words: str
    snr_db: float = SNR_DB


def _technician(*utterances: str) -> tuple[Line, ...]:
    return tuple(Line(Headset.TECHNICIAN, words) for words in utterances)


def _second(*utterances: str) -> tuple[Line, ...]:
    return tuple(Line(Headset.SECOND_PERSON, words) for words in utterances)


def _inspector(*utterances: str) -> tuple[Line, ...]:
    return tuple(Line(Headset.INSPECTOR, words) for words in utterances)


SCRIPT: tuple[Line, ...] = (
    # Who is here.
    *_technician("oscar alfa four one seven", "affirm"),
    *_second("oscar alfa six zero eight", "affirm"),
    # Is this the right work, and with which tools?
    *_technician("four seven one eight one two", "affirm"),
    *_technician("quebec delta tango romeo november", "affirm"),
    *_technician("front left door"),
    *_technician("count five", "affirm"),
    # The first wrench is not in calibration any more: the tool says so, and another one is taken.
    *_technician("wrench number tango alfa two eight"),
    *_technician("wrench number tango alfa three one", "affirm"),
    *_technician("one five march two zero seven one", "affirm"),
    *_technician("charlie hotel one two", "affirm"),
    *_technician("three one august two zero seven two", "affirm"),
    *_technician("golf oscar zero seven", "affirm"),
    *_technician("three zero september two zero seven one", "affirm"),
    *_technician("romeo kilo three six", "affirm"),
    *_technician("two four january two zero seven three", "affirm"),
    *_technician("actuator pin fitted"),
    # The technician has missed where to look, and asks.
    *_technician("say again"),
    *_technician("bottle pin fitted"),
    *_technician("arming lever safe"),
    *_technician("door held open"),
    *_technician("victor kilo four zero eight six", "affirm"),
    *_technician("serial number two zero seven bravo", "affirm"),
    *_technician("life dates valid"),
    # The second person reads the thermometer, and the technician affirms what was heard.
    *_second("temperature two one degrees"),
    *_technician("affirm"),
    # The bottle pressure is read by each of them. One misreads it inside the limits: no limit can
    # find that, the two values do. Neither has been said aloud, so both read again.
    *_technician("pressure two niner eight zero p s i"),
    *_second("pressure two niner six zero p s i"),
    *_technician("pressure two niner six zero p s i"),
    *_second("pressure two niner six zero p s i"),
    *_technician("affirm"),
    *_technician("pack on hooks"),
    # A slip of the tongue: below the limit, so the task does not go on. Then corrected.
    *_technician("left bolt one four newton metres"),
    *_technician("correction two four newton metres", "affirm"),
    # Somebody needs the technician for a moment: nothing counts until "go ahead".
    *_technician("stand by"),
    *_second("can you hand me the other socket please"),
    *_technician("go ahead"),
    *_technician("right bolt two three decimal five newton metres", "affirm"),
    *_technician("girt bar in sleeve"),
    *_technician("both clips closed"),
    *_technician("cable connected"),
    # The step is not done before an inspector, who took no part in it, has seen it.
    *_inspector("oscar alfa seven four four", "affirm", "inspected"),
    *_technician("left side"),
    *_technician("top bracket tied", "middle bracket tied", "bottom bracket tied"),
    *_technician("count six", "affirm"),
    *_technician("door path clear"),
    *_technician("door closed and locked"),
    *_technician("lever armed latches locked"),
    # A rivet gun drowns the reading: it is asked for again, never guessed.
    Line(Headset.SECOND_PERSON, "zero decimal four five millimetres", DROWNED_SNR_DB),
    *_technician("affirm"),
    *_technician("lever safe bar stowed"),
    *_technician("count five", "affirm"),
    *_technician("actuator pin removed"),
    *_technician("bottle pin removed"),
    *_technician("count two", "affirm"),
    *_technician("slide cover fitted"),
    *_technician("slide light on"),
    *_technician("window is green"),
    *_technician("record handed over"),
)

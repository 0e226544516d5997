"""Minutes, words and turns by voice: of the tool by its own voice, of people by theirs.

Only what is said takes time here. The work of the hands between is the longer part of most steps,
and nobody can tell it from a task file.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

from handsfree.rehearse.cache import Cache
from handsfree.rehearse.conversation import Conversation, Turn
from handsfree.rehearse.report import StepTime, TakenInTalk, Talk, WayTime
from handsfree.rehearse.trials import Held
from handsfree.speaking.ready import sentences
from handsfree.speaking.to_file import PAUSE_S
from handsfree.speaking.voice import Voice
from handsfree.task.model import Task

# Before an answer, and until it is known that it has ended. Judgement, no source.
BEFORE_ANSWER_S = 1.0
# "Hydraulic pressure released" takes a person about 1.3 s: 150 words a minute.
_A_WORD_S = 0.4
_RATE_HZ = 16_000

Lasts = Mapping[str, float]
"""How long the tool speaks each sentence, in seconds."""


def spoken_by_tool(conversations: Iterable[Conversation], cache: Cache) -> dict[str, float]:
    """How long the tool's usual voice takes for each sentence; raises SpeechEngineFailed."""
    texts = list(
        dict.fromkeys(
            sentence
            for each in conversations
            for text in (*each.opening, *(said for turn in each.turns for said in turn.said))
            for sentence in sentences(text)
        )
    )
    known = cache.seconds_of(texts)
    missing = [each for each in texts if each not in known]
    if missing:
        voice = Voice(_RATE_HZ)
        try:
            new = {each: len(voice.render(each)) / _RATE_HZ for each in missing}
        finally:
            voice.close()
        cache.keep_seconds(new)
        known |= new
    return known


def talks_of(task: Task, held: Sequence[Held], lasts: Lasts) -> tuple[Talk, ...]:
    """Each conversation with its minutes, and with what went wrong in it."""
    return tuple(
        Talk(
            voice=each.voice,
            snr_db=each.snr_db,
            finished=each.conversation.finished,
            turns=len(each.conversation.turns),
            asked_again=sum(turn.in_doubt for turn in each.conversation.turns),
            minutes=round(_seconds(each.conversation, lasts) / 60, 2),
            wrong=tuple(
                TakenInTalk(
                    step=turn.step,
                    said=turn.line.words,
                    heard=judged.heard,
                    read_back=judged.read_back,
                )
                for turn, judged in each.wrong(task)
            ),
        )
        for each in held
    )


def times_of(conversations: Sequence[Conversation], lasts: Lasts) -> tuple[StepTime, ...]:
    """Of each step the mean over the conversations that came to it."""
    turns: dict[str, list[Turn]] = defaultdict(list)
    came: dict[str, set[int]] = defaultdict(set)
    for number, each in enumerate(conversations):
        for turn in each.turns:
            turns[turn.step].append(turn)
            came[turn.step].add(number)
    found = []
    for step, said in turns.items():
        times = len(came[step])
        found.append(
            StepTime(
                step=step,
                turns=round(len(said) / times, 2),
                tool_words=round(sum(_words(turn.said) for turn in said) / times, 1),
                people_words=round(sum(_words((turn.line.words,)) for turn in said) / times, 1),
                seconds=round(sum(_of_turn(turn, lasts) for turn in said) / times, 1),
            )
        )
    return tuple(found)


def ways_of(walks: Sequence[Conversation], lasts: Lasts) -> tuple[WayTime, ...]:
    """Every way that was walked, where all is heard surely."""
    return tuple(
        WayTime(
            way=_called(each),
            turns=len(each.turns),
            minutes=round(_seconds(each, lasts) / 60, 2),
        )
        for each in walks
    )


def _called(walk: Conversation) -> str:
    parts = [f"{name} {value}" for name, value in walk.variants]
    parts += [f"{step} {outcome}" for step, outcome in walk.script]
    return ", ".join(parts) or "as usual"


def _seconds(each: Conversation, lasts: Lasts) -> float:
    return _tool(each.opening, lasts) + sum(_of_turn(turn, lasts) for turn in each.turns)


def _of_turn(turn: Turn, lasts: Lasts) -> float:
    """The answer, and what the tool says after it."""
    person = (turn.heard.ended - turn.heard.started).total_seconds()
    person = person or _A_WORD_S * len(turn.line.words.split())
    return BEFORE_ANSWER_S + person + _tool(turn.said, lasts)


def _tool(said: Sequence[str], lasts: Lasts) -> float:
    return sum(
        PAUSE_S + sum(lasts.get(sentence, 0.0) for sentence in sentences(text)) for text in said
    )


def _words(said: Iterable[str]) -> int:
    return sum(len(each.split()) for each in said)

"""The trials and the conversations of a rehearsal, heard and judged."""

from collections import Counter
from collections.abc import Generator, Sequence
from dataclasses import dataclass

from handsfree.engine.phase import Phase
from handsfree.engine.phrases_now import phrases_now
from handsfree.rehearse.alike import confusable_phrases
from handsfree.rehearse.conversation import Conversation, Said, Turn, conversing
from handsfree.rehearse.hearings import Hearings
from handsfree.rehearse.judging import Judged, Result, judge
from handsfree.rehearse.listening import at_time
from handsfree.rehearse.moments import Moment, moment_name, moments_of
from handsfree.rehearse.plan import Scene, Settings, Trial, scene_of, trials_of
from handsfree.rehearse.walks import walks_of
from handsfree.task.model import Task
from handsfree.words.heard import Heard
from handsfree.words.phrases import PhraseSet


@dataclass(frozen=True, slots=True)
class Tried:
    """A trial and what came of it."""

    trial: Trial
    moment: Moment
    judged: Judged
    carried: bool  # it was heard before a phrase changed that had no part in it


@dataclass(frozen=True, slots=True)
class Stage:
    """A task as the crew goes through it."""

    task: Task
    walks: tuple[Conversation, ...]  # with an ear that is never wrong, the usual one first
    moments: tuple[Moment, ...]
    confusable: tuple[str, ...]

    @property
    def unreached(self) -> tuple[str, ...]:
        """Steps that the crew did not come to, so that they are not rehearsed."""
        reached = {each.step for each in self.moments}
        return tuple(
            each.id
            for each in self.task.steps
            if each.expect is not None and each.id not in reached
        )


def stage_of(task: Task) -> Stage:
    """`task` with every moment of it."""
    confusable = confusable_phrases(task)
    walks = tuple(walks_of(task, confusable=confusable))
    return Stage(task, walks, moments_of(walks), confusable)


def tried(stage: Stage, trials: Sequence[Trial], hearings: Hearings) -> list[Tried]:
    """Each trial, heard and judged."""
    moments = stage.moments
    phrases = [phrases_now(stage.task, each.state) for each in moments]
    kept = hearings.of([(each.scene, phrases[each.moment]) for each in trials])
    found = []
    for trial, hearing in zip(trials, kept, strict=True):
        moment = moments[trial.moment]
        now = moment.state.now if moment.line.after < moment.state.now else moment.line.after
        heard = at_time(hearing.heard, now, moment.line.channel)
        judged = judge(stage.task, moment.state, trial.scene.words, heard)
        found.append(Tried(trial, moment, judged, hearing.carried))
    return found


def planned(stage: Stage, settings: Settings) -> tuple[Trial, ...]:
    """All trials of the task."""
    return trials_of(stage.task, stage.moments, settings)


@dataclass(frozen=True, slots=True)
class Held:
    """A conversation by one voice in noise."""

    voice: str
    snr_db: float
    conversation: Conversation

    def wrong(self, task: Task) -> list[tuple[Turn, Judged]]:
        """Each turn of it in which something else was acted on, or read back, than was said."""
        found = (
            (each, judge(task, each.state, each.line.words, each.heard))
            for each in self.conversation.turns
            # A remark is said in any words, and its clip is what counts.
            if each.state.phase is not Phase.REMARKING
        )
        return [(turn, judged) for turn, judged in found if judged.result is Result.WRONG]


def conversations(
    stage: Stage, settings: Settings, snr_db: float, hearings: Hearings
) -> list[Held]:
    """The usual way through the task by each voice.

    They are held side by side, a turn of each at a time, so that several workers have work.
    """
    usual = stage.walks[0] if stage.walks else None
    if usual is None:
        return []
    Talk = Generator[Said, Heard, Conversation]
    talks: dict[str, Talk] = {
        voice: conversing(stage.task, usual.variants, {}, voice, stage.confusable)
        for voice in settings.voices
    }
    lines: dict[str, Said] = {voice: next(talk) for voice, talk in talks.items()}
    times: Counter[tuple[str, str, str]] = Counter()
    ended: dict[str, Conversation] = {}
    while lines:
        wanted: list[tuple[Scene, PhraseSet]] = []
        for voice, said in lines.items():
            words, at = said.line.words, _moment_of(stage.task, said)
            # The first time it sounds as in the trials, and each further time in other noise.
            scene = scene_of(words, voice, at, snr_db, times[voice, words, at], settings)
            times[voice, words, at] += 1
            wanted.append((scene, phrases_now(stage.task, said.state)))
        kept = hearings.of(wanted)
        following: dict[str, Said] = {}
        for (voice, said), hearing in zip(lines.items(), kept, strict=True):
            heard = at_time(hearing.heard, said.at, said.line.channel)
            try:
                following[voice] = talks[voice].send(heard)
            except StopIteration as stop:
                ended[voice] = stop.value
        lines = following
    return [Held(voice, snr_db, ended[voice]) for voice in settings.voices]


def _moment_of(task: Task, said: Said) -> str:
    """The name of the moment, as the trials have it where they have it."""
    state = said.state
    return moment_name(task.steps[min(state.step, len(task.steps) - 1)].id, state.phase)

"""A whole rehearsal: trials, conversations, and other wordings, put together as a report."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from handsfree import __version__
from handsfree.rehearse.cache import Cache
from handsfree.rehearse.durations import spoken_by_tool, talks_of, times_of, ways_of
from handsfree.rehearse.hearings import Hearings
from handsfree.rehearse.holds_for import sources_of
from handsfree.rehearse.plan import Settings
from handsfree.rehearse.recordings import Recordings, recorded_trials
from handsfree.rehearse.report import Rehearsal
from handsfree.rehearse.report import Settings as SettingsTold
from handsfree.rehearse.rewording import Wordings, other_wording
from handsfree.rehearse.tallies import by_step, of_answers, taken
from handsfree.rehearse.trials import conversations, planned, stage_of, tried
from handsfree.task.model import Task


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a person wants to know besides how the task is heard."""

    at_snr_db: float  # the ratio of conversations, and of other wordings
    rewordings: int = 3  # of the changes that help most
    tries: tuple[tuple[str, str], ...] = ()  # step and other phrase
    talks: bool = True  # whether each voice goes through the whole task


def rehearse_task(
    task: Task,
    settings: Settings,
    recordings: Recordings,
    wanted: Wanted,
    hearings: Hearings,
    cache: Cache,
    today: date,
    plan_to_hear: Callable[[int], None] = lambda _number: None,
) -> Rehearsal:
    """Rehearse `task`. `plan_to_hear` is told how many hearings come, as far as is known."""
    stage = stage_of(task)
    for step, phrase in wanted.tries:
        other_wording(stage, step, phrase)  # what cannot stand there is told before any work
    trials = planned(stage, settings)
    of_people = recorded_trials(stage, recordings, settings)
    a_talk = len(stage.walks[0].turns) if stage.walks and wanted.talks else 0
    plan_to_hear(len(trials) + len(of_people) + a_talk * len(settings.voices))
    found = tried(stage, trials, hearings)
    found_of_people = tried(stage, of_people, hearings)
    held = conversations(stage, settings, wanted.at_snr_db, hearings) if wanted.talks else []
    talks = [each.conversation for each in held]
    lasts = spoken_by_tool((*stage.walks, *talks), cache)
    wordings = Wordings(stage, found, settings, wanted.at_snr_db, hearings, plan_to_hear)
    rewordings = [wordings.tried(step, phrase) for step, phrase in wanted.tries]
    rewordings += wordings.best(wanted.rewordings)
    return Rehearsal(
        task=task.task,
        title=task.title,
        revision=task.revision,
        made_on=today,
        made_with=f"handsfree {__version__}",
        of=sources_of(task),
        settings=_told(settings, recordings),
        steps=by_step(found),
        by_noise=of_answers(found, lambda each: each.trial.scene.noise),
        by_voice=of_answers(found, lambda each: each.trial.scene.voice),
        recorded=by_step(found_of_people),
        left_out=recordings.left_out,
        taken=taken((*found_of_people, *found)),
        unreached=stage.unreached,
        carried_over=sum(each.carried for each in (*found, *found_of_people)),
        times=times_of(talks or stage.walks[:1], lasts),
        talks=talks_of(task, held, lasts),
        ways=ways_of(stage.walks, lasts),
        rewordings=tuple(rewordings),
    )


def _told(settings: Settings, recordings: Recordings) -> SettingsTold:
    return SettingsTold(
        voices=settings.voices,
        recordings=len(recordings.kept),
        people=tuple(sorted({each.speaker for each in recordings.kept})),
        noises=settings.noises,
        snrs_db=settings.snrs_db,
        runs=settings.runs,
        seed=settings.seed,
    )

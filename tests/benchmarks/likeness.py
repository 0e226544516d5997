"""How surely two voices are told to be one: `python -m tests.benchmarks.likeness`.

People of AN4, so many clips of one role against as many of another, clean and with pink noise; half
a minute of one core a level. Without `--fit` the reporting half is measured with the ratio that is
shipped; with it, the ratio is fitted on the tuning half and printed as `ratio.toml` has it.
"""

import argparse
import random
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

import numpy as np
import numpy.typing as npt
from rich.console import Console
from rich.progress import track

from handsfree.hearing.likeness.embedding import LEAST_SAMPLES, Voice, VoiceNetwork, mean_of
from handsfree.hearing.likeness.ratio import ratio
from tests.benchmarks.logistic import fit_logistic
from tests.benchmarks.speech import REPORTING, TUNING, an4_clips, audio_of

LEVELS: dict[str, int | None] = {"clean": None, "15 dB": 15, "10 dB": 10}
COUNTS = (1, 2, 3, 5)
SEED = 20261129
_DRAWS = 8  # of two roles out of each person's clips
_RIDGE = 1.0
_SAYS_ONE = 10.0  # the ratio from which the page says that two voices sound like one

Floats = npt.NDArray[np.float64]
People = Mapping[str, Sequence[Voice]]


@dataclass(frozen=True, slots=True)
class Trials:
    """Pairs of roles: how near their voices are, and what they were."""

    cosines: Floats
    one: Floats  # 1: one person in both roles, 0: two
    same_sex: Floats  # 1: both are men or both women, as AN4 names its people


def voices(half: str, level_db: int | None) -> People:
    """The voice of every clip that is long enough, by speaker."""
    network = VoiceNetwork()
    found = defaultdict(list)
    clips = [each for each in an4_clips("reading", "command", "spelled", "other")]
    own = [each for each in clips if each.half == half]
    for clip in track(own, f"{half}, {level_db}", console=Console(stderr=True)):
        samples = audio_of(clip, level_db).samples
        if len(samples) >= LEAST_SAMPLES:
            found[clip.speaker].append(network.voice_in(samples))
    return found


def trials(people: People, count: int) -> Trials:
    """Each person against themselves and against everybody else, `count` clips a role."""
    draw = random.Random(f"{SEED}:{count}")
    rows = []
    able = sorted(name for name, own in people.items() if len(own) >= 2 * count)
    for _ in range(_DRAWS):
        roles = {}
        for name in able:
            chosen = draw.sample(list(people[name]), 2 * count)
            roles[name] = mean_of(chosen[:count]), mean_of(chosen[count:])
        rows += [
            (float(roles[one][0] @ roles[other][1]), one == other, one[0] == other[0])
            for one in able
            for other in able
        ]
    return Trials(*(np.array(each, dtype=np.float64) for each in zip(*rows, strict=True)))


def equal_error_rate(found: Trials) -> float:
    """Where as large a share of one person is taken for two as of two for one."""
    own, other = found.cosines[found.one == 1], found.cosines[found.one == 0]
    edges = np.unique(found.cosines)
    missed = np.searchsorted(np.sort(own), edges, "left") / len(own)
    taken = 1 - np.searchsorted(np.sort(other), edges, "left") / len(other)
    at = int(np.argmin(np.abs(missed - taken)))
    return float((missed[at] + taken[at]) / 2)


def cost(found: Trials, count: int) -> float:
    """Cllr in bits: 0 for a ratio that is always right, 1 for one that says nothing.

    Brümmer and du Preez, 2006, equation 20.
    """
    ratios = np.array([ratio(each, count) for each in found.cosines])
    own, other = ratios[found.one == 1], ratios[found.one == 0]
    return float((np.log2(1 + 1 / own).mean() + np.log2(1 + other).mean()) / 2)


def lines(by_level: Mapping[str, People]) -> Iterator[tuple[int, float, float]]:
    """For each count the intercept and slope of the logarithm of the ratio, over all levels."""
    for count in COUNTS:
        found = [trials(people, count) for people in by_level.values()]
        cosines = np.concatenate([each.cosines for each in found])[:, None]
        one = np.concatenate([each.one for each in found])
        intercept, slope = fit_logistic(cosines, one, _RIDGE)
        # What is fitted holds for as many pairs of one person as were drawn; the ratio for none.
        yield count, intercept - float(np.log(one.mean() / (1 - one.mean()))), float(slope[0])


def report(by_level: Mapping[str, People]) -> None:
    """The rates of the shipped ratio, a line for each level and count."""
    columns = ("equal error rate", "same sex only", "Cllr", "one for two", "two for one")
    print(f"| noise | clips | people | {' | '.join(columns)} |")
    print("| --- | --- | --- | --- | --- | --- | --- | --- |")
    for level, people in by_level.items():
        for count in COUNTS:
            found = trials(people, count)
            alike = found.same_sex == 1
            same = Trials(found.cosines[alike], found.one[alike], found.same_sex[alike])
            said = np.array([ratio(each, count) for each in found.cosines])
            missed = float(np.mean(said[found.one == 1] <= 1 / _SAYS_ONE))
            taken = float(np.mean(said[found.one == 0] >= _SAYS_ONE))
            able = sum(len(own) >= 2 * count for own in people.values())
            print(
                f"| {level} | {count} | {able} | {equal_error_rate(found):.1%} "
                f"| {equal_error_rate(same):.1%} | {cost(found, count):.2f} "
                f"| {missed:.1%} | {taken:.1%} |"
            )


def main() -> None:
    """Fit or report."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--fit", action="store_true")
    half = TUNING if parser.parse_args().fit else REPORTING
    by_level = {name: voices(half, level) for name, level in LEVELS.items()}
    if half == REPORTING:
        report(by_level)
        return
    people = len(by_level["clean"])
    print('made_with = "python -m tests.benchmarks.likeness --fit"')
    print(f'made_on = "{datetime.now(UTC):%Y-%m-%d}"')
    print(f'speech = "AN4, tuning half of the speakers, {people} people, {", ".join(LEVELS)}"')
    for count, intercept, slope in lines(by_level):
        print(f"\n[[line]]\nclips = {count}\nintercept = {intercept:.3f}\nslope = {slope:.3f}")


if __name__ == "__main__":
    main()

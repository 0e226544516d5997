"""What is found in a stream of sound, against what was spoken in it."""

import sys
from collections.abc import Iterator, Sequence

import numpy as np
from rich.console import Console
from rich.progress import track

from demo.noise import hangar_noise
from handsfree.hearing.audio import SAMPLE_RATE, Samples
from handsfree.hearing.live.channel import Channel
from handsfree.hearing.live.endpoint import FRAME_SAMPLES, Ended, RanOn, Rules
from handsfree.hearing.live.voice_activity import SileroActivity
from tests.benchmarks.live.streams import SEED, Uttered, for_minutes, stream
from tests.benchmarks.speech import Clip


def syllables(clips: Sequence[Clip]) -> None:
    """First syllables lost, utterances missed and split."""
    print("| noise | utterances | first syllable lost | missed | in two pieces | least margin ms |")
    print("|" + " --- |" * 6)
    for snr_db in (None, 20.0, 10.0):
        rng = np.random.default_rng(SEED)
        spoken, found, _ = found_in(stream(clips, snr_db, rng), len(clips), f"{snr_db} dB")
        margins, missed, split = [], 0, 0
        late = []
        for each in spoken:
            inside = [one for one in found if one[0] < each.offset and one[1] > each.onset]
            if not inside:
                missed += 1
                continue
            split += len(inside) > 1
            margins.append((each.onset - inside[0][0]) * 1000 / SAMPLE_RATE)
            if margins[-1] < 0:
                late.append(f"{each.clip.path.name} {margins[-1]:.0f} ms")
        lost = sum(margin < 0 for margin in margins)
        print(
            f"| {'none' if snr_db is None else f'hangar, {snr_db:.0f} dB'} | {len(spoken)} "
            f"| {lost} | {missed} | {split} | {min(margins):.0f} |",
            flush=True,
        )
        # To be listened to: the aligner errs too.
        print(*late, sep="\n", file=sys.stderr)


def noise(clips: Sequence[Clip]) -> None:
    """Utterances invented and missed in 30 min of hangar noise, without and with speech."""
    print("| 30 min of hangar noise | utterances | missed | invented |")
    print("|" + " --- |" * 4)
    minutes = 30
    rng = np.random.default_rng(SEED)

    def alone() -> Iterator[tuple[Samples, Uttered | None]]:
        for _ in range(minutes):
            yield hangar_noise(60, rng), None

    _, found, _ = found_in(alone(), minutes, "noise alone")
    print(f"| alone, {20 * np.log10(0.05 * np.sqrt(2)):.0f} dB FS | 0 | 0 | {len(found)} |")
    for snr_db in (20.0, 10.0):
        few = [clips[at] for at in np.random.default_rng(SEED).permutation(len(clips))]
        pieces = for_minutes(stream(few * 3, snr_db, rng), minutes)
        spoken, found, _ = found_in(pieces, len(few), f"{snr_db} dB")
        missed = sum(
            not any(one[0] < each.offset and one[1] > each.onset for one in found)
            for each in spoken
        )
        invented = sum(
            not any(one[0] < each.offset and one[1] > each.onset for each in spoken)
            for one in found
        )
        print(
            f"| with speech, {snr_db:.0f} dB | {len(spoken)} | {missed} | {invented} |", flush=True
        )


def found_in(
    pieces: Iterator[tuple[Samples, Uttered | None]], total: int, what: str
) -> tuple[list[Uttered], list[tuple[int, int]], float]:
    """The utterances that were spoken and those that were found, in samples, and the seconds."""
    channel = Channel("technician", SileroActivity(), Rules(), SAMPLE_RATE)
    spoken: list[Uttered] = []
    found: list[tuple[int, int]] = []
    at = 0
    for samples, inside in track(
        pieces, what, total=total, console=Console(stderr=True), transient=True
    ):
        if inside is not None:
            spoken.append(Uttered(inside.clip, at + inside.onset, at + inside.offset))
        at += len(samples)
        found += [
            (each.first * FRAME_SAMPLES, each.end * FRAME_SAMPLES)
            for frame in channel.take(samples)
            for each in frame
            if isinstance(each, Ended | RanOn)
        ]
    return spoken, found, at / SAMPLE_RATE

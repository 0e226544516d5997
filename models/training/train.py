"""Train the reader: an encoder distilled to a short window, and a CTC head on it.

    python3 models/training/train.py --out build/reader

One H200 does it in 8 minutes. Writes `encoder.npz` and `head.npz` (fp16 averages of the weights)
several times, so that a run that is cut off leaves something. The schedule follows the steps alone;
a run that reaches the time limit before its steps stops there, and says so.
"""

import argparse
import copy
import math
import sys
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import torch
from align import words_of
from augment import Draw, mask, spoil
from batches import Batch, Corpus, Mixer
from mel import LogMel, extend_with_silence
from network import CHARACTERS, TEACHER_FRAMES, CharacterHead, Encoder, greedy_text
from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn
from torch import Tensor, nn
from torch.nn import functional

_HERE = Path(__file__).resolve().parent
_CODES = {character: index for index, character in enumerate(CHARACTERS)}

# (window in seconds, rows): short windows too, so that a short clip may cost less when heard.
WINDOWS = ((10.0, 64), (5.0, 96), (10.0, 64), (3.0, 128))
ENCODER_RATE, HEAD_RATE = 2e-4, 1e-3
WARM_UP = 300  # steps
# CTC alone would bend the encoder to one corpus; most of its pull is withheld.
CTC_PULL_ON_ENCODER = 0.3
DISTILLATION = 4.0
AVERAGING = 0.999
CONTINUED = 0.5  # of these rates, when a run goes on from an earlier one
ALIGN_AT = (0.25, 0.5)  # of the run: cut words with the network so far
SAVE_AT = (0.3, 0.6, 0.8)


@dataclass(slots=True)
class Student:
    """What is trained, and the average of it that is kept."""

    encoder: Encoder
    head: CharacterHead

    def parts(self) -> tuple[nn.Module, nn.Module]:
        """Encoder and head."""
        return self.encoder, self.head

    def save(self, out: Path) -> None:
        """Write fp16 weights, each part under its name."""
        for name, part in zip(("encoder", "head"), self.parts(), strict=True):
            arrays = {key: value.half().cpu().numpy() for key, value in part.state_dict().items()}
            np.savez(out / f"{name}.npz", **arrays)

    def load(self, folder: Path) -> None:
        """Take the weights that `save` wrote."""
        for name, part in zip(("encoder", "head"), self.parts(), strict=True):
            with np.load(folder / f"{name}.npz") as arrays:
                state = {key: torch.from_numpy(arrays[key]).float() for key in arrays.files}
            part.load_state_dict(state)

    @torch.no_grad()
    def follow(self, other: "Student", step: int) -> None:
        """Move a little towards `other`; early in training by more."""
        keep = min(AVERAGING, (1 + step) / (10 + step))
        for mine, theirs in zip(self.parts(), other.parts(), strict=True):
            torch._foreach_lerp_(list(mine.parameters()), list(theirs.parameters()), 1 - keep)


class Trainer:
    """One run."""

    def __init__(self, arguments: argparse.Namespace) -> None:
        self.arguments = arguments
        self.device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
        torch.manual_seed(arguments.seed)
        torch.set_float32_matmul_precision("high")
        self.corpus = Corpus(arguments.corpus, self.device)
        held_out = set(arguments.without) or _held_out(self.corpus, arguments.held_out)
        self.training = self.corpus.without(held_out)
        self.checking = [each for each in self.corpus.clips if each[0].speaker in held_out]
        self.mixer = Mixer(self.corpus, self.training, arguments.seed)
        generator = torch.Generator(self.device).manual_seed(arguments.seed)
        self.draw = Draw(generator, self.device)
        self.mel = LogMel().to(self.device)
        with np.load(arguments.encoder) as weights:
            base = {name: weights[name] for name in weights.files}
        self.teacher = Encoder().to(self.device).eval()
        self.teacher.load_base(base)
        self.student = Student(Encoder().to(self.device), CharacterHead().to(self.device))
        self.student.encoder.load_base(base)
        self.continued: bool = arguments.start is not None
        if self.continued:
            self.student.load(arguments.start)
        self.average = copy.deepcopy(self.student)
        self.optimizer = torch.optim.AdamW(
            [
                {"params": list(self.student.encoder.parameters()), "rate": ENCODER_RATE},
                {"params": list(self.student.head.parameters()), "rate": HEAD_RATE},
            ],
            betas=(0.9, 0.98),
            weight_decay=0.01,
            fused=self.device.type == "cuda",
        )

    def run(self) -> None:
        """Train until the steps are done, or the time is used up."""
        steps, limit_s = self.arguments.steps, self.arguments.limit_s
        started = time.monotonic()
        saves = list(SAVE_AT)
        alignments = [0.0, 0.5] if self.continued else list(ALIGN_AT)
        losses = torch.zeros(2, device=self.device)
        columns = (TextColumn("{task.description}"), BarColumn(), TimeElapsedColumn())
        with Progress(*columns, disable=not sys.stderr.isatty()) as progress:
            bar = progress.add_task("training", total=1.0)
            step, done = 0, 0.0
            while done < 1.0:
                window_s, rows = WINDOWS[step % len(WINDOWS)]
                rows = max(2, rows * self.arguments.batch // 64)
                losses = losses.lerp(self.step(self.mixer.batch(rows, window_s), step, done), 0.02)
                step += 1
                elapsed = time.monotonic() - started
                done = step / steps
                if elapsed > limit_s and done < 1.0:
                    print(f"stopped by the clock after {step} of {steps} steps", flush=True)
                    break
                progress.update(bar, completed=done)
                if alignments and done >= alignments[0]:
                    alignments.pop(0)
                    self.splice_words()
                if saves and done >= saves[0]:
                    saves.pop(0)
                    self.average.save(self.arguments.out)
                if step % 250 == 0 or done >= 1.0:
                    ctc, distance = losses.tolist()
                    progress.console.print(
                        f"step {step} {elapsed:.0f} s: ctc {ctc:.3f}, distance {distance:.3f}"
                    )
                if step % 1000 == 0 or done >= 1.0:
                    progress.console.print(f"held-out speakers exact: {self.check()}")
        self.average.save(self.arguments.out)

    def step(self, batch: Batch, step: int, done: float) -> Tensor:
        """Learn from one batch; returns (CTC loss, relative distance to the teacher)."""
        for group in self.optimizer.param_groups:
            warm = min(1.0, (step + 1) / WARM_UP)
            peak = group["rate"] * (CONTINUED if self.continued else 1.0)
            group["lr"] = peak * warm * (0.5 + 0.5 * math.cos(math.pi * min(1.0, done)))
        with torch.no_grad():
            clean_mel = self.mel(batch.clean)
            heard = spoil(batch.clean, batch.content, self.draw)
            mel = mask(self.mel(heard), self.draw)
            with torch.autocast(self.device.type, torch.bfloat16):
                wanted = self.teacher(extend_with_silence(clean_mel, 2 * TEACHER_FRAMES))
            wanted = wanted[:, : clean_mel.shape[2] // 2].float()
        with torch.autocast(self.device.type, torch.bfloat16):
            features = self.student.encoder(mel)
            pulled = CTC_PULL_ON_ENCODER * features + (1 - CTC_PULL_ON_ENCODER) * features.detach()
            log_probs = self.student.head(pulled)
        distance = (features.float() - wanted).square().mean() / wanted.var()
        ctc = self.ctc_loss(log_probs, batch.texts)
        self.optimizer.zero_grad(set_to_none=True)
        (ctc + DISTILLATION * distance).backward()
        for part in self.student.parts():
            nn.utils.clip_grad_norm_(part.parameters(), 1.0)
        self.optimizer.step()
        self.average.follow(self.student, step)
        return torch.stack([ctc.detach(), distance.detach()])

    def ctc_loss(self, log_probs: Tensor, texts: tuple[str, ...]) -> Tensor:
        """Mean over clips of the loss a character."""
        frames = torch.full((len(texts),), log_probs.shape[1])
        codes = torch.tensor([_CODES[character] for text in texts for character in text])
        lengths = torch.tensor([len(text) for text in texts])
        return functional.ctc_loss(
            log_probs.transpose(0, 1), codes.to(self.device), frames.to(self.device),
            lengths.to(self.device), zero_infinity=True,
        )  # fmt: skip

    def splice_words(self) -> None:
        """Cut the training clips into words with the average so far, and splice them from now."""
        words = words_of(self.corpus, self.training, self.average.encoder, self.average.head)
        self.mixer.use_words(words)
        print(f"{sum(map(len, words.values()))} words of {len(words)} speakers cut")

    @torch.no_grad()
    def check(self) -> str:
        """Share of held-out clips read without a mistake, clean and spoiled, by greedy decoding."""
        if not self.checking:
            return "none held out"
        right = [0, 0]
        draw = Draw(torch.Generator(self.device).manual_seed(0), self.device)
        for _, piece in self.checking:
            samples = min(160_000, -(-(piece.samples + 4800) // 320) * 320)
            audio = torch.zeros(1, samples, device=self.device)
            kept = min(samples, piece.samples)
            heard = self.corpus.samples[piece.start : piece.start + kept].float() / 32768
            audio[0, :kept] = heard * 0.1 / heard.square().mean().sqrt()
            content = torch.tensor([float(kept)], device=self.device)
            for number, sound in enumerate((audio, spoil(audio, content, draw))):
                log_probs = self.average.head(self.average.encoder(self.mel(sound)))
                best = log_probs[0].argmax(dim=-1).cpu().numpy()
                right[number] += greedy_text(best) == piece.text
        total = len(self.checking)
        return f"clean {right[0]} of {total}, spoiled {right[1]} of {total}"


def _held_out(corpus: Corpus, count: int) -> set[str]:
    """Some of the real speakers, to watch a run by; 0 when the recipe is settled."""
    real = sorted({clip.speaker for clip, _ in corpus.clips if clip.speaker.startswith("an4-")})
    return set(real[:: max(1, len(real) // count)][:count]) if count else set()


def main() -> None:
    """Parse and run."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--corpus", type=Path, default=_HERE / ".cache/corpus")
    parser.add_argument("--encoder", type=Path, default=_HERE / ".cache/encoder.npz")
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--start", type=Path, help="folder of an earlier run, to go on from it")
    parser.add_argument("--steps", type=int, default=6000)
    parser.add_argument("--limit-s", type=float, default=470.0)
    parser.add_argument("--batch", type=int, default=64, help="rows of a 10 s window")
    parser.add_argument(
        "--held-out", type=int, default=0, help="AN4 tuning speakers not trained on"
    )
    parser.add_argument(
        "--without", nargs="*", default=[], help="speakers not trained on, such as digits-s1"
    )
    parser.add_argument("--seed", type=int, default=4)
    arguments = parser.parse_args()
    arguments.out.mkdir(parents=True, exist_ok=True)
    Trainer(arguments).run()


if __name__ == "__main__":
    main()

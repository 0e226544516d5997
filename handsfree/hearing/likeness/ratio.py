"""From how near two voices are to how much that speaks for one person: a calibrated ratio.

The ratio is P(so near | one person) / P(so near | two people), for as many clips of each as there
are. Its logarithm is a line through the cosine of the two voices, fitted as logistic regression
(N. Brümmer, J. du Preez, "Application-independent evaluation of speaker detection", Computer Speech
and Language 20, 2006) by `python -m tests.benchmarks.likeness --fit`. The numbers lie in
`ratio.toml`.
"""

import tomllib
from functools import cache
from math import exp
from pathlib import Path

from pydantic import BaseModel, ConfigDict

_FITTED = Path(__file__).with_name("ratio.toml")

LARGEST = 100.0
"""So many people as it was fitted on cannot show that anything is rarer than this."""


class _Line(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")

    clips: int  # of each of the two, at least
    intercept: float
    slope: float


class _Fitted(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")

    made_with: str
    made_on: str
    speech: str
    line: tuple[_Line, ...]


def ratio(cosine: float, clips: int) -> float:
    """How many times as likely it is with one person than with two, from 1/100 to 100.

    `cosine` is that of the two voices, each the mean of at least `clips` clips, at least 1.
    """
    line = [each for each in _fitted().line if each.clips <= clips][-1]
    found = exp(line.intercept + line.slope * cosine)
    return min(LARGEST, max(1 / LARGEST, found))


@cache
def _fitted() -> _Fitted:
    return _Fitted.model_validate(tomllib.loads(_FITTED.read_text(encoding="utf-8")))

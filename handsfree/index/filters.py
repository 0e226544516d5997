"""What a person asks for by the address of a page, and the condition in SQL that it is."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, fields
from datetime import date
from typing import Self
from urllib.parse import urlencode

from handsfree.errors import HandsfreeError
from handsfree.index.tables import Stands, Word, tool_key
from handsfree.visible import visible

LONGEST = 200  # characters of one field
_MOST_WORDS = 10
_NAMED = re.compile(r"\$(\w+)")


class NotAsked(HandsfreeError):
    """What was asked for means nothing."""

    exit_code = 2

    def __init__(self, field: str, text: str, instead: str) -> None:
        super().__init__(f"{field}: '{visible(text[:LONGEST])}' {instead}")


@dataclass(frozen=True, slots=True)
class Filters:
    """What every record that is shown must have. "" asks for nothing."""

    aircraft: str = ""  # as the task has it
    task: str = ""
    revision: str = ""
    stands: str = ""
    review: str = ""  # what a supervisor said, and whether that counts
    person: str = ""  # a part of a name or a staff number
    tool: str = ""  # a serial, with or without hyphens
    finding: str = ""  # a part of a remark, a category, a step or an action
    open: str = ""  # "yes": it has an open finding
    said: str = ""  # words that were all said, or written down, in one utterance
    since: str = ""  # the first day, YYYY-MM-DD
    until: str = ""  # the last one

    @classmethod
    def asked(cls, query: Mapping[str, str]) -> Self:
        """The filters of an address; what else it has is not theirs. Raises NotAsked."""
        given = {each.name: query.get(each.name, "").strip() for each in fields(cls)}
        for name, text in given.items():
            if len(text) > LONGEST:
                raise NotAsked(name, text, f"is longer than {LONGEST} characters. Ask for less.")
        for name in ("since", "until"):
            if given[name]:
                given[name] = _day(name, given[name])
        for name, of in (("stands", Stands), ("review", Word)):
            known = [each.value for each in of]
            if given[name] and given[name] not in known:
                raise NotAsked(name, given[name], f"is none of: {', '.join(known)}.")
        if given["open"] not in ("", "yes"):
            raise NotAsked("open", given["open"], "is not 'yes'.")
        if given["tool"] and not tool_key(given["tool"]):
            raise NotAsked("tool", given["tool"], "has no letter and no figure.")
        if len(given["said"].split()) > _MOST_WORDS:
            raise NotAsked("said", given["said"], f"has more than {_MOST_WORDS} words.")
        return cls(**given)

    @property
    def query(self) -> str:
        """The same as a part of an address."""
        return urlencode({name: text for name, text in self._given() if text})

    @property
    def is_any(self) -> bool:
        """Whether anything is asked for."""
        return any(text for _, text in self._given())

    def _given(self) -> list[tuple[str, str]]:
        return [(each.name, getattr(self, each.name)) for each in fields(self)]

    @property
    def of_record(self) -> str:
        """The condition on a row of `records` called `r`, its days left out."""
        return _joined(
            ("r.aircraft = $aircraft", self.aircraft),
            ("r.task = $task", self.task),
            ("r.revision = $revision", self.revision),
            ("r.stands = $stands", self.stands),
            ("r.review = $review", self.review),
            (f"EXISTS (FROM people p WHERE p.record = r.id AND {self._of_person})", self.person),
            ("EXISTS (FROM tools t WHERE t.record = r.id AND t.key = $tool)", self.tool),
            (
                f"EXISTS (FROM findings f WHERE f.record = r.id AND {self.of_finding})",
                self.finding or self.open,
            ),
            (f"EXISTS (FROM said s WHERE s.record = r.id AND {self.of_said})", self.said),
        )

    _of_person = "contains(lower(p.person), $person)"

    @property
    def of_finding(self) -> str:
        """The condition on a row of `findings` called `f`."""
        text = "lower(concat_ws(' ', f.remark, f.category, f.step, f.action))"
        return _joined((f"contains({text}, $finding)", self.finding), ("f.is_open", self.open))

    @property
    def of_said(self) -> str:
        """The condition on a row of `said` called `s`."""
        text = "lower(concat_ws(' ', s.words, s.wrote))"
        return _joined(
            *((f"contains({text}, $said{n})", each) for n, each in enumerate(self.said.split()))
        )

    def of_day(self, row: str) -> str:
        """The condition on the day of a row that is called so."""
        return _joined((f"{row}.day >= $since", self.since), (f"{row}.day <= $until", self.until))

    @property
    def of_person_at_step(self) -> str:
        """The condition on a row of `steps` called `s`: somebody did something at it."""
        who = "lower(concat_ws(' ', s.person, s.affirmed_by, s.second_person, s.inspector))"
        return _joined((f"contains({who}, $person)", self.person))

    def bound(self, *conditions: str) -> dict[str, str]:
        """What is bound in these conditions."""
        values = {
            "aircraft": self.aircraft,
            "task": self.task,
            "revision": self.revision,
            "stands": self.stands,
            "review": self.review,
            "person": self.person.lower(),
            "tool": tool_key(self.tool),
            "finding": self.finding.lower(),
            "since": self.since,
            "until": self.until,
            **{f"said{n}": each.lower() for n, each in enumerate(self.said.split())},
        }
        # DuckDB takes no more than a statement names.
        named = set(_NAMED.findall(" ".join(conditions)))
        return {name: each for name, each in values.items() if name in named}


def _joined(*conditions: tuple[str, str]) -> str:
    """Those conditions that are asked for, all of them."""
    return " AND ".join(sql for sql, wanted in conditions if wanted) or "true"


def _day(name: str, text: str) -> str:
    try:
        return date.fromisoformat(text).isoformat()
    except ValueError as error:
        raise NotAsked(name, text, "is no day. Write it as 2031-03-01.") from error

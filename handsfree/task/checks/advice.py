"""What a task file should say otherwise, though it could be carried out as it is.

It warns, and stops nothing. The author may answer in place, with `because` at the step or the state
that is warned of; the answer then stands beside the warning wherever the task is reviewed.

The rules of language are those of ASD-STE100 Simplified Technical English, issue 8; numbers and
contents are from memory. Only what can be seen from words alone is looked for.
"""

import re
from collections.abc import Iterator

from handsfree.task.checks.practice import practice
from handsfree.task.checks.scales import scale_advice
from handsfree.task.model import Task
from handsfree.task.problems import Problem, once
from handsfree.task.source import Path, Source
from handsfree.task.step import Step

LONGEST_PROCEDURE_SENTENCE_WORDS = 20  # rule 5.1; warnings and cautions are procedure too (7.2)
LONGEST_DESCRIPTION_SENTENCE_WORDS = 25  # rule 6.2; a note describes (5.5)

# Orders that this trade gives in the imperative. Nouns that are spelled the same ("check", "count",
# "test") are taken for orders only after "and", "then" or a comma.
_ORDERS = frozenset(
    """adjust align apply attach check clean close compare connect count cut disconnect drain engage
    examine fill fit give hold inspect install keep lift lock loosen look lower make measure move
    open operate pull push put read record release remove replace seal set start stop tell test tie
    tighten torque turn unlock""".split()  # noqa: SIM905 a list of words is read more easily as words
)
_SECOND_ORDER = re.compile(r"(?:,? and then|,? and|,? then|;|\.) (\w+) (?!(?:is|are|shows?)\b)")
# Words that tell of harm belong in a warning or caution, which is said first (rules 7.1 and 7.3).
_HARM = re.compile(
    r"\b(?:kill|injur\w+|crush\w*|burn you|explode\w*|danger\w*|hazard\w*|death|warning|caution)\b",
    re.IGNORECASE,
)


def advise(task: Task, source: Source) -> tuple[Problem, ...]:
    """Everything to mend in how the task is written, in the order of the file."""
    found = [*scale_advice(task, source), *practice(task, source)]
    for at, text in enumerate(task.warning):
        found += _long_sentences(source, ("warning", at), text, LONGEST_PROCEDURE_SENTENCE_WORDS)
    for at, step in enumerate(task.steps):
        found += _step(source, ("steps", at), step)
    found = once(found, [step.id for step in task.steps])
    return tuple(sorted(found, key=lambda each: (each.line, each.column)))


def _step(source: Source, path: Path, step: Step) -> Iterator[Problem]:
    for key, texts in (("warning", step.warning), ("caution", step.caution)):
        for text in texts:
            yield from _long_sentences(source, (*path, key), text, LONGEST_PROCEDURE_SENTENCE_WORDS)
    for text in step.note:
        yield from _long_sentences(
            source, (*path, "note"), text, LONGEST_DESCRIPTION_SENTENCE_WORDS
        )
        if _HARM.search(text):
            yield source.problem(
                (*path, "note"),
                f"the note of step '{step.id}' tells of harm (ASD-STE100 7.1)",
                "Write it as a warning or a caution",
            )
    if harm := _HARM.search(step.instruction):
        yield source.problem(
            (*path, "instruction"),
            f"the instruction of step '{step.id}' holds a warning, '{harm.group(0)}' "
            "(ASD-STE100 7.1)",
            "Write it as a warning or a caution, which is said before the instruction",
        )
    orders = [
        each.group(1)
        for each in _SECOND_ORDER.finditer(step.instruction)
        if each.group(1).lower() in _ORDERS
    ]
    if orders:
        yield source.problem(
            (*path, "instruction"),
            f"the instruction of step '{step.id}' gives a second order, '{orders[0]}' "
            "(ASD-STE100 5.2)",
            "Split the step",
        )


def _long_sentences(source: Source, path: Path, text: str, most: int) -> Iterator[Problem]:
    for sentence in re.split(r"(?<=[.!?]) ", text):
        words = len(sentence.split())
        if words > most:
            yield source.problem(
                path,
                f"a sentence has {words} words (ASD-STE100 {'5.1' if most == 20 else '6.2'})",
                f"Use at most {most}: split it",
            )

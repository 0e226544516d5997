"""The README tells each bound on what comes from outside as the code has it."""

from pathlib import Path

from handsfree.authoring import xml_tree
from handsfree.board.site import MOST_STREAMS
from handsfree.files.plain import LARGEST_BYTES, LARGEST_STREAM_BYTES
from handsfree.hearing.clips import LONGEST
from handsfree.hearing.models import unpacking
from handsfree.index.noting import LARGEST_LOG
from handsfree.record.entries import MOST_ENTRY_BYTES
from handsfree.running.ears import LONGEST_LINE
from handsfree.serving.access import MOST_HEADER_BYTES
from handsfree.serving.server import MOST_CONNECTIONS, REQUEST_WITHIN_S
from handsfree.task.proof.explore import MOST_POSITIONS
from handsfree.task.repeat import MOST_STEPS
from handsfree.task.source import LARGEST_CHARACTERS

README = Path(__file__).parents[1] / "README.md"


def test_the_table_of_the_readme_is_that_of_the_code() -> None:
    text = README.read_text(encoding="utf-8").partition("## What is too large")[2]
    told = text.partition("\n## ")[0]
    for bound in (
        f"{LARGEST_BYTES // 10**6} MB; read whole",
        f"{LARGEST_CHARACTERS:,} characters",
        f"{MOST_STEPS:,} steps",
        f"{MOST_POSITIONS:,} situations",
        f"{xml_tree.LARGEST_BYTES // 10**6} MB, {xml_tree.MOST_PARTS:,} elements and attributes",
        f"{xml_tree.DEEPEST} deep",
        f"| a clip | {LONGEST.seconds} s |",
        f"| a typed line | {LONGEST_LINE} characters |",
        f"{LARGEST_STREAM_BYTES >> 30} GiB, {MOST_ENTRY_BYTES // 10**6} MB for one entry",
        f"| a log that `records` indexes | {LARGEST_LOG // 10**6} MB |",
        f"{unpacking.MOST_BYTES >> 30} GiB, {unpacking.MOST_FILES:,} files",
        f"{unpacking.MOST_LEVELS} folders in one another, {unpacking.MOST_NAME} bytes for a name",
        f"{MOST_STREAMS} pages, {MOST_CONNECTIONS} connections, {MOST_HEADER_BYTES >> 10} KiB",
        f"{REQUEST_WITHIN_S:.0f} s until a request",
    ):
        assert bound in told

"""What a command writes lies outside every record, which holds only what it was written with."""

from pathlib import Path

from handsfree.errors import Misuse


def outside_records(path: Path, option: str, what: str = "file") -> Path:
    """`path`, which is about to be written; raises Misuse where it is a record or lies in one.

    `option` names another one, and `what` is what it is.
    """
    from handsfree.record.entries import LOG

    place = path.resolve()
    for folder in (place, *place.parents):
        if (folder / LOG).exists():
            where = "is a record" if folder == place else f"lies in the record {folder}"
            raise Misuse(
                f"{path}: {where}, and nothing is put into a record. Name another {what} with "
                f"{option}."
            )
    return path

"""Which models listen: each of their files with its SHA-256, as they are told and recorded."""

from handsfree.errors import HandsfreeError
from handsfree.hearing.models.catalogue import read_catalogue
from handsfree.hearing.models.installed import chosen, installed


def models_that_listen() -> tuple[tuple[str, str], ...]:
    """Each file, as "model/file", with the SHA-256 that it is verified by when it is loaded.

    Raises the errors of `catalogue`. A model that was chosen and cannot be used does not listen.
    """
    found = [
        (f"{model.name}/{name}", sha256)
        for model in read_catalogue().model
        if model.listens
        for name, sha256 in model.sha256.items()
    ]
    try:
        one_more = chosen()
        if one_more is not None:
            found += [
                (f"{one_more}/{name}", sha256)
                for name, sha256 in installed(one_more).sha256.items()
            ]
    except HandsfreeError:
        pass  # it was told when the listeners were opened
    return tuple(found)

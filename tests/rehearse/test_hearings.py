"""How what is to be heard is handed out."""

from itertools import product

from handsfree.rehearse.hearings import together
from handsfree.rehearse.listening import Source, ToHear
from handsfree.rehearse.plan import Scene
from handsfree.words.phrases import PhraseSet
from tests.rehearse.stages import KINDS


def asked(voice: str, words: str, snr_db: float) -> ToHear:
    scene = Scene(voice, words, "drill", snr_db, 7)
    return ToHear(f"{scene}", scene, Source(KINDS[0]), "drill", PhraseSet(()))


def test_words_that_a_voice_says_more_than_once_are_rendered_by_one_worker() -> None:
    snrs_db = (20.0, 10.0, 5.0)
    wanted = [
        asked(voice, words, snr_db)
        for snr_db, words, voice in product(snrs_db, ("affirm", "say again"), ("anna", "ben"))
    ]
    handed_out = together(wanted)
    assert len(handed_out) == 4
    for jobs in handed_out:
        assert len({(each.scene.voice, each.scene.words) for each in jobs}) == 1
        assert [each.scene.snr_db for each in jobs] == list(snrs_db)
    assert sorted(each.key for jobs in handed_out for each in jobs) == sorted(
        each.key for each in wanted
    )


def test_no_worker_is_handed_so_many_that_the_others_wait_for_it() -> None:
    handed_out = together(asked("anna", "affirm", float(snr_db)) for snr_db in range(11))
    assert [len(jobs) for jobs in handed_out] == [4, 4, 3]

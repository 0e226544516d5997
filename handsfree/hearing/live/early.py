"""Recognition that starts before it is sure that the speaker has finished."""

import queue
import threading
from collections.abc import Callable
from concurrent.futures import Future
from typing import Any, TypeVar

from handsfree.errors import HandsfreeError
from handsfree.hearing.audio import Audio
from handsfree.hearing.recognizer import MadeReady, Recognizer
from handsfree.words.heard import Heard
from handsfree.words.phrases import PhraseSet

_T = TypeVar("_T")
PATIENCE_S = 20.0  # the slowest hearing takes a tenth of that; a recognizer this late hangs


class RecognizerFailed(HandsfreeError):
    """The recognizer raised an error or hangs; a new one was started, or could not be."""

    def __init__(self, why: str) -> None:
        super().__init__(f"The recognizer failed: {why.removesuffix('.')}.")


class EarlyRecognition:
    """Recognizes, in a thread of its own, what may turn out to be the whole utterance."""

    def __init__(
        self,
        recognizer: Recognizer,
        build_again: Callable[[], Recognizer],
        maybe: Callable[[Heard], None] = lambda _: None,
        patience_s: float = PATIENCE_S,
    ) -> None:
        """`build_again` is called after a crash. `maybe` is told each early result, in the
        worker's thread, so that the answer can be made ready."""
        self._build_again = build_again
        self._maybe = maybe
        self._patience_s = patience_s
        self._recognizer: Recognizer | None = recognizer
        self._worker = _Worker()
        self._begun: Future[Heard] | None = None
        self._ready_for: PhraseSet | None = None

    def begin(self, audio: Audio, phrases: PhraseSet) -> None:
        """Start to listen to `audio`, which may be the whole utterance."""
        self.drop()
        recognizer = self._recognizer
        if recognizer is None:
            return
        future: Future[Heard] = Future()
        self._begun = future

        def tell(done: "Future[Heard]") -> None:
            if self._begun is done and not done.cancelled() and done.exception() is None:
                self._maybe(done.result())

        future.add_done_callback(tell)
        self._worker.submit(future, lambda: recognizer.recognize(audio, phrases))

    def make_ready(self, phrases: PhraseSet) -> None:
        """Somebody may say one of `phrases` soon. It only saves time, so a failure is no matter."""
        recognizer = self._recognizer
        if phrases is self._ready_for or not isinstance(recognizer, MadeReady):
            return
        self._ready_for = phrases
        made: Future[None] = Future()
        self._worker.submit(made, lambda: recognizer.make_ready(phrases))

    def drop(self) -> None:
        """Forget the early result: speech went on."""
        if self._begun is not None:
            self._begun.cancel()
            self._begun = None

    def known(self) -> Heard | None:
        """What was heard in the audio begun last, where that is known by now.

        Not after a crash or a hang: `result` meets them.
        """
        begun = self._begun
        if begun is None or not begun.done() or begun.exception() is not None:
            return None
        return begun.result()

    @property
    def is_done(self) -> bool:
        """Whether `result` would have to wait for nothing."""
        return self._begun is not None and self._begun.done()

    def result(self) -> Heard:
        """What was heard in the audio begun last, once it is known.

        Raises RecognizerFailed after a crash or a hang; the recognizer has then been replaced, or
        will be tried again the next time.
        """
        begun, self._begun = self._begun, None
        if begun is None:
            raise self._renewed("it had not started")
        try:
            return begun.result(timeout=self._patience_s)
        except TimeoutError:
            # A thread cannot be ended from outside; it is left behind, and another one begins.
            self._worker.end(0.0)
            self._worker = _Worker()
            raise self._renewed(f"no result in {self._patience_s:g} s") from None
        except Exception as error:  # whatever an engine raises, the run goes on
            raise self._renewed(f"{type(error).__name__}: {error}") from error

    def close(self) -> None:
        """Stop listening; what was begun is forgotten, and waited for unless it hangs."""
        self.drop()
        self._worker.end(self._patience_s)

    def _renewed(self, why: str) -> RecognizerFailed:
        self._recognizer = None
        try:
            self._recognizer = self._build_again()
        except HandsfreeError as error:
            return RecognizerFailed(f"{why}. It cannot be started again: {error}")
        return RecognizerFailed(f"{why}. It was started again")


class _Worker:
    """Does one job after the other in a thread that does not outlive the program.

    A thread of an executor would: the end of the program waits for it, and a recognizer that hangs
    would keep a run that is over from its end.
    """

    def __init__(self) -> None:
        self._jobs: queue.SimpleQueue[tuple[Future[Any], Callable[[], Any]] | None]
        self._jobs = queue.SimpleQueue()
        self._thread = threading.Thread(target=self._work, name="recognition", daemon=True)
        self._thread.start()

    def submit(self, future: "Future[_T]", job: Callable[[], _T]) -> None:
        """Have `future` filled by `job`, unless it is cancelled before its turn."""
        self._jobs.put((future, job))

    def end(self, patience_s: float) -> None:
        """Do nothing more after what was submitted; wait so long for that."""
        self._jobs.put(None)
        self._thread.join(patience_s)

    def _work(self) -> None:
        while (submitted := self._jobs.get()) is not None:
            future, job = submitted
            if not future.set_running_or_notify_cancel():
                continue
            try:
                done = job()
            except BaseException as error:  # whoever asks for the result meets it
                future.set_exception(error)
            else:
                future.set_result(done)

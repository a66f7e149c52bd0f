"""Reading a photo or a PDF ends after a stated time, whatever the paper does to whoever reads it."""

from collections.abc import Callable
from threading import Thread
from time import monotonic
from typing import TypeVar

from fund.refusal import BadInput

T = TypeVar("T")
# Below the 30 seconds after which a web server ends a request itself, and with it what was typed.
SECONDS = 20


class TooLong(BadInput):
    """Says how long was waited and what to do. The file is kept and the form still holds what was typed."""

    def __init__(self, seconds: float) -> None:
        super().__init__(
            f"Reading took longer than {seconds:.0f} seconds and was ended. The file is kept and nothing typed is lost:"
            " type what it says, or try a photo of the paper alone."
        )


class Deadline:
    """So many seconds from now on, shared by all that one reading does."""

    def __init__(self, seconds: float) -> None:
        self.seconds = seconds
        self._at = monotonic() + seconds

    @property
    def left(self) -> float:
        """Seconds; never below zero."""
        return max(self._at - monotonic(), 0)

    def over(self) -> TooLong:
        return TooLong(self.seconds)

    def run(self, work: Callable[[], T]) -> T:
        """What ``work`` gives, or raises, if it does so in time. Refuses (:class:`TooLong`) when it does not.

        It goes on in a thread nobody waits for, so ``work`` must end by itself; what may never end belongs into a
        process that can be stopped.
        """
        given: list[T] = []
        raised: list[BaseException] = []

        def go() -> None:
            try:
                given.append(work())
            except BaseException as wrong:  # handed on to whoever waits
                raised.append(wrong)

        thread = Thread(target=go, name="reading", daemon=True)
        thread.start()
        thread.join(self.left)
        if raised:
            raise raised[0]
        if not given:
            raise self.over()
        return given[0]

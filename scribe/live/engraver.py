"""The engraver: a child process that draws one document after the other, and is replaced when it dies."""

from __future__ import annotations

import pickle
import subprocess
import sys
import threading
from collections import deque
from collections.abc import Iterable, Iterator
from contextlib import suppress
from pathlib import Path
from queue import Empty, SimpleQueue
from typing import NamedTuple

CHILD = Path(__file__).parent.parent / "engrave" / "process.py"
_AHEAD = 3  # documents sent before the first of them is answered
_PATIENCE = 20.0  # seconds for one document


class Job(NamedTuple):
    """A document and Verovio's options for it."""

    document: str
    options: dict[str, object]


class Failed(NamedTuple):
    """Why a document has no drawing, in the words of a user."""

    reason: str


class Engraver:
    """Draws documents in a process of its own. Not for several threads at once."""

    def __init__(self, patience: float = _PATIENCE) -> None:
        self._patience = patience
        self._child: subprocess.Popen[bytes] | None = None
        self._silent = False  # whether the last answer did not come although the child lives
        self._answers: SimpleQueue[list[str] | str | None] = SimpleQueue()

    @property
    def pid(self) -> int | None:
        """The process that draws, None while there is none."""
        return self._child.pid if self._child is not None else None

    def start(self) -> None:
        """Start the child early, so that it is ready when the first document comes."""
        if self._child is not None and self._child.poll() is None:
            return
        self.close()
        # By its path: a child that imported the package would start more slowly.
        self._child = subprocess.Popen(
            [sys.executable, "-P", str(CHILD)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
        )
        self._answers = SimpleQueue()
        # A reader of its own: the child can always get rid of an answer, so neither side ever waits for the other.
        threading.Thread(target=_read, args=(self._child, self._answers), daemon=True).start()

    def draw(self, jobs: Iterable[Job]) -> Iterator[list[str] | Failed]:
        """Yield the pages of each document in order, or why there are none.

        A document over which the child dies or falls silent fails, the others are drawn by a new one. Not all need
        be taken: a generator that is closed leaves the child ready for other work.
        """
        source = iter(jobs)
        waiting: deque[Job] = deque()  # sent, not answered
        again: deque[Job] = deque()  # sent to a child that died over another one
        tried = False  # whether a child died over the first of them before
        try:
            while True:
                while len(waiting) < (1 if tried else _AHEAD):
                    job = again.popleft() if again else next(source, None)
                    if job is None:
                        break
                    if not waiting:
                        self.start()
                    waiting.append(job)
                    self._send(job)
                if not waiting:
                    return
                answer = self._receive()
                if answer is None:
                    # Somebody else may have ended the child: a document is guilty only if the next one dies too.
                    silent = self._silent
                    self.close()
                    again.extendleft(reversed(waiting))
                    waiting.clear()
                    if not tried and not silent:
                        tried = True
                        continue
                    again.popleft()
                    answer = "the engraver cannot draw this system"
                else:
                    waiting.popleft()
                tried = False
                yield Failed(answer) if isinstance(answer, str) else answer
        finally:
            for _ in waiting:
                if self._receive() is None:
                    self.close()
                    break

    def close(self) -> None:
        """End the child; the next document starts another."""
        child, self._child = self._child, None
        if child is None:
            return
        child.kill()
        child.wait()
        if child.stdin is not None:
            with suppress(OSError):
                child.stdin.close()

    def _send(self, job: Job) -> None:
        assert self._child is not None
        assert self._child.stdin is not None
        with suppress(OSError):  # if it died, the answer that does not come will tell
            self._child.stdin.write(pickle.dumps(tuple(job), pickle.HIGHEST_PROTOCOL))
            self._child.stdin.flush()

    def _receive(self) -> list[str] | str | None:
        """The next answer; None if the child is dead, or as good as dead."""
        try:
            answer = self._answers.get(timeout=self._patience)
        except Empty:
            self._silent = True
            return None
        self._silent = False
        return answer


def _read(child: subprocess.Popen[bytes], answers: SimpleQueue[list[str] | str | None]) -> None:
    assert child.stdout is not None
    with child.stdout as out:
        while True:
            try:
                answers.put(pickle.load(out))
            except (EOFError, OSError, pickle.UnpicklingError):
                answers.put(None)
                return

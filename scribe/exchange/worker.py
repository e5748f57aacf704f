"""Taking files in, in a process of its own: no file can hold up the others, or take all the memory.

A file that takes too long ends its process, not ours; the next file gets a new one.
"""

from __future__ import annotations

import multiprocessing
import signal
from multiprocessing.connection import Connection
from multiprocessing.context import SpawnProcess
from typing import NamedTuple

from scribe.exchange.known import NOTHING, Known
from scribe.exchange.model import Cannot

SECONDS = 120.0  # for one file
MEMORY = 4 * 2**30  # bytes


class Draft(NamedTuple):
    """What was made of a file.

    `source`: which part and voice; `others`: how many more there were; `notes`, `wrong`: those that the draft should
    have, and those it does not have just so; `unsaid`: what stands in its comments; `remarks`: guesses that were made.
    """

    text: str
    kind: str
    source: str
    others: int
    bars: int
    notes: int
    wrong: int
    unsaid: int
    remarks: tuple[str, ...]
    confidence: float


def draft_of(data: bytes, part: str | None = None, voice: int | None = None, known: Known = NOTHING) -> Draft:
    """Return the draft of a file, here and now.

    Raises:
        Cannot: the file cannot be taken in.
    """
    from scribe.exchange.check import check
    from scribe.exchange.draft import Text, write_draft
    from scribe.exchange.reading import take
    from scribe.exchange.way import best_way

    taken = take(data, part, voice, known)
    made = Text(taken.draft, ()) if taken.draft else write_draft(taken.line, best_way(taken.line))
    checked = check(taken.line, made.text)
    return Draft(
        made.text,
        taken.kind,
        taken.source,
        taken.others,
        len(taken.line.bars),
        checked.notes,
        len(checked.wrong),
        len(made.unsaid),
        (_origin(taken.changed),) if taken.draft else taken.line.remarks,
        taken.confidence,
    )


def _origin(changed: int) -> str:
    bars = f", with {changed} bar{'s' if changed > 1 else ''} changed since" if changed else ""
    return f"the draft that it was made from{bars}"


class Worker:
    """A process that makes drafts, one file after the other."""

    def __init__(self, seconds: float = SECONDS) -> None:
        self.seconds = seconds
        self.process: SpawnProcess | None = None
        self.pipe: Connection | None = None

    def run(
        self, data: bytes, part: str | None = None, voice: int | None = None, known: Known = NOTHING
    ) -> Draft:
        """Do what `draft_of` does, within the limits of time and memory.

        Raises:
            Cannot: the file cannot be taken in, or not within the limits.
        """
        if self.process is None or not self.process.is_alive():
            self._start()
        assert self.pipe is not None
        try:
            self.pipe.send((data, part, voice, known))
            if not self.pipe.poll(self.seconds):
                self.stop()
                raise Cannot(f"it takes longer than {self.seconds:g} seconds")
            answer = self.pipe.recv()
        except (EOFError, BrokenPipeError, ConnectionResetError):
            self.stop()
            raise Cannot("the reader broke down over it") from None
        if isinstance(answer, str):
            raise Cannot(answer)
        assert isinstance(answer, Draft)
        return answer

    def _start(self) -> None:
        context = multiprocessing.get_context("spawn")
        self.pipe, theirs = context.Pipe()
        self.process = context.Process(target=_serve, args=(theirs,), daemon=True)
        self.process.start()
        theirs.close()

    def stop(self) -> None:
        """End the process."""
        if self.process is not None:
            self.process.kill()
            self.process.join()
        if self.pipe is not None:
            self.pipe.close()
        self.process = self.pipe = None

    def __enter__(self) -> Worker:
        return self

    def __exit__(self, *_: object) -> None:
        self.stop()


def _serve(pipe: Connection) -> None:
    """The process: files in, drafts or reasons out. The one who calls decides about an interrupt."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _limit_memory()
    while True:
        try:
            data, part, voice, known = pipe.recv()
        except EOFError:
            return
        answer: Draft | str
        try:
            answer = draft_of(data, part, voice, known)
        except Cannot as fault:
            answer = str(fault)
        except MemoryError:
            answer = f"it needs more than {MEMORY // 2**30} GB of memory"
        except RecursionError:
            answer = "nested too deep"
        except Exception as fault:  # a fault of ours must not end the run over a folder
            answer = f"scribe failed on it: {type(fault).__name__} {fault}"[:160]
        pipe.send(answer)


def _limit_memory() -> None:
    try:
        import resource
    except ImportError:  # not on Windows
        return
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, resource.getrlimit(resource.RLIMIT_AS)[1]))

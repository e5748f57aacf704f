"""Pages written on each save, for people who keep a viewer of their own: printed in a process of its own."""

from __future__ import annotations

import pickle
import subprocess
import sys
import threading
from collections.abc import Callable
from pathlib import Path
from queue import Empty, Queue


class Printer:
    """Writes the pages of drafts into a folder, the newest text of each; never holds up the page in the browser."""

    def __init__(self, out: Path, pdf: bool, say: Callable[[str], None]) -> None:
        self._out = out
        self._pdf = pdf
        self._say = say
        self._waiting: dict[str, str] = {}
        self._wake: Queue[bool] = Queue()
        self._child: subprocess.Popen[bytes] | None = None
        self._thread = threading.Thread(target=self._run, name="printer", daemon=True)
        self._started = False

    def save(self, name: str, text: str) -> None:
        """Have a draft printed soon."""
        if not self._started:
            self._started = True
            self._thread.start()
        self._waiting[name] = text
        self._wake.put(True)

    def finish(self) -> None:
        """Wait until everything is written, then end."""
        if self._started:
            self._wake.put(False)
            self._thread.join()
        self.close()

    def close(self) -> None:
        """End at once."""
        if self._child is not None:
            self._child.kill()
            self._child.wait()

    def _run(self) -> None:
        more = True
        while more or self._waiting:
            if not self._waiting:
                more = self._wake.get()
                continue
            try:
                while True:
                    more = self._wake.get_nowait() and more
            except Empty:
                pass
            name, text = next(iter(self._waiting.items()))
            del self._waiting[name]
            answer = self._print(name, text)
            if answer:
                self._say(f"{name}: {answer}")

    def _print(self, name: str, text: str) -> str:
        """Print one draft; returns what went wrong, empty if nothing did."""
        if self._child is None or self._child.poll() is not None:
            self._child = subprocess.Popen(
                [sys.executable, "-m", "scribe.live.printing"], stdin=subprocess.PIPE, stdout=subprocess.PIPE
            )
        child = self._child
        assert child.stdin is not None
        assert child.stdout is not None
        stem = self._out / Path(name).with_suffix("")
        try:
            child.stdin.write(pickle.dumps((text, str(stem), self._pdf)))
            child.stdin.flush()
            answer: str = pickle.load(child.stdout)
        except (OSError, EOFError, pickle.UnpicklingError):
            return "not written: the engraver stopped over it"
        return answer

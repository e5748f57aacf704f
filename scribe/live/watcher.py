"""Watches a folder: says which files may have changed, however an editor saves them.

Editors write in place, write beside and rename, or delete and write anew, with one to twenty events a save. A file
that was closed or moved into place is ready at once; any other event is followed by a short wait for more. A slow
look at all known files catches what the system did not report.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Callable, Iterable
from pathlib import Path
from time import monotonic

from watchdog.events import FileSystemEvent, FileSystemEventHandler
from watchdog.observers import Observer
from watchdog.observers.api import BaseObserver
from watchdog.observers.polling import PollingObserver

QUIET = 0.02  # seconds without an event, where no event says that a file is complete
GONE = 0.15  # … after which a deleted or empty file is taken for that: some editors write it anew, in steps
LOOK = 1.5  # seconds between two slow looks

_READY = ("closed", "moved")
_MEANT = (*_READY, "created", "modified", "deleted")  # reading a file makes events of other kinds

Stamp = tuple[int, int, int]


def stamp(path: Path) -> Stamp | None:
    """What changes when a file is written: time, size, inode; None where there is no file."""
    try:
        found = os.stat(path)
    except OSError:
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino


def _is_empty(path: Path) -> bool:
    found = stamp(path)
    return found is not None and found[1] == 0


class Watcher(FileSystemEventHandler):
    """Calls `changed(path)` for files that `wanted` picks, after each save and when one appears or goes.

    `known` names the files of the slow look, `look` is called after it. The calls come from other threads; the same
    save may be reported more than once.
    """

    def __init__(
        self,
        folder: Path,
        wanted: Callable[[Path], bool],
        changed: Callable[[Path], None],
        known: Callable[[], Iterable[Path]],
        look: Callable[[], None] = lambda: None,
        *,
        recursive: bool = True,
        poll: bool = False,
    ) -> None:
        self._wanted = wanted
        self._changed = changed
        self._known = known
        self._also = look
        self._due: dict[Path, float] = {}
        self._stamps: dict[Path, Stamp | None] = {}
        self._wake = threading.Condition()
        self._ends = False
        self._observer: BaseObserver = PollingObserver(timeout=0.2) if poll else Observer()
        self._observer.schedule(self, str(folder), recursive=recursive)
        self._thread = threading.Thread(target=self._run, name="watcher", daemon=True)

    def start(self) -> None:
        """Begin to watch. Raises OSError if the system has no watches left."""
        self._observer.start()
        self._thread.start()

    def stop(self) -> None:
        """End; no call comes afterwards."""
        with self._wake:
            self._ends = True
            self._wake.notify()
        if self._observer.is_alive():
            self._observer.stop()
            self._observer.join(2)
        if self._thread.is_alive():
            self._thread.join(2)

    # --- events --------------------------------------------------------------------------------------------

    def on_any_event(self, event: FileSystemEvent) -> None:
        """Take in one event of the system."""
        kind = event.event_type
        if kind not in _MEANT or event.is_directory:
            return
        source = Path(os.fsdecode(event.src_path))
        if kind == "moved":
            self._note(Path(os.fsdecode(event.dest_path)), 0.0)
            self._note(source, GONE)
        else:
            self._note(
                source, 0.0 if kind in _READY else GONE if kind == "deleted" or _is_empty(source) else QUIET
            )

    def _note(self, path: Path, wait: float) -> None:
        if not self._wanted(path):
            return
        if wait:
            with self._wake:
                self._due[path] = monotonic() + wait
                self._wake.notify()
            return
        with self._wake:
            self._due.pop(path, None)
        self._tell(path)

    def _tell(self, path: Path) -> None:
        self._stamps[path] = stamp(path)
        self._changed(path)

    # --- waiting, and the slow look --------------------------------------------------------------------------

    def _run(self) -> None:
        look = monotonic() + LOOK
        while True:
            with self._wake:
                now = monotonic()
                ready = [path for path, due in self._due.items() if due <= now]
                for path in ready:
                    del self._due[path]
                if not ready and now < look:
                    self._wake.wait(min([look, *self._due.values()]) - now)
                if self._ends:
                    return
            for path in ready:
                self._tell(path)
            if monotonic() >= look:
                self._look()
                look = monotonic() + LOOK

    def _look(self) -> None:
        for path in list(self._known()):
            now = stamp(path)
            before = self._stamps.setdefault(path, now)
            if now != before and path not in self._due:
                self._tell(path)
        self._also()

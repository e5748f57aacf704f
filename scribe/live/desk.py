"""The desk: drafts that changed are taken up one after the other, the ones that a page shows first."""

from __future__ import annotations

import threading
from collections.abc import Callable
from functools import partial
from pathlib import Path
from time import monotonic, perf_counter
from typing import NamedTuple

from scribe.live.drafts import Folder, Unreadable, text_of
from scribe.live.engine import Engine
from scribe.live.engraver import Engraver
from scribe.live.hub import Hub, Row, View
from scribe.live.sketch import Sketch, sketch
from scribe.live.walk import Walker
from scribe.music.progress import open_words

_OPEN = 8  # engines kept
_NARROW = 0.55  # of the printed page's width, for a phone
_IDLE = 0.25  # seconds without a save after which there is time for what can wait
_LIST = 0.25  # seconds between two new lists while many drafts are read


class Save(NamedTuple):
    """What a save came to: for the status line and for those who write files.

    `changed`: printed numbers of the first and last bars of each stretch that was drawn anew. `systems`: how many the
    page has, 0 if no page shows the draft: then nothing was drawn.
    """

    name: str
    text: str
    sketch: Sketch
    changed: tuple[tuple[int, int], ...]
    systems: int
    seconds: float
    first: bool


class Desk:
    """Keeps the pages of a folder's drafts up to date, in a thread of its own."""

    def __init__(
        self,
        folder: Folder,
        engraver: Engraver,
        hub: Hub,
        saved: Callable[[Save], None],
        failed: Callable[[str, Unreadable], None],
    ) -> None:
        self._folder = folder
        self._engraver = engraver
        self._hub = hub
        self._saved = saved
        self._failed = failed
        self._engines: dict[View, Engine] = {}  # the last used comes last
        self._bytes: dict[str, bytes] = {}  # what the engines were given last, as far as they finished it
        self._listed: dict[str, tuple[bytes, bool]] = {}  # what stands in the list; True: told as a save
        self._rows: dict[str, Row] = {}
        self._recordings: dict[str, Path] = {}
        self._now: dict[str, None] = {}  # to be taken up, the oldest first
        self._later: dict[
            str, bool
        ] = {}  # only their place in the list is wanted; True: they were saved just now
        self._idle: set[View] = set()  # their hand may be looked at
        self._list_time = 0.0
        self._wake = threading.Condition()
        self._ends = False
        self._thread = threading.Thread(target=self._run, name="desk", daemon=True)

    def start(self) -> None:
        """Begin to work."""
        self._thread.start()

    def stop(self) -> None:
        """End after the system that is being drawn."""
        with self._wake:
            self._ends = True
            self._wake.notify()
        if self._thread.is_alive():
            self._thread.join(5)

    def scan(self) -> None:
        """Look which drafts there are; read those that are new, for the list."""
        names = self._folder.drafts()
        with self._wake:
            for name in names:
                if name not in self._rows:
                    self._later.setdefault(name, False)
            for name in set(self._rows) - set(names):
                self._now[name] = None
            self._wake.notify()

    def show(self, view: View) -> None:
        """A page wants a draft."""
        with self._wake:
            if view not in self._engines:
                self._now[view.draft] = None
            else:
                self._idle.add(view)
            self._wake.notify()

    def touched(self, path: Path) -> None:
        """A file may have changed: a draft, or a recording that one of them names."""
        with self._wake:
            if self._folder.has(path):
                name = self._folder.name(path)
                if name in self._shown():
                    self._now[name] = None
                else:
                    self._later[name] = True
            for name, recording in list(self._recordings.items()):
                if recording == path:
                    self._now[name] = None
            self._wake.notify()

    def _shown(self) -> set[str]:
        shown = {view.draft for view in (*self._engines, *self._hub.views())}
        return shown | ({self._folder.name(self._folder.only)} if self._folder.only else set())

    def known(self) -> list[Path]:
        """The files to look at from time to time."""
        with self._wake:
            names = set(self._rows) | {view.draft for view in list(self._engines)}
            return [self._folder.path(name) for name in names] + list(self._recordings.values())

    def wanted(self, path: Path) -> bool:
        """Tell whether a change of this file matters."""
        return self._folder.has(path) or path in list(self._recordings.values())

    # --- the thread ----------------------------------------------------------------------------------------

    def _run(self) -> None:
        while (work := self._next()) is not None:
            name, act = work
            try:
                act()
            except Exception as fault:  # whatever it is, it must not end the work on all other drafts
                self._give_up(name, fault)
            with self._wake:
                rest = bool(self._now or self._later)
            if not rest or monotonic() - self._list_time > _LIST:
                self._list_time = monotonic()
                self._hub.list(sorted(self._rows.values()))

    def _next(self) -> tuple[str, Callable[[], None]] | None:
        """Wait for work: what a page shows first, then the list, in quiet moments what can wait; None at the end."""
        with self._wake:
            while not (self._ends or self._now or self._later):
                quiet = not self._wake.wait(_IDLE if self._idle else None)
                if quiet and self._idle:
                    view = self._idle.pop()
                    return view.draft, partial(self._look, view)
            if self._ends:
                return None
            if self._now:
                name = next(iter(self._now))
                del self._now[name]
                return name, partial(self._take_up, name)
            name = next(iter(self._later))
            saved = self._later.pop(name)
            return name, partial(self._read_for_list, name, saved)

    def _take_up(self, name: str) -> None:
        data = self._read(name)
        if data is None:
            return
        self._tell_recording(name)
        views = {view for view in (*self._engines, *self._hub.views()) if view.draft == name} or {View(name)}
        known = data == self._bytes.get(name)
        if known:  # only a page of another width wants it
            views -= self._engines.keys()
        if not views:
            return
        self._bytes.pop(name, None)
        self._listed.pop(name, None)
        text = text_of(data)
        if isinstance(text, Unreadable):
            self._unreadable(name, text)
            return
        self._hub.tell(name, state={"kind": "open", "path": str(self._folder.path(name))})
        speaker = None if known else min(views)
        done = [self._follow(view, text, speaks=view == speaker) for view in sorted(views)]
        if all(done):
            self._bytes[name] = data
        self._close_old()

    def _follow(self, view: View, text: str, speaks: bool) -> bool:
        """Give a view its text; returns whether it was finished: a newer save ends it early.

        `speaks`: this view tells of the save, of several that show the draft.
        """
        name = view.draft
        first = view not in self._engines
        engine = self._engines.pop(view, None) or Engine(self._engraver, _NARROW if view.narrow else 1.0)
        self._engines[view] = engine
        done = False
        for update in engine.update(text, lambda: name in self._now or self._ends):
            self._hub.update(view, update)
            done = update.done
            if done:
                self._idle.add(view)
            new = engine.sketch
            if update.done and speaks and new is not None:
                self._rows[name] = _row(name, new)
                self._follow_recording(name, new)
                systems = len(engine.order)
                self._saved(Save(name, text, new, update.changed, systems, update.seconds, first))
        return done

    def _busy(self) -> bool:
        """Whether there is something to do that cannot wait."""
        return bool(self._now or self._later or self._ends)

    def _look(self, view: View) -> None:
        """Say what there is to say about the hand: what a quiet moment is for."""
        engine = self._engines.get(view)
        if engine is None or view not in self._hub.views():
            return
        for look in engine.looks(self._busy):
            self._hub.look(view, look)
        if self._busy():  # broken off, it may be: in the next quiet moment
            self._idle.add(view)

    def _read(self, name: str) -> bytes | None:
        path = self._folder.path(name)
        try:
            if not self._folder.inside(path):
                raise OSError
            return path.read_bytes()
        except OSError:
            self._rows.pop(name, None)
            self._bytes.pop(name, None)
            self._listed.pop(name, None)
            self._hub.tell(name, state={"kind": "gone"})
            return None

    def _unreadable(self, name: str, fault: Unreadable) -> None:
        self._rows[name] = Row(name, "", 0, 0, fault.message, 1)
        self._hub.tell(name, state={"kind": "unreadable", "message": fault.message, "mend": fault.mend})
        self._failed(name, fault)

    def _give_up(self, name: str, fault: Exception) -> None:
        """A fault of ours: say so, keep the page as it is, begin anew with the next save."""
        for view in [view for view in self._engines if view.draft == name]:
            del self._engines[view]
        what = f"scribe itself failed over this draft ({type(fault).__name__}: {fault})"
        self._unreadable(name, Unreadable(what, "undo the last change; a report of it would help"))

    def _read_for_list(self, name: str, saved: bool) -> None:
        data = self._read(name)
        if data is None:
            return
        before, told = self._listed.get(name, (None, False))
        if data == before and (told or not saved):
            return
        self._listed[name] = data, saved
        text = text_of(data)
        if isinstance(text, Unreadable):
            self._rows[name] = Row(name, "", 0, 0, text.message, 1)
            if saved:
                self._failed(name, text)
            return
        start = perf_counter()
        new = sketch(Walker().walk(text))
        self._rows[name] = _row(name, new)
        if saved:
            self._saved(Save(name, text, new, (), 0, perf_counter() - start, first=False))

    def _close_old(self) -> None:
        shown = self._hub.views()
        for view in list(self._engines)[: max(0, len(self._engines) - _OPEN)]:
            if view not in shown:
                del self._engines[view]
                self._hub.forget(view)

    # --- recordings ----------------------------------------------------------------------------------------

    def _follow_recording(self, name: str, new: Sketch) -> None:
        self._recordings.pop(name, None)
        said = new.heading.recording
        if said:
            path = (self._folder.path(name).parent / said).absolute()
            if self._folder.inside(path):
                self._recordings[name] = path
        self._tell_recording(name)

    def _tell_recording(self, name: str) -> None:
        path = self._recordings.get(name)
        self._hub.tell(name, recording=None if path is None else {"name": path.name, "there": path.is_file()})


def _row(name: str, new: Sketch) -> Row:
    done = new.progress
    errors = sum(each.severity == "error" for each in new.diagnostics)
    return Row(name, new.heading.title, done.bars, done.bars_to_do, open_words(done), errors)

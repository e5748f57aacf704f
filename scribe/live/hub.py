"""Between the engine's thread and the pages: keeps the whole of each page as JSON, passes on every change.

A page that joins gets all there is, then each change; one that is too slow to take them gets all there is again.
"""

from __future__ import annotations

import asyncio
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from json import dumps
from threading import Lock
from typing import NamedTuple

from scribe.live.engine import Update

_BEHIND = 64  # messages that may wait for one page


class Row(NamedTuple):
    """A draft in the list: how many bars it has and how many of them are still to do, what is open in words."""

    name: str
    title: str
    bars: int
    to_do: int
    open: str
    errors: int


@dataclass
class _Sheet:
    """One draft as its page shows it, every part as JSON."""

    parts: dict[str, str] = field(default_factory=dict)
    pictures: dict[str, str] = field(default_factory=dict)
    glyphs: list[str] = field(default_factory=list)

    def whole(self) -> str:
        return _message(
            {**self.parts, "systems": _object(self.pictures), "glyphs": to_json("".join(self.glyphs))}
        )


class Listener:
    """One page that is open. `take` waits for what it is to be told next; None: the server ends."""

    def __init__(self, draft: str, loop: asyncio.AbstractEventLoop) -> None:
        self.draft = draft
        self.loop = loop
        self.queue: asyncio.Queue[str | None] = asyncio.Queue()
        self.behind = False

    async def take(self, patience: float) -> str | None:
        """Return the next message, an empty one after `patience` seconds without any."""
        try:
            return await asyncio.wait_for(self.queue.get(), patience)
        except TimeoutError:
            return ""


class Hub:
    """All sheets and all open pages. Every method may be called from any thread."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._sheets: dict[str, _Sheet] = {}
        self._listeners: set[Listener] = set()
        self._list = "[]"
        self._ended = False

    def join(self, listener: Listener) -> None:
        """Add a page; the first thing it is told is all there is about its draft."""
        with self._lock:
            self._listeners.add(listener)
            self._greet(listener)
            if self._ended:
                listener.queue.put_nowait(None)

    def leave(self, listener: Listener) -> None:
        """Take a page out."""
        with self._lock:
            self._listeners.discard(listener)

    def open_drafts(self) -> set[str]:
        """The drafts that a page shows."""
        with self._lock:
            return {listener.draft for listener in self._listeners}

    def update(self, draft: str, update: Update) -> None:
        """Pass on what an engine has to say."""
        parts: dict[str, str] = {}
        if update.order is not None:
            parts["order"] = to_json([(key, number, _short(lines)) for key, number, lines in update.order])
        if update.heading is not None:
            parts["heading"] = to_json(update.heading)
        if update.problems is not None:
            parts["problems"] = to_json([problem._asdict() for problem in update.problems])
        if update.progress is not None:
            parts["progress"] = to_json(update.progress._asdict())
        with self._lock:
            sheet = self._sheets.setdefault(draft, _Sheet())
            sheet.parts.update(parts)
            sheet.pictures.update(update.pictures)
            if update.order is not None:
                used = {key for key, _, _ in update.order}
                sheet.pictures = {key: text for key, text in sheet.pictures.items() if key in used}
            if update.glyphs:
                sheet.glyphs.append(update.glyphs)
                parts["glyphs"] = to_json(update.glyphs)
            if update.pictures:
                parts["systems"] = _object(update.pictures)
            self._tell(draft, _message(parts))

    def tell(self, draft: str, **parts: object) -> None:
        """Set parts of a draft's page (its state, its recording) and pass them on."""
        texts = {name: to_json(part) for name, part in parts.items()}
        with self._lock:
            sheet = self._sheets.setdefault(draft, _Sheet())
            if all(sheet.parts.get(name) == text for name, text in texts.items()):
                return
            sheet.parts.update(texts)
            self._tell(draft, _message(texts))

    def say(self, **parts: object) -> None:
        """Pass something on to all pages, once."""
        with self._lock:
            self._tell(None, _message({name: to_json(part) for name, part in parts.items()}))

    def list(self, rows: Sequence[Row]) -> None:
        """Pass on the list of drafts."""
        text = to_json([row._asdict() for row in rows])
        with self._lock:
            if text != self._list:
                self._list = text
                self._tell(None, _message({"drafts": text}))

    def forget(self, draft: str) -> None:
        """Drop what is known of a draft."""
        with self._lock:
            self._sheets.pop(draft, None)

    def end(self) -> None:
        """Tell all pages that nothing more will come."""
        with self._lock:
            self._ended = True
            for listener in self._listeners:
                _put(listener, None)

    # --- under the lock ------------------------------------------------------------------------------------

    def _tell(self, draft: str | None, message: str) -> None:
        if message == "{}":
            return
        for listener in self._listeners:
            if draft is not None and listener.draft != draft:
                continue
            if listener.queue.qsize() > _BEHIND:
                listener.behind = True
            if listener.behind and not listener.queue.empty():
                continue
            if listener.behind:
                listener.behind = False
                self._greet(listener)
            else:
                _put(listener, message)

    def _greet(self, listener: Listener) -> None:
        sheet = self._sheets.get(listener.draft, _Sheet())
        _put(listener, '{"whole":true,"drafts":' + self._list + "," + sheet.whole()[1:])


def _put(listener: Listener, message: str | None) -> None:
    try:
        listener.loop.call_soon_threadsafe(listener.queue.put_nowait, message)
    except RuntimeError:  # its loop has ended
        pass


def to_json(value: object) -> str:
    return dumps(value, ensure_ascii=False, separators=(",", ":"))


def _object(members: Mapping[str, str]) -> str:
    return "{" + ",".join(f"{to_json(name)}:{text}" for name, text in members.items()) + "}"


def _message(parts: Mapping[str, str]) -> str:
    return _object(parts)


def _short(lines: tuple[int, ...]) -> int | tuple[int, ...]:
    """One number where all bars of a system stand in one line."""
    return lines[0] if len(set(lines)) == 1 else lines

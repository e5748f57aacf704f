"""Between the engine's thread and the pages: keeps the whole of each page as JSON, passes on every change.

A page that joins gets all there is, then each change; one that is too slow to take them gets all there is again.
"""

from __future__ import annotations

import asyncio
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from json import dumps
from threading import Lock
from typing import NamedTuple

from scribe.live.engine import Update
from scribe.live.look import NO_LOOK, Look
from scribe.live.problems import Problem

_BEHIND = 64  # messages that may wait for one page


class Row(NamedTuple):
    """A draft in the list: how many bars it has and how many of them are still to do, what is open in words."""

    name: str
    title: str
    bars: int
    to_do: int
    open: str
    errors: int


class View(NamedTuple):
    """A draft as a page shows it; `narrow`: in shorter systems, for a phone."""

    draft: str
    narrow: bool = False


@dataclass
class _Sheet:
    """A view as its page shows it, every part as JSON."""

    parts: dict[str, str] = field(default_factory=dict)
    pictures: dict[str, str] = field(default_factory=dict)
    glyphs: list[str] = field(default_factory=list)
    look: Look = NO_LOOK
    looks: int = 0

    def whole(self) -> dict[str, str]:
        return {
            **self.parts,
            "systems": _object(self.pictures),
            "glyphs": to_json("".join(self.glyphs)),
        }


class Listener:
    """One page that is open."""

    def __init__(self, view: View, loop: asyncio.AbstractEventLoop) -> None:
        self.view = view
        self.loop = loop
        self.queue: asyncio.Queue[str | None] = asyncio.Queue()
        self.behind = False  # so far that only the whole page can help it


class Hub:
    """All sheets and all open pages. Every method may be called from any thread."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._sheets: dict[View, _Sheet] = {}
        self._shared: dict[str, dict[str, str]] = {}  # parts that do not depend on the view, by draft
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

    async def take(self, listener: Listener, patience: float) -> str | None:
        """Wait for the next thing to tell a page: empty after `patience` seconds without any, None at the end."""
        try:
            message = await asyncio.wait_for(listener.queue.get(), patience)
        except TimeoutError:
            return ""
        if listener.behind and listener.queue.empty():
            with self._lock:
                listener.behind = False
                self._greet(listener)
        return message

    def views(self) -> set[View]:
        """What the open pages show."""
        with self._lock:
            return {listener.view for listener in self._listeners}

    def update(self, view: View, update: Update) -> None:
        """Pass on what an engine has to say."""
        parts: dict[str, str] = {}
        if update.order is not None:
            parts["order"] = to_json([(key, number, _short(lines)) for key, number, lines in update.order])
        if update.heading is not None:
            parts["heading"] = to_json(update.heading)
        if update.problems is not None:
            parts["problems"] = to_json([_problem(problem) for problem in update.problems])
        if update.progress is not None:
            parts["progress"] = to_json(update.progress._asdict())
        with self._lock:
            sheet = self._sheets.setdefault(view, _Sheet())
            sheet.parts.update(parts)
            if update.order is not None:
                sheet.parts.pop("stops", None)
            sheet.pictures.update(update.pictures)
            if update.order is not None:
                used = {key for key, _, _ in update.order}
                sheet.pictures = {key: text for key, text in sheet.pictures.items() if key in used}
            if update.glyphs:
                sheet.glyphs.append(update.glyphs)
                parts["glyphs"] = to_json(update.glyphs)
            if update.pictures:
                parts["systems"] = _object(update.pictures)
            self._tell(view, _object(parts))

    def look(self, view: View, look: Look) -> None:
        """Pass on what a quiet moment found out about the hand of a view; its pictures of the neck wait here."""
        with self._lock:
            sheet = self._sheets.setdefault(view, _Sheet())
            sheet.look = look
            sheet.looks += 1
            parts = {
                "strain": to_json([_problem(problem) for problem in look.problems]),
                "neck": to_json({"asked": look.neck, "there": look.has_neck, "edited": look.edited}),
            }
            if look.stops is not None:
                parts["stops"] = to_json([" ".join(each or "-" for each in system) for system in look.stops])
            new = {name: text for name, text in parts.items() if sheet.parts.get(name) != text}
            if new or look.has_neck:
                new["look"] = to_json(sheet.looks)
            sheet.parts.update(new)
            self._tell(view, _object(new))

    def neck(self, view: View, system: int, bar: int) -> str:
        """Return the picture of the neck for a bar of a view, empty if there is none."""
        with self._lock:
            sheet = self._sheets.get(view)
            look = sheet.look if sheet is not None else NO_LOOK
        return look.picture(system, bar)

    def tell(self, draft: str, **parts: object) -> None:
        """Set parts of a draft's page (its state, its recording) and pass them on."""
        texts = {name: to_json(part) for name, part in parts.items()}
        with self._lock:
            shared = self._shared.setdefault(draft, {})
            if all(shared.get(name) == text for name, text in texts.items()):
                return
            shared.update(texts)
            for narrow in (False, True):
                self._tell(View(draft, narrow), _object(texts))

    def say(self, **parts: object) -> None:
        """Pass something on to all pages, once."""
        with self._lock:
            self._tell(None, _object({name: to_json(part) for name, part in parts.items()}))

    def list(self, rows: Sequence[Row]) -> None:
        """Pass on the list of drafts."""
        text = to_json([row._asdict() for row in rows])
        with self._lock:
            if text != self._list:
                self._list = text
                self._tell(None, _object({"drafts": text}))

    def forget(self, view: View) -> None:
        """Drop what is known of a view."""
        with self._lock:
            self._sheets.pop(view, None)

    def end(self) -> None:
        """Tell all pages that nothing more will come."""
        with self._lock:
            self._ended = True
            for listener in self._listeners:
                _put(listener, None)

    # --- under the lock ------------------------------------------------------------------------------------

    def _tell(self, view: View | None, message: str) -> None:
        if message == "{}":
            return
        for listener in self._listeners:
            if view is not None and listener.view != view:
                continue
            if listener.queue.qsize() > _BEHIND:
                listener.behind = True
            if not listener.behind:
                _put(listener, message)

    def _greet(self, listener: Listener) -> None:
        sheet = self._sheets.get(listener.view, _Sheet())
        shared = self._shared.get(listener.view.draft, {})
        _put(listener, _object({"whole": "true", "drafts": self._list, **shared, **sheet.whole()}))


def _put(listener: Listener, message: str | None) -> None:
    with suppress(RuntimeError):  # its loop may have ended
        listener.loop.call_soon_threadsafe(listener.queue.put_nowait, message)


def to_json(value: object) -> str:
    """Return compact JSON on one line."""
    return dumps(value, ensure_ascii=False, separators=(",", ":"))


def _object(members: Mapping[str, str]) -> str:
    return "{" + ",".join(f"{to_json(name)}:{text}" for name, text in members.items()) + "}"


def _problem(problem: Problem) -> dict[str, object]:
    return {**problem._asdict(), "mends": [mend._asdict() for mend in problem.mends]}


def _short(lines: tuple[int, ...]) -> int | tuple[int, ...]:
    """One number where all bars of a system stand in one line."""
    return lines[0] if len(set(lines)) == 1 else lines

"""Rewritten notes beside each other: none may be read together with the one behind it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

from scribe.diagnostics import Span
from scribe.music.rewrite.edit import Edit
from scribe.music.rewrite.typed import OPEN_PIN, Pieces
from scribe.music.tuning import Tuning, pin_text, string_of

# A pin typed otherwise than usual for what follows (`pin_text`): small before a flat, with `=` before a sharp.
_PARTING_PIN = re.compile(r":(?P<string>[a-g]|[A-G](?P<equals>=))")


class CannotWrite(Exception):
    """A note that cannot be written as wanted; carries a diagnostic's code, its place in the bar and the reason."""

    def __init__(self, code: str, span: Span, message: str) -> None:
        super().__init__(message)
        self.code = code
        self.span = span
        self.message = message


class Written(NamedTuple):
    """A note as it is to be typed; `capital`: how its name would be typed as a capital, empty if it is no letter."""

    parts: Pieces
    name: str
    marks: int | None  # None: as they stand
    bare: bool
    capital: str = ""
    string: int = 0  # to which it is pinned that was a fret
    pin: str = ""  # the text of that pin

    @property
    def text(self) -> str:
        return self.parts.text(self.name + self.pin, self.marks, self.bare)

    @property
    def open_capital(self) -> bool:
        """Whether a `b` right behind would be read as this note's flat."""
        return self.text[-1:] in tuple("ABCDEFG") and ":" not in self.text


def edits_of(text: str, written: Sequence[Written], tuning: Tuning) -> list[Edit]:
    """Return what changes. Neighbours must not be read as one: `C` and `b` as C flat, `:A` and `b3` as `:Ab`."""
    done: list[Written] = []
    for note in written:
        start = note.parts.span.start
        beside = bool(done) and done[-1].parts.span.end == start
        before = done[-1].text if beside else text[:start]
        pin = OPEN_PIN.search(before)
        if pin and note.text.startswith(("b", "#")):
            string = string_of(tuning, pin[0][1:])
            if note.capital:
                note = note._replace(name=note.capital)
            elif beside and string and done[-1].parts.behind == pin[0]:
                clear = pin_text(tuning, string, note.text)
                done[-1] = done[-1]._replace(parts=done[-1].parts._replace(behind=clear))
            else:
                message = f"`{note.text}` cannot be typed right behind `{pin[0]}`: it would be read with it"
                raise CannotWrite("no-such-string", note.parts.span, message)
        done.append(note)
    found: list[Edit] = []
    following, start = "", len(text)
    for note in reversed(done):
        span = note.parts.span
        behind = following if span.end == start else text[span.end : span.end + 1]
        note = _plain_pin(note, text[span.end : span.end + 1], behind, tuning)
        if note.string:
            after = note.parts.behind + note.parts.closed + behind
            note = note._replace(pin=pin_text(tuning, note.string, after))
        if behind == "b" and note.open_capital:
            note = note._replace(name=note.name + "n")
        if note.text != text[span.start : span.end]:
            found.append(Edit(span, note.text))
        following, start = note.text[:1], span.start
    found.reverse()
    return found


def _plain_pin(note: Written, was: str, follows: str, tuning: Tuning) -> Written:
    """The note with its pin as it is usually typed, where it was typed otherwise for what followed: `:a` and `:A=`."""
    pin = _PARTING_PIN.match(note.parts.behind)
    if pin is None or was != ("#" if pin["equals"] else "b") or follows == was:
        return note
    usual = ":" + pin["string"][0].upper()
    if string_of(tuning, usual[1:]) != string_of(tuning, pin["string"][0]):
        return note
    return note._replace(parts=note.parts._replace(behind=usual + note.parts.behind[pin.end() :]))

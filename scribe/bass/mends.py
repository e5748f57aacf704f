"""What to type instead of what cannot be played. Every text is compiled before it is offered, and sounds as said."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from scribe.bass.grips import Grip, Stop
from scribe.bass.rewrite import parts
from scribe.diagnostics import Span
from scribe.music.bar import compile_bar
from scribe.music.events import Event, Head
from scribe.music.inforce import Entry
from scribe.music.piece import Bar
from scribe.music.tuning import Tuning, pin_text, string_name

_MOST_MARKS = 4  # octave marks tried before a note
_CONNECTORS = "~hp/\\"
_OPEN_STRING_MARKS = ("'v", "'b", "\\")  # behind a note: vibrato, bend, fall-off

Sounds = list[tuple[int, ...]]


class Mend(NamedTuple):
    """`text` in place of `span`, which counts from the bar's start."""

    span: Span
    text: str


def stack(bar: Bar, number: int, kept: Sequence[int], grip: Grip) -> Mend | None:
    """Return the stack with its notes `kept` alone, on the strings of `grip` where strings were typed; None where no
    text says that.
    """
    event = bar.events[number]
    if event.graces or len(kept) != len(grip.stops):
        return None
    pinned = any(_pinned(bar, head) for head in event.heads)
    rows = []
    for k, stop in zip(kept, grip.stops, strict=True):
        head = event.heads[k]
        typed = _on_string(bar, head, stop) if pinned else bar.text[head.span.start : head.span.end]
        rows.append((head.span.start, typed))
    if any(typed is None for _, typed in rows):
        return None
    whole = Span(min(h.span.start for h in event.heads), max(h.span.end for h in event.heads))
    mend = Mend(whole, "+".join(str(typed) for _, typed in sorted(rows)))
    wanted = _sounds(bar.events)
    wanted[number] = tuple(event.heads[k].pitch.midi for k in kept)
    return mend if _says(bar, mend, wanted) else None


def place(bar: Bar, number: int, octaves: int, stop: Stop) -> Mend | None:
    """Return one note on another string, or moved by octaves (the note behind it stays where it is)."""
    event = bar.events[number]
    if len(event.heads) != 1 or event.graces:
        return None
    head = event.heads[0]
    wanted = _sounds(bar.events)
    wanted[number] = (head.pitch.midi + 12 * octaves,)
    if head.way == "fret" or not octaves:
        typed = _on_string(bar, head, stop)
        candidates = [typed] if typed is not None and typed != bar.text[slice(*head.span)] else []
    else:
        candidates = list(_in_octaves(bar, head, stop))
    following = next((e for e in bar.events[number + 1 :] if e.heads), None)
    for typed in candidates:
        mend = Mend(head.span, typed)
        if _says(bar, mend, wanted):
            return mend
        if following is None or following.graces or following.heads[0].span.start < head.span.end:
            continue
        between = bar.text[head.span.end : following.heads[0].span.start]
        for after in _in_octaves(bar, following.heads[0], None):
            mend = Mend(Span(head.span.start, following.heads[0].span.end), typed + between + after)
            if _says(bar, mend, wanted):
                return mend
    return None


def plucked(bar: Bar, number: int) -> Mend | None:
    """Return the note without the connector that leads to it."""
    return _led(bar, number, "")


def other_sign(bar: Bar, number: int) -> Mend | None:
    """Return a hammer-on as a pull-off, or the other way round."""
    return _led(bar, number, "p" if bar.events[number].connector == "hammer" else "h")


def unmarked(bar: Bar, number: int) -> Mend | None:
    """Return the note without vibrato, bend and fall-off."""
    span = bar.events[number].span
    typed = bar.text[span.start : span.end]
    for mark in _OPEN_STRING_MARKS:
        found = typed.find(mark, 1)
        if found > 0:
            typed = typed[:found] + typed[found + len(mark) :]
    mend = Mend(span, typed)
    return mend if _says(bar, mend, _sounds(bar.events)) else None


def _led(bar: Bar, number: int, sign: str) -> Mend | None:
    event = bar.events[number]
    start = event.span.start
    if event.graces or bar.text[start : start + 1] not in _CONNECTORS:
        return None
    mend = Mend(event.span, sign + bar.text[start + 1 : event.span.end])
    return mend if _says(bar, mend, _sounds(bar.events)) else None


def _on_string(bar: Bar, head: Head, stop: Stop) -> str | None:
    """A note as typed, on the string of a stop."""
    found = parts(bar.text[head.span.start : head.span.end])
    if found is None:
        return None
    before, name, _, after = found
    tuning: Tuning = bar.in_force.tuning
    if head.way == "fret":
        return f"{before}{string_name(tuning, stop.string)}:{stop.fret}{after}"
    follows = after or bar.text[head.span.end : head.span.end + 1]
    return f"{before}{name}{pin_text(tuning, stop.string, follows)}{after}"


def _pinned(bar: Bar, head: Head) -> bool:
    """Whether the draft says the string of a note itself."""
    found = parts(bar.text[head.span.start : head.span.end])
    return head.way == "fret" or (found is not None and bool(found[2]))


def _in_octaves(bar: Bar, head: Head, stop: Stop | None) -> Iterator[str]:
    """A note as typed with every number of octave marks; its pin goes to the string of `stop`, if there is one."""
    found = parts(bar.text[head.span.start : head.span.end])
    if found is None or head.way == "fret":
        return
    before, name, pin, after = found
    signs, quiet = before.replace("^", "").replace("v", "").rstrip("q"), "q" if before.endswith("q") else ""
    if pin and stop is not None:
        pin = pin_text(bar.in_force.tuning, stop.string, after or bar.text[head.span.end : head.span.end + 1])
    for count in range(_MOST_MARKS + 1):
        for mark in "^v" if count else "^":
            yield f"{signs}{mark * count}{quiet}{name}{pin}{after}"


def _sounds(events: Sequence[Event]) -> Sounds:
    return [tuple(head.pitch.midi for head in event.heads if head.kind == "note") for event in events]


def _says(bar: Bar, mend: Mend, wanted: Sounds) -> bool:
    """Whether the bar with the mend is another one, without fault, and sounds as wanted. A bar that goes on from the
    one before is not judged, nor one that is written elsewhere in another key.
    """
    if mend.text == bar.text[mend.span.start : mend.span.end]:
        return False  # no mend: it is typed so, and the hand does not get there in time
    if bar.repeat or bar.tied or _compiled(bar, bar.text) != _sounds(bar.events):
        return False
    return _compiled(bar, bar.text[: mend.span.start] + mend.text + bar.text[mend.span.end :]) == wanted


def _compiled(bar: Bar, text: str) -> Sounds | None:
    music, _, _ = compile_bar(text, bar.in_force, Entry())
    return None if music.broken else _sounds(music.events)

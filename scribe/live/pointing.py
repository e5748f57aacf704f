"""What the page says about the note under the pointer: its name, degree, chord tone, string and fret, its place."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from scribe.engrave.live import Plan
from scribe.music.chord import Chord
from scribe.music.events import Event, Head
from scribe.music.piece import Bar
from scribe.music.pitch import Pitch
from scribe.music.sounding import degree_name
from scribe.source.tree import Mark

# name, degree, chord tone, string and fret, marks, index of the bar in the system, first and last column in the bar
Note = tuple[str, str, str, str, str, int, int, int]

_ID = re.compile(r'xml:id="([^"]+)"')
_KINDS = {"dead": "dead note", "unheard": "unheard note"}
_MARKS: dict[Mark, str] = {"popped": "popped", "thumb": "thumbed", "held": "held"}


def notes_of(plan: Plan) -> dict[str, Note]:
    """Return what there is to say about every note of a system, by the id of its head on the page."""
    found: dict[str, Note] = {}
    for index, (bar, mei) in enumerate(zip(plan.bars, plan.meis[plan.start : plan.end], strict=True)):
        heads = {head.span.start: (head, event) for event, head in _heads(bar)}
        for id in _ID.findall(mei.notes.layer):
            place = _place(id, bar)
            if place in heads:
                head, event = heads[place]
                found[id] = _say(bar, index, head, event)
    return found


def stops_of(plan: Plan, fingered: Sequence[Bar]) -> list[str]:
    """Return a likely string and fret (`A:3`) for every note of `notes_of`, in its order; empty where there is none.

    `fingered`: the system's own bars with strings and frets filled in.
    """
    found: list[str] = []
    for bar, filled, mei in zip(plan.bars, fingered, plan.meis[plan.start : plan.end], strict=True):
        heads = {head.span.start: head for _, head in _heads(filled)}
        for id in _ID.findall(mei.notes.layer):
            place = _place(id, bar)
            head = heads.get(place) if place is not None else None
            if head is not None:
                found.append(_stop(filled, head))
    return found


def _stop(bar: Bar, head: Head) -> str:
    tuning = bar.in_force.tuning
    if head.string is None or head.fret is None or not 1 <= head.string <= len(tuning):
        return ""
    return f"{_signs(tuning[len(tuning) - head.string].name)}:{head.fret}"


def _place(id: str, bar: Bar) -> int | None:
    """Where in the bar's text the head with this id was typed."""
    place = id.removeprefix(f"{bar.id}-").partition(".")[0].lstrip("g")
    return int(place) if place.isdecimal() else None


def _heads(bar: Bar) -> Iterator[tuple[Event, Head]]:
    for event in bar.music.events:
        for grace in event.graces:
            yield event, grace.head
        for head in event.heads:
            yield event, head


def _say(bar: Bar, index: int, head: Head, event: Event) -> Note:
    name = degree = tone = ""
    if head.kind == "note":
        name, degree = _name(head.pitch), _signs(degree_name(head.pitch, bar.in_force))
        tone = _tone(head.pitch, _chord_at(bar, event))
    else:
        name = _KINDS[head.kind]
    marks = [mark for mark, on in (("ghost", head.ghost), ("doubtful", head.doubtful)) if on]
    marks += [_MARKS.get(mark, mark) for mark in event.marks]
    return name, degree, tone, _string(bar, head), ", ".join(marks), index, head.span.start, head.span.end


def _chord_at(bar: Bar, event: Event) -> Chord | None:
    chord = bar.in_force.chord
    for placed in bar.music.chords:
        if placed.onset <= event.onset:
            chord = placed.chord
    return chord


def _tone(pitch: Pitch, chord: Chord | None) -> str:
    """The pitch as a tone of the chord: `b7 of C7`, `not in C7`, empty without a chord."""
    if chord is None or chord.root is None:
        return ""
    for tone in chord.tones:
        if tone.name == (pitch.letter, pitch.alter):
            label = "root" if tone.label == "1" else _signs(tone.label)
            return f"{label} of {_signs(chord.text)}"
    return f"not in {_signs(chord.text)}"


def _string(bar: Bar, head: Head) -> str:
    tuning = bar.in_force.tuning
    if head.string is None or not 1 <= head.string <= len(tuning):
        return ""
    string = f"{_signs(tuning[len(tuning) - head.string].name)} string"
    return f"{string}, fret {head.fret}" if head.fret is not None else string


def _name(pitch: Pitch) -> str:
    return _signs(str(pitch))


def _signs(text: str) -> str:
    """Sharps and flats as signs; a `b` counts as one behind a letter name or before a digit."""
    text = re.sub(r"(?<=[A-G])bb?|bb?(?=\d)", lambda found: "♭" * len(found[0]), text)
    return text.replace("#", "♯")

"""What `show` prints at the notes besides tablature: degrees, names, chord tones, strings; positions above."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence

from scribe.engrave import ink as draw
from scribe.engrave.canvas import Canvas
from scribe.engrave.hand import Key
from scribe.engrave.ink import GREY, Ink
from scribe.engrave.mei.bar import BarMei
from scribe.engrave.mei.transpose import written_pitch
from scribe.engrave.options import SPACE
from scribe.engrave.rows import Item, set_row
from scribe.music.chord import Chord
from scribe.music.events import Event, Head
from scribe.music.piece import Bar
from scribe.music.pitch import SIGN
from scribe.music.sounding import degree_name

_SIZE = 300.0
_LINE = 1.05 * _SIZE  # between the labels of a stack
_SIGNS = str.maketrans({"b": "♭", "#": "♯"})

Label = Callable[[Bar, Head, Chord | None], str]


def place_labels(canvas: Canvas, bars: Sequence[Bar], meis: Sequence[BarMei]) -> None:
    """Set a row below the notes for each kind that `show` asks for, nearest first: degrees, names, tones, strings."""
    for kind, label in _KINDS.items():
        items = []
        last = ""
        for bar, mei in zip(bars, meis, strict=True):
            if kind not in bar.shown.what or mei.face != "notes":
                continue
            places = dict(mei.notes.at)
            for event, chord in _with_chords(bar):
                head = canvas.head(places.get(event.onset, ""))
                if head is None or event.held or not event.heads:
                    continue
                words = [label(bar, each, chord) for each in event.heads]
                if kind == "strings":
                    # A string is named where it changes, as on a part with fingerings.
                    words, last = (words if words[0] != last else []), words[0] or last
                if any(words):
                    found = _stacked(words)
                    items.append(Item(found, head.middle - found.advance / 2, kind))
        set_row(
            canvas,
            items,
            "below",
            air=0.3 * SPACE,
            nearest=1.5 * SPACE,
            apart=0.15 * SPACE,
            slide=0.4 * SPACE,
        )


def place_fingers(canvas: Canvas, index: int, bar: Bar, mei: BarMei, fingers: Mapping[Key, int]) -> None:
    """Set the fingers above the notes of a bar, those of a stack over each other (0: open string)."""
    if "fingers" not in bar.shown.what or mei.face != "notes":
        return
    places = dict(mei.notes.at)
    for number, event in enumerate(bar.music.events):
        head = canvas.head(places.get(event.onset, ""))
        found = [fingers.get((index, number, each)) for each in range(len(event.heads))]
        if head is None or event.held or all(finger is None for finger in found):
            continue
        what = _stacked([_FINGERS.get(finger, str(finger)) if finger is not None else "" for finger in found])
        assert what.box is not None
        x = head.middle - what.advance / 2
        high = canvas.sky.highest(min(x, head.left), max(x + what.advance, head.right))
        canvas.put(what, x, min(high, canvas.top - 0.2 * SPACE) - 0.25 * SPACE - what.box.bottom, "fingers")


_FINGERS = {5: "T"}  # the thumb on the string


def place_positions(
    canvas: Canvas,
    bars: Sequence[Bar],
    meis: Sequence[BarMei],
    positions: Mapping[Key, int],
    before: Bar | None,
) -> None:
    """Set a Roman numeral above each bar at which `position` changes, and where the hand was found to move, above
    each note at which it does; where `show positions` is on.
    """
    items = []
    typed = before.position if before is not None and "positions" in before.shown.what else None
    held: int | None = None
    for offset, (bar, mei) in enumerate(zip(bars, meis, strict=True)):
        if "positions" not in bar.shown.what:
            typed = held = None
            continue
        here = []
        if bar.position is not None:
            if bar.position != typed:
                here.append((bar.position, canvas.bar(canvas.start + offset).content_left + 0.7 * SPACE))
            held = bar.position
        else:
            places = dict(mei.notes.at)
            for number, event in enumerate(bar.music.events):
                at = positions.get((canvas.start + offset, number, 0))
                head = canvas.head(places.get(event.onset, ""))
                if at is not None and head is not None and not event.held and at != held:
                    here.append((at, head.left))
                    held = at
        typed = bar.position
        for at, x in here:
            items.append(Item(draw.text(roman(at), "serif-semibold", 340.0), x, "position"))
    set_row(canvas, items, "above", air=0.6 * SPACE, nearest=0.8 * SPACE, apart=0.5 * SPACE)


def roman(number: int) -> str:
    """Return a number from 1 to 39 in Roman numerals."""
    tens, ones = divmod(number, 10)
    return "X" * tens + ("", "I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX")[ones]


def _with_chords(bar: Bar) -> Iterator[tuple[Event, Chord | None]]:
    """The events of a bar, each with the chord in force."""
    chord = bar.in_force.chord
    changes = list(bar.music.chords)
    for event in bar.music.events:
        while changes and changes[0].onset <= event.onset:
            chord = changes.pop(0).chord
        yield event, chord


def _stacked(words: Sequence[str]) -> Ink:
    """The labels of a stack over each other, the highest note's first."""
    inks = [draw.text(word, "sans-semibold", _SIZE).tinted(GREY) for word in reversed(words)]
    wide = max(ink.advance for ink in inks)
    moved = [ink.shift((wide - ink.advance) / 2, line * _LINE) for line, ink in enumerate(inks)]
    return draw.lay(*moved, text=" ".join(word for word in reversed(words) if word), size=_SIZE, advance=wide)


def _degree(bar: Bar, head: Head, chord: Chord | None) -> str:  # noqa: ARG001 - all kinds are called alike
    return degree_name(head.pitch, bar.in_force).translate(_SIGNS) if head.kind == "note" else ""


def _name(bar: Bar, head: Head, chord: Chord | None) -> str:  # noqa: ARG001
    if head.kind != "note":
        return ""
    pitch = written_pitch(head.pitch, bar.in_force.instrument, bar.in_force.key)
    return pitch.letter + SIGN.get(pitch.alter, "")


def _tone(bar: Bar, head: Head, chord: Chord | None) -> str:  # noqa: ARG001
    if head.kind != "note" or chord is None:
        return ""
    return next(
        (
            tone.label.translate(_SIGNS)
            for tone in chord.tones
            if tone.name == (head.pitch.letter, head.pitch.alter)
        ),
        "",
    )


def _string(bar: Bar, head: Head, chord: Chord | None) -> str:  # noqa: ARG001
    tuning = bar.in_force.tuning
    if head.string is None or not 1 <= head.string <= len(tuning):
        return ""
    pitch = tuning[len(tuning) - head.string]
    return pitch.letter + SIGN.get(pitch.alter, "")


_KINDS: dict[str, Label] = {"degrees": _degree, "names": _name, "tones": _tone, "strings": _string}

"""One bar as MEI: its staff, the stand-ins that make Verovio keep room for chord symbols, and where words stand.

Remembered for as long as the bar's notes and written values are the same objects, which the compiler keeps while
the bar's text and what is in force stay the same.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, NamedTuple

from scribe.engrave.mei.accidentals import Altered
from scribe.engrave.mei.notes import BarNotes, write_notes
from scribe.engrave.mei.transpose import written_chord
from scribe.engrave.mei.values import beat_grid, beats_of
from scribe.engrave.mei.widths import stretch
from scribe.music.events import PlacedChord, PlacedWord
from scribe.music.piece import Bar

Face = Literal["notes", "rests", "repeat", "double repeat", "todo", "broken"]

LETTER = 112.6  # page units of one stand-in letter: an `i` of Verovio's text font at its usual size
_EASY = 0.75  # a chord symbol that takes less of the room over its notes needs no stand-in
_FALL = 5  # stand-in letters as wide as a head and the fall behind it
_AIR = 60.0  # what Verovio adds between two chord symbols of its own
START = ""  # the anchor of words at a bar's start that has no note there
END = "|"  # the anchor of words behind a bar's last note: they stand before the barline, to its left

_TUPLET = re.compile(r' bracket\.visible="\w+"')
_CELL = '<space dur="1"/>'
_UNSEEN = ' bracket.visible="false" num.visible="false"'

ChordWidth = Callable[[PlacedChord], float]


class Anchored(NamedTuple):
    """A chord or a word and the id of what it stands over: a note, a rest, a stand-in, START or END."""

    item: PlacedChord | PlacedWord
    anchor: str


@dataclass(frozen=True, slots=True)
class BarMei:
    """A bar as MEI, made for engraving.

    `staff` is the content of its measure without what leads over a barline; `chords` and `words` say what we draw
    above it and at which id. `pushes`: its last chord symbol needs room that the next one must leave; `first`: the
    stand-in by which its own first one is pushed, where `staff` has none.
    """

    face: Face
    staff: str
    notes: BarNotes
    chords: tuple[Anchored, ...]
    words: tuple[Anchored, ...]
    pushes: bool
    first: str

    @property
    def altered(self) -> Altered:
        return self.notes.altered


_NO_NOTES = BarNotes("", (), (), (), (), (), (), (), (), ())
_Key = tuple[object, ...]
_kept: dict[_Key, tuple[object, BarMei]] = {}
_KEEP = 1536


def write_bar(bar: Bar, before: Altered, chord_width: ChordWidth) -> BarMei:
    """Return the bar as MEI; `before` is what accidentals the bar before left behind, `chord_width` in page units."""
    key = (bar.id, id(bar.music), id(bar.written), before, bar.rests, bar.repeat_part, chord_width)
    found = _kept.get(key)
    # The bar kept beside the result holds the objects alive whose identity is in the key.
    if found is not None:
        return found[1]
    if len(_kept) >= _KEEP:
        _kept.clear()
    made = _write(bar, before, chord_width)
    _kept[key] = (bar, made)
    return made


def face_of(bar: Bar) -> Face:
    """Return what kind of content the bar shows."""
    if bar.rests:
        return "rests"
    if bar.music.broken:
        return "broken"
    if bar.repeat == 2:
        return "double repeat"
    if bar.repeat == 1:
        return "repeat"
    events = bar.music.events
    if bar.music.todo or not bar.written.notes or (events and all(event.todo for event in events)):
        return "todo"
    return "notes"


def _write(bar: Bar, before: Altered, chord_width: ChordWidth) -> BarMei:
    face = face_of(bar)
    notes = write_notes(bar, before) if face == "notes" else _NO_NOTES
    layer = {
        "notes": notes.layer,
        "rests": f'<multiRest num="{bar.rests}"/>' if bar.rests > 1 else "<mRest/>",
        "repeat": '<mRpt num.visible="false"/>',
    }.get(face, "")
    length = bar.music.length or bar.in_force.bar_length
    # Where notes and rests stand on every beat, they hold the bar open by themselves.
    places = dict(notes.at)
    beats = beats_of(bar.in_force.metre, length)
    on_beats = beats <= places.keys()
    grid = "" if bar.rests > 1 or on_beats else beat_grid(bar.in_force.metre, length)
    if face == "double repeat":
        grid = _CELL  # one sign for two bars: together little more than a plain one
    if not layer:  # nothing to see: the grid alone
        layer, grid = grid, ""
    second = f'<layer n="2">{grid}</layer>' if grid else ""
    stands: list[str] = []
    beat = Fraction(4, bar.in_force.metre.unit)

    def stand(onset: Fraction, id: str, letters: int, row: int = 1) -> str:
        stands.append(_stand(onset / beat, id, letters, row))
        return id

    for place, (onset, after) in enumerate(_falls(notes)):
        # Two stand-ins of a row of their own hold the note and what follows so far apart that a fall fits between.
        stand(onset, f"{bar.id}-f{place}", _FALL, row=2)
        stand(after, f"{bar.id}-f{place}e", 1, row=2)

    onsets = [*{*map(float, places), *map(float, beats)}]
    chords: list[Anchored] = []
    pushes, first = False, ""
    ends = [*(chord.onset for chord in bar.music.chords[1:]), length]
    for placed, end in zip(bar.music.chords, ends, strict=False):
        chord = written_chord(placed, bar.in_force)
        wide, anchor, id = chord_width(chord), places.get(chord.onset), f"{bar.id}-c{chord.span.start}"
        pushed = pushes  # a stand-in pushes only the next one: what follows it needs one too
        pushes = wide + _AIR > _EASY * stretch(onsets, float(chord.onset), float(end))
        if anchor is None or pushes or pushed:
            anchor = stand(chord.onset, id, letters_for(wide) if pushes or anchor is None else 1)
            places.setdefault(chord.onset, anchor)
        elif not chords:
            first = _stand(chord.onset / beat, id, 1)
        chords.append(Anchored(chord, anchor))
    words = []
    for word in bar.music.words:
        anchor = places.get(word.onset)
        if anchor is None and word.onset >= length:
            anchor = END  # no stand-in: at the barline it would take time, and room behind it
        elif anchor is None:
            anchor = START
            if word.onset and bar.rests <= 1:
                anchor = stand(word.onset, f"{bar.id}-w{word.span.start}", 1)
                places[word.onset] = anchor
        words.append(Anchored(word, anchor))
    layer = _TUPLET.sub(_UNSEEN, layer)
    staff = f'<staff n="1"><layer n="1">{layer}</layer>{second}</staff>{"".join(stands)}'
    return BarMei(face, staff, notes, tuple(chords), tuple(words), pushes, first)


def _stand(beats: Fraction, id: str, letters: int, row: int = 1) -> str:
    """A stand-in: text that is not shown, so many letters wide."""
    at = f"{float(1 + beats):.5f}".rstrip("0").rstrip(".")
    return f'<harm xml:id="{id}" n="{row}" staff="1" tstamp="{at}">{"i" * letters}</harm>'


def _falls(notes: BarNotes) -> list[tuple[Fraction, Fraction]]:
    """The onsets of the notes that fall off, each with the onset of what follows in the bar."""
    order = [id for _, id in notes.at]
    found = []
    for sign in notes.signs:
        if sign.kind == "fall" and sign.id in order:
            place = order.index(sign.id)
            if place + 1 < len(order):
                found.append((notes.at[place][0], notes.at[place + 1][0]))
    return found


def letters_for(width: float) -> int:
    """Return how many stand-in letters are as wide as a chord symbol of `width` page units."""
    return max(1, round((width + _AIR) / LETTER))

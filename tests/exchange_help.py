"""What the tests of exchange share: everything that a draft says, as plain values."""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from scribe.exchange.draft import write_draft
from scribe.exchange.reading import take
from scribe.music.events import Event
from scribe.music.piece import Piece
from scribe.pipeline import compile


class Said(NamedTuple):
    """All that a piece says, apart from how its text is laid out. Times in quarters from the start."""

    notes: list[tuple[object, ...]]
    chords: list[tuple[Fraction, str, bool]]
    words: list[tuple[Fraction, str, str]]
    bars: list[tuple[Fraction, str]]
    marks: list[tuple[Fraction, str]]


def said(piece: Piece) -> Said:
    """Notes with their marks, chords, words, keys and metres, barlines, sections, tempos, feels."""
    out = Said([], [], [], [], [])
    at = Fraction(0)
    for bar in piece.bars:
        if bar.music.todo:
            out.notes.append((at, bar.music.length, "to do"))
        for place, event in enumerate(bar.events):
            if not event.heads:
                if event.todo:
                    out.notes.append((at + event.onset, event.length, "to do"))
                continue
            tied = place == 0 and event.held and bar.tied
            out.notes.append((at + event.onset, event.length, tied, *_event(event, tied)))
        out.chords.extend((at + c.onset, c.name, c.doubtful) for c in bar.music.chords)
        out.words.extend(sorted((at + w.onset, w.kind, w.text) for w in bar.music.words))
        force = bar.in_force
        frame = f"{force.key} {force.metre.count}/{force.metre.unit} {force.feel.name}"
        out.bars.extend([(bar.music.length, frame)] * (bar.rests or 1))
        for what in (bar.section, f"ending {bar.endings}" if bar.ending_starts else ""):
            if what:
                out.marks.append((at, what))
        if bar.left == "repeat start":
            out.marks.append((at, "|:"))
        if bar.tempo is not None:
            out.marks.append((at, str(bar.tempo)))
        at += bar.music.length * (bar.rests or 1)
        if bar.right in ("repeat end", "repeat both"):
            out.marks.append((at, ":|"))
    return out


def _event(event: Event, tied: bool) -> tuple[object, ...]:
    heads = tuple(
        (h.kind, str(h.pitch) if h.kind == "note" else "", h.ghost and not tied, h.doubtful and not tied)
        for h in event.heads
    )
    places = tuple((h.string, h.fret) for h in event.heads if not tied and h.kind == "note")
    graces = tuple((str(g.head.pitch), g.connector) for g in event.graces)
    return heads, places, graces, event.connector, tuple(sorted(event.marks))


def piece_of(text: str) -> Piece:
    """A draft compiled, its errors none."""
    compiled = compile(text)
    assert [d.message for d in compiled.diagnostics if d.severity == "error"] == [], text
    return compiled.piece


def comparable(piece: Piece) -> Said:
    """What a piece says, less what printed music cannot tell: how a hammer-on leads out of a silence, to a note or a
    grace note, and which way a slide to a pitch goes (up to a higher one, down to a lower one)."""
    found = said(piece)
    notes: list[tuple[object, ...]] = []
    end = None
    for row in found.notes:
        if len(row) > 3:
            *front, graces, connector, marks = row
            from_silence = end != row[0]
            if str(connector).startswith("slide"):
                connector = "slide"
            elif from_silence and not graces:
                connector = ""
            if from_silence and graces:
                (first, _), *others = graces  # type: ignore[misc]
                graces = ((first, ""), *others)
            row = (*front, graces, connector, marks)
        end = row[0] + row[1] if len(row) > 3 else None  # type: ignore[operator]
        notes.append(row)
    return found._replace(notes=notes)


def without_added_pins(theirs: Said, mine: Said) -> Said:
    """What came back without the strings and frets of notes that had none in the draft: a shown hand goes out too."""
    pins = {(row[0], row[3]): row[4] for row in mine.notes if len(row) > 3}
    notes = [
        (*row[:4], tuple((None, None) for _ in row[4]), *row[5:])  # type: ignore[attr-defined]
        if len(row) > 3 and not any(string for string, _ in pins.get((row[0], row[3]), ((1, 1),)))  # type: ignore[attr-defined]
        else row
        for row in theirs.notes
    ]
    return theirs._replace(notes=notes)


def bar_of(inside: str, divisions: int = 0, head: str = "") -> str:
    """One MusicXML measure in 4/4; with `divisions`, the first one with its clef. `head`: more of its attributes."""
    attributes = (
        f"<attributes><divisions>{divisions}</divisions><key><fifths>0</fifths></key>"
        f"<time><beats>4</beats><beat-type>4</beat-type></time>{head}"
        "<clef><sign>F</sign><line>4</line></clef></attributes>"
    )
    return f"<measure>{attributes if divisions else ''}{inside}</measure>"


def part_of(measures: list[str], name: str = "Cello") -> bytes:
    """A MusicXML score of one part."""
    return score_of([(name, measures)])


def score_of(parts: list[tuple[str, list[str]]]) -> bytes:
    """A MusicXML score: names of parts, and their measures, numbered here."""
    names = "".join(
        f'<score-part id="P{i}"><part-name>{name}</part-name></score-part>'
        for i, (name, _) in enumerate(parts, 1)
    )
    music = ""
    for i, (_, measures) in enumerate(parts, 1):
        numbered = [m.replace("<measure", f'<measure number="{n}"', 1) for n, m in enumerate(measures, 1)]
        music += f'<part id="P{i}">{"".join(numbered)}</part>'
    return (f'<score-partwise version="4.0"><part-list>{names}</part-list>{music}</score-partwise>').encode()


def note(pitch: str, duration: int = 4, more: str = "", behind: str = "", voice: int = 1) -> str:
    """One note, four divisions a quarter; `.` is a rest. `more` stands before its pitch, `behind` at its end."""
    kind = {16: "whole", 8: "half", 4: "quarter", 2: "eighth"}[duration]
    what = "<rest/>" if pitch == "." else f"<pitch><step>{pitch[0]}</step><octave>{pitch[1]}</octave></pitch>"
    return f"<note>{more}{what}<duration>{duration}</duration><voice>{voice}</voice><type>{kind}</type>{behind}</note>"


def notes(*pitches: str, duration: int = 4, voice: int = 1) -> str:
    """Notes of one length."""
    return "".join(note(pitch, duration, voice=voice) for pitch in pitches)


def words(text: str) -> str:
    """Words above the staff."""
    return f"<direction><direction-type><words>{text}</words></direction-type></direction>"


def sign(name: str) -> str:
    """A segno or a coda."""
    return f"<direction><direction-type><{name}/></direction-type></direction>"


LINE = notes("C3", "D3", "E3", "F3")
BACK = "<backup><duration>16</duration></backup>"


def draft(data: bytes, **asked: object) -> str:
    """The music lines and comments of what is made of a score, its heading left out."""
    made = write_draft(take(data, **asked).line).text  # type: ignore[arg-type]
    return "\n".join(line for line in made.splitlines() if line.lstrip()[:1] in ("|", ";", "["))


def direction(inside: str) -> str:
    """One direction of any kind."""
    return f"<direction><direction-type>{inside}</direction-type></direction>"

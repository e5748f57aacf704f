"""Which line of a score is taken, and in which way it is written."""

from __future__ import annotations

import pytest
from music21 import (
    chord,
    stream,
)

from scribe.exchange.draft import write_draft
from scribe.exchange.m21 import read_line
from scribe.exchange.model import Cannot
from scribe.exchange.out.musicxml import musicxml
from scribe.exchange.reading import take
from scribe.exchange.way import best_way
from tests.exchange_help import piece_of
from tests.m21_help import line_of, music, notes, part_of


def three_parts() -> stream.Score:
    """A tune, a line of two voices, and low chords."""
    score = part_of(notes("C5 D5 E5 F5", [1] * 4))
    for name, measure in (("Two", stream.Measure()), ("Low", stream.Measure())):
        part = stream.Part()
        part.partName = name
        if name == "Two":
            for pitches in ("E4 F4 G4 A4", "C4 C4 C4 C4"):
                voice = stream.Voice()
                voice.append(notes(pitches, [1] * 4))
                measure.insert(0, voice)
        else:
            low = chord.Chord(["C2", "G2"])
            low.quarterLength = 4
            measure.append(low)
        part.append(measure)
        score.insert(0, part)
    return score


def test_the_lowest_single_line_is_taken() -> None:
    """Chords are passed over for the lowest voice that plays one note at a time."""
    _, chosen, found = read_line(three_parts())
    assert (str(chosen), len(found)) == ("part 2 (Two, voice 2)", 4)


def test_part_and_voice_by_name_and_number() -> None:
    """What is asked for is taken, chords too."""
    assert str(read_line(three_parts(), "low")[1]) == "part 3 (Low)"
    assert str(read_line(three_parts(), "2", 1)[1]) == "part 2 (Two, voice 1)"
    with pytest.raises(Cannot, match="no voice 5"):
        read_line(three_parts(), "2", 5)


def test_strings_and_frets_of_a_tablature_staff() -> None:
    """A staff of notes over one of tablature: the notes with their places, once."""

    def measure(staff: int, octave: int, extra: str) -> str:
        return "".join(
            f"<note><pitch><step>{step}</step><octave>{octave}</octave></pitch><duration>2</duration><voice>{staff}"
            f"</voice><type>half</type><staff>{staff}</staff>{extra.format(string, fret) if extra else ''}</note>"
            for step, string, fret in (("G", 4, 3), ("B", 3, 2))
        )

    technical = "<notations><technical><string>{}</string><fret>{}</fret></technical></notations>"
    data = (
        '<score-partwise><part-list><score-part id="P1"><part-name>Bass</part-name></score-part></part-list>'
        '<part id="P1"><measure number="1"><attributes><divisions>1</divisions><key><fifths>0</fifths></key><time>'
        "<beats>4</beats><beat-type>4</beat-type></time><staves>2</staves><clef number='1'><sign>F</sign><line>4</line>"
        "</clef><clef number='2'><sign>TAB</sign><line>5</line></clef><transpose><diatonic>0</diatonic>"
        "<chromatic>0</chromatic><octave-change>-1</octave-change></transpose></attributes>"
        f"{measure(1, 2, '')}<backup><duration>4</duration></backup>{measure(2, 2, technical)}"
        "</measure></part></score-partwise>"
    )
    made = write_draft(take(data.encode()).line)
    assert music(made) == "|g:E b:A"
    assert made.unsaid == ()


def test_the_way_of_writing_is_chosen() -> None:
    """Letters as a rule; frets where the source has them; degrees where accidentals make letters dear."""
    plain = line_of(part_of(notes("C3 D3 E3 F3", [1] * 4)))
    assert best_way(plain) == "letter"
    blue = line_of(part_of(*[notes("C3 E-3 B-3 A-3", [1] * 4) for _ in range(2)]))
    assert best_way(blue) == "degree"
    text = write_draft(blue, "degree")
    assert "b3" in music(text)
    assert text.unsaid == ()
    placed = take(musicxml(piece_of("key C\n| A:3:5 D:2:3 A:3 E:3 |"))).line
    assert best_way(placed) == "fret"
    assert music(write_draft(placed, "fret")) == "|A:3:5 D:2:3 A:3 E:3" or "A:3" in music(
        write_draft(placed, "fret")
    )

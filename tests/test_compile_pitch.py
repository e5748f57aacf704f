"""Typed names become one spelled, sounding pitch each."""

from __future__ import annotations

import pytest

from scribe import compile
from tests.drafts import codes, notes, pitches


@pytest.mark.parametrize(
    ("draft", "expected"),
    [
        # Letters through the key, capitals exact.
        ("key G minor\n| b B Bb e |", "Bb1 B1 Bb1 Eb2"),
        ("key G minor\n| b# bn Bw B## |", "B#1 B1 Bbb1 B##1"),
        ("key A\n| c C c# g |", "C#2 C2 C#2 G#1"),
        # After a capital one b belongs to it and the next is a note; after a small letter b is always a note.
        ("| Bb Bbb ab a |", "Bb1 Bb1 B1 A1 B1 A1"),
        # Contour: nearest on the staff, accidentals not counted; home is the open A string.
        ("| a d g c |", "A1 D2 G2 C3"),
        ("| e e ^e ve |", "E1 E1 E2 E1"),
        ("| f B f B |", "F1 B1 F1 B1"),
        ("| g ^g vvg vg |", "G1 G2 G0 G-1"),
        # Each bar starts again from home.
        ("| a d g c | a |", "A1 D2 G2 C3 A1"),
        ("home G:12\n| g a |", "G3 A3"),
        ("home G3\n| g a |", "G3 A3"),
        # Degrees: of the key against the major scale, of the chord from its root.
        ("key G minor\n| 1 b3 4 #4 |", "G1 Bb1 C2 C#2"),
        ("key G minor\n| 3 b7 7 5 |", "B1 F1 F#1 D1"),
        ("degrees chord\n| @Ebmaj7 1 3 5 7 |", "Eb1 G1 Bb1 D2"),
        ("degrees chord\n| @C/E 1 3 @Am 1 b3 |", "C2 E2 A2 C3"),
        # Frets are absolute; the next letter is the nearest in semitones, a tritone going up.
        ("| E:0 A:12 D:2 G:4 |", "E1 A2 E2 B2"),
        ("| A:3:5:7 g |", "C2 D2 E2 G2"),
        ("| A:2 F |", "B1 F2"),
        ("strings D A D G\n| d:5 D:5 |", "G1 G2"),
        # Stacks: each the nearest above the one before, ^ an octave more; the contour runs from the lowest.
        ("| e+b a |", "E1 B1 A1"),
        ("| g+b+^d g |", "G1 B1 D3 G1"),
        # Grace notes, dead and unheard notes leave the contour alone.
        ("| e ,ag x g |", "E1 A1 G1 x G1"),
        ("| e u x a |", "E1 u x A1"),
    ],
)
def test_each_word_gives_its_pitches(draft: str, expected: str) -> None:
    """What is typed on the left sounds as on the right (the language's own examples; common practice)."""
    assert pitches(draft) == expected


def test_a_dead_note_stands_where_the_note_before_it_stood() -> None:
    """`x` takes the staff place of the note before it in the bar, else of home, or of the open string named."""
    bars = compile("| g x x:D x |\n| x a |").piece.bars
    heads = [str(e.heads[0].pitch) for b in bars for e in b.events]
    assert heads == ["G1", "G1", "D2", "G1", "A1", "A1"]


def test_a_dead_note_lies_on_the_string_of_the_note_before_it() -> None:
    """Without a string of its own `x` stays where the hand is, if that is known."""
    bars = compile("| A:3x x:D x b | g x . . |").piece.bars
    assert [e.heads[0].string for e in bars[0].events] == [3, 3, 2, 3, None]
    assert [e.heads[0].string for e in bars[1].events[:2]] == [None, None]


def test_the_beat_word_once_more_is_the_same_pitches() -> None:
    """`/` is the word before it once more, not its octave marks read again."""
    assert pitches("| ^gb / / . |") == "G2 B2 G2 B2 G2 B2"


def test_a_pin_gives_string_and_fret() -> None:
    """`c:E` is C on the E string: fret 8; strings are numbered from the highest, as in MusicXML."""
    note = notes("| c:E . . . |")[0]
    assert (str(note.pitch), note.string, note.fret) == ("C2", 4, 8)


def test_written_and_sounding_octave_are_kept_apart() -> None:
    """The draft and the note list speak in sounding pitch: open E is E1, MIDI 28 (open-string table, MIDI 1.0)."""
    low, high = notes("| E:0 G:24 . . |")
    assert (str(low.pitch), low.midi) == ("E1", 28)
    assert (str(high.pitch), high.midi) == ("G4", 67)


@pytest.mark.parametrize(
    ("draft", "degrees"),
    [("key G minor\n| g b d F# |", "1 b3 5 7"), ("key Eb\n| Eb Gb An Bb |", "1 b3 #4 5")],
)
def test_the_note_list_names_degrees_of_the_key(draft: str, degrees: str) -> None:
    """Degrees count against the major scale of the tonic, whatever the mode (common practice)."""
    assert " ".join(n.degree for n in notes(draft)) == degrees


def test_marks_and_connectors_reach_the_note_list() -> None:
    """Everything typed about a note stands in its marks."""
    found = notes("| qg> ~a* hb_ pa'v | g? (d) /e\\ c'h |")
    assert [n.marks for n in found] == [
        ("accent", "ghost"),
        ("slur", "staccato"),
        ("hammer", "tenuto"),
        ("pull", "vibrato"),
        ("doubtful",),
        ("ghost",),
        ("slide up", "fall"),
        ("held",),
    ]


def test_under_slap_an_unmarked_note_is_thumbed() -> None:
    """`'slap` thumbs what is not popped, until another way of playing takes over."""
    found = notes("| 'slap g g'p 'fingers g g | g . . . |")
    assert [n.marks for n in found] == [("thumb",), ("popped",), (), (), ()]


def test_slapping_goes_on_in_the_next_bar() -> None:
    """A playing direction is in force until it ends."""
    assert [n.marks for n in notes("| 'slap g . . . | g . . . |")] == [("thumb",), ("thumb",)]


def test_use_moves_a_section() -> None:
    """`use A up P4` writes the bars of A again a fourth higher, chords and all."""
    found = notes("[A]\n| @G7 g b d f |\nuse A up P4\n")
    assert " ".join(str(n.pitch) for n in found) == "G1 B1 D2 F2 C2 E2 G2 Bb2"
    assert [n.chord for n in found] == ["G7"] * 4 + ["C7"] * 4


def test_degree_of_the_chord_without_a_chord_costs_that_bar_only() -> None:
    """Before any chord a degree of the chord is an error for its bar, and for no other."""
    assert codes("degrees chord\n| 1 3 5 3 | @G7 1 3 5 3 |") == ["degree-no-chord"]


def test_a_transposing_instrument_starts_from_its_middle_line() -> None:
    """`instrument alto sax`: home is the staff's middle line (written B4) at its sounding pitch, D4."""
    assert pitches("instrument alto sax\n| d . . . |") == "D4"


def test_many_bars_outside_the_range_are_one_remark() -> None:
    """Up to four are told one by one; more are one mistake, and the remark says how many bars it holds."""
    assert codes("| ^^^^^c a b d " * 4 + "|") == ["outside-range"] * 4
    (told,) = compile("| ^^^^^c a b d " * 9 + "|\n").diagnostics
    assert "notes of 8 more bars" in told.message

"""Values of directives: which have the form of one, and the mends of those that do not."""

from __future__ import annotations

import pytest

from scribe.source.directives import FORMS
from scribe.source.read import read
from scribe.source.tree import Directive
from tests.read_help import codes, faults, mended

GOOD = {
    "title": ["Night Bus Home", "Rock ’n’ Roll | Part 2", "a: b = c"],
    "composer": ["N. N."],
    "player": ["N. N."],
    "recording": ["take 3.flac", "../audio/a;b.mp3"],
    "key": ["G", "G minor", "Bb dorian", "F# mixolydian", "g Minor", "C aeolian"],
    "time": ["4/4", "12/8", "7/8 2+2+3", "5/4 3+2", "2/2", "3 / 4"],
    "tempo": ["126", "92.5", "dotted-quarter 92", "Medium swing 152",
              "Slow blues dotted quarter 60", "half = 80", "Rubato"],
    "feel": ["straight", "swing", "swing 16ths", "swing 3:2", "swing 16ths 5:3", "shuffle", "triplet"],
    "enharmonic": ["check", "fix", "sharps", "flats", "free"],
    "degrees": ["key", "chord"],
    "strings": ["E A D G", "B E A D G", "D A D G", "Eb Ab Db Gb", "B0 E1 A1 D2 G2 C3"],
    "instrument": ["bass", "double bass", "alto sax", "trumpet"],
    "home": ["A:0", "A1", "Bb2", "G:12", "d:5"],
    "pickup": ["1", "1/2", "3", "1 1/2"],
    "short": ["2", "1/2"],
    "rest": ["1", "8", "128"],
    "ending": ["1", "2", "1,2", "1, 2"],
    "layout": ["lines", "4", "fit", "page A4", "page letter", "4 page letter"],
    "show": ["tab", "tab fingers", "degrees, names", "none", "tones"],
    "position": ["5", "12", "free"],
    "use": ["A", "A up P4", "A bars 3-4", "Verse 1 down m3", "A bars 3-4 up P8", "[A]"],
}  # fmt: skip


def test_every_directive_is_tried() -> None:
    """The list above leaves no directive out."""
    assert set(GOOD) == set(FORMS)


@pytest.mark.parametrize(("name", "value"), [(n, v) for n, values in GOOD.items() for v in values])
def test_good_value(name: str, value: str) -> None:
    """A good value is taken as typed, with its place, whatever blanks and comment stand around it."""
    text = f"  {name}   {value}  ; why\n"
    (line,) = read(text).lines
    assert isinstance(line, Directive)
    assert (line.name, line.text) == (name, value)
    assert text[line.value_span.start : line.value_span.end] == value
    assert text[line.span.start : line.span.end] == f"{name}   {value}"
    assert codes(text) == []


BAD = [
    ("key", "Gm", "G minor"),
    ("key", "Bb dorain", "Bb dorian"),
    ("key", "H", "B"),
    ("key", "h-moll", "B minor"),
    ("key", "Fis", "F#"),
    ("key", "As-Dur", "Ab major"),
    ("key", "minor G", "G minor"),
    ("key", "of G", "G"),
    ("key", "K", None),
    ("key", "E-flat minor", "Eb minor"),
    ("time", "4", "4/4"),
    ("time", "C", "4/4"),
    ("time", "4/5", None),
    ("time", "7/8 2-2-3", "7/8 2+2+3"),
    ("time", "7/8 2+2+2", None),
    ("tempo", "120 bpm", "120"),
    ("tempo", "Q. 62", "dotted-quarter 62"),
    ("tempo", "q 132", "quarter 132"),
    ("tempo", "\u2669. = 60", "dotted-quarter 60"),
    ("tempo", "Swing \u2669=140", "Swing quarter 140"),
    ("tempo", "minim=60", "half 60"),
    ("tempo", "Slow dotted crotchets 50", "Slow dotted quarter 50"),
    ("show", "chords fingers", "fingers"),
    ("tempo", "0", None),
    ("feel", "swung", "swing"),
    ("feel", "swing 2/1", "swing 2:1"),
    ("feel", "swing16ths", "swing 16ths"),
    ("feel", "straight 3:2", "straight"),
    ("feel", "shufle", "shuffle"),
    ("enharmonic", "sharp", "sharps"),
    ("degrees", "chords", "chord"),
    ("strings", "EADG", "E A D G"),
    ("strings", "E, A, D, G", "E A D G"),
    ("home", "A", "A:0"),
    ("home", "C", "C2"),
    ("home", "bb", "Bb1"),
    ("home", "low E", "E:0"),
    ("home", "A string", "A:0"),
    ("home", "low", None),
    ("feel", "swing 60%", "swing 3:2"),
    ("feel", "swing 66%", "swing 2:1"),
    ("feel", "swing 40%", None),
    ("time", "4/4 swing", "4/4"),
    ("key", "G, 4/4", "G\ntime 4/4"),
    ("strings", "drop D", "D A D G"),
    ("strings", "low B", "B E A D G"),
    ("layout", "4 bars per line", "4"),
    ("show", "tab on", "tab"),
    ("show", "tablature and fingering", "tab fingers"),
    ("ending", "2nd", "2"),
    ("pickup", "1.5 beats", "1 1/2"),
    ("pickup", "eighth", None),
    ("use", "A transposed up a fourth", "A up P4"),
    ("time", "3+2/8", "5/8 3+2"),
    ("time", "(2+2+3)/8", "7/8 2+2+3"),
    ("feel", "16th swing", "swing 16ths"),
    ("feel", "swing 16", "swing 16ths"),
    ("feel", "half-time", None),
    ("rest", "four", "4"),
    ("pickup", "one", "1"),
    ("ending", "first", "1"),
    ("position", "VII", "7"),
    ("position", "fifth", "5"),
    ("position", "high", None),
    ("pickup", "0.5", "1/2"),
    ("pickup", "1.5", "1 1/2"),
    ("short", "2 beats", "2"),
    ("rest", "8 bars", "8"),
    ("rest", "0", None),
    ("ending", "1.", "1"),
    ("ending", "1-2", "1,2"),
    ("layout", "A4", "page A4"),
    ("layout", "4 bars", "4"),
    ("show", "finger", "fingers"),
    ("show", "tab + degrees", "tab degrees"),
    ("position", "5th", "5"),
    ("use", "A up 4", "A up P4"),
    ("use", "A down octave", "A down P8"),
    ("use", "up P4", None),
]


@pytest.mark.parametrize(("name", "value", "mend"), BAD)
def test_bad_value(name: str, value: str, mend: str | None) -> None:
    """A bad value is one fault that says what is expected; the line is left out; a near value is offered."""
    text = f"{name} {value}"
    draft = read(text)
    assert draft.lines == ()
    (found,) = faults(draft)
    assert found.code == f"{name}-value"
    assert text[found.span.start : found.span.end] == value
    assert "expected" in found.message
    if mend is None:
        assert all(hint.replacement is None for hint in found.hints)
    else:
        assert mended(text, found) == f"{name} {mend}"
        assert codes(f"{name} {mend}") == []

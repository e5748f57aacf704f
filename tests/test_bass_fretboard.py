"""The neck of the bass against published tables and the formula of equal temperament."""

from __future__ import annotations

from math import log2

import pytest

from scribe.bass.fretboard import NODES, fretboard, neck_of
from scribe.music.instrument import BASS, find_instrument
from scribe.music.tuning import STANDARD, places

# Distance from the nut in mm on a 34-inch scale: L·(1 − 2^(−n/12)), computed.
DISTANCES = {1: 48.47, 2: 94.22, 3: 137.40, 5: 216.63, 7: 287.22, 12: 431.80, 17: 540.12, 24: 647.70}
# Span in cm from fret p over so many frets (computed from the same formula).
SPANS = [(1, 3, 13.0), (2, 3, 12.2), (3, 3, 11.6), (5, 3, 10.3), (7, 4, 11.9), (12, 5, 10.8)]
# Strings, frets, lowest and highest MIDI number (open string + fret).
RANGES = [
    ("E A D G", 20, 28, 63),
    ("E A D G", 24, 28, 67),
    ("B E A D G", 24, 23, 67),
    ("B E A D G C", 24, 23, 72),
    ("D A D G", 21, 26, 64),
]


@pytest.mark.parametrize(("fret", "mm"), DISTANCES.items())
def test_frets_lie_where_equal_temperament_puts_them(fret: int, mm: float) -> None:
    """Millimetres from the nut, 34-inch scale."""
    assert fretboard().nut_distance(fret) == pytest.approx(mm, abs=0.006)


@pytest.mark.parametrize(("low", "frets", "cm"), SPANS)
def test_spans_between_frets(low: int, frets: int, cm: float) -> None:
    """Wire to wire, in centimetres."""
    assert fretboard().span(low, low + frets) / 10 == pytest.approx(cm, abs=0.051)


def test_a_players_own_measure_of_two_scales() -> None:
    """Frets 1 to 4: 5.1 inches on a 34-inch neck, 4.5 on a 30-inch one (a player's published measurement)."""
    assert fretboard(scale=34 * 25.4).span(1, 4) / 25.4 == pytest.approx(5.1, abs=0.05)
    assert fretboard(scale=30 * 25.4).span(1, 4) / 25.4 == pytest.approx(4.5, abs=0.05)


@pytest.mark.parametrize(("strings", "frets", "low", "high"), RANGES)
def test_sounding_and_written_range(strings: str, frets: int, low: int, high: int) -> None:
    """Open strings and last frets; bass parts are written an octave above their sound (handbook tables)."""
    neck = fretboard(strings, frets)
    assert neck.sounding_range == (low, high)
    assert [pitch.midi for pitch in neck.written_range()] == [low + 12, high + 12]


def test_every_place_of_a_pitch() -> None:
    """E2 on four strings has three places: E/12, A/7, D/2 (computed); octave digits name the same strings."""
    assert fretboard().places(40) == [(2, 2), (3, 7), (4, 12)]
    assert fretboard("E1 A1 D2 G2") == fretboard("E A D G")
    assert fretboard(frets=20).places(64) == []
    for midi in range(20, 80):
        assert fretboard().places(midi) == places(midi, STANDARD)


def test_places_sound_what_they_are_asked_for() -> None:
    """Going back from a place gives the pitch, on five strings tuned otherwise too."""
    neck = fretboard("A D G C F", 22)
    for midi in range(20, 80):
        for string, fret in neck.places(midi):
            assert neck.midi(string, fret) == midi


def test_natural_harmonics_lie_on_the_nodes() -> None:
    """The n-th harmonic is 12·log2(n) semitones up and is touched at k/n of the string (acoustics)."""
    for semitones, frets in NODES.items():
        number = round(2 ** (semitones / 12))
        assert round(12 * log2(number)) == semitones
        nodes = {round(12 * log2(number / (number - k))) for k in range(1, number)}
        assert set(frets) <= nodes
    assert fretboard().touches(55) == [(1, 12)]
    assert fretboard().touches(57) == [(2, 7), (2, 19), (3, 5), (3, 24)]


@pytest.mark.parametrize(
    ("strings", "frets", "scale", "word"),
    [
        ("E A D", 24, None, "four to six open strings"),
        ("E A D H", 24, None, "four to six open strings"),
        ("E A D G", 19, None, "20 to 24 frets"),
        ("E A D G", 25, None, "20 to 24 frets"),
        ("E A D G", 24, 90.0, "500 to 1300 mm"),
    ],
)
def test_what_no_bass_has_is_refused(strings: str, frets: int, scale: float | None, word: str) -> None:
    """Wrong tunings, frets and scales are named."""
    with pytest.raises(ValueError, match=word):
        fretboard(strings, frets, scale)


def test_instruments_of_a_draft_have_their_necks() -> None:
    """Bass 34 inches, double bass 105 cm, trumpet none."""
    double, trumpet = find_instrument("double bass"), find_instrument("trumpet")
    assert double is not None
    assert trumpet is not None
    electric = neck_of(BASS, STANDARD)
    upright = neck_of(double, STANDARD)
    assert electric is not None
    assert upright is not None
    assert (electric.scale, electric.kind) == (863.6, "electric")
    assert (upright.scale, upright.kind) == (1050.0, "double")
    assert neck_of(trumpet, STANDARD) is None
    # A whole tone from the first stop of a 105 cm string: 10.8 cm; three semitones: 15.8 cm (computed).
    assert upright.span(1, 3) == pytest.approx(108, abs=0.5)
    assert upright.span(1, 4) == pytest.approx(158, abs=0.5)

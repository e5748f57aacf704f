"""What a draft cannot say of a score is told in a comment, at its bar."""

from __future__ import annotations

import pytest
from music21 import (
    articulations,
    chord,
    dynamics,
    expressions,
    harmony,
    spanner,
)

from scribe.exchange.draft import write_draft
from scribe.music.assemble import assemble
from scribe.source.read import read
from tests.exchange_help import piece_of
from tests.m21_help import line_of, music, notes, part_of, written

SIGNS = [
    *(
        a
        for a in vars(articulations).values()
        if isinstance(a, type) and issubclass(a, articulations.Articulation)
    ),
    *(e for e in vars(expressions).values() if isinstance(e, type) and issubclass(e, expressions.Ornament)),
    expressions.Fermata,
    expressions.ArpeggioMark,
]
PLACES = ("Indication", "HammerOn", "PullOff")  # told by string and fret, or by two notes


@pytest.mark.parametrize(
    "sign", [s for s in SIGNS if not s.__name__.endswith(PLACES)], ids=lambda s: s.__name__
)
def test_no_sign_is_dropped_in_silence(sign: type) -> None:
    """Every articulation and ornament that music21 knows is a mark, or a remark at its bar."""
    bar = notes("C4 D4 E4 F4", [1, 1, 1, 1])
    made = sign()
    (bar[1].expressions if isinstance(made, expressions.Expression) else bar[1].articulations).append(made)
    text = written(notes("C4", [4]), bar)
    event = assemble(read(text.text)).bars[1].events[1]
    said = bool(event.marks) or event.connector != ""
    assert said or text.unsaid
    assert not said or all("written as" in remark.what for remark in text.unsaid)
    if text.unsaid:
        assert text.unsaid[0].bar == 2
        assert f"; bar 2: {text.unsaid[0].what}" in text.text


def test_lyrics_dynamics_lines_and_heads() -> None:
    """Each leaves a trace: as a direction, as words, or in a comment."""
    bar = notes("C5 D5 E5 F5", [1, 1, 1, 1])
    bar[0].addLyric("la")
    bar[2].notehead = "diamond"
    score = part_of(bar)
    measure = score.parts[0].measure(1)
    measure.insert(1, dynamics.Dynamic("sfz"))
    measure.insert(2, dynamics.Dynamic("mf"))
    score.parts[0].insert(0, spanner.Line(bar[0], bar[1]))
    made = write_draft(line_of(score))
    assert "'sfz d 'mf e" in made.text
    assert {u.what for u in made.unsaid} == {
        "lyrics la",
        "a diamond notehead",
        "a line or bracket drawn along the notes",
    }


def test_the_words_of_a_song_take_one_comment_a_system() -> None:
    """Bar by bar on one line, verses apart; one bar alone as any other remark."""
    first, second, third = (notes("C5 D5", [2, 2]) for _ in range(3))
    first[0].addLyric("Rain")
    first[0].addLyric("Wind")
    first[1].addLyric("falls")
    first[1].addLyric("blows")
    third[0].addLyric("on")
    made = write_draft(line_of(part_of(first, second, third)))
    assert "; bars 1-3: lyrics Rain falls / Wind blows | - | on\n" in made.text
    assert len(made.unsaid) == 2


def test_no_chord_in_words_is_a_chord_symbol() -> None:
    """`N.C.` printed as words above the staff silences the chord."""
    score = part_of(notes("C5 D5", [2, 2]))
    score.parts[0].measure(1).insert(2, expressions.TextExpression("N.C."))
    assert music(write_draft(line_of(score))) == "|c @N.C. d"


def test_chord_symbols_do_not_make_a_melody_a_bass() -> None:
    """A part without a name is judged by its notes; the notes of chord symbols lie deep."""
    score = part_of(notes("C5 D5", [2, 2]))
    for chord_name in ("C", "F"):
        score.parts[0].measure(1).insert(0, harmony.ChordSymbol(chord_name))
    assert line_of(score).instrument.name == "voice"


def test_words_that_would_break_the_text() -> None:
    """Quotes, barlines and semicolons in words, sections and titles are made harmless."""
    score = part_of(notes("C4", [4]))
    measure = score.parts[0].measure(1)
    measure.insert(0, expressions.TextExpression('say "no" | now; «go»'))
    measure.insert(0, expressions.RehearsalMark("A]|;"))
    line = line_of(score)
    made = write_draft(line)
    piece = piece_of(made.text)
    assert piece.bars[0].music.words[0].text == "say 'no' / now; 'go'"
    assert piece.bars[0].section


def test_stacks_and_what_they_cannot_hold() -> None:
    """Notes together are a stack; two names on one staff place cannot be, and are told."""
    good = chord.Chord(["C3", "G3", "E4"])
    good.quarterLength = 4
    made = written([good])
    (event,) = piece_of(made.text).bars[0].events
    assert [str(head.pitch) for head in event.heads] == ["C3", "G3", "E4"]
    bad = chord.Chord(["C3", "C#3"])
    bad.quarterLength = 4
    told = written([bad])
    assert [u.what for u in told.unsaid] == ["the upper notes of stacks"]

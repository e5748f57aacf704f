"""Scores that come in: the text a person would type, exact to the note, and everything unsaid in a comment."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from music21 import (
    articulations,
    beam,
    chord,
    corpus,
    duration,
    dynamics,
    expressions,
    harmony,
    key,
    meter,
    note,
    spanner,
    stream,
    tie,
)

from scribe.exchange.draft import Text, write_draft
from scribe.exchange.m21 import read_line
from scribe.exchange.model import Cannot, Line
from scribe.exchange.out.musicxml import musicxml
from scribe.exchange.reading import take
from scribe.exchange.way import best_way
from scribe.music.assemble import assemble
from scribe.score import build, sounded
from scribe.source.read import read
from tests.exchange_help import comparable, piece_of

CHORALES = Path(__file__).parent / "chorales"


def part_of(*bars: list[note.GeneralNote], metre: str = "4/4", signature: int = 0) -> stream.Score:
    """A score of one part with these bars."""
    score, part = stream.Score(), stream.Part()
    for number, bar in enumerate(bars, 1):
        measure = stream.Measure(number=number)
        if number == 1:
            measure.insert(0, key.KeySignature(signature))
            measure.insert(0, meter.TimeSignature(metre))
        measure.append(bar)
        part.append(measure)
    score.insert(0, part)
    return score


def line_of(score: stream.Score, part: str | None = None, voice: int | None = None) -> Line:
    """The line that is taken of a score."""
    return read_line(score, part, voice)[0]


def written(*bars: list[note.GeneralNote], metre: str = "4/4", signature: int = 0) -> Text:
    """The draft of these bars."""
    return write_draft(line_of(part_of(*bars, metre=metre, signature=signature)))


def music(text: Text) -> str:
    """The lines of music of a draft, joined."""
    return " ".join(line.strip() for line in text.text.splitlines() if line.lstrip()[:1] in ("|", "["))


def notes(typed: str, lengths: list[float | Fraction]) -> list[note.GeneralNote]:
    """Notes of these names around middle C; `.` is a rest."""
    made: list[note.GeneralNote] = []
    for name, length in zip(typed.split(), lengths, strict=True):
        each = note.Rest() if name == "." else note.Note(name)
        each.quarterLength = length
        made.append(each)
    return made


# --- the words that a person would type ------------------------------------------------------------------


@pytest.mark.parametrize(
    ("metre", "typed", "lengths", "text"),
    [
        ("4/4", "C5 D5 E5 F5", [1, 1, 1, 1], "c d e f"),
        ("4/4", "C5 D5 E5 F5 E5 D5 C5 D5", [0.5] * 8, "cdef edcd"),
        ("4/4", "C5", [4], "c"),
        ("4/4", "C5 D5", [2, 2], "c d"),
        ("4/4", "C5 D5", [3, 1], "c -d"),
        ("4/4", "C5 D5 .", [0.75, 0.25, 3], "c--d . . ."),
        ("4/4", ". C5", [0.5, 3.5], ".c-- -"),
        ("4/4", "C5 D5 E5 F5", [Fraction(1, 3)] * 3 + [3], "cde f - -"),
        ("4/4", "C5 D5 E5 F5", [Fraction(2, 3)] * 3 + [2], "cde f"),
        ("4/4", "C5 D5 E5 F5 G5 A5", [Fraction(1, 5)] * 5 + [3], "cdefg a - -"),
        ("4/4", "C5 D5 E5 F5", [0.25] * 3 + [3.25], "cdef - - -"),
        ("3/4", "C5 D5 E5", [1, 1, 1], "c d e"),
        ("3/4", "C5 D5", [2, 1], "c - d"),
        ("6/8", "C5 D5 E5 F5 G5 A5", [0.5] * 6, "cde fga"),
        ("6/8", "C5 D5", [1.5, 1.5], "c d"),
        ("6/8", "C5 D5 E5 F5", [1, 0.5, 1, 0.5], "c-d e-f"),
        ("2/4", "C5 D5 E5 F5 E5 D5 C5 D5", [0.25] * 8, "cdef edcd"),
        ("3/8", "C5 D5 E5", [0.5] * 3, "cde"),
        ("5/4", "C5 D5 E5 F5 G5", [1] * 5, "c d e f g"),
    ],
)
def test_words(metre: str, typed: str, lengths: list[float | Fraction], text: str) -> None:
    """Beat words, half bars where they are denser, whole bars where one note fills them."""
    made = written(notes(typed, lengths), metre=metre)
    assert music(made) == f"|{text}"
    assert made.unsaid == ()


def test_ties_over_barlines_are_holds() -> None:
    """A note tied over two barlines goes on with `-`; a tie from another pitch is a comment."""
    bars = [notes("C5 D5", [2, 2]), notes("D5", [4]), notes("D5 E5", [1, 3]), notes("F5", [4])]
    for bar, kind in (
        (bars[0][1], "start"),
        (bars[1][0], "continue"),
        (bars[2][0], "stop"),
        (bars[3][0], "stop"),
    ):
        bar.tie = tie.Tie(kind)
    made = written(*bars)
    assert music(made) == "|c d|-|-e -|^f"
    assert [(u.bar, u.what) for u in made.unsaid] == [(4, "a tie that leads here from nowhere")]


def test_printed_tuplets_decide_between_words_and_groups() -> None:
    """Three quarters in the time of two stay one tuplet; nested ones nest."""
    made = written(notes("C5 D5 E5 F5 E5 D5 C5", [Fraction(2, 3)] * 3 + [0.5] * 4))
    assert music(made) == "|cde fedc"
    made = written(notes("C5 D5 E5 F5 E5 D5", [Fraction(2, 3)] * 3 + [0.5, 0.5, 1]))
    (bar,) = piece_of(made.text).bars
    assert [len(t) for t in (bar.written.tuplets, bar.written.notes)] == [1, 6]
    inner: list[note.GeneralNote] = []
    for index, name in enumerate(["C5", "D5", "E5", "F5", "G5", "F5", "E5"]):
        each = note.Note(name)
        each.duration = duration.Duration("quarter" if index in (0, 6) else "16th")
        each.duration.appendTuplet(duration.Tuplet(3, 2, "quarter"))
        if 0 < index < 6:
            each.duration.appendTuplet(duration.Tuplet(5, 4, "16th"))
        inner.append(each)
    made = written([*inner, *notes("D5", [2])])
    assert "{" in music(made)
    assert "defgf" in music(made)
    assert made.unsaid == ()


def test_the_groups_of_seven_are_read_from_the_beams() -> None:
    """7/8 beamed 3+2+2 is typed in three words."""
    bar = notes("C5 D5 E5 F5 G5 F5 E5", [0.5] * 7)
    for kinds, each in zip(("start", "continue", "stop", "start", "stop", "start", "stop"), bar, strict=True):
        each.beams = beam.Beams()
        each.beams.fill(1, type=kinds)
    made = written(bar, metre="7/8")
    assert "time     7/8 3+2+2" in made.text
    assert music(made) == "|cde fg fe"


# --- names and octaves ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("signature", "typed", "text"),
    [
        (0, "F4 B4 C5 D5", "f b c d"),
        (1, "F4 B4", "FB -"),
        (-1, "A-4 B-4", "AbBb"),
        (0, "B-4 B4", "BbB"),
        (0, "F#4 F##4 B--4 C5", "f# f## Bw c"),
        (3, "C4 C#4 G4 G#4", "C c G g"),
        (-3, "E-4 E4 B-3 B3", "e E vb B"),
    ],
)
def test_names_are_the_printed_ones(signature: int, typed: str, text: str) -> None:
    """Through the key where that will do; nothing runs together that would be read otherwise."""
    count = len(typed.split())
    lengths: list[float | Fraction] = [4 / count] * count if count > 2 else [0.5, 0.5, 3][:2]
    bar = notes(typed, lengths)
    if count == 2:
        bar += notes(".", [3])
    made = written(bar, signature=signature)
    (measure,) = assemble(read(made.text)).bars
    names = [str(event.heads[0].pitch) for event in measure.events if event.heads]
    assert names == [n.replace("-", "b") for n in typed.split()]
    assert text.split()[0].strip("v^") in music(made)


def test_home_saves_octave_marks() -> None:
    """A line in another register gets a `home`; one where the usual home will do gets none."""
    high = [notes("C6 D6 E6 C6", [1] * 4) for _ in range(4)]
    made = written(*high)
    assert "home" in made.text
    assert "^" not in music(made)
    low = [notes("A1 C2 D2 A1", [1] * 4) for _ in range(4)]
    score = part_of(*low)
    score.parts[0].partName = "Bass"
    assert "home" not in write_draft(line_of(score)).text


# --- any line at all --------------------------------------------------------------------------------------

LENGTHS = st.sampled_from(
    [Fraction(1, 4), Fraction(1, 2), Fraction(3, 4), Fraction(1), Fraction(3, 2), Fraction(2), Fraction(3)]
)
SMALL = st.sampled_from([(3, Fraction(1, 3)), (3, Fraction(2, 3)), (5, Fraction(1, 5)), (6, Fraction(1, 6))])
NAMES = st.tuples(st.sampled_from("ABCDEFG"), st.sampled_from(["", "", "", "#", "-"]), st.integers(1, 5)).map(
    lambda p: f"{p[0]}{p[1]}{p[2]}"
)


@st.composite
def bars(draw: st.DrawFn, length: Fraction) -> list[note.GeneralNote]:
    """Notes and rests that fill a bar."""
    made: list[note.GeneralNote] = []
    left = length
    while left:
        run = [draw(LENGTHS)] if draw(st.integers(0, 4)) else [draw(SMALL)[1]] * draw(SMALL)[0]
        for size in run:
            size = min(size, left)
            if not size:
                break
            each = note.Note(draw(NAMES)) if draw(st.integers(0, 5)) else note.Rest()
            each.quarterLength = size
            made.append(each)
            left -= size
    return made


@st.composite
def scores(draw: st.DrawFn) -> stream.Score:
    """A few bars of any metre and key, some notes tied to the next of their pitch."""
    metre = draw(st.sampled_from(["4/4", "3/4", "2/2", "6/8", "12/8", "5/4", "7/8"]))
    length = Fraction(meter.TimeSignature(metre).barDuration.quarterLength)
    row = draw(st.lists(bars(length), min_size=1, max_size=4))
    for before, after in pairwise(row):
        if before[-1].isNote and draw(st.booleans()):
            tied = note.Note(before[-1].nameWithOctave)
            tied.quarterLength = after[0].quarterLength
            after[0] = tied
            before[-1].tie, after[0].tie = tie.Tie("start"), tie.Tie("stop")
    return part_of(*row, metre=metre, signature=draw(st.integers(-6, 6)))


@settings(max_examples=60, derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(scores())
def test_any_line_comes_in_exactly(score: stream.Score) -> None:
    """Onsets, lengths, names: what music21 says of the score, it says of the draft's score."""
    expected = sounded(score.parts[0])
    if not expected:
        return
    made = write_draft(line_of(score))
    piece = assemble(read(made.text))
    assert [d.message for d in piece.diagnostics if d.severity == "error"] == []
    assert sounded(build(piece).parts[0]) == expected
    assert made.unsaid == ()


@pytest.mark.parametrize("name", ["bwv269", "bwv123-6", "bwv40-8", "bwv66-6"])
def test_chorales_typed_by_hand(name: str) -> None:
    """The lowest part of a corpus chorale says what the draft says that was typed from its print."""
    line = line_of(corpus.parse(f"bach/{name.replace('-', '.')}"))
    imported = comparable(piece_of(write_draft(line).text))
    typed = comparable(piece_of((CHORALES / f"{name}.scribe").read_text(encoding="utf-8")))
    assert imported.notes == typed.notes
    assert [length for length, _ in imported.bars] == [length for length, _ in typed.bars]
    assert [m for m in imported.marks if "|" in m[1]] == [m for m in typed.marks if "|" in m[1]]


# --- what cannot be said ----------------------------------------------------------------------------------

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


# --- which line -------------------------------------------------------------------------------------------


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

"""Drafts as music21 scores: the same notes as the note list, through MusicXML and back, each with its place."""

from __future__ import annotations

import copy
from fractions import Fraction

import pytest
from music21 import key, meter, note, stream

from scribe.music.piece import Heading, Layout, Piece
from scribe.score import build, build_measure, sounded
from tests.score_help import clean, listed, through_musicxml

DRAFTS = {
    "quarters": "key G minor\n| g b d g | b ^b - a |",
    "sixteenths": "key G minor\n| gb-d .-g- b.c- d | gbdg .g.g g-bd -g-b |",
    "triplets": "key C\n| gbd g-b -bd g | c-- 2{g b d} e | gbdeg - - . |",
    "nested triplets": "| 2{g bde f} g a | 2{gbd e fga} b c |",
    "many slots": "| gabgabg abgab gabgab g |",
    "12/8": "time 12/8\nkey E minor\n| g-b b-d e gbd | ^g - -.d e |",
    "6/8": "time 6/8\n| gba d-e | g - | .ga -b- |",
    "7/8": "time 7/8 2+2+3\nkey D\n| gb de f-a | g - - | g b d e f g a |",
    "5/4": "time 5/4 3+2\n| g - - b d | g b |",
    "cut time": "time 2/2\n| gb de | g-b- d |",
    "3/4": "time 3/4\n| g b d | g-b - d | g . . |",
    "pickup": "pickup 1\n| g | b d e f | g - - - |",
    "short bar": "| g a b c |\nshort 2\n| g a |\n| d - - . |",
    "repeats": "|: g a b c | d e f g :| c - - - |",
    "endings": "|: g a b c |\nending 1\n| d e f g :|\nending 2\n| c - - - |\n| g - - - |",
    "ghost and dead": "| g (a) xx qg | x:A b (ga) qx |",
    "unheard": "| g u uu . | - u - . |",
    "grace notes": "| ,cd e ,c,de f | g ,chd - . |",
    "stacks": "key A\n| e+b a+e+^c - . | d+a - e+b+g . |",
    "accidentals": "key Eb\n| g G gn g# | Bb B Bw F## | A= Gb E - |",
    "degrees": "key Bb minor\n| 1 b3 4 #4 | 5 b7 7 ^1 |",
    "frets": "| E:3 A:0:2:3 D:0 G:12 | E:0 - A:5 . |",
    "held over bars": "| g - - - | - - a b | - - - - | - . . c |",
    "repeat signs": "| g a b c | % | d e f g | %% | c - - . |",
    "use": "[A]\n| g (a) b c | % |\nuse A up P4\n| c |",
    "ties and signs": "| . . . f# | - f# f - | - - b# f# |",
    "silence": "| . | . . g . | - - - . |\nrest 4\n| g - - - |",
    "chords": "| @C7alt g @C6/9 a @N.C. b @2:Fm7b5 cd | @A-7 g - @Bbmaj7/D - @D7b9#11 e |",
    "unfinished": "| g ? b ? | ? | | g? a? b c |",
    "keys change": "key Cb\n| c d e f |\nkey C#\n| c d e f |\nkey A dorian\ntime 3/4\n| a b c |",
    "double bass": "instrument double bass\n| g b d e |",
    "alto sax": "instrument alto sax\nkey B\n| b d f a | e c g# - |",
    "trombone": "instrument trombone\nkey Ab\n| a c e g | d b f - |",
}


@pytest.mark.parametrize("name", DRAFTS)
def test_well_formed_and_full_bars(name: str) -> None:
    """music21 finds the notation well formed, and the values of each measure add up to its bar."""
    compiled = clean(DRAFTS[name])
    score = compiled.score
    assert score.isWellFormedNotation()
    lengths = [bar.music.length for bar in compiled.piece.bars for _ in range(max(bar.rests, 1))]
    measures = list(score.parts[0].getElementsByClass(stream.Measure))
    assert len(measures) == len(lengths)
    for measure, length in zip(measures, lengths, strict=True):
        assert measure.isWellFormedNotation()
        values = [Fraction(e.quarterLength) for e in measure.notesAndRests if "Harmony" not in e.classes]
        assert sum(values).limit_denominator(10080) == length  # type: ignore[union-attr]


@pytest.mark.parametrize("name", DRAFTS)
def test_the_score_says_what_the_note_list_says(name: str) -> None:
    """Onset, length, spelled name, octave and MIDI number of every note, ties joined, at sounding pitch."""
    compiled = clean(DRAFTS[name])
    assert sounded(compiled.score.parts[0]) == listed(compiled)


@pytest.mark.parametrize("make_notation", [False, True])
@pytest.mark.parametrize("name", DRAFTS)
def test_musicxml_says_the_same(name: str, make_notation: bool) -> None:
    """Written by music21's exporter and read by its importer, the notes are still those of the note list."""
    compiled = clean(DRAFTS[name])
    _, again = through_musicxml(compiled.score, make_notation=make_notation)
    assert sounded(again.parts[0]) == listed(compiled)


@pytest.mark.parametrize("name", DRAFTS)
def test_every_object_knows_its_place(name: str) -> None:
    """Everything in the score, signs of notes too, has a span inside the draft, and keeps it in a deep copy."""
    text = DRAFTS[name]
    score = copy.deepcopy(clean(text).score)
    things = [thing for thing in score.recurse() if "Metadata" not in thing.classes]
    for thing in list(things):
        if isinstance(thing, note.GeneralNote):
            things += [*thing.articulations, *thing.expressions]
        if isinstance(thing, stream.Measure):
            things += [line for line in (thing.leftBarline, thing.rightBarline) if line is not None]
    assert things
    for thing in things:
        start, end = thing.editorial["scribeSpan"]
        assert 0 <= start <= end <= len(text), thing


def test_the_place_of_a_note_is_its_own_text() -> None:
    """The span of each note covers the letters that made it."""
    text = "key G minor\n| g ^b (d) B? |"
    notes = clean(text).score.recurse().notes
    assert [text[slice(*n.editorial["scribeSpan"])] for n in notes] == ["g", "^b", "(d)", "B?"]


@pytest.mark.parametrize(
    "name", ["accidentals", "ties and signs", "degrees", "sixteenths", "keys change", "alto sax", "trombone"]
)
def test_accidentals_agree_with_music21(name: str) -> None:
    """A sign is printed exactly where music21's makeAccidentals, without its courtesy signs, prints one."""
    part = clean(DRAFTS[name]).score.parts[0]
    mine = [_sign(n) for n in part.recurse().notes]
    tied: set[str] = set()
    for measure in part.getElementsByClass(stream.Measure):
        signature = measure.notesAndRests[0].getContextByClass(key.KeySignature)
        assert signature is not None
        measure.makeAccidentals(
            useKeySignature=False, alteredPitches=signature.alteredPitches, cautionaryPitchClass=False,
            cautionaryNotImmediateRepeat=False, overrideStatus=True, inPlace=True, tiePitchSet=tied,
        )  # fmt: skip
        last = measure.notes[-1] if measure.notes else None
        tied = {last.nameWithOctave} if last is not None and last.tie is not None else set()
    assert mine == [_sign(n) for n in part.recurse().notes]


def test_dead_notes_print_no_accidentals() -> None:
    """A dead note has a place on the staff and no pitch: its A in A flat major needs no natural."""
    made = clean("key Ab\n| x - - . |").score.recurse().notes.first()
    assert made is not None
    assert made.pitch.name == "A"
    assert _sign(made) is None


def _sign(n: note.Note) -> str | None:
    sign = n.pitch.accidental
    return sign.name if sign is not None and sign.displayStatus else None


@pytest.mark.parametrize(
    "text",
    [
        "time 12/8\n| gba dge cfd gba |",
        "time 9/8\n| gba dge cfd |",
        "time 7/8 2+2+3\n| gb de fga |",
        "time 7/8 3+2+2\n| fga gb de |",
        "time 2/2\n| gbde fgab |",
        "| g--b b-ga gab- g--b |",
    ],
)
def test_beams_agree_with_music21(text: str) -> None:
    """In these metres music21's makeBeams groups as common practice does (references 3c)."""
    part = clean(text).score.parts[0]
    theirs = part.makeBeams(inPlace=False)
    mine, expected = (
        [[(b.number, b.type, b.direction) for b in n.beams.beamsList] for n in p.recurse().notes]
        for p in (part, theirs)
    )
    assert mine == expected


def test_the_bass_is_written_an_octave_higher() -> None:
    """E1 is written E2; MusicXML says so with an octave change of -1, and no other (references 8)."""
    score = clean("| E:0 - - . |").score
    first = score.recurse().notes.first()
    assert first is not None
    assert first.nameWithOctave == "E2"
    xml, _ = through_musicxml(score)
    assert _inside(xml, "transpose") == {"diatonic": "0", "chromatic": "0", "octave-change": "-1"}


@pytest.mark.parametrize(
    ("instrument", "transpose"),
    [
        ("double bass", {"diatonic": "0", "chromatic": "0", "octave-change": "-1"}),
        ("alto sax", {"diatonic": "-5", "chromatic": "-9"}),
        ("tenor sax", {"diatonic": "-1", "chromatic": "-2", "octave-change": "-1"}),
        ("baritone sax", {"diatonic": "-5", "chromatic": "-9", "octave-change": "-1"}),
        ("trumpet", {"diatonic": "-1", "chromatic": "-2"}),
        ("horn", {"diatonic": "-4", "chromatic": "-7"}),
        ("guitar", {"diatonic": "0", "chromatic": "0", "octave-change": "-1"}),
        ("piano", None),
    ],
)
def test_transposing_instruments(instrument: str, transpose: dict[str, str] | None) -> None:
    """The `<transpose>` of each instrument is that of the handbook table (references 8)."""
    xml, _ = through_musicxml(clean(f"instrument {instrument}\nkey F\n| f a c e |").score)
    assert _inside(xml, "transpose") == transpose


def _inside(xml: str, tag: str) -> dict[str, str] | None:
    from xml.etree import ElementTree

    found = ElementTree.fromstring(xml).find(f".//{tag}")
    return None if found is None else {child.tag: child.text or "" for child in found}


def test_a_measure_can_be_kept() -> None:
    """A bar builds the same measure whatever stands around it; its spans start where the caller says."""
    lone = clean("key D\n| @D7 gb (d) ~e - |").piece.bars[0]
    among = clean("key D\n| a | b |\n| @D7 gb (d) ~e - |").piece.bars[2]
    kept, again = build_measure(lone).measure, build_measure(among).measure
    assert [(e.offset, repr(e)) for e in kept] == [(e.offset, repr(e)) for e in again]
    spans = [e.editorial["scribeSpan"] for e in kept]
    moved = [e.editorial["scribeSpan"] for e in build_measure(lone, offset=100).measure]
    assert moved == [(start + 100, end + 100) for start, end in spans]


def test_metre_with_groups_keeps_its_fraction() -> None:
    """`7/8 3+2+2` is printed 7/8 in MusicXML, and read back so."""
    xml, again = through_musicxml(clean("time 7/8 3+2+2\n| fga gb de |").score)
    assert _inside(xml, "time") == {"beats": "7", "beat-type": "8"}
    signs = again.recurse().getElementsByClass(meter.TimeSignature)
    assert [sign.ratioString for sign in signs] == ["7/8"]


def test_a_swing_feel_prints_straight_values() -> None:
    """Swung eighths stand as straight ones, with the word above (references 3b, case 44)."""
    score = clean("feel swing\n| gb d gb - |").score
    assert [n.duration.type for n in score.recurse().notes][:2] == ["eighth", "eighth"]
    texts = [t.content for t in score.recurse().getElementsByClass("TextExpression")]
    assert texts == ["swing"]


def test_a_piece_without_bars_builds() -> None:
    """No bars give a score with one empty part."""
    score = build(Piece(Heading(), (), (), Layout(), ()))
    assert [list(part) for part in score.parts] == [[]]

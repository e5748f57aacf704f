"""Everything in a draft that is not a pitch or a length, as music21 and MusicXML have it."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest
from music21 import articulations, chord, dynamics, expressions, harmony, spanner, tempo

from scribe.music.chord import parse_chord
from scribe.score.label import DOUBT
from tests.score_help import clean, notes_of, spanned, through_musicxml, xml_of

# --- heads


@pytest.mark.parametrize(
    ("typed", "head", "parenthesis"),
    [
        ("g", "normal", False),
        ("x", "x", False),
        ("u", "slash", False),
        ("qg", "normal", True),
        ("(x)", "x", True),
    ],
)
def test_note_heads(typed: str, head: str, parenthesis: bool) -> None:
    """Dead notes have an x, unheard ones a slash, ghosts parentheses: `<notehead parentheses="yes">x`."""
    made = notes_of(f"| {typed} - - . |")[0]
    assert (made.notehead, made.noteheadParenthesis) == (head, parenthesis)
    tag = xml_of(f"| {typed} - - . |").find(".//notehead")
    if typed == "g":
        assert tag is None
    else:
        assert tag is not None
        assert (tag.text, tag.get("parentheses")) == (head, "yes" if parenthesis else "no")


def test_heads_of_a_stack_are_their_own() -> None:
    """In a stack each head has its own parentheses, string and doubt."""
    made = notes_of("| e:E+(b)? - - . |")[0]
    assert isinstance(made, chord.Chord)
    low, high = made.notes
    assert (low.noteheadParenthesis, high.noteheadParenthesis) == (False, True)
    assert [type(sign) for sign in low.articulations] == [
        articulations.StringIndication,
        articulations.FretIndication,
    ]
    assert high.style.color == DOUBT


def test_doubtful_notes_are_coloured_and_say_so() -> None:
    """`?` gives the second colour, in MusicXML too, and a remark that a program can read."""
    sure, doubtful = notes_of("| g a? |")
    assert (sure.style.color, doubtful.style.color) == (None, DOUBT)
    assert doubtful.editorial["scribeDoubtful"] is True
    assert [each.get("color") for each in xml_of("| g a? |").iter("notehead")] == [DOUBT.upper()]


def test_strings_and_frets() -> None:
    """`A:3` is on string 3, fret 3, counted from the highest string as MusicXML does; only once when tied."""
    xml = xml_of("| A:3 - - - | - - G:12 . |")
    assert [(s.text, f.text) for s, f in zip(xml.iter("string"), xml.iter("fret"), strict=True)] == [
        ("3", "3"),
        ("1", "12"),
    ]


# --- marks


@pytest.mark.parametrize(
    ("mark", "tag"),
    [
        (">", "articulations/accent"),
        ("*", "articulations/staccato"),
        ("_", "articulations/tenuto"),
        ("\\", "articulations/falloff"),
        ("'o", "technical/harmonic"),
        ("'b", "technical/bend"),
        ("'v", "ornaments/wavy-line"),
        ("'h", "fermata"),
    ],
)
def test_marks(mark: str, tag: str) -> None:
    """Each mark becomes the MusicXML element for it, on its own note."""
    tagged = [each.find(f"notations/{tag}") is not None for each in xml_of(f"| a g{mark} . . |").iter("note")]
    assert tagged[:2] == [False, True]


@pytest.mark.parametrize(("mark", "letter"), [("'t", "T"), ("'p", "P")])
def test_slap_letters(mark: str, letter: str) -> None:
    """Thumb and pop are letters for the plucking hand (T and P: common practice, no source)."""
    sign = notes_of(f"| g{mark} - - . |")[0].articulations[0]
    assert isinstance(sign, articulations.FrettedPluck)
    assert sign.fingerNumber == letter


def test_slap_marks_unmarked_notes() -> None:
    """Under `'slap` an unmarked note is thumbed, a marked one is not, until `'open`."""
    made = notes_of("| 'slap g a'p 'fingers b c |")
    letters = [
        [s.fingerNumber for s in n.articulations if isinstance(s, articulations.Fingering)] for n in made
    ]
    assert letters == [["T"], ["P"], [], []]


def test_marks_of_a_tied_note_come_once() -> None:
    """Accent at the start, fermata and fall at the end of a note that is written with ties."""
    first, second = notes_of("| . -g>'h -- - |")[:2]
    assert [type(s) for s in first.articulations] == [articulations.Accent]
    assert (first.expressions, len(second.expressions)) == ([], 1)


# --- joins


def test_slurs_run_on() -> None:
    """A run of connected notes lies under one slur; hammer-on and pull-off have a letter each as well."""
    text = "| g ~a hb pa | ~g c ~d . |"
    assert spanned(text, spanner.Slur) == [["G", "G"], ["C", "D"]]
    assert spanned(text, articulations.HammerOn) == [["A", "B"]]
    assert spanned(text, articulations.PullOff) == [["B", "A"]]
    xml = xml_of(text)
    assert [(s.get("type")) for s in xml.iter("slur")] == ["start", "stop", "start", "stop"]
    assert [h.text for h in xml.iter("hammer-on")] == ["H", None]


def test_a_slur_reaches_to_the_end_of_a_tied_note() -> None:
    """A slur to a note held over the barline ends on its last written value (common practice)."""
    score = clean("| g a b ~c | - d e . |").score
    slur = score.recurse().getElementsByClass(spanner.Slur).first()
    assert slur is not None
    last = slur.getLast()
    assert (last.pitches[0].name, last.tie.type, last.measureNumber) == ("C", "stop", 2)


def test_slides() -> None:
    """A slide joins two notes, a continuous `<slide>`; after a silence it is a scoop or a plop."""
    text = "| g /b \\g . | /c . \\d . |"
    assert spanned(text, spanner.Glissando) == [["G", "B"], ["B", "G"]]
    xml = xml_of(text)
    assert len(list(xml.iter("slide"))) == 4
    assert [each.tag for each in xml.iter() if each.tag in ("scoop", "plop")] == ["scoop", "plop"]


def test_grace_notes_join() -> None:
    """A connector before the comma leads to the grace note, one after it from the grace to the note."""
    assert spanned("| g ~,cd - . |", spanner.Slur) == [["G", "C"]]
    assert spanned("| g ,chd - . |", articulations.HammerOn) == [["C", "D"]]
    made = notes_of("| g ,cd ,e,fg . |")
    assert [n.duration.isGrace for n in made] == [False, True, False, True, True, False]
    assert [n.duration.type for n in made if n.duration.isGrace] == ["eighth", "16th", "16th"]


def test_ties() -> None:
    """Ties start, go on and stop, over barlines and inside the bar, for each note of a stack."""
    kinds = [n.tie.type if n.tie else None for n in notes_of("| . . . -g | - - - - | - . e+b - | - . . . |")]
    assert kinds == ["start", "continue", "stop", "start", "stop"]
    stack = notes_of("| e+b - - - | - . . . |")
    assert [[n.tie.type for n in each.notes] for each in stack] == [["start"] * 2, ["stop"] * 2]


# --- words


def test_dynamics_and_wedges() -> None:
    """Dynamics stand at their note; `'cresc` and `'dim` reach to the next dynamic, the last one to the end."""
    score = clean("| 'p g 'cresc a b c | 'f d 'dim e f g |").score
    assert [(d.value, d.offset) for d in score.recurse().getElementsByClass(dynamics.Dynamic)] == [
        ("p", 0),
        ("f", 0),
    ]
    reach = [
        (type(w), w.getFirst().name, w.getLast().name)
        for w in score.recurse().getElementsByClass(dynamics.DynamicWedge)
    ]
    assert reach == [(dynamics.Crescendo, "A", "D"), (dynamics.Diminuendo, "E", "G")]


def test_a_wedge_ends_where_it_gets_steady() -> None:
    """`'steady` ends a wedge and is nothing itself."""
    score = clean("| 'p g 'cresc a b 'steady c | 'f d e f g |").score
    (wedge,) = score.recurse().getElementsByClass(dynamics.DynamicWedge)
    assert (wedge.getFirst().name, wedge.getLast().name) == ("A", "C")
    assert [d.value for d in score.recurse().getElementsByClass(dynamics.Dynamic)] == ["p", "f"]
    assert not score.recurse().getElementsByClass(expressions.TextExpression)


@pytest.mark.parametrize("name", ["ppp", "fff", "sf", "sfz", "fz", "fp", "rf", "rfz"])
def test_rarer_dynamics(name: str) -> None:
    """They are dynamics of music21 too, by the names that MusicXML has for them, and a hairpin ends there."""
    text = f"| 'cresc g b '{name} d b |"
    score = clean(text).score
    (found,) = score.recurse().getElementsByClass(dynamics.Dynamic)
    assert (found.value, found.offset) == (name, 2)
    (wedge,) = score.recurse().getElementsByClass(dynamics.DynamicWedge)
    assert wedge.getLast().name == "D"
    assert [each.tag for each in xml_of(text).find(".//dynamics")] == [name]


def test_texts_and_directions() -> None:
    """Words in quotes and ways of playing stand above the staff at their beat."""
    score = clean("""| "hit it" g a 'pick b 'palm c |""").score
    texts = score.recurse().getElementsByClass(expressions.TextExpression)
    assert [(t.content, t.offset, t.placement) for t in texts] == [
        ("hit it", 0, "above"),
        ("pick", 2, "above"),
        ("P.M.", 3, "above"),
    ]


def test_tempo_and_feel() -> None:
    """A metronome mark has its words, its beat and its number; a feel is words; words alone are a tempo text."""
    score = clean(
        "tempo Slow dotted-quarter 60\ntime 12/8\n| g a b c |\ntempo Freely\nfeel shuffle\n| g |"
    ).score
    marks = list(score.recurse().getElementsByClass(tempo.TempoIndication))
    assert isinstance(marks[0], tempo.MetronomeMark)
    assert (marks[0].text, marks[0].number, marks[0].referent.quarterLength) == ("Slow", 60, 1.5)
    assert isinstance(marks[1], tempo.TempoText)
    assert marks[1].text == "Freely"
    texts = [t.content for t in score.recurse().getElementsByClass(expressions.TextExpression)]
    assert texts == ["shuffle"]


def test_heading() -> None:
    """Title, composer and player are the score's."""
    data = clean("title Night Bus\ncomposer A. Nyone\nplayer B. Sides\n| g |").score.metadata
    assert (data.title, data.composer) == ("Night Bus", "A. Nyone")
    assert [(c.name, c.role) for c in data.contributors if c.role == "performer"] == [
        ("B. Sides", "performer")
    ]


# --- chords

SYMBOLS = [
    "C", "Cm", "C5", "C+", "Cdim", "C6", "Cm6", "C6/9", "C7", "Cmaj7", "Cm7", "Cm(maj7)", "Cm7b5", "Cdim7", "C7#5",
    "C7b5", "C9", "Cmaj9", "Cm9", "C11", "Cm11", "C13", "Cmaj13", "C7b9", "C7#9", "C7#11", "C7b13", "C7alt", "Csus2",
    "Csus4", "C7sus4", "Cadd9", "C/E", "C7/Bb", "Ab-7", "A-7", "Bbm7/Db", "F#m7b5", "Gbmaj7#11", "B7alt/D#",
]  # fmt: skip


@pytest.mark.parametrize("name", SYMBOLS)
def test_chord_symbols(name: str) -> None:
    """Root, bass, kind and degrees of a symbol survive MusicXML; its pitches are the tones that scribe knows."""
    expected = parse_chord(name)
    assert expected is not None
    score = clean(f"instrument piano\n| @{name} g |").score
    made = score.recurse().getElementsByClass(harmony.ChordSymbol).first()
    assert made is not None
    assert made.editorial["scribeName"] == name
    tones = {_plain(letter, alter) for _, (letter, alter) in expected.tones}
    if expected.bass:
        tones.add(_plain(*expected.bass))
    assert {p.name for p in made.pitches} == tones
    xml, again = through_musicxml(score)
    kind = ElementTree.fromstring(xml).find(".//harmony/kind")
    assert kind is not None
    assert kind.text == expected.kind
    read = again.recurse().getElementsByClass(harmony.ChordSymbol).first()
    assert read is not None
    assert expected.root is not None
    assert read.root().name == _plain(*expected.root)
    assert read.bass().name == _plain(*(expected.bass or expected.root))
    degrees = [(d.degree, d.interval.semitones, d.modType) for d in read.chordStepModifications]
    assert degrees == [(d.number, d.alter, d.action) for d in expected.degrees]


def _plain(letter: str, alter: int) -> str:
    return letter + ("#" * alter or "-" * -alter)


def test_no_chord_and_what_is_no_chord() -> None:
    """`N.C.` is a symbol of its own; a name that is not understood stands as text, as typed."""
    score = clean("| @N.C. g - @Cwhat b - |").score
    found = list(score.recurse().getElementsByClass(harmony.ChordSymbol))
    assert [type(each) for each in found] == [harmony.NoChord]
    texts = score.recurse().getElementsByClass(expressions.TextExpression)
    assert [(t.content, t.offset) for t in texts] == [("Cwhat", 2)]
    kind = ElementTree.fromstring(through_musicxml(score)[0]).find(".//harmony/kind")
    assert kind is not None
    assert (kind.text, kind.get("text")) == ("none", "N.C.")


def test_chords_for_a_transposing_instrument() -> None:
    """The alto saxophone reads a concert E flat chord as C, and music21 sounds it as E flat again."""
    score = clean("instrument alto sax\nkey Eb\n| @Eb7/G g |").score
    printed = score.recurse().getElementsByClass(harmony.ChordSymbol).first()
    heard = score.toSoundingPitch().recurse().getElementsByClass(harmony.ChordSymbol).first()
    assert printed is not None
    assert heard is not None
    assert (printed.root().name, printed.bass().name) == ("C", "E")
    assert (heard.root().name, heard.bass().name) == ("E-", "G")

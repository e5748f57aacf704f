"""Notes as MEI: what a player reads for what was typed."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest
from lxml import etree

from scribe.engrave.mei.document import write_document
from scribe.engrave.mei.values import beat_grid, spaces
from scribe.engrave.sheet import prepare, system_meis
from scribe.engrave.toolkit import render
from scribe.music.metre import Metre
from tests.pieces import DEMOS, heads, mei, piece, random_draft

NS = "{http://www.music-encoding.org/ns/mei}"


def test_a_bass_is_written_an_octave_higher_than_it_sounds() -> None:
    """Open strings E1 A1 D2 G2 are read as E2 A2 D3 G3 (handbook table of the bass, as for the double bass)."""
    assert heads("| E:0 A:0 D:0 G:0 |") == ["e2", "a2", "d3", "g3"]


def test_a_transposing_instrument_reads_its_own_key_and_pitch() -> None:
    """An alto saxophone reads a major sixth higher: concert E flat major as C major (MusicXML 4.0, `transpose`)."""
    text = "instrument alto sax\nkey Eb\n| e g b ^e |"
    assert [head[0] for head in heads(text)] == ["c", "e", "g", "c"]
    assert all(":" not in head for head in heads(text))


def test_only_accidentals_that_the_key_does_not_give_are_printed() -> None:
    """In G minor b is B flat without a sign, B needs a natural."""
    assert heads("key G minor\n| b e B E |") == ["b2", "e3", "b2:n", "e3:n"]


def test_an_accidental_holds_to_the_end_of_its_bar_on_its_line() -> None:
    """Common practice: the second C sharp is not marked again, the C after it is."""
    assert heads("| C# C# C C |") == ["c3:s", "c3", "c3:n", "c3"]


def test_the_next_bar_reminds_of_what_is_natural_again() -> None:
    """Common practice: a courtesy accidental, once, on the same line in the bar after."""
    assert heads("| C# d e d | c c |") == ["c3:s", "d3", "e3", "d3", "c3:n", "c3"]


def test_the_same_letter_in_another_octave_is_made_clear() -> None:
    """Common practice: an accidental does not hold in another octave, and the reader is told."""
    assert heads("| Bb ^b |") == ["b2:f", "b3:n"]


def test_a_tied_note_is_not_marked_again() -> None:
    """Common practice: an accidental goes on with its tie over the barline; struck again, the note needs it."""
    assert heads("| d d d F# | - ^f F# d |")[3:7] == ["f3:s", "f3", "f3:n", "f3:s"]


def test_dead_ghost_unheard_and_doubtful_notes_look_different_from_notes() -> None:
    """x heads, parentheses, slashes; a doubtful note has its colour (MEI att.noteHeads)."""
    found = mei("| g x qg u | c? d e f |")
    notes = re.findall(r"<note ([^>]*)/>", found)
    assert 'head.shape="x"' in notes[1]
    assert 'head.mod="paren"' in notes[2]
    assert 'head.shape="slash"' in notes[3]
    assert "color=" in notes[4]
    assert all("head." not in notes[i] and "color" not in notes[i] for i in (0, 5, 6, 7))


def test_marks_become_articulations_of_mei() -> None:
    """Values of MEI data.ARTICULATION."""
    found = mei("| g> a* b_ c'o |")
    assert re.findall(r'artic="([^"]+)"', found) == ["acc", "stacc", "ten", "harm"]


def test_what_leads_from_note_to_note_starts_in_its_own_bar() -> None:
    """A tie and a slur over a barline stand in the measure of their first note, where Verovio looks for them."""
    measures = mei("| g a b c | - d e ~f | ~g a b c |").split("<measure")[1:]
    assert "<tie" in measures[0]
    assert "<tie" not in measures[1]
    assert "<slur" in measures[1]
    assert "<slur" not in measures[2]


def test_a_chain_of_slurs_is_one_slur() -> None:
    """d slurred to e, hammered to f, pulled off to e: one curve from the first to the last."""
    found = mei("| d~e hfpe . . |")
    slurs = re.findall(r'<slur [^>]*startid="#([^"]+)" endid="#([^"]+)"', found)
    ids = re.findall(r'<note xml:id="([^"]+)"', found)
    assert slurs == [(ids[0], ids[3])]


def test_ids_are_unique_and_stay_when_other_bars_change() -> None:
    """The page can be patched and pointed at: a bar put in front changes no id of the bars behind it."""
    before = re.findall(r'xml:id="([^"]+)"', mei("| g b d g | @Cm c e g / |"))
    after = re.findall(r'xml:id="([^"]+)"', mei("| a a a a | g b d g | @Cm c e g / |"))
    assert len(set(before)) == len(before)
    assert set(before) <= set(after)


@pytest.mark.parametrize("length", [Fraction(1, 2), 1, Fraction(3, 2), 3, Fraction(7, 2), 6, Fraction(1, 4)])
def test_spaces_last_as_long_as_asked(length: Fraction) -> None:
    """Values of common notation: 4 is a quarter, a dot adds half."""
    total = Fraction(0)
    for dur, dots in re.findall(r'dur="(\d+)"(?: dots="(\d)")?', spaces(Fraction(length))):
        total += Fraction(4, int(dur)) * (2 - Fraction(1, 2 ** int(dots or 0)))
    assert total == length


def test_the_beat_grid_has_one_space_a_beat() -> None:
    """Four quarters in 4/4, four dotted quarters in 12/8, the groups in 7/8; a pickup keeps the last beats."""
    assert beat_grid(Metre(4, 4), Fraction(4)).count("<space") == 4
    assert beat_grid(Metre(12, 8), Fraction(6)).count('dots="1"') == 4
    assert beat_grid(Metre(7, 8, (2, 2, 3)), Fraction(7, 2)).count("<space") == 3
    assert beat_grid(Metre(4, 4), Fraction(1)) == '<space dur="4"/>'


@pytest.mark.parametrize("seed", range(8))
def test_numbers_stand_where_verovio_ends_the_process_on_letters(seed: int) -> None:
    """Octaves and time stamps are numbers, and the document is well-formed, whatever the draft."""
    found = piece(random_draft(seed))
    runs = [(0, len(found.bars))]
    document = write_document(system_meis(prepare(found), runs))
    root = etree.fromstring(document.encode())
    for note in root.iter(NS + "note"):
        assert re.fullmatch(r"-?\d+", note.get("oct"))
    for harm in root.iter(NS + "harm"):
        assert re.fullmatch(r"\d+(\.\d+)?", harm.get("tstamp"))


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_verovio_takes_the_demos_without_a_warning(path, capfd: pytest.CaptureFixture[str]) -> None:  # type: ignore[no-untyped-def]
    """Nothing unknown, nothing unresolved, no overfull bar in what we write: Verovio's log stays empty."""
    import verovio

    from scribe.engrave.options import options
    from scribe.pipeline import compile

    found = compile(path.read_text()).piece
    document = write_document(system_meis(prepare(found), list(found.systems)))
    render(document, options(17000))  # makes the toolkit
    verovio.enableLog(verovio.LOG_WARNING)
    try:
        render(document, options(17000))
    finally:
        verovio.enableLog(verovio.LOG_OFF)
    assert capfd.readouterr().err == ""


def test_verovio_hears_the_pitches_of_the_draft() -> None:
    """Verovio's own reading of key, accidentals and octave gives the sounding pitch an octave higher (as written)."""
    import verovio

    text = "key Ab\n| a B c D | d E f F# | Gb g - Db | ^d+a c . b |"
    found = piece(text)
    whole = prepare(found)
    document = write_document(system_meis(whole, [(0, len(found.bars))]))
    toolkit = verovio.toolkit()
    verovio.enableLog(verovio.LOG_OFF)
    assert toolkit.loadData(document)
    toolkit.renderToMIDI()
    heard = []
    for id in re.findall(r'<note xml:id="([^"]+)"', document):
        heard.append(toolkit.getMIDIValuesForElement(id)["pitch"] - 12)
    meant = [
        head.pitch.midi
        for bar in found.bars
        for written in bar.written.notes
        for head in bar.events[written.event].heads
    ]
    assert heard == meant

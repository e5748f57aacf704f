"""The MEI document for other programs."""

from __future__ import annotations

import re

import pytest
from lxml import etree

from scribe.engrave import engrave
from scribe.engrave.options import options
from scribe.engrave.toolkit import render
from scribe.pipeline import compile
from tests.pieces import DEMOS, piece, random_draft

NS = "{http://www.music-encoding.org/ns/mei}"
TEXT = """title T & U
composer A. B.
key Eb
tempo Slow groove 72
feel swing
[Verse]
|: 'p @Ebmaj7 g 'cresc b "now" d f | 'f @Bb7? a ,bc x e? |
ending 1
| 'segno g . - d | % :|
ending 2
| g - 'tocoda b d | %% |
"""


def elements(mei: str, name: str) -> list[etree._Element]:
    """The elements of one name, in order."""
    return list(etree.fromstring(mei.encode()).iter(NS + name))


def test_words_stand_in_it_in_full() -> None:
    """Chords, dynamics, hairpins, texts, boxes, tempo, endings as elements of MEI, not as stand-ins."""
    mei = engrave(piece(TEXT)).mei
    assert [harm.text for harm in elements(mei, "harm")] == ["Ebmaj7", "Bb7?"]
    assert [dynam.text for dynam in elements(mei, "dynam")] == ["p", "f"]
    (hairpin,) = elements(mei, "hairpin")
    assert dict(hairpin.attrib) == {"staff": "1", "form": "cres", "tstamp": "2", "tstamp2": "1m+1"}
    assert "now" in [each.text for each in elements(mei, "dir")]
    assert [rend.text for rend in elements(mei, "rend")] == ["Verse"]
    (tempo,) = elements(mei, "tempo")
    assert (tempo.get("mm"), tempo.get("mm.unit")) == ("72", "4")
    assert "".join(tempo.itertext()).split() == ["Slow", "groove", "=", "72"]
    assert [each.get("glyph.name") for each in tempo] == ["metNoteQuarterUp"]  # SMuFL
    assert [ending.get("n") for ending in elements(mei, "ending")] == ["1", "2"]
    assert [mark.get("func") for mark in elements(mei, "repeatMark")][:1] == ["segno"]
    assert elements(mei, "title")[0].text == "T & U"


def test_tuplets_show_their_numbers() -> None:
    """Nested ones too: what we draw ourselves on the page is left to other programs here."""
    found = elements(engrave(piece("| 2{gbd f d} g b |")).mei, "tuplet")
    assert [each.get("num") for each in found] == ["3", "3"]
    assert [each.get("bracket.visible") for each in found] == ["true", "false"]
    assert not any(each.get("num.visible") for each in found)


def test_barlines_and_systems() -> None:
    """Repeats on either side, a final bar line, a system break for each source line."""
    mei = engrave(piece(TEXT)).mei
    measures = elements(mei, "measure")
    assert measures[0].get("left") == "rptstart"
    assert measures[3].get("right") == "rptend"
    assert measures[-1].get("right") == "end"
    assert len(elements(mei, "sb")) == 3


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_verovio_takes_it_without_a_warning(path, capfd: pytest.CaptureFixture[str]) -> None:  # type: ignore[no-untyped-def]
    """The document of every demo, by Verovio's own log."""
    import verovio

    mei = engrave(compile(path.read_text()).piece).mei
    verovio.enableLog(verovio.LOG_WARNING)
    try:
        render(mei, options(17000))
    finally:
        verovio.enableLog(verovio.LOG_OFF)
    assert capfd.readouterr().err == ""


@pytest.mark.parametrize("seed", range(6))
def test_every_reference_is_to_something(seed: int) -> None:
    """Each `startid` and `endid` names an element of the document; ids are unique."""
    mei = engrave(piece(random_draft(seed))).mei
    ids = re.findall(r'xml:id="([^"]+)"', mei)
    assert len(set(ids)) == len(ids)
    assert set(re.findall(r'(?:start|end)id="#([^"]+)"', mei)) <= set(ids)


def test_music21_reads_the_same_notes() -> None:
    """music21's MEI reader finds the written pitches and lengths of a draft."""
    from music21 import converter

    text = "key G minor\n| g b- .d f | c - d-E a | 2{g b d} g . |"
    score = converter.parseData(engrave(piece(text)).mei, format="mei")
    read = [(note.nameWithOctave, note.quarterLength) for note in score.flatten().notes]
    found = piece(text)
    meant = []
    for bar in found.bars:
        for written in bar.written.notes:
            for head in bar.events[written.event].heads:
                meant.append((str(head.pitch.octaves(1)).replace("b", "-"), written.length))
    assert [length for _, length in read] == [length for _, length in meant]
    assert [name for name, _ in read] == [name for name, _ in meant]

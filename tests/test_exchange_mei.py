"""MEI as other programs write it: what MEI 5 (music-encoding.org, guidelines) allows, and Verovio's own MEI."""

from __future__ import annotations

from pathlib import Path

import pytest
import verovio

from scribe import compile
from scribe.exchange.draft import write_draft
from scribe.exchange.out.musicxml import musicxml
from scribe.exchange.reading import take
from tests.exchange_help import draft, piece_of, said

DEMOS = sorted((Path(__file__).parent.parent / "demo").glob("*.scribe"))
BASS = '<label>Bass</label><clef shape="F" line="4"/><keySig sig="2f"/><meterSig count="4" unit="4"/>'
FOUR = "".join(f'<note xml:id="n{i}" pname="{name}" oct="2" dur="4"/>' for i, name in enumerate("cdef"))


def staff(inside: str, number: int = 1) -> str:
    """One staff of one layer."""
    return f'<staff n="{number}"><layer n="1">{inside}</layer></staff>'


def bar(inside: str, controls: str = "", attributes: str = 'n="1"') -> str:
    """A measure of one staff."""
    return f"<measure {attributes}>{staff(inside)}{controls}</measure>"


def mei_of(music: str, definition: str = "", head: str = "", staves: str = "") -> bytes:
    """A document of one bass in 4/4 and B flat, its key and metre elements of their own."""
    staves = staves or f'<staffDef n="1" lines="5">{definition or BASS}</staffDef>'
    return (
        '<mei xmlns="http://www.music-encoding.org/ns/mei" meiversion="5.0"><meiHead><fileDesc><titleStmt>'
        f"{head}</titleStmt><pubStmt/></fileDesc></meiHead><music><body><mdiv><score><scoreDef><staffGrp>{staves}"
        f"</staffGrp></scoreDef><section>{music}</section></score></mdiv></body></music></mei>"
    ).encode()


@pytest.mark.parametrize("demo", DEMOS, ids=lambda p: p.stem)
def test_what_verovio_makes_of_our_scores(demo: Path) -> None:
    """Another program's MEI of a piece says the notes, the chords' places, keys and metres of that piece."""
    piece = compile(demo.read_text(encoding="utf-8")).piece
    toolkit = verovio.toolkit()
    toolkit.setInputFrom("musicxml")
    assert toolkit.loadData(musicxml(piece).decode())
    made = piece_of(write_draft(take(toolkit.getMEI().encode()).line).text)
    ours, theirs = said(piece), said(made)
    struck = [[row[:4] for row in each.notes if len(row) > 3] for each in (ours, theirs)]
    assert len(struck[1]) == len(struck[0])
    pitches = [
        [(row[0], row[1], [h[1] for h in row[3] if h[0] == "note"]) for row in each] for each in struck
    ]
    assert pitches[1] == pitches[0]
    assert [at for at, *_ in theirs.chords] == [at for at, *_ in ours.chords]
    assert len(theirs.bars) == len(ours.bars)


def test_definitions_as_elements() -> None:
    """MEI 4 and 5: clef, signature and metre may be elements; changes too, in sections inside each other."""
    change = '<scoreDef><keySig sig="1s" mode="minor"/><meterSig count="3" unit="4"/></scoreDef>'
    three = "".join(f'<note pname="{name}" oct="2" dur="4"/>' for name in "efg")
    numbered = bar(three, attributes='n="X1"')
    music = f"<section>{bar(FOUR)}</section><section>{change}{numbered}</section>"
    assert (
        write_draft(take(mei_of(music)).line).text
        == "key      Bb\n|c d E f\nkey E minor\ntime 3/4\n |^e F g\n"
    )


def test_metres_of_parts_and_signs() -> None:
    """`3+2/8` as a group or a sum, and the signs for 4/4 and 2/2 alone."""
    five = "".join(f'<note pname="{name}" oct="2" dur="8"/>' for name in "cdefg")
    group = (
        '<meterSigGrp func="mixed"><meterSig count="3" unit="8"/><meterSig count="2" unit="8"/></meterSigGrp>'
    )
    for metre in (group, '<meterSig count="3+2" unit="8"/>'):
        made = write_draft(
            take(mei_of(bar(five), f'<label>Bass</label><clef shape="F" line="4"/>{metre}')).line
        ).text
        assert "time     5/8 3+2\n" in made
    cut = mei_of(bar(FOUR), '<label>Bass</label><clef shape="F" line="4"/><meterSig sym="cut"/>')
    assert "time     2/2\n" in write_draft(take(cut).line).text


def test_rests_are_as_long_as_the_metre_says() -> None:
    """Long rests where the metre stands at the staff."""
    music = bar('<multiRest num="4"/>') + bar(FOUR, '<reh><rend rend="box">A</rend></reh>', 'n="5"')
    made = write_draft(take(mei_of(music)).line).text
    assert made.endswith("rest     4\n[A] |c d E f\n")


def test_tablature_alone() -> None:
    """Strings and frets of a staff without other notes: pitches from the tuning, places kept."""
    tuning = "".join(
        f'<course n="{n}" pname="{name}" oct="{octave}"/>'
        for n, (name, octave) in enumerate((("g", 2), ("d", 2), ("a", 1), ("d", 1)), 1)
    )
    groups = "".join(
        f'<tabGrp dur="4"><tabDurSym/><note tab.course="{course}" tab.fret="{fret}"/></tabGrp>'
        for course, fret in ((4, 0), (4, 3), (3, 0))
    )
    groups += (
        '<tabGrp dur="4"><note tab.course="2" tab.fret="2"/><note tab.course="1" tab.fret="1"/></tabGrp>'
    )
    definition = f'<label>Bass tab</label><tuning>{tuning}</tuning><meterSig count="4" unit="4"/>'
    staves = f'<staffDef n="1" lines="4" notationtype="tab.guitar">{definition}</staffDef>'
    line = take(mei_of(bar(groups), staves=staves)).line
    assert [[str(head.pitch) for head in event.heads] for event in line.bars[0].events] == [
        ["D1"],
        ["F1"],
        ["A1"],
        ["E2", "G#2"],
    ]
    assert line.instrument.name == "bass"
    assert write_draft(line, "fret").text.endswith("|d:0:3A:0D:2+G:1\n")


@pytest.mark.parametrize(
    ("inside", "controls", "made"),
    [
        # tremolos: one note, or two that alternate
        (
            '<bTrem><note pname="c" oct="2" dur="2" stem.mod="3slash"/></bTrem><note pname="d" oct="2" dur="2"/>',
            "",
            "; bar 1: tremolo\n|c d",
        ),
        (
            '<fTrem><note pname="c" oct="2" dur="2"/><note pname="d" oct="2" dur="2"/></fTrem>'
            '<note pname="d" oct="2" dur="2"/>',
            "",
            "; bar 1: tremolo\n|cd d",
        ),
        # several readings: the editor's
        (
            '<app><rdg><note pname="f" oct="2" dur="2"/></rdg><lem><note pname="c" oct="2" dur="2"/></lem></app>'
            '<choice><sic><note pname="f" oct="2" dur="2"/></sic>'
            '<corr><note pname="d" oct="2" dur="2"/></corr></choice>',
            "",
            "|c d",
        ),
        (
            '<supplied><note pname="c" oct="2" dur="2"/></supplied><note pname="d" oct="2" dur="2"/>',
            "",
            "|c d",
        ),
        # a clef inside a beam, and one that only shows another staff's
        (
            '<beam><note pname="c" oct="2" dur="8"/><clef shape="G" line="2"/><note pname="d" oct="2" dur="8"/></beam>'
            '<clef sameas="#x"/><note pname="c" oct="2" dur="4"/><note pname="d" oct="2" dur="2"/>',
            "",
            "|cdc- d",
        ),
        # heads of notes without an id, strokes without a pitch, a bend
        ('<note pname="c" oct="2" dur="2"/><note pname="d" oct="2" dur="2" head.shape="x"/>', "", "|c x"),
        ('<note loc="1" dur="2"/><note loc="5" dur="2"/>', "", "|x x"),
        ('<note pname="c" oct="2" dur="1"><artic artic="bend"/></note>', "", "|c'b"),
        ('<note pname="c" oct="2" dur="1"><artic artic="scoop"/></note>', "", "; bar 1: scoop\n|c"),
        # signs at notes and at times
        (FOUR, '<dynam startid="#n2">mf</dynam>', "|c d 'mf E f"),
        (FOUR, '<harm startid="#n2">Gm7</harm><dir startid="#n3">softly</dir>', '|c d @Gm7 E "softly" f'),
        (FOUR, '<harm tstamp="1">V7</harm>', '|"V7" c d E f'),
        (FOUR, '<fermata staff="1" tstamp="4"/>', "|c d E f'h"),
        (FOUR, '<slur staff="1" tstamp="1" tstamp2="0m+2"/>', "|c ~d E f"),
        (FOUR, '<hairpin form="cres" startid="#n1" endid="#n3"/>', "|c 'cresc d E 'steady f"),
        (
            FOUR,
            '<tempo staff="1" tstamp="3" mm="60" mm.unit="4">Lento</tempo>',
            '|c d "Lento quarter = 60" E f',
        ),
        (FOUR, '<octave startid="#n2" endid="#n3" dis="8" dis.place="above"/>', "|c d ^^E f"),
        # and what a draft has no sign for
        (
            FOUR,
            '<trill startid="#n1"/><mordent startid="#n2" form="lower"/>',
            "; bar 1: trill, mordent\n|c d E f",
        ),
        (FOUR, '<tie startid="#n3"/>', "; bar 1: a tie that leads nowhere\n|c d E f"),
        (FOUR, '<slur startid="#n3"/>', "; bar 1: a slur that leads nowhere\n|c d E f"),
        (
            FOUR.replace(
                'dur="4"/>', 'dur="4"><verse n="1"><syl wordpos="i" con="d">lo</syl></verse></note>', 1
            ),
            "",
            "; bar 1: lyrics lo-\n|c d E f",
        ),
        (
            FOUR.replace('dur="4"/>', 'dur="4"><verse><syl wordpos="s" con="s">low</syl></verse></note>', 1),
            "",
            "; bar 1: lyrics low\n|c d E f",
        ),
    ],
)
def test_what_stands_in_a_bar(inside: str, controls: str, made: str) -> None:
    """Each comes in, or is named at its bar."""
    assert draft(mei_of(bar(inside, controls))) == made


def test_every_staff_has_its_own_signs() -> None:
    """Dynamics, words and repeat signs of another player are not the bass's; a tempo is everybody's."""
    staves = "".join(
        f'<staffDef n="{n}" lines="5"><label>{name}</label><clef shape="{clef}" line="{line}"/>'
        '<keySig sig="0"/><meterSig count="4" unit="4"/></staffDef>'
        for n, (name, clef, line) in enumerate((("Flute", "G", 2), ("Bass", "F", 4)), 1)
    )
    high = FOUR.replace('oct="2"', 'oct="5"').replace('"n', '"m')
    first = (
        f'<measure n="1">{staff(high)}{staff(FOUR, 2)}<dynam staff="1" tstamp="1">pp</dynam>'
        '<dynam staff="2" tstamp="1">f</dynam><dir staff="1" tstamp="1">mute</dir><trill staff="1" startid="#m1"/>'
        '<tempo staff="1" tstamp="1" mm="96">Andante</tempo></measure>'
    )
    second = f'<measure n="2">{staff("<mRpt/>")}{staff("<mRest/>", 2)}</measure>'
    made = write_draft(take(mei_of(first + second, staves=staves)).line).text
    assert made == "key      C\ntempo    Andante 96\n|'f c d e f|.\n"


def test_dynamics_between_the_hands_are_for_both() -> None:
    """Braced staves of a piano, dynamics below the upper one."""
    hands = "".join(
        f'<staffDef n="{n}" lines="5"><clef shape="{clef}" line="{line}"/><meterSig count="4" unit="4"/></staffDef>'
        for n, (clef, line) in enumerate((("G", 2), ("F", 4)), 1)
    )
    staves = f'<staffGrp symbol="brace"><label>Piano</label>{hands}</staffGrp>'
    high = FOUR.replace('oct="2"', 'oct="5"').replace('"n', '"m')
    music = f'<measure n="1">{staff(high)}{staff(FOUR, 2)}<dynam staff="1" tstamp="3" place="below">p</dynam></measure>'
    line = take(mei_of(music, staves=staves)).line
    assert line.instrument.name == "piano left hand"
    assert write_draft(line).text.endswith("c d 'p e f\n")


def test_names_on_the_page_and_in_the_head() -> None:
    """A composer who is a person with that role, a title that only the page has."""
    people = '<respStmt><persName role="composer">N. N.</persName><persName role="arranger">O. O.</persName></respStmt>'
    page = '<pgHead><rend halign="center">Rope Ladder</rend></pgHead>'
    data = mei_of(bar(FOUR), head=f"<title/>{people}").replace(b"<scoreDef>", f"<scoreDef>{page}".encode(), 1)
    made = write_draft(take(data).line).text
    assert made.startswith("title    Rope Ladder\ncomposer N. N.\n; arranger: O. O.\n")


def test_nothing_is_printed_while_reading(capfd: pytest.CaptureFixture[str]) -> None:
    """music21 warns of what it leaves out on the terminal; that is said in the draft, not there."""
    take(mei_of(bar(FOUR, '<tie startid="#n3"/><beamSpan startid="#n1"/><tupletSpan startid="#n1"/>')))
    assert capfd.readouterr() == ("", "")


def test_hairpins_set_by_eye_reach_from_note_to_note() -> None:
    """Times a little beside the notes, as programs store what was drawn; the next dynamic ends them."""
    drawn = (
        '<hairpin staff="1" form="cres" tstamp="2.1" tstamp2="0m+3.93"/><hairpin staff="1" form="dim" tstamp="4.07" '
        'tstamp2="1m+1"/>'
    )
    loud = '<dynam staff="1" tstamp="1.06">f</dynam>'
    music = bar(FOUR, drawn) + bar(FOUR.replace('"n', '"m'), loud)
    assert draft(mei_of(music)) == "|c 'cresc d E 'dim f|'f c d E f"

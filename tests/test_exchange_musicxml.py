"""The MusicXML that goes out: valid, and what other programs need said the way the standard says it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import verovio
from hypothesis import HealthCheck, assume, given, settings
from lxml import etree

from scribe import compile
from scribe.exchange.draft import write_draft
from scribe.exchange.m21 import read_line
from scribe.exchange.out.mei import mei
from scribe.exchange.out.musicxml import musicxml
from scribe.exchange.reading import take
from scribe.exchange.worker import draft_of
from scribe.music.tuning import STANDARD, show_tuning
from scribe.score import build
from tests.exchange_help import piece_of
from tests.musicxml_schema import faults
from tests.pieces import random_draft
from tests.test_score_property import drafts

DEMOS = sorted((Path(__file__).parent.parent / "demo").glob("*.scribe"))


def xml(text: str) -> etree._Element:
    """The document of a draft."""
    return etree.fromstring(musicxml(piece_of(text)))


@pytest.mark.parametrize(
    "text", [p.read_text(encoding="utf-8") for p in DEMOS] + [random_draft(s) for s in range(6)]
)
def test_valid(text: str) -> None:
    """The W3C's schema of MusicXML 4.0 has nothing against it."""
    assert faults(musicxml(compile(text).piece)) == []


@settings(max_examples=20, derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(drafts())
def test_any_draft_is_valid(text: str) -> None:
    """Whatever can be typed without an error."""
    compiled = compile(text)
    assume(not any(d.severity == "error" for d in compiled.diagnostics))
    assert faults(musicxml(compiled.piece)) == []


def test_the_schema_finds_faults() -> None:
    """The check can fail: an element out of place is told."""
    made = musicxml(piece_of("| g b d g |")).replace(b"<duration>", b"<staff>1</staff><duration>", 1)
    assert faults(made) != []


# Diatonic and chromatic steps without octaves, and octave-change, from written to sounding (handbook tables of
# transposing instruments; W3C MusicXML 4.0, `transpose`).
@pytest.mark.parametrize(
    ("instrument", "expected"),
    [
        ("bass", (0, 0, -1)),
        ("double bass", (0, 0, -1)),
        ("guitar", (0, 0, -1)),
        ("soprano sax", (-1, -2, None)),
        ("trumpet", (-1, -2, None)),
        ("alto sax", (-5, -9, None)),
        ("tenor sax", (-1, -2, -1)),
        ("bass clarinet", (-1, -2, -1)),
        ("baritone sax", (-5, -9, -1)),
        ("horn", (-4, -7, None)),
        ("piano", None),
    ],
)
def test_transposition(instrument: str, expected: tuple[int, int, int | None] | None) -> None:
    """Parts are written as their players read them, and say what sounds."""
    found = xml(f"instrument {instrument}\n| c e g c |").find(".//transpose")
    if expected is None:
        assert found is None
        return
    texts = [found.findtext(name) for name in ("diatonic", "chromatic", "octave-change")]
    assert tuple(None if text is None else int(text) for text in texts) == expected


# Kinds and degrees: W3C MusicXML 4.0, `kind-value` and `degree`; readings of the symbols: common practice.
@pytest.mark.parametrize(
    ("symbol", "kind", "degrees"),
    [
        ("C", "major", []),
        ("Cm7", "minor-seventh", []),
        ("Cmaj7", "major-seventh", []),
        ("C7", "dominant", []),
        ("C7b9", "dominant", ["9 -1 add"]),
        ("C7#11", "dominant", ["11 1 add"]),
        ("C7b5", "dominant", ["5 -1 alter"]),
        ("Cm7b5", "half-diminished", []),
        ("C7sus4", "suspended-fourth", ["7 0 add"]),
        ("C6/9", "major-sixth", ["9 0 add"]),
        ("Cadd9", "major", ["9 0 add"]),
        ("C7alt", "dominant", ["5 -1 alter", "9 -1 add", "9 1 add", "13 -1 add"]),
        ("Cm(maj7)", "major-minor", []),
        ("C5", "power", []),
        ("N.C.", "none", []),
    ],
)
def test_chord_symbols(symbol: str, kind: str, degrees: list[str]) -> None:
    """Kind and degrees say what sounds, as the W3C has them."""
    harmony = xml(f"instrument piano\n| @{symbol} c e g c |").find(".//harmony")
    assert harmony.findtext("kind") == kind
    shown = [" ".join(each.itertext()).split() for each in harmony.findall("degree")]
    assert [" ".join(each) for each in shown] == degrees


@pytest.mark.parametrize(
    ("symbol", "printed"),
    [
        ("Gsus4add13", "Gsus4(add13)"),
        ("Dadd9", "D(add9)"),
        ("C(add9)", "C(add9)"),
        ("F#m7b5", "F♯m7b5"),  # a kind of its own
        ("E7b9#11", "E7(♭9♯11)"),
        ("D7(#9,b13)/F#", "D7(♯9♭13)/F♯"),
        ("G6/9", "G6(9)"),
        ("C7no3", "C7(no3)"),
        ("Cm(maj7)", "Cm(maj7)"),
        ("C13", "C13"),
    ],
)
def test_readers_that_print_text_and_degrees_show_all_of_a_symbol_once(symbol: str, printed: str) -> None:
    """As Verovio prints our file, which puts the degrees behind the text whatever is said of them. It comes back."""
    data = musicxml(piece_of(f"| @{symbol} g b d b |"))
    toolkit = verovio.toolkit()
    toolkit.loadData(data.decode())
    (harm,) = etree.fromstring(toolkit.getMEI().encode()).iter("{*}harm")
    assert "".join(map(str, harm.itertext())) == printed
    assert f"@{symbol} " in write_draft(take(data).line).text


@pytest.mark.parametrize("symbol", ["C13sus4", "C7alt", "C7sus4b9"])
def test_what_is_in_the_text_under_another_name_is_not_to_be_printed_again(symbol: str) -> None:
    """W3C MusicXML 4.0, `degree`: `print-object` no. (Verovio prints them all the same.)"""
    harmony = xml(f"| @{symbol} c e g c |").find(".//harmony")
    assert harmony.find("kind").get("text") == symbol[1:]
    assert {each.get("print-object") for each in harmony.findall("degree")} == {"no"}


@pytest.mark.parametrize(
    ("feel", "expected"),
    [
        ("swing", ["2", "1", "eighth"]),
        ("swing 3:2", ["3", "2", "eighth"]),
        ("swing 16ths", ["2", "1", "16th"]),
        ("shuffle", ["2", "1", "eighth"]),
    ],
)
def test_swing(feel: str, expected: list[str]) -> None:
    """Feel is in words, and in `<swing>` (W3C MusicXML 4.0: `first`, `second` in lowest terms, `swing-type`)."""
    made = xml(f"feel {feel}\n| gb db gb d |")
    assert [each.text for each in made.find(".//swing")] == expected
    assert feel in [words.text for words in made.iter("words")]


def test_back_to_straight() -> None:
    """A change back is said as well."""
    made = xml("feel swing\n| gb db gb d |\nfeel straight\n| gb db gb d |")
    assert [each[0].tag for each in made.iter("swing")] == ["first", "straight"]


def test_strings_frets_plucks_doubts() -> None:
    """Places on the neck and the plucking hand's letters are technical marks; a doubt has its question mark."""
    made = xml("strings B E A D G\n| A:3 g:E'p b?'t @Cm7? g |")
    assert [(t.findtext("string"), t.findtext("fret")) for t in made.iter("technical")][:2] == [
        ("3", "3"),
        ("4", "3"),
    ]
    assert [p.text for p in made.iter("pluck")] == ["P", "T"]
    doubts = [d.get("placement") for d in made.iter("direction") if d.findtext("direction-type/words") == "?"]
    assert doubts == ["below", "above"]


@pytest.mark.parametrize("head", ["strings B E A D G\n", "strings B E A D G\nshow tab\n", ""])
def test_a_tuning_makes_no_tablature_of_the_staff(head: str) -> None:
    """`<staff-tuning>` is for the lines of a tablature staff (W3C MusicXML 4.0); Verovio draws any staff with it as
    one. What Verovio makes of our file, in MEI, is a staff of five lines with a bass clef and all its notes."""
    made = musicxml(piece_of(f"{head}| A:3 E:3 D:5 G:2 |"), "")
    toolkit = verovio.toolkit()
    assert toolkit.loadData(made.decode())
    mei = etree.fromstring(toolkit.getMEI().encode())
    (staff,) = mei.iter("{*}staffDef")
    assert (staff.get("lines"), staff.get("notationtype")) == ("5", None)
    assert [c.get("shape") for c in staff.iter("{*}clef")] == ["F"]
    assert [n.get("pname") for n in mei.iter("{*}note")] == ["c", "g", "g", "a"]
    assert show_tuning(take(made).line.tuning or STANDARD) == (head.split("\n")[0][8:] or "E A D G")


@pytest.mark.parametrize(
    ("text", "around"),
    [
        ("| 'mf g 'cresc b d g | b 'ff d g b |", "B2 stop ff D3"),
        ("| 'mf g 'cresc b d g | 'ff b d g b |", "stop | ff B2"),
        ("| 'mf g 'cresc b d g :| 'ff b d g b |", "stop | ff B2"),
        ("| 'mf g 'cresc b 'dim d+a g | 'p b d g b |", "B2 stop diminuendo D3"),
        ("| 'mf g 'cresc b d g |", "G3 stop"),
        ("| 'mf g 'cresc b 'steady d g | b d g b |", "B2 stop D3 G3 |"),
    ],
)
def test_a_hairpin_ends_where_its_dynamic_begins(text: str, around: str) -> None:
    """Not behind the first loud note; one that leads nowhere ends with the last note."""
    said = []
    for each in xml(text).find("part").iter("measure", "wedge", "dynamics", "pitch"):
        if each.tag == "pitch":
            said.append((each.findtext("step") or "") + (each.findtext("octave") or ""))
        else:
            said.append({"measure": "|", "wedge": each.get("type")}.get(each.tag) or each[0].tag)
    assert around in " ".join(said)


ALL_DYNAMICS = (
    "| 'ppp g 'pp g 'p g 'mp g | 'mf g 'f g 'ff g 'fff g |"
    " 'fp g 'sf g 'sfz g 'fz g | 'rf g 'rfz g 'p 'sf g a |"
)


def test_every_dynamic_is_an_element_of_its_own() -> None:
    """MusicXML 4.0, `dynamics`: below the staff; those of one note say nothing of the loudness that holds."""
    made = xml(ALL_DYNAMICS)
    assert [each.tag for each in made.iterfind(".//dynamics/*")] == re.findall(r"'(\w+)", ALL_DYNAMICS)
    assert not faults(musicxml(piece_of(ALL_DYNAMICS)))
    holds = [sound.getprevious()[0][0].tag for sound in made.iterfind(".//sound[@dynamics]")]
    assert holds == ["ppp", "pp", "p", "mp", "mf", "f", "ff", "fff", "p"]


@pytest.mark.parametrize("where", ["musicxml", "mei", "music21"])
def test_every_dynamic_comes_back(where: str) -> None:
    """Each is read as it was typed, out of either file and out of music21's own stream."""
    text = ALL_DYNAMICS + "\n| g 'cresc g g 'sfz g | g 'dim g - 'ppp g | g 'cresc g 'rfz 'cresc g 'fff g |"
    piece = piece_of(text)
    if where == "music21":
        back = write_draft(read_line(build(piece))[0]).text
    else:
        back = draft_of(musicxml(piece) if where == "musicxml" else mei(piece)).text
    typed, found = (
        [re.findall(r"'\w+", bar) for bar in re.split(r"[|\s]*[|][|\s]*", each) if "'" in bar]
        for each in (text, back)
    )
    assert found == typed


def test_fermatas_stand_above_and_no_name_is_made_up() -> None:
    """The page has them above the staff too (MusicXML 4.0: `upright`); a part has its name, no abbreviation of
    another instrument's."""
    made = xml("| g'h b d g |")
    assert [f.get("type") for f in made.iter("fermata")] == ["upright"]
    assert made.findtext("part-list/score-part/part-name") == "bass"
    assert not list(made.iter("part-abbreviation", "instrument-abbreviation"))


def test_tempo_words_and_systems() -> None:
    """Words and number are one direction; every line of the draft begins a system."""
    made = xml("tempo Slow groove dotted-quarter 66\ntime 12/8\n| g b d g |\n| a b c d |")
    (direction,) = [d for d in made.iter("direction") if d.find("direction-type/metronome") is not None]
    assert direction.findtext("direction-type/words") == "Slow groove"
    assert direction.findtext("direction-type/metronome/per-minute") == "66"
    assert direction.find("direction-type/metronome/beat-unit-dot") is not None
    assert [p.get("new-system") for p in made.iter("print")] == ["yes"]


def test_the_same_draft_the_same_bytes() -> None:
    """No date, no random name."""
    text = DEMOS[0].read_text(encoding="utf-8")
    assert musicxml(piece_of(text)) == musicxml(piece_of(text))


def test_repeat_signs() -> None:
    """`%` and `%%` are `<measure-repeat>` (W3C MusicXML 4.0), and their notes are there for programs without it."""
    made = xml("| g b d b | % | % | a b c d | %% | g - - - |")
    found = [
        (measure.get("number"), sign.get("type"), sign.get("slashes"), sign.text)
        for measure in made.iter("measure")
        for sign in measure.iter("measure-repeat")
    ]
    assert found == [
        ("2", "start", "1", "1"),
        ("4", "stop", None, None),
        ("5", "start", "2", "2"),
        ("7", "stop", None, None),
    ]
    assert [len(measure.findall("note")) for measure in made.iter("measure")] == [4, 4, 4, 4, 4, 4, 1]


def test_repeat_signs_are_valid() -> None:
    """The schema has nothing against them, beside a change of metre and a break of the system."""
    text = "| g b d b | % |\ntime 3/4\n| g b d |\n| % | a b c | %% |"
    assert faults(musicxml(piece_of(text))) == []


def test_roots_of_a_transposing_part_are_named_as_on_our_page() -> None:
    """B flat on an alto saxophone in B (written in A flat) is G, not A double flat."""
    root = etree.fromstring(musicxml(piece_of("instrument alto sax\nkey B\n| @Bbmaj7#11 g b d f |")))
    assert (root.findtext(".//root-step"), root.findtext(".//root-alter")) == ("G", None)


def test_a_root_with_a_double_flat_does_not_stop_a_file() -> None:
    """music21 fails over some chords on such roots; they come in under their plain name."""
    data = musicxml(piece_of("| @Gmaj7#11 g b d f |"))
    flat = data.replace(b"<root-step>G</root-step>", b"<root-step>A</root-step><root-alter>-2</root-alter>")
    assert flat != data
    assert "@Gmaj7#11" in write_draft(take(flat).line).text


def test_a_file_does_not_change_what_the_next_one_says() -> None:
    """music21 keeps a scale of each root; that of an unusual chord moves with its part, here from G to A sharp."""
    sax = musicxml(piece_of("instrument alto sax\nkey B\n| @Bbwhat g b |"))
    bass = musicxml(piece_of("| @G7 g @Gmaj7#11 c# |"))
    take(sax)
    assert "@G7 g @Gmaj7#11 c#" in write_draft(take(bass).line).text

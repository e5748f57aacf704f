"""Bad files: a clear word, in bounded time and memory, nothing read beside the file."""

from __future__ import annotations

import io
import struct
import zipfile
from contextlib import suppress
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scribe.exchange.barchoice import write_bar
from scribe.exchange.guard import MOST_FILE, too_large
from scribe.exchange.model import Cannot, Symbol
from scribe.exchange.out.mei import mei
from scribe.exchange.out.midi import midi
from scribe.exchange.out.musicxml import musicxml, mxl
from scribe.exchange.reading import take
from scribe.exchange.values import tempo_text
from scribe.exchange.worker import draft_of
from scribe.music.inforce import InForce, Tempo
from tests.exchange_help import bar_of, piece_of, score_of

NOTE = "<note><pitch><step>C</step><octave>3</octave></pitch><duration>4</duration><type>whole</type></note>"
GOOD = piece_of("title Lamp\nkey Eb\n| @Eb7 e g b d | e - - . |")


def partwise(inside: str, head: str = "") -> bytes:
    """A MusicXML document of one part with this inside."""
    return (
        f'<?xml version="1.0"?>{head}<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>x'
        f'</part-name></score-part></part-list><part id="P1">{inside}</part></score-partwise>'
    ).encode()


def bar(inside: str = NOTE) -> str:
    """A measure of 4/4."""
    return (
        '<measure number="1"><attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type>'
        f"</time></attributes>{inside}</measure>"
    )


def archive(**members: bytes) -> bytes:
    """A zip file; `__` in a name stands for `/`."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        for name, data in members.items():
            made.writestr(name.replace("__", "/").replace("_xml", ".xml"), data)
    return out.getvalue()


def container(path: str) -> bytes:
    """The index of a compressed score."""
    return f'<container><rootfiles><rootfile full-path="{path}"/></rootfiles></container>'.encode()


def said(data: bytes) -> str:
    """What the user reads about a file that cannot be taken in."""
    with pytest.raises(Cannot) as caught:
        take(data)
    message = str(caught.value)
    assert message == message.strip()
    assert "\n" not in message
    assert len(message) < 200
    assert "Traceback" not in message
    return message


LAUGHS = "".join(f'<!ENTITY l{i} "{f"&l{i - 1};" * 10}">' for i in range(1, 12))


@pytest.mark.parametrize(
    "head",
    [
        f'<!DOCTYPE score-partwise [<!ENTITY l0 "ha">{LAUGHS}]>',
        '<!DOCTYPE score-partwise [<!ENTITY secret SYSTEM "file:///etc/passwd">]>',
        '<!DOCTYPE score-partwise [<!ENTITY % more SYSTEM "http://127.0.0.1:1/x.dtd"> %more;]>',
    ],
    ids=["bomb", "file", "network"],
)
@pytest.mark.parametrize("code", ["utf-8", "utf-16"])
def test_entities_are_refused_whole(head: str, code: str) -> None:
    """No entity is ever expanded or fetched, in any encoding."""
    data = partwise(bar(), head).decode()
    if code != "utf-8":
        data = data.replace('version="1.0"', f'version="1.0" encoding="{code}"')
    assert "entities" in said(data.encode(code))


def test_the_usual_document_type_is_harmless() -> None:
    """Nearly every MusicXML file names its DTD; it is not fetched."""
    head = '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" "http://127.0.0.1:1/p.dtd">'
    assert len(take(partwise(bar(), head)).line.bars) == 1


def test_a_bomb_in_an_archive_is_not_unpacked() -> None:
    """A few hundred kilobytes that would become hundreds of megabytes."""
    bomb = archive(META_INF__container_xml=container("score.xml"), score_xml=b" " * (MOST_FILE + 2**20))
    assert len(bomb) < 2**20
    assert "unpacks to more than" in said(bomb.replace(b"META_INF", b"META-INF"))


def test_names_in_an_archive_lead_nowhere(tmp_path: Path) -> None:
    """A container that names a file outside gets nothing; members named like paths are never written."""
    outside = tmp_path / "outside.xml"
    outside.write_bytes(partwise(bar()))
    for name in (str(outside), "../outside.xml", "/etc/passwd", "..\\outside.xml"):
        data = archive(META_INF__container_xml=container(name), score_xml=partwise(bar()))
        assert "holds no" in said(data.replace(b"META_INF", b"META-INF"))
    before = sorted(p.name for p in tmp_path.iterdir())
    inner = archive(**{".__..__evil_xml": partwise(bar())})
    assert len(take(inner).line.bars) == 1
    assert sorted(p.name for p in tmp_path.iterdir()) == before


def midi_head(*division: int) -> bytes:
    """The head of a Standard MIDI File of one track; the two bytes say how it counts time."""
    return b"MThd\x00\x00\x00\x06\x00\x00\x00\x01" + bytes(division)


def midi_track(events: bytes) -> bytes:
    """One track with its end."""
    events += b"\x00\xff\x2f\x00"
    return b"MTrk" + len(events).to_bytes(4, "big") + events


ONE = (
    "<note><pitch><step>C</step><octave>3</octave></pitch><duration>4</duration><voice>1</voice>"
    "<type>whole</type></note>"
)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "empty"),
        (b"  \n ", "empty"),
        (b"hello, I am a text", "expected MusicXML, MEI or MIDI"),
        (b"\x89PNG\r\n\x1a\n\0\0\0", "expected MusicXML, MEI or MIDI"),
        (b"<html><body/></html>", "root `html`"),
        (b"<score-partwise><part", "damaged XML at line 1, column "),
        (partwise(""), "no notes"),
        (b'<score-partwise version="4.0"/>', ""),
        (b'<mei xmlns="http://www.music-encoding.org/ns/mei"/>', ""),
        (b"PK\x03\x04 and nothing", "damaged archive"),
        (archive(readme=b"no score here"), "archive without a score"),
        (b"MThd", "damaged MIDI"),
        (midi_head(0xE7, 40), "counts time in frames"),
        (midi_head(0x01, 0xE0) + midi_track(b"\x00\x99\x24\x50\x60\x89\x24\x00"), "only percussion"),
        (b"MThd" + struct.pack(">IHHH", 6, 1, 0, 96), "no notes"),
        (b"MThd" + struct.pack(">IHHh", 6, 0, 1, -6400) + b"MTrk\0\0\0\4\0\xff\x2f\0", ""),
        (b"<a>" * 5000, "damaged XML"),
    ],
)
def test_wrong_files(data: bytes, words: str) -> None:
    """Each gets one line that says what is wrong."""
    assert words in said(data)


@pytest.mark.parametrize("made", [musicxml(GOOD), mxl(GOOD), midi(GOOD)], ids=["musicxml", "mxl", "midi"])
def test_cut_off_files(made: bytes) -> None:
    """A file cut off anywhere is refused, or says all it still holds; it never breaks the reader."""
    for length in range(0, len(made), max(1, len(made) // 40)):
        with suppress(Cannot):
            assert take(made[:length]).line.bars


@settings(max_examples=60, derandomize=True, deadline=None)
@given(
    st.sampled_from([musicxml(GOOD), midi(GOOD)]), st.integers(0, 10**6), st.binary(min_size=1, max_size=4)
)
def test_damaged_files(made: bytes, place: int, put: bytes) -> None:
    """Some bytes changed anywhere: a draft or a reason, nothing else."""
    at = place % len(made)
    with suppress(Cannot):
        assert take(made[:at] + put + made[at + len(put) :]).line.bars


def test_numbers_that_would_fill_the_memory() -> None:
    """`1e999999999` is a decimal number in XML Schema, and takes a gigabyte to write out: it is none here."""
    huge = "1e999999999"
    tempo = (
        '<direction directive="no"><direction-type><words>Slow</words></direction-type>'
        f'<offset>{huge}</offset><sound tempo="{huge}"/></direction>'
    )
    first = take(partwise(bar(tempo + NOTE))).line.bars[0]
    assert (first.tempo, [sign.text for sign in first.signs]) == (None, ["Slow"])
    text = mei(GOOD).replace(b'tstamp="1"', f'tstamp="{huge}"'.encode())
    assert huge.encode() in text
    assert take(text).line.bars


def test_a_midi_file_that_lasts_for_days() -> None:
    """A damaged distance between two notes: refused at once, not divided into bars for an hour."""
    data = midi(GOOD)
    at = data.rindex(b"\x87@\xff/\x00")
    far = data[:at].replace(b"\x87@\x80", b"\xff\xff\xff\x7f\x80", 1) + data[at:]
    length = int.from_bytes(data[18:22], "big") + len(far) - len(data)
    assert "it lasts 27" in said(far[:18] + length.to_bytes(4, "big") + far[22:])


def test_a_huge_file_is_not_read(tmp_path: Path) -> None:
    """200 MB: its size alone is the answer."""
    huge = tmp_path / "huge.xml"
    with huge.open("wb") as out:
        out.truncate(200 * 2**20)
    fault = too_large(huge.stat().st_size)
    assert fault is not None
    assert "200 MB" in str(fault)


def test_too_many_notes_are_counted_before_they_are_read() -> None:
    """The count stands in the message."""
    assert "150001 notes" in said(partwise(bar("<note/>" * 150_001)))


def test_four_hundred_parts() -> None:
    """The lowest of them is taken."""
    parts = [
        f'<part id="P{n}">{bar(NOTE.replace("<octave>3", f"<octave>{2 if n == 300 else 4}"))}</part>'
        for n in range(400)
    ]
    names = "".join(f'<score-part id="P{n}"><part-name>{n}</part-name></score-part>' for n in range(400))
    data = f"<score-partwise><part-list>{names}</part-list>{''.join(parts)}</score-partwise>".encode()
    taken = take(data)
    assert taken.source == "part 301 (300)"
    assert taken.others == 399


def test_a_part_or_voice_that_is_not_there() -> None:
    """The message lists those that are."""
    with pytest.raises(Cannot, match=r"no part `tuba`; there are part 1 \(x\)"):
        take(partwise(bar()), part="tuba")
    with pytest.raises(Cannot, match="no voice 3"):
        take(partwise(bar()), voice=3)


@pytest.mark.parametrize(
    ("asked", "taken"),
    [
        ("bass", "part 3 (Bass Guitar)"),
        ("guitar", "part 3 (Bass Guitar)"),
        ("trumpet in bb", "part 2 (Trumpet in B♭)"),
        ("alto-sax", "part 1 (Alto Sax)"),
        ("2", "part 2 (Trumpet in B♭)"),
    ],
)
def test_a_part_is_found_by_words_of_its_name(asked: str, taken: str) -> None:
    """Over a folder of scores the parts have no two names alike; `bass` finds the bass in each."""
    score = score_of([(name, [bar_of(ONE, 1)]) for name in ("Alto Sax", "Trumpet in B♭", "Bass Guitar")])
    assert take(score, part=asked).source == taken


def test_words_of_several_names_find_none() -> None:
    """The message names those that they stand in."""
    score = score_of([(name, [bar_of(ONE, 1)]) for name in ("Alto Sax", "Tenor Sax", "Bass")])
    with pytest.raises(
        Cannot, match=r"`sax` stands in several names: part 1 \(Alto Sax\), part 2 \(Tenor Sax\)$"
    ):
        take(score, part="sax")


def test_names_of_tracks_in_older_character_sets() -> None:
    """MIDI files name no character set; what is no UTF-8 is Latin-1."""
    name = "Baß".encode("latin-1")
    track = b"\x00\xff\x03" + bytes([len(name)]) + name + b"\x00\x90\x24\x50\x60\x80\x24\x00"
    assert take(midi_head(0x01, 0xE0) + midi_track(track)).source == "part 1 (Baß)"


def quarters(*deltas: int, metre: int = 0) -> bytes:
    """A MIDI file of quarter notes, each so many ticks (480 a quarter) behind the one before; after the first note,
    a change to 3/4 so many ticks late.
    """
    events = b""
    for number, delta in enumerate(deltas):
        if number == 4:
            events += _ticks(metre) + b"\xff\x58\x04\x03\x02\x18\x08"
            delta -= metre
        events += _ticks(delta) + b"\x90\x24\x50" + _ticks(480) + b"\x80\x24\x00"
    return midi_head(0x01, 0xE0) + midi_track(b"\x00\xff\x58\x04\x04\x02\x18\x08" + events)


def _ticks(time: int) -> bytes:
    """A time as MIDI files have it, seven bits a byte."""
    out = bytes([time & 0x7F])
    while time := time >> 7:
        out = bytes([time & 0x7F | 0x80]) + out
    return out


def test_a_metre_that_changes_a_few_ticks_late() -> None:
    """It changes at the barline: the notes behind it keep their beats."""
    on_time = draft_of(quarters(0, 0, 0, 0, 0, 0, 0))
    late = draft_of(quarters(0, 0, 0, 0, 30, 0, 0, metre=25))
    assert "|c c c c\ntime 3/4\n |c c c" in on_time.text
    assert (late.text, late.wrong, late.unsaid) == (on_time.text, 0, 0)


def test_a_silence_longer_than_one_rest_can_say() -> None:
    """`rest` counts to 999; more bars are more rests."""
    made = draft_of(quarters(0, 0, 0, 0, 480 * 3 * 2800))
    assert "rest 999\nrest 999\nrest 802\n" in made.text
    assert made.wrong == 0


def test_a_note_without_a_usable_name_does_not_cost_its_bar() -> None:
    """Three sharps get a simpler name; what nobody can hear stays as a note without a pitch. Both are said."""
    one = NOTE.replace("<duration>4</duration><type>whole", "<duration>1</duration><type>quarter")
    sharp = one.replace("</step>", "</step><alter>3</alter>")
    high = one.replace("<octave>3", "<octave>127")
    made = draft_of(partwise(bar(one + sharp + high + one)))
    assert "; bar 1: C###3 written as D#3, C127 lies outside what can be heard\n" in made.text
    assert "c d# u c" in made.text
    assert made.unsaid == 2


def test_what_no_words_can_hold_is_told_note_by_note() -> None:
    """Pitches and places stand in the comment: nothing is lost."""
    odd = NOTE.replace("<duration>4</duration><type>whole</type>", "<duration>73</duration>")
    rest = "<note><rest/><duration>876</duration></note>"
    data = partwise(bar(odd + rest + odd.replace(">C<", ">G<")).replace("<divisions>1", "<divisions>315"))
    assert "2 notes that no words can hold: C3 at 0, G3 at 949/315 quarters" in draft_of(data).text


def test_a_figure_that_is_no_number() -> None:
    """`²` is a digit to Unicode, and no number."""
    music = bar(NOTE * 2 + "<backup><duration>²</duration></backup>" + NOTE.replace(">4<", ">²<"))
    with suppress(Cannot):
        assert take(partwise(music)).line.bars


def test_two_chord_symbols_at_one_place() -> None:
    """The first one stands, another one is told; the notes of the bar stay."""
    bars = take(partwise(bar(NOTE))).line.bars
    symbols = tuple(Symbol(Fraction(0), name) for name in ("C", "C", "F"))
    made = write_bar(replace(bars[0], symbols=symbols), InForce(), None, "letter")
    assert made.text == "@C ^^c"
    assert made.unsaid == ("chord F at beat 1",)


def test_words_of_a_tempo_that_would_be_read_as_its_number() -> None:
    """`0.5 90` is no tempo as a line of a draft: it is told, and the rest of the file comes in."""
    tempo = (
        "<direction><direction-type><words>0.5</words></direction-type></direction>"
        "<direction><direction-type><metronome><beat-unit>quarter</beat-unit><per-minute>90</per-minute>"
        '</metronome></direction-type><sound tempo="90"/></direction>'
    )
    assert draft_of(partwise(bar(tempo + NOTE))).bars == 1
    assert tempo_text(Tempo("0.5", "Q", Fraction(90))) is None

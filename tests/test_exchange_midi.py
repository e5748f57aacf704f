"""MIDI, out and in: exact files come back exact, played ones with their beat, pickup and swing found."""

from __future__ import annotations

import math
import random
import struct
from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest
from music21 import converter, meter, tempo

from scribe.exchange.draft import write_draft
from scribe.exchange.known import Known
from scribe.exchange.midi import take_midi
from scribe.exchange.model import Cannot, Line
from scribe.exchange.out.midi import midi, performed, played_order
from scribe.music.inforce import Feel
from scribe.music.metre import parse_metre
from scribe.music.piece import Piece
from scribe.music.settings import parse_tempo
from tests.exchange_help import piece_of

DEMOS = sorted((Path(__file__).parent.parent / "demo").glob("*.scribe"))
WALK = (
    "key F\n" + "| f a c d | ^e d c vb | a g f e | d e f vg | a c e g | f d b a | g b d f | e c a f |\n" * 2
)
GROOVE = "key E minor\n" + "| e--e .ega b-d- edba | a-ce g-ed cbag a-b- | e--e .gab d-b- agf#e |\n" * 4


def onsets(line: Line) -> list[tuple[Fraction, tuple[int, ...]]]:
    """Where the notes of a line begin, in quarters from the first."""
    found: list[tuple[Fraction, tuple[int, ...]]] = []
    at = Fraction(0)
    for bar in line.bars:
        for event in bar.events:
            if event.heads and not event.held:
                found.append((at + event.onset, tuple(h.pitch.midi for h in event.heads)))
        at += bar.length
    return [(onset - found[0][0], midis) for onset, midis in found]


def written(piece: Piece) -> list[tuple[Fraction, tuple[int, ...]]]:
    """The same of a draft, in the order of playing; without notes not heard yet."""
    found: list[tuple[Fraction, tuple[int, ...]]] = []
    for at, _, bar in played_order(piece):
        for place, event in enumerate(bar.events):
            midis = tuple(h.pitch.midi for h in event.heads if h.kind != "unheard")
            if midis and not (place == 0 and event.held):
                found.append((at + event.onset, midis))
    return [(onset - found[0][0], midis) for onset, midis in found]


def played(piece: Piece, bpm: float, scatter: float, drift: float, start: float, seed: int) -> bytes:
    """A file as a sequencer records a player: at 120 whatever was played, nothing said of bars or key.

    `scatter`: seconds of normal deviation a note; `drift`: how far the tempo swings to and fro, as a share of it.
    """
    rng = random.Random(seed)

    def seconds(quarters: Fraction) -> float:
        at = float(quarters)
        return start + 60 / bpm * (at + drift * 16 / math.tau * math.sin(at * math.tau / 16))

    events = []
    for note in performed(played_order(piece)):
        on = max(seconds(note.onset) + rng.gauss(0, scatter), 0.0)
        off = on + (seconds(note.onset + note.length) - seconds(note.onset)) * rng.uniform(0.75, 0.97)
        events += [(on, 1, bytes((0x90, note.midi, 80))), (off, 0, bytes((0x80, note.midi, 0)))]
    return file([(round(time * 960), message) for time, _, message in sorted(events)])


def file(events: Sequence[tuple[int, bytes]], division: int = 480) -> bytes:
    """A Standard MIDI File of one track from (tick, message)."""
    track, now = b"", 0
    for tick, message in events:
        delta, now = max(tick - now, 0), max(tick, now)
        number = bytes((delta & 0x7F,))
        while delta := delta >> 7:
            number = bytes((delta & 0x7F | 0x80,)) + number
        track += number + message
    track += b"\0\xff\x2f\0"
    return b"MThd" + struct.pack(">IHHH", 6, 0, 1, division) + b"MTrk" + struct.pack(">I", len(track)) + track


def right(line: Line, piece: Piece) -> float:
    """The share of distances from note to note that were found."""
    theirs, mine = onsets(line), written(piece)
    assert [midis for _, midis in theirs] == [midis for _, midis in mine]
    gaps = [b[0] - a[0] for a, b in pairwise(theirs)]
    return sum(gap == b[0] - a[0] for gap, (a, b) in zip(gaps, pairwise(mine), strict=True)) / len(gaps)


@pytest.mark.parametrize("demo", DEMOS, ids=lambda path: path.stem)
def test_exact_files_come_back_exact(demo: Path) -> None:
    """What a program wrote has every note where it was, swing straightened; the names are the speller's."""
    # Two thirds and one third typed out sound just like a swung pair: no file can tell them apart.
    piece = piece_of(demo.read_text(encoding="utf-8").replace("gub", "gfb").replace("e-c", "ec"))
    taken = take_midi(midi(piece))
    assert onsets(taken.line) == written(piece)
    assert "on the file's own beats" in taken.line.remarks
    people = [
        each.what for each in write_draft(taken.line).unsaid
    ]  # texts at the start say not what they name
    named = [piece.heading.composer, piece.heading.player]
    assert people == [f'text "{name}"' for name in sorted(filter(None, named))]


def test_what_music21_reads_of_it() -> None:
    """Tempo, metres, key and repeats as another program sees them."""
    piece = piece_of(
        "key Eb\ntempo dotted-quarter 60\ntime 6/8\npickup 1/3\n| b |\n|: e-- g-b :|\ntime 4/4\n| e - - . |"
    )
    score = converter.parseData(midi(piece), format="midi")
    assert [m.number for m in score.recurse().getElementsByClass(tempo.MetronomeMark)] == [90]
    metres = [t.ratioString for t in score.parts[0].recurse().getElementsByClass(meter.TimeSignature)]
    assert metres == ["1/8", "6/8", "4/4"]
    pitches = [n.pitch.midi for n in score.flatten().notes]
    assert pitches == [34, 27, 31, 34, 27, 31, 34, 27]


def test_a_pickup_in_a_metre_of_its_own_is_a_pickup() -> None:
    """As programs write it; and one that waits in a whole bar of rests."""
    piece = piece_of("pickup 1\n| g | c e g e | c - - - |")
    assert write_draft(take_midi(midi(piece)).line).text.splitlines()[-1] == "|g|c e g e|c"
    waiting = piece_of("| . . . g | c e g e | c - - - |")
    assert "pickup   1" in write_draft(take_midi(midi(waiting)).line).text


@pytest.mark.parametrize(
    ("feel", "found"),
    [
        ("straight", Feel()),
        ("swing", Feel("swing", "8")),
        ("swing 3:2", Feel("swing", "8", (3, 2))),
        ("swing 16ths", Feel("swing", "16")),
    ],
)
def test_swing_is_found(feel: str, found: Feel) -> None:
    """Its unit and about its ratio; the notes come back written straight."""
    bars = "| gbab dcba gfed ef#ga |\n" if "16" in feel else "| gb ab dc ba | g- -a gf ed |\n"
    piece = piece_of(f"feel {feel}\n" + bars * 4)
    line = take_midi(midi(piece)).line
    assert (line.bars[0].feel or Feel()) == found
    assert onsets(line) == written(piece)


def test_triplets_in_swing_stay_triplets() -> None:
    """Three in a beat are no swung pair."""
    piece = piece_of("feel swing\n" + "| gb ab gbd ba | gb gbd ab g |\n" * 3)
    assert onsets(take_midi(midi(piece)).line) == written(piece)


@pytest.mark.parametrize(
    ("text", "bpm"), [(WALK, 138.0), (WALK, 96.0), (GROOVE, 92.0)], ids=["walk", "slow", "groove"]
)
@pytest.mark.parametrize(("scatter", "drift"), [(0.005, 0.0), (0.010, 0.02)])
def test_played_lines(text: str, bpm: float, scatter: float, drift: float) -> None:
    """Free of any click: the beat is found, and with it nearly every distance from note to note."""
    piece = piece_of(text)
    taken = take_midi(played(piece, bpm, scatter, drift, 1.3, seed=4))
    found = taken.line.bars[0].tempo
    assert found is not None
    assert found.bpm is not None
    assert abs(float(found.bpm) / bpm - 1) < 0.03
    assert right(taken.line, piece) >= 0.95
    assert "beats found at" in taken.line.remarks[0]
    assert "ms off" in taken.line.remarks[0]
    assert 0 < taken.confidence < 1


@pytest.mark.parametrize(("text", "bpm"), [(WALK, 96.0), (GROOVE, 92.0)], ids=["walk", "groove"])
def test_loosely_played_lines(text: str, bpm: float) -> None:
    """With 15 ms of scatter and a tempo that swings by 3 % most distances are still found."""
    piece = piece_of(text)
    assert right(take_midi(played(piece, bpm, 0.015, 0.03, 1.3, seed=4)).line, piece) >= 0.8


def test_the_error_grows_with_the_scatter() -> None:
    """The stated error is a measurement: more scatter, more milliseconds, less confidence."""
    piece = piece_of(WALK)
    errors, sure = [], []
    for scatter in (0.003, 0.012, 0.024):
        taken = take_midi(played(piece, 120, scatter, 0.01, 0.5, seed=2))
        errors.append(int(taken.line.remarks[0].split(", ")[1].split(" ms")[0]))
        sure.append(taken.confidence)
    assert errors == sorted(set(errors))
    assert sure[0] > sure[-1]


def test_the_lowest_single_line_without_drums() -> None:
    """Drums are no line; a part can be asked for by number."""
    on = [(0, bytes((0x99, 36, 90))), (0, bytes((0x91, 60, 90))), (0, bytes((0x90, 40, 90)))]
    off = [(480, bytes((0x89, 36, 0))), (480, bytes((0x81, 60, 0))), (480, bytes((0x80, 40, 0)))]
    data = file([*on, *off])
    assert [midis for _, midis in onsets(take_midi(data).line)] == [(40,)]
    assert [midis for _, midis in onsets(take_midi(data, "2").line)] == [(60,)]
    with pytest.raises(Cannot, match="no part `3`"):
        take_midi(data, "3")
    named = [(0, bytes((0xC1, 33))), *on]  # General MIDI: program 34 is a fingered electric bass
    assert [midis for _, midis in onsets(take_midi(file([*named, *off])).line)] == [(60,)]


def test_tempo_metre_and_first_beat_without_a_word_about_them() -> None:
    """Of lines of every kind that bass players play, a file each, at most two are heard in another way.

    Common practice, no source. Some can be read in two ways: twelve eighths or twice six, a fast walk or half of it.
    """
    from tests.benchmarks.exchange_midi import judge
    from tests.benchmarks.played_lines import KINDS, SCATTER, take

    found = {kind: judge(take(kind, 1, SCATTER[1])) for kind in KINDS}
    missed = [kind for kind, each in found.items() if not (each.tempo and each.metre and each.downbeat)]
    assert len(missed) <= 2, missed


def loudness(text: str) -> list[int]:
    """The velocities of a draft's notes."""
    return [note.velocity for note in performed(played_order(piece_of(text)))]


def test_dynamics_that_stay() -> None:
    """From *ppp* to *fff* each is louder than the one before, within what MIDI has (1 to 127), and holds."""
    found = loudness("| 'ppp g g 'pp g g | 'p g g 'mp g g | 'mf g g 'f g g | 'ff g g 'fff g g |")
    assert found[::2] == found[1::2]
    assert all(a < b for a, b in pairwise(found[::2]))
    assert found[0] > 0
    assert found[-1] == 127


@pytest.mark.parametrize("name", ["sf", "sfz", "fz", "rf", "rfz"])
def test_dynamics_of_one_note(name: str) -> None:
    """A *sforzando* is an accent of its note alone; under a note that is held, or a silence, it is nobody's."""
    assert loudness(f"| 'p g '{name} g g g | g g> g g |")[:4] == loudness("| 'p g g> g g |")
    assert len(set(loudness(f"| 'p g '{name} - g '{name} . | '{name} - g g g |"))) == 1


def test_loud_and_at_once_soft() -> None:
    """*fp*: one note as loud as *f*, what follows as *p*; under a held note what follows alone."""
    assert loudness("| 'mf g 'fp g g g |") == loudness("| 'mf g 'f g 'p g g |")
    assert loudness("| 'mf g 'fp - g g |") == loudness("| 'mf g - 'p g g |")


TWO_BAR_SIX = "time 6/8\nhome E:0\n" + "| gbd b-d | a-c ^e-- | fac a-c | g-b ^d-- |\n" * 6


def test_a_figure_of_two_bars_does_not_make_one_bar_of_them() -> None:
    """Six eighths whose figure is two bars long do not come in as twelve eighths."""
    line = take_midi(played(piece_of(TWO_BAR_SIX), 110.0, 0.008, 0.01, 1.3, seed=4)).line
    assert {f"{bar.metre.count}/{bar.metre.unit}" for bar in line.bars} == {"6/8"}


SWUNG_16 = "feel swing 16ths\n" + "| e--e .ega b-d- ed.b | e--e .-ga bbd- edba | a--a .ac- a-gf# e--e |\n" * 4


@pytest.mark.parametrize("seed", [4, 5, 6])
def test_swung_16ths_are_found_in_played_lines(seed: int) -> None:
    """Swung 16ths are neither sixths of a slow triple beat nor another tempo: unit and tempo are found."""
    line = take_midi(played(piece_of(SWUNG_16), 92.0, 0.010, 0.01, 1.3, seed)).line
    found, feel = line.bars[0].tempo, line.bars[0].feel
    assert found is not None
    assert feel is not None
    assert (found.value, feel.unit) == ("Q", "16")
    assert abs(float(found.bpm or 0) / 92 - 1) < 0.03


AMBIGUOUS = "feel shuffle\n" + "| gb -b d- b- | a- -c e- c- |\n" * 6


@pytest.mark.parametrize(
    ("known", "metre", "unit"),
    [
        (Known(parse_metre("6/8")), "6/8", ""),
        (Known(parse_metre("4/4"), None, Feel("shuffle", "8")), "4/4", "8"),
        (Known(None, parse_tempo("dotted-quarter 110"), Feel()), "12/8", ""),
    ],
)
def test_what_a_user_knows_is_kept_to(known: Known, metre: str, unit: str) -> None:
    """A shuffle and compound time sound alike; a word about it decides, and the report says whose word it was."""
    line = take_midi(played(piece_of(AMBIGUOUS), 110.0, 0.006, 0.0, 1.0, seed=3), None, known).line
    assert {f"{bar.metre.count}/{bar.metre.unit}" for bar in line.bars} == {metre}
    assert (line.bars[0].feel or Feel()).unit == unit
    assert line.remarks[1:2] == (f"{known.said} as told",) or line.remarks[2:3] == (f"{known.said} as told",)


def test_what_cannot_be_is_refused() -> None:
    """Nobody counts beats at the tempo told."""
    with pytest.raises(Cannot, match=r"do not go with what was told \(tempo 500\)"):
        take_midi(
            played(piece_of(WALK), 131.0, 0.004, 0.0, 1.0, seed=3), None, Known(None, parse_tempo("500"))
        )


@pytest.mark.parametrize("bpm", [70, 120, 200])
@pytest.mark.parametrize("scatter", [0.005, 0.012])
def test_played_to_a_click(bpm: int, scatter: float) -> None:
    """Recorded to the sequencer's click, a line keeps the file's beats and metre, though no note lies on them."""
    rng = random.Random(bpm)
    piece = piece_of("time 3/4\n" + "| g b d | f a c | g -b d | a - c |\n" * 4)
    events = [
        (0, b"\xff\x51\x03" + round(60_000_000 / bpm).to_bytes(3, "big")),
        (0, b"\xff\x58\x04\x03\x02\x18\x08"),
    ]
    for note in performed(played_order(piece)):
        on = max(round((float(note.onset) + rng.gauss(0, scatter) * bpm / 60) * 480), 0)
        events += [
            (on, bytes((0x90, note.midi, 80))),
            (on + round(float(note.length) * 400), bytes((0x80, note.midi, 0))),
        ]
    line = take_midi(file(sorted(events, key=lambda each: each[0]))).line
    assert "the file's own beats" in line.remarks[0]
    assert {f"{bar.metre.count}/{bar.metre.unit}" for bar in line.bars} == {"3/4"}
    assert right(line, piece) > 0.9


def test_sections_and_chords_come_back() -> None:
    """Markers are sections, chord texts chord symbols, at their places; other words are counted comments."""
    text = (
        'title Lamp\nplayer Ann Sample\n[Intro]\n| @Gm7 g b d b | @C7 c e @F/A a "slower" c |\n'
        "[A] | @Bbmaj7 b d f d | @N.C. g - - . |"
    )
    taken = take_midi(midi(piece_of(text)))
    symbols = [[(each.onset, each.name) for each in bar.symbols] for bar in taken.line.bars]
    assert symbols == [[(0, "Gm7")], [(0, "C7"), (2, "F/A")], [(0, "Bbmaj7")], [(0, "N.C.")]]
    assert [bar.section for bar in taken.line.bars] == ["Intro", "", "A", ""]
    assert taken.line.bars[1].unsaid == ('text "slower"',)
    assert taken.line.credits == ('text "Ann Sample"',)
    assert '; text "Ann Sample"' in write_draft(taken.line).text
    assert "1 text neither sections nor chords" in taken.line.remarks


def test_chord_texts_of_others() -> None:
    """Typographic accidentals are read; words and what is no chord are not taken for one."""
    words = ["E♭maj7", "Abm7(b5)", "Go", "intro in A", "H7"]
    events = [(i * 480, b"\xff\x01" + bytes((len(w.encode()),)) + w.encode()) for i, w in enumerate(words)]
    notes = [
        (i * 480 + off, bytes((on, 40 + i, 80))) for i in range(8) for off, on in ((0, 0x90), (470, 0x80))
    ]
    line = take_midi(file(sorted([*events, *notes], key=lambda each: each[0]))).line
    assert [each.name for bar in line.bars for each in bar.symbols] == ["Ebmaj7", "Abm7(b5)"]
    assert [each for bar in line.bars for each in bar.unsaid] == [f'text "{w}"' for w in words[2:]]


def test_chords_over_a_line_played_freely() -> None:
    """Chords that came with the notes of a freely played line stand at the beats that were found."""
    notes = take_midi(played(piece_of(WALK), 132.0, 0.006, 0.0, 1.3, seed=4)).line
    start = round(1.3 * 960)
    data = played(piece_of(WALK), 132.0, 0.006, 0.0, 1.3, seed=4)
    bar = round(4 * 60 / 132 * 960)
    chords = [
        (start + i * bar, b"\xff\x01\x02" + name) for i, name in enumerate([b"F6", b"C7", b"F7", b"G7"])
    ]
    track = b"MTrk" + struct.pack(">I", len(body := _track(chords))) + body
    both = data[:8] + struct.pack(">HHH", 1, 2, 480) + data[14:] + track
    line = take_midi(both).line
    assert [[each.name for each in bar.symbols] for bar in line.bars[:4]] == [["F6"], ["C7"], ["F7"], ["G7"]]
    assert onsets(line) == onsets(notes)


def _track(events: Sequence[tuple[int, bytes]]) -> bytes:
    """The bytes of a track without its head."""
    return file(events)[22:]

"""MIDI files as sequencers and keyboards write them: gates, lags, strums, several channels; made up here."""

from __future__ import annotations

import random
import struct
from collections.abc import Callable, Sequence
from fractions import Fraction

import pytest
from music21 import corpus
from music21 import key as m21_key

from scribe.exchange.draft import write_draft
from scribe.exchange.known import Known
from scribe.exchange.midi import take_midi
from scribe.exchange.midi.keys import estimate
from scribe.exchange.midi.quantise import Taken
from scribe.exchange.model import Cannot
from scribe.exchange.out.midi import midi, performed, played_order
from scribe.music.inforce import Feel
from tests.exchange_help import piece_of
from tests.test_exchange_midi import file

HEAD = [(0, b"\xff\x51\x03\x07\xa1\x20"), (0, b"\xff\x58\x04\x04\x02\x18\x08")]  # 120 a minute, 4/4
GROOVE = "| e--e .ee- e--b dbe- | a--a .ga- a--e gea- |\n" * 2
WALK = "| a c# e f# | g f# e c# | d f# a b | c b a f# |\n"
SHORTS = "| ga b. cd e. | fe d. cb a- |\n" * 2


def sequenced(
    text: str, gate: Callable[[], float], late: Callable[[], float] = lambda: 0.0, head: Sequence = HEAD
) -> bytes:
    """A draft's notes on a sequencer's grid of 480, as long as `gate` says; `late`: seconds, at 120 a minute."""
    events = list(head)
    for note in performed(played_order(piece_of(text))):
        on = round(float(note.onset) * 480 + late() * 960)
        off = on + max(round(float(note.length) * gate() * 480), 1)
        events += [(on, bytes((0x90, note.midi, 80))), (off, bytes((0x80, note.midi, 0)))]
    return file(sorted(events, key=lambda each: each[0]))


def bars(data: bytes) -> list[str]:
    """The bars of a draft made of a file, without what stands at its head."""
    lines = write_draft(take_midi(data).line).text.splitlines()
    return [bar for line in lines if line.startswith("|") for bar in line.strip("|").split("|")]


@pytest.mark.parametrize("gate", [0.7, 0.75, 0.8, 0.9, 0.95, 0.98, 1.0, 1.06])
@pytest.mark.parametrize("text", [GROOVE, WALK, SHORTS], ids=["groove", "walk", "shorts"])
def test_a_gate_is_no_rhythm(text: str, gate: float) -> None:
    """Notes shortened or tied over by a share of their length are written as long as they are meant."""
    typed = bars(sequenced(text, lambda: gate))
    assert typed == bars(sequenced(text, lambda: 1.0))
    assert not any(sign in bar for bar in typed for sign in "{}")


def test_lengths_that_a_player_varies_give_no_odd_rests() -> None:
    """On the beats, but held for 60 to 105 %: no rest appears in a walk, nor a bar after its end."""
    rng = random.Random(3)
    typed = bars(sequenced(WALK * 2, lambda: rng.uniform(0.6, 1.05)))
    assert len(typed) == 8
    assert not any("." in bar or "--" in bar for bar in typed)


def test_the_last_note_ends_at_its_place() -> None:
    """A last note on an off-beat does not reach into a bar of its own."""
    taken = take_midi(sequenced("feel swing\n" + "| ga bc de fg |\n" * 4, lambda: 0.95))
    assert len(taken.line.bars) == 4
    assert taken.line.bars[-1].events[-1].length == Fraction(1, 2)


def strings(track: int) -> bytes:
    """Two tracks: a head, and a scale whose low notes are on one channel, its high ones on another."""
    rows = [(i * 480, 40 + i, int(i > 3)) for i in range(8)]
    events = [
        (at + off, bytes((kind | (channel if track else 0), midi, 80)))
        for at, midi, channel in rows
        for off, kind in ((0, 0x90), (470, 0x80))
    ]
    return several([HEAD, sorted(events, key=lambda each: each[0])])


def several(tracks: Sequence[Sequence[tuple[int, bytes]]]) -> bytes:
    """A file of format 1."""
    head = b"MThd" + struct.pack(">IHHH", 6, 1, len(tracks), 480)
    return head + b"".join(file(track)[14:] for track in tracks)


def test_a_channel_for_each_string_is_one_part() -> None:
    """As a pick-up for each string and fretted parts write; two lines at once on one track stay two parts."""
    taken = take_midi(strings(1))
    assert write_draft(taken.line).text == write_draft(take_midi(strings(0)).line).text
    assert taken.others == 0
    both = [(0, bytes((0x90 | c, 40 + 12 * c, 80))) for c in (0, 1)]
    both += [(1900, bytes((0x80 | c, 40 + 12 * c, 80))) for c in (0, 1)]
    assert take_midi(several([HEAD, both])).others == 1


def test_of_several_basses_the_one_that_plays() -> None:
    """Long notes of a synthesiser below a bass line are not taken for it; the report names them."""

    def part(name: bytes, channel: int, step: int, midi: int) -> list[tuple[int, bytes]]:
        events = [(0, b"\xff\x03" + bytes((len(name),)) + name), (0, bytes((0xC0 | channel, 38)))]
        for at in range(0, 8 * 1920, step):
            events += [
                (at, bytes((0x90 | channel, midi, 80))),
                (at + step - 20, bytes((0x80 | channel, midi, 0))),
            ]
        return events

    pad, line = part(b"SYNTH BASS PAD", 0, 1920, 28), part("BASSE ÉLECTRIQUE".encode("latin-1"), 1, 480, 40)
    taken = take_midi(several([HEAD, pad, line]))
    assert taken.source == "part 2 (BASSE ÉLECTRIQUE)"
    assert "also for a bass: part 1 (SYNTH BASS PAD)" in taken.line.remarks
    assert take_midi(several([HEAD, pad, line]), "1").source == "part 1 (SYNTH BASS PAD)"


NOTES = [(i * 480 + off, bytes((on, 40, 80))) for i in range(32) for off, on in ((0, 0x90), (470, 0x80))]


def remarks(*events: tuple[int, bytes]) -> tuple[str, ...]:
    """The remarks on eight bars of quarters with some other events among them."""
    return take_midi(file(sorted([*HEAD, *NOTES, *events], key=lambda each: each[0]))).line.remarks


def test_what_is_not_taken_is_said() -> None:
    """Bends, pedal, lyrics, steps of a ritardando; a bend back to the middle is none."""
    bends = [(100, b"\xe0\x00\x50"), (200, b"\xe0\x00\x40")]
    pedal = [(0, b"\xb0\x40\x7f"), (900, b"\xb0\x40\x00"), (960, b"\xb0\x40\x7f")]
    words = [(0, b"\xff\x05\x02la")]
    slower = [
        (13000 + 480 * i, b"\xff\x51\x03" + (550_000 + 50_000 * i).to_bytes(3, "big")) for i in range(3)
    ]
    said = "not taken: 3 tempo changes on the way, 1 lyric, 2 pedal presses, 1 pitch bend"
    assert said in remarks(*bends, *pedal, *words, *slower)
    assert not any("not taken" in each for each in remarks())


def test_a_note_without_an_end_is_kept() -> None:
    """It lasts until the next one, which is said; so does a file that breaks off."""
    stuck = file([*HEAD, *NOTES[:6], (1440, bytes((0x90, 35, 80))), *NOTES[8:16]])
    line = take_midi(stuck).line
    assert [[h.pitch.midi for h in e.heads] for e in line.bars[0].events] == [[40], [40], [40], [35]]
    assert "1 note without an end, until the next" in line.remarks
    assert "the file breaks off" in take_midi(file([*HEAD, *NOTES])[:-60]).line.remarks
    assert "the file breaks off" not in line.remarks


def test_keys_and_tempos_change_on_the_way() -> None:
    """At the bar where the file says so, if the tempo lasts."""
    key = [(0, b"\xff\x59\x02\xff\x00"), (4 * 1920, b"\xff\x59\x02\x02\x00")]
    tempo = (4 * 1920, b"\xff\x51\x03" + (400_000).to_bytes(3, "big"))
    line = take_midi(file(sorted([*HEAD, *key, tempo, *NOTES], key=lambda each: each[0]))).line
    assert [str(bar.key) for bar in line.bars] == ["F major"] * 4 + ["D major"] * 4
    assert [bar.tempo.bpm for bar in line.bars if bar.tempo is not None] == [120, 150]
    assert not any("not taken" in each for each in line.remarks)


def test_several_songs_in_a_file() -> None:
    """Format 2 is not called damaged."""
    data = bytearray(file([*HEAD, *NOTES]))
    data[9] = 2
    with pytest.raises(Cannot, match="it holds several songs"):
        take_midi(bytes(data))


@pytest.mark.parametrize("seed", [1, 2, 3, 4])
def test_late_is_no_swing(seed: int) -> None:
    """Straight 16ths 5 to 20 ms behind the click are straight, and it is said how late they are."""
    rng = random.Random(seed)
    late = sequenced(GROOVE * 2, lambda: rng.uniform(0.7, 1.0), lambda: rng.uniform(0.005, 0.020))
    line = take_midi(late).line
    assert line.bars[0].feel is None
    assert "behind them all through" in line.remarks[0]


@pytest.mark.parametrize("seed", [1, 2, 3, 4])
def test_late_swing_keeps_its_ratio(seed: int) -> None:
    """Swing of two to one, played late, is not longer for it."""
    rng = random.Random(seed)
    text = "feel swing\n" + "| g ab c de | f ed c bg |\n" * 4
    feel = take_midi(sequenced(text, lambda: 0.9, lambda: rng.uniform(0.010, 0.020))).line.bars[0].feel
    assert feel == Feel("swing", "8")


def test_a_strum_is_one_stack() -> None:
    """Three strings 20 ms apart; three notes 60 ms apart are a run."""

    def apart(ticks: int) -> list[int]:
        notes = [
            (at + place * ticks + off, bytes((kind, midi, 80)))
            for at in range(0, 4 * 1920, 1920)
            for place, midi in enumerate((40, 47, 52))
            for off, kind in ((0, 0x90), (1400, 0x80))
        ]
        line = take_midi(file(sorted([*HEAD, *notes], key=lambda each: each[0]))).line
        return [len(e.heads) for bar in line.bars for e in bar.events if e.heads and not e.held]

    assert apart(19) == [3] * 4
    assert apart(58) == [1] * 12


def test_soft_notes_among_loud_ones_are_ghosts() -> None:
    """They are marked and counted, here in a draft that goes out and comes in; a soft passage has none."""
    text = "| g qa b qc | d qe f qg | a b c d |"
    taken = take_midi(midi(piece_of(text)))
    ghosts = [[e.heads[0].ghost for e in bar.events] for bar in taken.line.bars]
    assert ghosts == [[False, True, False, True], [False, True, False, True], [False] * 4]
    assert "4 soft notes as ghosts" in taken.line.remarks
    soft = take_midi(midi(piece_of("| 'f g a b c | d e f g | 'pp a b c d | 'f g a b c |"))).line
    assert not any(h.ghost for bar in soft.bars for e in bar.events for h in e.heads)
    assert not any("ghost" in each for each in soft.remarks)


def test_a_note_too_short_for_a_place_is_a_grace_note() -> None:
    """A slide into the beat, 40 ms long, is no 32nd and moves no note from its beat; 32nds at 60 stay what they are."""

    def slid(ticks: int, head: Sequence[tuple[int, bytes]]) -> bytes:
        events = [(i * 480, 480 if i % 4 != 3 else 480 - ticks, 40 + i % 4) for i in range(16)]
        events += [(i * 1920 - ticks, ticks, 39) for i in range(1, 4)]
        notes = [
            (at + off, bytes((kind, midi, 80)))
            for at, length, midi in events
            for off, kind in ((0, 0x90), (length - 1, 0x80))
        ]
        return file(sorted([*head, *notes], key=lambda each: each[0]))

    line = take_midi(slid(38, HEAD)).line
    assert [(e.onset, len(e.graces)) for bar in line.bars for e in bar.events] == [
        (Fraction(beat), int(bar > 0 and beat == 0)) for bar in range(4) for beat in range(4)
    ]
    assert [e.graces[0].head.pitch.midi for bar in line.bars[1:] for e in bar.events[:1]] == [39] * 3
    assert "3 grace notes" in line.remarks
    slow = [(0, b"\xff\x51\x03\x0f\x42\x40"), HEAD[1]]
    assert not any(e.graces for bar in take_midi(slid(60, slow)).line.bars for e in bar.events)


def test_a_told_feel_keeps_the_files_beats() -> None:
    """Eighths that a program plays straight are written as they are, with the feel told, at the file's tempo."""
    rng = random.Random(1)
    data = sequenced("| ga bc de fg | fe dc ba gf |\n" * 4, lambda: 0.9, lambda: rng.uniform(0.0, 0.015))
    line = take_midi(data, None, Known(None, None, Feel("swing", "8"))).line
    assert line.bars[0].tempo is not None
    assert (line.bars[0].tempo.bpm, line.bars[0].feel) == (120, Feel("swing", "8"))
    assert [[e.length for e in bar.events] for bar in line.bars] == [[Fraction(1, 2)] * 8] * 8


def test_notes_that_sound_on_are_cut_and_counted() -> None:
    """A chord held over a walking line has no room in it; notes tied over by a little are nobody's loss."""
    chord = [(off, bytes((kind, 64, 80))) for off, kind in ((0, 0x90), (1900, 0x80))]
    assert "1 note cut where the next begins" in remarks(*chord)
    tied = take_midi(sequenced(WALK, lambda: 1.1)).line
    assert not any("cut" in each for each in tied.remarks)


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("| e e e e | e e e e |", "E major"),  # one tone: at least its own key
        ("| e--e .vb-d e--d gab- | a--a .e-g a--g ega- |\n" * 2, "E minor"),  # no sharps without one
        ("| c e g e | f a g f | g b d b | c - g c |", "C major"),
        ("key Eb\n| e g b c | ^e c b g | a c ^e f | b d f a |", "Eb major"),
        ("key C minor\n| c ^e g e | f ^a g f | g bn d bn | c - g c |", "C minor"),
    ],
)
def test_the_key_of_a_line_that_names_none(text: str, key: str) -> None:
    """Common practice, no source: the roots and the keynote weigh most; a key whose tones are not played is none."""
    assert str(take_midi(sequenced(text, lambda: 0.9)).line.bars[0].key) == key


def test_keys_of_printed_basses() -> None:
    """Of the bass parts of twelve chorales (music21's corpus) ten at least get the signature that is printed."""
    right = 0
    for name in range(253, 265):
        part = corpus.parse(f"bach/bwv{name}").parts[-1]
        printed = part.recurse().getElementsByClass(m21_key.KeySignature).first()
        notes = [
            Taken(
                Fraction(n.getOffsetInHierarchy(part)),
                Fraction(n.getOffsetInHierarchy(part) + n.quarterLength),
                (n.pitch.midi,),
            )
            for n in part.recurse().notes
        ]
        found = estimate(notes)
        right += found is not None and printed is not None and found.key.fifths == printed.sharps
    assert right >= 10


def test_a_line_that_enters_later_is_in_the_section_where_it_enters() -> None:
    """Bars of rest before it are left out, which is said; a section of theirs is not its name."""
    start = 8 * 1920
    words = [
        (0, b"\xff\x06\x05Intro"), (start, b"\xff\x06\x05Verse"), (start + 4 * 1920, b"\xff\x06\x06Chorus"),
    ]  # fmt: skip
    late = [(at + start, message) for at, message in NOTES]
    line = take_midi(file(sorted([*HEAD, *words, *late], key=lambda each: each[0]))).line
    assert [bar.section for bar in line.bars] == ["Verse", "", "", "", "Chorus", "", "", ""]
    assert "8 bars of rest before left out" in line.remarks
    assert 'marker "Intro"' in " ".join((*line.credits, *line.bars[0].unsaid))
    assert not any("left out" in each for each in remarks())

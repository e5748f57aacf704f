"""A piece as a Standard MIDI File, as it is played: repeats unfolded, swing swung, ties joined."""

from __future__ import annotations

import struct
from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import NamedTuple

from music21.repeat import ExpanderException

from scribe.music.events import Event, Head, PlacedWord
from scribe.music.inforce import Feel, InForce, Tempo
from scribe.music.notate.swing import long_share, pair
from scribe.music.piece import Bar, Piece
from scribe.music.pitch import Pitch
from scribe.music.written import VALUES
from scribe.score import build
from scribe.source.directions import ACCENTS

DIVISION = 960  # ticks a quarter
# Meta events of Standard MIDI Files 1.0: any text, the name of the sequence, and a marker ("a rehearsal letter").
TEXT, NAME, MARKER = 0x01, 0x03, 0x06
MOST = 120  # bytes of one text
# Loudness of dynamics as MIDI velocities (common practice, no source).
LOUDNESS = {"ppp": 16, "pp": 33, "p": 49, "mp": 64, "mf": 80, "f": 96, "ff": 112, "fff": 127}
ACCENT, GHOST, DEAD = 16, 40, 50
SHORT = Fraction(1, 8)  # quarters that a dead note sounds
# General MIDI programs, counted from 0 (MIDI Manufacturers Association; from memory).
PROGRAMS = {
    "bass": 33, "double bass": 32, "synth bass": 38, "soprano sax": 64, "alto sax": 65, "tenor sax": 66,
    "baritone sax": 67, "trumpet": 56, "flugelhorn": 56, "clarinet": 71, "bass clarinet": 71, "horn": 60,
    "trombone": 57, "bass trombone": 57, "tuba": 58, "flute": 73, "oboe": 68, "bassoon": 70, "violin": 40,
    "cello": 42, "guitar": 27, "piano": 0, "electric piano": 4, "organ": 16, "vibraphone": 11, "voice": 52,
    "male voice": 52, "bass voice": 52, "viola": 41, "piano left hand": 0, "organ pedals": 16,
}  # fmt: skip


class Struck(NamedTuple):
    """One note as it is played; times in quarters from the start."""

    onset: Fraction
    length: Fraction
    midi: int
    velocity: int


def midi(piece: Piece) -> bytes:
    """Return the piece as a file of format 0. Notes not heard yet are silent, and so are bars with an error."""
    order = played_order(piece)
    events: list[tuple[Fraction, int, bytes]] = []  # time, rank among those of one time, message
    for at, before, bar in order:
        events += [(at, 0, message) for message in _changes(before, bar)]
        events += [(at + onset, 1, message) for onset, message in _words(bar)]
    for note in performed(order):
        events.append((note.onset, 3, bytes((0x90, note.midi, note.velocity))))
        events.append((note.onset + note.length, 2, bytes((0x80, note.midi, 64))))
    end = order[-1][0] + order[-1][2].music.length * (order[-1][2].rests or 1) if order else Fraction(0)
    people = [each for each in (piece.heading.composer, piece.heading.player) if each]
    program = PROGRAMS.get(piece.bars[0].in_force.instrument.name, 0) if piece.bars else 0
    track = b"\x00" + _text(NAME, piece.heading.title)
    track += b"".join(b"\x00" + _text(TEXT, each) for each in people) + bytes((0, 0xC0, program))
    now = 0
    for time, _, message in sorted(events, key=lambda e: (e[0], e[1])):
        tick = round(time * DIVISION)
        track += _number(tick - now) + message
        now = tick
    track += _number(max(round(end * DIVISION) - now, 0)) + b"\xff\x2f\x00"
    head = b"MThd" + struct.pack(">IHHH", 6, 0, 1, DIVISION)
    return head + b"MTrk" + struct.pack(">I", len(track)) + track


Order = Sequence[tuple[Fraction, Bar | None, Bar]]


def played_order(piece: Piece) -> list[tuple[Fraction, Bar | None, Bar]]:
    """Return the bars as they are played: where each begins, the one before, itself.

    Where the signs of the form contradict each other, the order of the page.
    """
    bars = list(piece.bars)
    part = build(piece).parts[0]
    by_id = {bar.id: bar for bar in bars}
    try:
        measures = part.expandRepeats().getElementsByClass("Measure")
        names = [measure.editorial["scribeBar"] for measure in measures]
        bars = []
        index = 0
        while index < len(names):
            bar = by_id[names[index]]
            bars.append(bar)
            index += bar.rests or 1
    except ExpanderException:
        pass
    out: list[tuple[Fraction, Bar | None, Bar]] = []
    at = Fraction(0)
    before: Bar | None = None
    for bar in bars:
        out.append((at, before, bar))
        at += bar.music.length * (bar.rests or 1)
        before = bar
    return out


def performed(order: Order) -> list[Struck]:
    """Return every note as it is played."""
    out: list[Struck] = []
    open_notes: list[tuple[int, Pitch]] = []  # places in `out` of what may be held over the barline
    level = LOUDNESS["mf"]
    for at, _, bar in order:
        if bar.rests or not bar.events:
            open_notes = []
            continue
        moved = swung(bar)
        words = sorted(bar.music.words, key=lambda w: w.onset)
        for place, event in enumerate(bar.events):
            level, loudness = _loudness(words, event.onset, level)
            start, end = moved.get(event.onset, event.onset), moved.get(event.end, event.end)
            heads = [head for head in event.heads if head.kind != "unheard"]
            pitches = [head.pitch for head in heads]
            if place == 0 and event.held and pitches and [p for _, p in open_notes] == pitches:
                for index, _ in open_notes:
                    out[index] = out[index]._replace(length=at + end - out[index].onset)
                continue
            open_notes = []
            for head in heads:
                open_notes.append((len(out), head.pitch))
                out.append(_struck(at + start, end - start, event, head, loudness))
    return [note for note in out if note.length > 0]


def _loudness(words: list[PlacedWord], onset: Fraction, level: int) -> tuple[int, int]:
    """Take the words up to an onset; return what is in force behind them, and how loud a note struck there is."""
    here = level
    while words and words[0].onset <= onset:
        word = words.pop(0)
        if word.kind != "direction":
            continue
        if word.text in ACCENTS:
            here += ACCENT if word.onset == onset else 0
        elif word.text == "fp":
            level = LOUDNESS["p"]
            here = LOUDNESS["f"] if word.onset == onset else level
        elif word.text in LOUDNESS:
            level = here = LOUDNESS[word.text]
    return level, here


def _struck(onset: Fraction, length: Fraction, event: Event, head: Head, loudness: int) -> Struck:
    velocity = loudness + (ACCENT if "accent" in event.marks else 0)
    if head.ghost:
        velocity = GHOST
    if head.kind == "dead":
        velocity, length = DEAD, min(length, SHORT)
    if "staccato" in event.marks:
        length /= 2
    return Struck(onset, length, head.pitch.midi, min(velocity, 127))


def swung(bar: Bar) -> dict[Fraction, Fraction]:
    """Return where the off-beats of a bar are played: only those alone in their pair move, so triplets stay."""
    feel: Feel = bar.in_force.feel
    size = pair(feel)
    if size is None or bar.in_force.metre.kind == "compound":
        return {}
    shift = bar.in_force.metre.length - bar.music.length if bar.in_force.pickup else Fraction(0)
    edges = {edge for event in bar.events for edge in (event.onset, event.end)}
    inner: dict[Fraction, list[Fraction]] = {}
    for edge in edges:
        if (edge + shift) % size:
            inner.setdefault(Fraction((edge + shift) // size), []).append(edge)
    moved = {}
    for points in inner.values():
        for edge in points:
            if len(points) == 1 and (edge + shift) % size == size / 2:
                moved[edge] = edge + size * (long_share(feel) - Fraction(1, 2))
    return moved


def _changes(before: Bar | None, bar: Bar) -> Iterable[bytes]:
    """Tempo, metre and key where they change, and the name of the section."""
    now, old = bar.in_force, before.in_force if before is not None else None
    if bar.tempo is not None and bar.tempo.bpm is not None:
        micro = min(round(60_000_000 / quarters(bar.tempo)), 0xFFFFFF)
        yield b"\xff\x51\x03" + micro.to_bytes(3, "big")
    metre = _metre(bar)
    if before is None or metre != _metre(before):
        yield b"\xff\x58\x04" + bytes((metre[0], metre[1].bit_length() - 1, 24, 8))
    if old is None or now.key != old.key:
        yield b"\xff\x59\x02" + struct.pack("bB", now.key.fifths, _is_minor(now))
    if bar.section:
        yield _text(MARKER, bar.section)


def _words(bar: Bar) -> Iterable[tuple[Fraction, bytes]]:
    """Chord symbols and words at their places in a bar."""
    for chord in bar.music.chords:
        yield chord.onset, _text(TEXT, chord.name)
    for word in bar.music.words:
        if word.kind == "text":
            yield word.onset, _text(TEXT, word.text)


def _text(kind: int, text: str) -> bytes:
    """A text event of a kind."""
    data = text.encode("utf-8", "replace")[:MOST]
    return bytes((0xFF, kind)) + _number(len(data)) + data


def _metre(bar: Bar) -> tuple[int, int]:
    """Count and unit of a bar as a program that counts bars needs them: a short bar has a metre of its own."""
    metre = bar.in_force.metre
    if bar.music.length == metre.length:
        return metre.count, metre.unit
    for unit in (metre.unit, 4, 8, 16, 32, 64):
        count = bar.music.length * unit / 4
        if unit >= metre.unit and count.denominator == 1 and 1 <= count <= 255:
            return int(count), unit
    return metre.count, metre.unit


def _is_minor(now: InForce) -> int:
    return int(now.key.mode in ("minor", "aeolian", "dorian", "phrygian", "locrian"))


def quarters(tempo: Tempo) -> Fraction:
    """Return quarters a minute of a tempo that has a number."""
    length = VALUES[tempo.value[0]][2] * (2 - Fraction(1, 2 ** tempo.value.count(".")))
    return (tempo.bpm or Fraction(120)) * length


def _number(value: int) -> bytes:
    """A variable-length quantity."""
    out = bytes((value & 0x7F,))
    while value := value >> 7:
        out = bytes((value & 0x7F | 0x80,)) + out
    return out

"""What a MIDI file holds: notes by track and channel, tempo, metres, keys. Read by music21, nothing rounded."""

from __future__ import annotations

from collections import defaultdict
from fractions import Fraction
from itertools import pairwise
from typing import Literal, NamedTuple

from music21 import midi

from scribe.exchange.m21.instruments import is_for_bass
from scribe.exchange.model import Cannot
from scribe.exchange.partname import named, several

MOST_EVENTS = 400_000
LONGEST = 20_000  # quarters: nearly three hours at 120 a minute
HEADER = 14  # bytes of a file's head, the last two how it counts time
TEXTS: dict[object, Literal["marker", "text"]] = {
    midi.MetaEvents.MARKER: "marker",
    midi.MetaEvents.TEXT_EVENT: "text",
}
MOST_TEXTS, LONGEST_TEXT = 5_000, 120
BASSES = frozenset((*range(32, 40), 43))  # programs from 0: General MIDI's basses, and its contrabass
DRUMS = 10  # the channel of percussion (General MIDI)


class Note(NamedTuple):
    """One note, times in quarters as the file counts them."""

    onset: Fraction
    end: Fraction
    midi: int


class Voice(NamedTuple):
    """The notes of one channel of one track, in order. `number` counts from 1."""

    number: int
    name: str
    program: int | None
    notes: tuple[Note, ...]

    @property
    def mean(self) -> float:
        return sum(note.midi for note in self.notes) / len(self.notes)

    @property
    def single(self) -> bool:
        """Whether it plays one note at a time: hardly any notes begin together."""
        starts = [note.onset for note in self.notes]
        together = sum(1 for a, b in pairwise(starts) if b - a < Fraction(1, 32))
        return together * 20 <= len(starts)


class Text(NamedTuple):
    """A text event of any track: `marker` (rehearsal letter, section), or `text`."""

    time: Fraction
    kind: Literal["marker", "text"]
    words: str


class Contents(NamedTuple):
    """A file. `tempos`: (time, quarters a minute); `metres`: (time, count, unit); `keys`: (time, fifths, minor)."""

    voices: tuple[Voice, ...]
    tempos: tuple[tuple[Fraction, Fraction], ...]
    metres: tuple[tuple[Fraction, int, int], ...]
    keys: tuple[tuple[Fraction, int, bool], ...]
    title: str
    drums: bool = False  # whether percussion plays; it is no voice
    texts: tuple[Text, ...] = ()

    def seconds(self, time: Fraction) -> float:
        """Return when a time in quarters is played."""
        at, last, pace = 0.0, Fraction(0), Fraction(120)
        for start, tempo in self.tempos:
            if start >= time:
                break
            at += float((start - last) * 60 / pace)
            last, pace = start, tempo
        return at + float((time - last) * 60 / pace)


def read_midi(data: bytes) -> Contents:
    """Read a Standard MIDI File.

    Raises:
        Cannot: it is damaged, counts time otherwise than in quarters, or holds too much.
    """
    file = midi.MidiFile()
    if len(data) >= HEADER and data[HEADER - 2] & 0x80:  # SMPTE time code (Standard MIDI Files 1.0)
        raise Cannot("it counts time in frames of film; save it again with ticks to a quarter")
    try:
        file.readstr(data)
    except Exception:  # whatever music21 trips over
        raise Cannot("damaged MIDI file, or only a piece of one") from None
    division = file.ticksPerQuarterNote
    if not isinstance(division, int) or division <= 0:
        raise Cannot("damaged MIDI file: it says nothing of how it counts time")
    if sum(len(track.events) for track in file.tracks) > MOST_EVENTS:
        raise Cannot(f"more than {MOST_EVENTS} MIDI events")
    tempos: list[tuple[Fraction, Fraction]] = []
    metres: list[tuple[Fraction, int, int]] = []
    keys: list[tuple[Fraction, int, bool]] = []
    voices: list[Voice] = []
    texts: list[Text] = []
    title = ""
    drums = False
    for number, track in enumerate(file.tracks):
        name = ""
        at = 0
        going: dict[tuple[int, int], list[int]] = defaultdict(list)
        notes: dict[int, list[Note]] = defaultdict(list)
        programs: dict[int, int] = {}
        for event in track.events:
            if event.isDeltaTime():
                at += max(int(event.time or 0), 0)
                continue
            time = Fraction(at, division)
            kind, payload = event.type, event.data
            if kind == midi.MetaEvents.SEQUENCE_TRACK_NAME and isinstance(payload, bytes):
                name = " ".join(_decoded(payload).split())
            elif kind in TEXTS and isinstance(payload, bytes) and len(texts) < MOST_TEXTS:
                texts.append(Text(time, TEXTS[kind], " ".join(_decoded(payload).split())[:LONGEST_TEXT]))
            elif kind == midi.MetaEvents.SET_TEMPO and isinstance(payload, bytes) and len(payload) == 3:
                micro = int.from_bytes(payload, "big")
                if micro:
                    tempos.append((time, Fraction(60_000_000, micro)))
            elif kind == midi.MetaEvents.TIME_SIGNATURE and isinstance(payload, bytes) and len(payload) >= 2:
                metres.append((time, payload[0], 2 ** min(payload[1], 7)))
            elif kind == midi.MetaEvents.KEY_SIGNATURE and isinstance(payload, bytes) and len(payload) >= 2:
                fifths = int.from_bytes(payload[:1], "big", signed=True)
                if -7 <= fifths <= 7:
                    keys.append((time, fifths, payload[1] == 1))
            elif kind == midi.ChannelVoiceMessages.PROGRAM_CHANGE and event.channel is not None:
                programs.setdefault(event.channel, int(payload or 0))
            elif event.isNoteOn() and event.velocity:
                going[event.channel or 0, int(event.pitch or 0)].append(at)
            elif event.isNoteOff() or (event.isNoteOn() and not event.velocity):
                drums = drums or event.channel == DRUMS
                started = going[event.channel or 0, int(event.pitch or 0)]
                if started and event.channel != DRUMS:
                    begin = started.pop(0)
                    notes[event.channel or 0].append(
                        Note(Fraction(begin, division), time, int(event.pitch or 0))
                    )
        if number == 0:
            title = name
        for channel, found in sorted(notes.items()):
            sounding = tuple(sorted(note for note in found if note.end > note.onset))
            if sounding:
                voices.append(Voice(len(voices) + 1, name, programs.get(channel), sounding))
    end = max((note.end for voice in voices for note in voice.notes), default=Fraction(0))
    if end > LONGEST:
        raise Cannot(f"damaged MIDI file: it lasts {int(end)} quarter notes, more than {LONGEST}")
    return Contents(
        tuple(voices),
        tuple(sorted(tempos)),
        tuple(sorted(metres)),
        tuple(sorted(keys)),
        title,
        drums,
        tuple(sorted(texts)),
    )


def _decoded(text: bytes) -> str:
    """MIDI files name no character set: UTF-8 where it can be, else Latin-1, as older programs write."""
    try:
        return text.decode("utf-8")
    except UnicodeDecodeError:
        return text.decode("latin-1")


def choose(contents: Contents, part: str | None) -> Voice:
    """Return the voice asked for by number or name, else one for a bass, else the lowest that plays single notes.

    Raises:
        Cannot: there is none.
    """
    voices = list(contents.voices)
    if part is not None:
        listed = [f"part {v.number}" + (f" ({v.name})" if v.name else "") for v in voices]
        if part.strip().isdecimal():
            voices = [v for v in voices if str(v.number) == part.strip()]
        else:
            voices = [voices[i] for i in named(part, [v.name for v in voices], listed)]
        if not voices:
            raise Cannot(f"no part `{part}`; there are {several(listed)}")
    if not voices:
        raise Cannot("only percussion in it" if contents.drums else "no notes in it")
    if part is None:
        voices = [v for v in voices if v.program in BASSES or is_for_bass(v.name)] or voices
    return min(voices, key=lambda v: (not v.single, v.mean))

"""What a MIDI file holds: notes by track and channel, tempo, metres, keys. Read by music21, nothing rounded."""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter, defaultdict
from fractions import Fraction
from itertools import pairwise
from typing import Literal, NamedTuple

from music21 import midi

from scribe.exchange.model import Cannot

MOST_EVENTS = 400_000
LONGEST = 20_000  # quarters: nearly three hours at 120 a minute
HEADER = 14  # bytes of a file's head, the last two how it counts time
TEXTS: dict[object, Literal["marker", "text"]] = {
    midi.MetaEvents.MARKER: "marker",
    midi.MetaEvents.TEXT_EVENT: "text",
}
MOST_TEXTS, LONGEST_TEXT = 5_000, 120
PEDAL, DOWN, CENTRE = (
    64,
    64,
    0x2000,
)  # the controller of the sustain pedal, from where it is down; no pitch bend
SEVERAL_SONGS = 2  # the format of a file whose tracks are songs of their own (Standard MIDI Files 1.0)
DRUMS = 10  # the channel of percussion (General MIDI)


class Note(NamedTuple):
    """One note, times in quarters as the file counts them; `graces`: pitches that lead to it."""

    onset: Fraction
    end: Fraction
    midi: int
    velocity: int = 80
    ghost: bool = False
    graces: tuple[int, ...] = ()


class Voice(NamedTuple):
    """The notes of one channel of one track, in order. `number` counts from 1, `track` from 0.

    `lost`: what else is in it, in words (`pitch bend`), and how often; `endless`: notes that nothing ended.
    """

    number: int
    name: str
    program: int | None
    notes: tuple[Note, ...]
    track: int = 0
    lost: tuple[tuple[str, int], ...] = ()
    endless: int = 0

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
    broken: bool = False  # whether the file ends before its tracks do

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
    if data[:4] == b"MThd" and data[8:10] == bytes((0, SEVERAL_SONGS)):
        raise Cannot("it holds several songs (format 2); save each as a file of its own")
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
        going: dict[tuple[int, int], list[tuple[int, int]]] = defaultdict(list)  # tick, velocity
        notes: dict[int, list[Note]] = defaultdict(list)
        programs: dict[int, int] = {}
        lost: dict[int | None, Counter[str]] = defaultdict(Counter)  # None: of the whole track
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
            elif kind == midi.MetaEvents.LYRIC:
                lost[None]["lyric"] += 1
            elif kind == midi.ChannelVoiceMessages.PITCH_BEND:
                if int(event.parameter1 or 0) + (int(event.parameter2 or 0) << 7) != CENTRE:
                    lost[event.channel]["pitch bend"] += 1
            elif kind == midi.ChannelVoiceMessages.CONTROLLER_CHANGE:
                if event.parameter1 == PEDAL and int(event.parameter2 or 0) >= DOWN:
                    lost[event.channel]["pedal press"] += 1
            elif event.isNoteOn() and event.velocity:
                going[event.channel or 0, int(event.pitch or 0)].append((at, int(event.velocity)))
            elif event.isNoteOff() or (event.isNoteOn() and not event.velocity):
                drums = drums or event.channel == DRUMS
                started = going[event.channel or 0, int(event.pitch or 0)]
                if started and event.channel != DRUMS:
                    begin, velocity = started.pop(0)
                    notes[event.channel or 0].append(
                        Note(Fraction(begin, division), time, int(event.pitch or 0), velocity)
                    )
        if number == 0:
            title = name
        endless = _ended(going, notes, at, division)
        for channel, found in sorted(notes.items()):
            sounding = tuple(sorted(note for note in found if note.end > note.onset))
            if sounding:
                other = tuple(sorted((lost[None] + lost[channel]).items()))
                row = (len(voices) + 1, name, programs.get(channel), sounding, number, other)
                voices.append(Voice(*row, endless[channel]))
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
        _breaks_off(data),
    )


def _ended(
    going: dict[tuple[int, int], list[tuple[int, int]]],
    notes: dict[int, list[Note]],
    last: int,
    division: int,
) -> Counter[int]:
    """End notes that nothing ended where the next one of their channel begins, else where the track ends.

    Returns how many there are of every channel.
    """
    found: Counter[int] = Counter()
    begun = {channel: [note.onset for note in row] for channel, row in notes.items()}
    for (channel, _), starts in going.items():
        begun.setdefault(channel, []).extend(Fraction(start, division) for start, _ in starts)
    begun = {channel: sorted(row) for channel, row in begun.items()}
    for (channel, pitch), starts in going.items():
        for start, velocity in starts if channel != DRUMS else ():
            onset = Fraction(start, division)
            others = begun[channel]
            later = bisect_right(others, onset)
            end = others[later] if later < len(others) else max(Fraction(last, division), onset + 1)
            notes[channel].append(Note(onset, end, pitch, velocity))
            found[channel] += 1
    return found


def _breaks_off(data: bytes) -> bool:
    """Whether the last track says that it is longer than what is there."""
    at = data.find(b"MThd")
    while 0 <= at <= len(data) - 8:
        at += 8 + int.from_bytes(data[at + 4 : at + 8], "big")
        if data[at : at + 4] != b"MTrk":
            break
    return at > len(data)


def _decoded(text: bytes) -> str:
    """MIDI files name no character set: UTF-8 where it can be, else Latin-1, as older programs write."""
    try:
        return text.decode("utf-8")
    except UnicodeDecodeError:
        return text.decode("latin-1")

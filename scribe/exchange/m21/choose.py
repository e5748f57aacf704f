"""Which part and voice of a score to take: those asked for, else a part for the bass, else the lowest line."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from music21 import chord, note, stream
from music21.common import opFrac

from scribe.exchange.m21.instruments import is_for_bass
from scribe.exchange.m21.pitches import exact, span_of
from scribe.exchange.model import Cannot
from scribe.exchange.partname import named, several

CHORDS = (
    24  # semitones that a part in chords counts as higher than it is; a line with few stacks, that much less
)

Things = list[tuple[Fraction, note.GeneralNote]]


class Candidate(NamedTuple):
    """One voice of one part. `part`, `voice` count from 1; `voice` 0 where the part has only one."""

    part: int
    name: str
    voice: int
    notes: int
    mean: float  # MIDI number as it sounds; 128 where nothing sounds at a pitch
    stacked: float  # share of its notes that are stacks, or begin while another one sounds
    bars: int  # in which it sounds
    measures: int
    bass: bool  # its name says that it is for the bass

    @property
    def single(self) -> bool:
        """Whether it plays one note at a time throughout."""
        return not self.stacked

    def __str__(self) -> str:
        voice = f", voice {self.voice}" if self.voice else ""
        return f"part {self.part} ({self.name}{voice})" if self.name else f"part {self.part}{voice}"


def measures_of(part: stream.Part) -> list[stream.Measure]:
    """The measures of a part, in order."""
    return sorted(part.getElementsByClass(stream.Measure), key=lambda m: m.offset)


def voice_count(part: stream.Part) -> int:
    """How many voices a part has at most in one bar; 0 where no bar is divided into voices."""
    return max((len(measure.voices) for measure in measures_of(part)), default=0)


def things_of(measure: stream.Measure, voice: int) -> Things:
    """Notes and rests of a voice (from 1; 0: the bar is not divided) with their onsets, in order.

    A bar that is not divided is played by every voice.
    """
    found: Things = []
    voices = list(measure.voices)
    holders: list[stream.Measure | stream.Voice] = [measure]
    if len(voices) == 1:
        holders.append(voices[0])
    elif voices:
        if voice > len(voices):
            return []
        holders.append(voices[max(voice, 1) - 1])
    for holder in holders:
        shift = exact(holder.offset) if holder is not measure else Fraction(0)
        for each in holder.getElementsByClass(note.GeneralNote):
            if "Harmony" not in each.classes:
                found.append((exact(shift + Fraction(opFrac(each.offset))), each))
    found.sort(key=lambda pair: (pair[0], not pair[1].duration.isGrace))
    return found


def left_out(measure: stream.Measure, voice: int) -> list[str]:
    """What the other voices of the same staff have in a bar, in words."""
    others = [
        number
        for number, each in enumerate(measure.voices, 1)
        if number != voice and any(not thing.isRest for _, thing in things_of(measure, number))
    ]
    return [f"voice {number} left out" for number in others] if voice else []


def candidates(score: stream.Score) -> list[Candidate]:
    """Every voice of every part."""
    found = []
    for number, part in enumerate(score.parts, 1):
        voices = voice_count(part)
        for voice in range(1, voices + 1) if voices > 1 else (0,):
            found.append(_candidate(part, number, voice))
    return found


def _candidate(part: stream.Part, number: int, voice: int) -> Candidate:
    midis: list[float] = []
    notes = bars = stacks = 0
    for measure in measures_of(part):
        end = Fraction(0)
        if voice > 1 and len(measure.voices) < 2:
            continue  # not its own
        things = [(o, n) for o, n in things_of(measure, voice) if not n.isRest]
        bars += bool(things)
        for onset, each in things:
            notes += 1
            midis += [p.midi for p in each.pitches]
            stacks += isinstance(each, chord.ChordBase) or onset < end
            end = max(end, onset + span_of(onset, each.duration.quarterLength))
    mean = sum(midis) / len(midis) + _away(part) if midis else 128.0
    return Candidate(
        number,
        (part.partName or "").strip(),
        voice,
        notes,
        mean,
        stacks / max(notes, 1),
        bars,
        len(measures_of(part)),
        is_for_bass(part.partName or ""),
    )


def _away(part: stream.Part) -> int:
    """How many semitones from what is written a part sounds."""
    made = part.getInstrument(returnDefault=False)
    if part.atSoundingPitch is True or made is None or made.transposition is None:
        return 0
    return int(made.transposition.semitones)


def choose(found: Sequence[Candidate], part: str | None = None, voice: int | None = None) -> Candidate:
    """Return the candidate asked for by number or name, else a part for the bass, else the lowest, lines before chords.

    A second voice that is silent in most bars of its part is only taken when asked for.

    Raises:
        Cannot: there is no such part or voice, or no notes at all.
    """
    wanted = list(found)
    if part is not None:
        listed = [str(c) for c in found]
        if part.strip().isdecimal():
            wanted = [c for c in found if str(c.part) == part.strip()]
        else:
            wanted = [found[i] for i in named(part, [c.name for c in found], listed)]
        if not wanted:
            raise Cannot(f"no part `{part}`; there are {several(listed)}")
    if voice is not None:
        wanted = [c for c in wanted if max(c.voice, 1) == voice]
        if not wanted:
            raise Cannot(f"no voice {voice} there; there are {several([str(c) for c in found])}")
    sounding = [c for c in wanted if c.notes]
    if not sounding:
        if wanted and wanted[0].measures and (part is not None or len(found) == 1):
            return wanted[0]  # silence, or work still to do
        raise Cannot("no notes in it")
    most = {c.part: max(d.bars for d in sounding if d.part == c.part) for c in sounding}
    full = [c for c in sounding if c.bars * 2 >= most[c.part]]
    if part is None:
        full = [c for c in full if c.bass] or full
    return min(full, key=lambda c: (c.mean + c.stacked * CHORDS, c.part, c.voice))

"""Which part of a MIDI file is taken: the one asked for, else one for a bass; channels of one player are one part."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from itertools import groupby

from scribe.exchange.m21.instruments import is_for_bass
from scribe.exchange.midi.file import Contents, Voice
from scribe.exchange.model import Cannot
from scribe.exchange.partname import named, several

BASSES = frozenset((*range(32, 40), 43))  # programs from 0: General MIDI's basses, and its contrabass
FEW = 3  # a part with less than a third of the notes of another one for a bass only supports it
AT_ONCE = Fraction(1, 4)  # of the time that the notes of one player's channels sound together at most


def with_players(contents: Contents) -> Contents:
    """Return a file with the channels of one track that one player plays as one voice.

    Instruments with a pick-up for each string send a channel a string, and programs for frets write so too.
    """
    voices: list[Voice] = []
    for _, group in groupby(contents.voices, key=lambda v: (v.track, v.name, v.program)):
        row = list(group)
        apart = len(row) == 1 or not _one_player(row, contents)
        voices += row if apart else [_joined(row)]
    numbered = tuple(voice._replace(number=number) for number, voice in enumerate(voices, 1))
    return contents._replace(voices=numbered)


def _one_player(row: list[Voice], contents: Contents) -> bool:
    """Whether channels take turns. In a file with all parts in one track, only a bass's program says enough."""
    if all(voice.track == 0 for voice in contents.voices) and row[0].program not in BASSES:
        return False
    sounding = together = reach = Fraction(0)
    for note in sorted(note for voice in row for note in voice.notes):
        together += max(min(reach, note.end) - note.onset, Fraction(0))
        sounding += note.end - note.onset
        reach = max(reach, note.end)
    return together <= AT_ONCE * sounding


def _joined(row: list[Voice]) -> Voice:
    lost: Counter[str] = Counter()
    for voice in row:
        lost |= Counter(dict(voice.lost))
    return row[0]._replace(
        notes=tuple(sorted(note for voice in row for note in voice.notes)),
        lost=tuple(sorted(lost.items())),
        endless=sum(voice.endless for voice in row),
    )


def choose(contents: Contents, part: str | None) -> Voice:
    """Return the voice asked for by number or name, else one for a bass, else the lowest that plays single notes.

    Of several for a bass, one with hardly any notes beside the others is not taken.

    Raises:
        Cannot: there is none.
    """
    voices = list(contents.voices)
    if part is not None:
        listed = [said(v) for v in voices]
        if part.strip().isdecimal():
            voices = [v for v in voices if str(v.number) == part.strip()]
        else:
            voices = [voices[i] for i in named(part, [v.name for v in voices], listed)]
        if not voices:
            raise Cannot(f"no part `{part}`; there are {several(listed)}")
    if not voices:
        raise Cannot("only percussion in it" if contents.drums else "no notes in it")
    if part is None:
        basses = for_basses(contents)
        most = max((len(v.notes) for v in basses), default=0)
        voices = [v for v in basses if len(v.notes) * FEW >= most] or voices
    return min(voices, key=lambda v: (not v.single, v.mean))


def for_basses(contents: Contents) -> list[Voice]:
    """Return the voices whose program or name says that they are for a bass."""
    return [v for v in contents.voices if v.program in BASSES or is_for_bass(v.name)]


def said(voice: Voice) -> str:
    """Return a voice as messages name it."""
    return f"part {voice.number}" + (f" ({voice.name})" if voice.name else "")

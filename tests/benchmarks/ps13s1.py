"""ps13s1, stage 1 of a published pitch-spelling algorithm, as the baseline to beat.

D. Meredith, The ps13 pitch spelling algorithm, Journal of New Music Research 35(2), 2006, 121-159: every note takes the
name that it would have in the scales of the tonics around it, each weighted by how often it sounds. Written from the
algorithm's description; a context of 10 notes before and 42 from the note itself on are the recommended values.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from scribe.music.pitch import Pitch, at_staff

INIT = (0, 1, 1, 2, 2, 3, 4, 4, 5, 5, 6, 6)  # letter of the first note: A Bb B C C# D Eb E F F# G Ab
STEP = (0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6)  # semitones above a tonic -> letters above it
NATURAL = (0, 2, 3, 5, 7, 8, 10)  # chroma of A B C D E F G


def ps13s1(midi: Sequence[int], before: int = 10, after: int = 42) -> list[Pitch]:
    """Spell a sequence of MIDI numbers. The result is right only up to one enharmonic shift of the whole."""
    if not midi:
        return []
    chroma = [(m - 21) % 12 for m in midi]
    first = INIT[chroma[0]]
    tonic_letter = [(first - STEP[(chroma[0] - t) % 12]) % 7 for t in range(12)]
    count = [0] * 12
    for c in chroma[:after]:
        count[c] += 1
    found: list[Pitch] = []
    for j, c in enumerate(chroma):
        if j:
            if j + after - 1 < len(chroma):
                count[chroma[j + after - 1]] += 1
            if j - before - 1 >= 0:
                count[chroma[j - before - 1]] -= 1
        vote = [0] * 7
        for t in range(12):
            vote[(STEP[(c - t) % 12] + tonic_letter[t]) % 7] += count[t]
        found.append(_in_octave(midi[j], vote.index(max(vote))))
    return found


def _in_octave(midi: int, letter: int) -> Pitch:
    p = midi - 21
    q, rest = divmod(p, 12)
    octave = min((q, q + 1, q - 1), key=lambda b: abs(q + rest / 12 - (b + letter / 7)))
    place = letter + 7 * octave
    alter = p - 12 * (place // 7) - NATURAL[place % 7]
    return Pitch("ABCDEFG"[letter], alter, place // 7 + (place % 7 > 1))


def shifted(pitches: Sequence[Pitch], signatures: Sequence[int]) -> list[Pitch]:
    """Return the names under the enharmonic shift that lies nearest to the key signatures given, one for each note.

    Every stretch of one signature gets a shift of its own: the one with the most names in the signature's scale, then
    with the least distance on the line of fifths from its middle.
    """
    found: list[Pitch] = []
    for signature, run in groupby(zip(pitches, signatures, strict=True), key=lambda pair: pair[1]):
        part = [pitch for pitch, _ in run]
        best = min(
            ([_moved(p, shift) for p in part] for shift in (0, 1, -1, 2, -2)),
            key=lambda moved: _rank([p.fifths - 2 - signature for p in moved]),
        )
        found += best
    return found


def _rank(away: list[int]) -> tuple[int, int]:
    return -sum(abs(a) <= 3 for a in away), sum(abs(a) for a in away)


def _moved(pitch: Pitch, shift: int) -> Pitch:
    """The same sound so many letters higher."""
    natural = at_staff(pitch.staff + shift)
    return natural._replace(alter=pitch.midi - natural.midi)

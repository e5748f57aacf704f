"""Small letters with a note `b` behind them where a flat note was probably meant. Hints, never errors."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

from scribe.diagnostics import Diagnostic, Hint, Span
from scribe.music.chord import parse_chord
from scribe.music.inforce import InForce
from scribe.source.tree import Beat, ChordWord, Letter, Strike, Tone, Word

_PAIR = re.compile("[a-g=]b")  # what no such slip is without: most bars have none


# Slots of a word that few mean: with one note for two letters it would be the usual division of the beat.
_UNEVEN = {"simple": 5, "compound": 4}


class FlatSlip(NamedTuple):
    """A small letter with a note `b` right behind it, where one flat note may have been meant."""

    letter: str
    in_key: bool
    in_chord: bool
    stacked: bool  # one of the two is part of a stack
    span: Span

    @property
    def likely(self) -> bool:
        return self.in_key or self.in_chord

    @property
    def mend(self) -> str:
        return self.letter.lower() if self.in_key else f"{self.letter}b"


def letter_slips(text: str, words: tuple[Word, ...], in_force: InForce) -> list[Diagnostic]:
    """Find small letters followed by a note `b` where one flat note each was probably meant.

    In a stack always, but for an octave: hardly anybody ends one so and begins the next slot with `b`. Elsewhere
    the flat must stand in the key or the chord, and the division of the bar must speak for it: with one note the
    word would have as many slots as most of two or more other words (`| g eb d c |`), or all words would have
    equally many only if every pair were one note (`| f ab db eb |`), two letters of the key or the chord among
    them: `| e eb eb e |` is root and fifth. Five slots, holds among them, that would be four are enough (`| eb-c- g
    |`), in compound metre four that would be three.
    Silent on `| gb eb db fa |`. Where neither key nor chord has any of the flats, two letters whose pairs alone make
    the words uneven are enough (`| c eb g bb |`): one bar in 20,991 of imported single voices is written so.
    """
    if _PAIR.search(text) is None:
        return []
    beats = [word for word in words if isinstance(word, Beat)]
    tones = _chord_tones(words, in_force)
    found = [_flat_slips(text, beat, tones, in_force) for beat in beats]
    if not any(found):
        return []
    pairs = [[slip for slip in slips if not slip.stacked] for slips in found]
    even = _evens_out(beats, pairs)
    said = [_say_flats(text, [slip for slips in pairs for slip in slips], in_force)] if even else []
    for beat, slips in zip(beats, found, strict=True):
        stacked = [slip for slip in slips if slip.stacked]
        likely = [slip for slip in slips if slip.likely]
        if stacked:
            said.append(_say_stack(text, beat, stacked, in_force))
        elif likely and not even:
            others = [len(b.slots) for b in beats if b is not beat]
            usual = max(set(others), key=others.count) if others else 0
            meant = len(beat.slots) - 1
            uneven = len(slips) == 1 and len(beat.slots) == _UNEVEN.get(in_force.metre.kind)
            uneven = uneven and any(not isinstance(slot, Strike) for slot in beat.slots)
            if (len(others) > 1 and meant == usual) or uneven:
                said.append(_say_flats(text, likely[:1], in_force))
    return said


def _chord_tones(words: tuple[Word, ...], in_force: InForce) -> frozenset[tuple[str, int]]:
    """Return the names of the tones of the chord in force at the bar's start and of those in it."""
    typed = [parse_chord(word.name) for word in words if isinstance(word, ChordWord)]
    return frozenset(
        tone.name for chord in (in_force.chord, *typed) if chord is not None for tone in chord.tones
    )


def _flat_slips(
    text: str, beat: Beat, tones: frozenset[tuple[str, int]], in_force: InForce
) -> list[FlatSlip]:
    found: list[FlatSlip] = []
    taken = None  # the second note of the pair before
    for one, two in zip(beat.slots, beat.slots[1:], strict=False):
        if one is taken:
            continue
        if not isinstance(one, Strike) or not isinstance(two, Strike) or two.connector or two.graces:
            continue
        letter = _small(one.tones[-1])
        start, end = one.tones[-1].span.end, two.tones[0].span.end
        if letter is None or one.marks or text[start:end] != "b":
            continue
        if any(_small(tone) == letter for tone in one.tones[:-1]):
            continue  # an octave: `c+cb+b`
        span = Span(start - 1, end)
        in_key = in_force.key.alteration(letter) == -1
        stacked = len(one.tones) > 1 or len(two.tones) > 1
        found.append(FlatSlip(letter, in_key, (letter, -1) in tones, stacked, span))
        taken = two if len(two.tones) == 1 else None  # of a stack the last note may begin another pair
    return found


def _small(tone: Tone) -> str | None:
    """The letter of a tone that is nothing but one small letter."""
    name = tone.name
    if not isinstance(name, Letter) or name.exact or name.accidental or tone.ghost:
        return None
    return name.letter if tone.span.end > tone.span.start and tone.pin is None else None


def _evens_out(beats: Sequence[Beat], slips: Sequence[Sequence[FlatSlip]]) -> bool:
    """Tell whether the words of a bar have equally many slots only if every pair is one note."""
    typed = {len(beat.slots) for beat in beats}
    joined = {len(beat.slots) - len(found) for beat, found in zip(beats, slips, strict=True)}
    if len(typed) == 1 or len(joined) > 1:
        return False
    likely = {slip.letter for found in slips for slip in found if slip.likely}
    if likely:
        return len(likely - {"B"}) > 1  # `bb` is a note struck twice
    return len({slip.letter for found in slips for slip in found}) > 1


def _say_flats(text: str, slips: Sequence[FlatSlip], in_force: InForce) -> Diagnostic:
    """Say it of pairs of letters, all at once."""
    span = Span(slips[0].span.start, slips[-1].span.end)
    mend = _mended(text, span, slips)
    flats = _listed([f"{slip.letter} flat" for slip in slips])
    if len(slips) == 1:
        typed = text[span.start : span.end]
        message = f"`{typed}` is two notes, {slips[0].letter.lower()} and b"
        order = f"for the one note {flats} write `{mend}`"
    else:
        typed = _listed([f"`{text[slip.span.start : slip.span.end]}`" for slip in slips])
        message = f"{typed} are two notes each, the second one b"
        order = f"for the notes {flats} write {_listed([f'`{slip.mend}`' for slip in slips])}"
    return Diagnostic(
        "letter-flat", "hint", span, message, (Hint(order + _why(slips, in_force), mend, span),)
    )


def _say_stack(text: str, beat: Beat, slips: Sequence[FlatSlip], in_force: InForce) -> Diagnostic:
    """Say it of a stack, whose whole word is mended."""
    typed, mend = text[beat.span.start : beat.span.end], _mended(text, beat.span, slips)
    message = f"`{typed}` is {len(beat.slots)} slots: behind a small letter `b` is a note of its own"
    flats = _listed([f"{slip.letter} flat" for slip in slips])
    order = f"for {flats} in the stack write `{mend}`"
    return Diagnostic(
        "letter-flat", "hint", beat.span, message, (Hint(order + _why(slips, in_force), mend, beat.span),)
    )


def _mended(text: str, span: Span, slips: Sequence[FlatSlip]) -> str:
    parts, at = [], span.start
    for slip in slips:
        parts += [text[at : slip.span.start], slip.mend]
        at = slip.span.end
    return "".join((*parts, text[at : span.end]))


def _why(slips: Sequence[FlatSlip], in_force: InForce) -> str:
    return (
        f": {in_force.key} has {'it' if len(slips) == 1 else 'them'}" if all(s.in_key for s in slips) else ""
    )


def _listed(names: Sequence[str]) -> str:
    """Return `a`, `a and b`, `a, b and c`, each name once."""
    once = list(dict.fromkeys(names))
    return once[0] if len(once) == 1 else ", ".join(once[:-1]) + " and " + once[-1]

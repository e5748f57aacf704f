"""How a pitch is typed: by letter, degree or fret, with the octave marks that its contour needs."""

from __future__ import annotations

from fractions import Fraction
from typing import Literal, NamedTuple

from scribe.exchange.model import Head
from scribe.music.inforce import InForce
from scribe.music.key import MAJOR_DEGREES
from scribe.music.name import name_pitch
from scribe.music.pitch import ACCIDENTAL, LETTERS, Pitch
from scribe.music.resolve import Contour
from scribe.music.tuning import FRETS, string_name

Way = Literal["letter", "degree", "fret"]
MOST_MARKS = 9

# Keys of an American keyboard that need Shift: letters, digits and the rest cost one key, these two.
SHIFTED = frozenset('~!@#$%^&*()_+{}|:"<>?') | frozenset("ABCDEFGHIJKLMNOPQRSTUVWXYZ")


def keys(text: str) -> int:
    """Return how many keys a text takes, Shift counted as a key of its own (American layout)."""
    return len(text) + sum(1 for sign in text if sign in SHIFTED)


class Unsayable(Exception):
    """A note that cannot be typed here; its message says why."""


class Hand(NamedTuple):
    """What typing the next note depends on: the contour, the string named last in this word, and what the word ends on.

    `open_end`: a following small `b` would be read as a flat or as part of a string's name. `lies`: the string that
    the note before is known to lie on.
    """

    contour: Contour
    string: int | None = None
    open_end: bool = False
    lies: int | None = None


def typed(
    head: Head, hand: Hand, now: InForce, way: Way, *, stacked: bool = False, ghost: bool = False
) -> str:
    """Return contour marks, ghost, name, pin and doubt of one head.

    Raises:
        Unsayable: the language has no way to say it.
    """
    quiet = "q" if head.ghost and not ghost else ""
    doubt = "?" if head.doubtful else ""
    if head.kind != "note":
        here = head.string == hand.lies and head.pitch.staff == hand.contour.pitch.staff
        pin = "" if head.string is None or here else ":" + _string(head, now)
        return quiet + ("x" if head.kind == "dead" else "u") + pin + doubt
    if way == "fret":
        return quiet + _fret(head, hand, now) + doubt
    pitch = head.pitch
    name = _degree(pitch, now) if way == "degree" else _letter(pitch, hand, now)
    pin = "" if head.string is None else ":" + _string(head, now)
    return contour_marks(pitch, hand.contour, stacked=stacked) + quiet + name + pin + doubt


def contour_marks(pitch: Pitch, contour: Contour, *, stacked: bool = False) -> str:
    """Return the `^` or `v` marks that lead to a pitch."""
    for count in range(MOST_MARKS):
        for sign, mark in ((1, "^"), (-1, "v")):
            if stacked and mark == "v":
                continue
            start = Contour(contour.pitch) if stacked else contour
            marks = 1 + count if stacked else sign * count
            if start.reach(pitch.letter, pitch.alter, marks) == pitch:
                return mark * count
    raise Unsayable(f"{pitch} cannot stand {'above' if stacked else 'after'} {contour.pitch}")


def _letter(pitch: Pitch, hand: Hand, now: InForce) -> str:
    letter, alter = pitch.letter, pitch.alter
    if abs(alter) > 2:
        raise Unsayable(f"{pitch} has three accidentals")
    small = alter == now.key.alteration(letter)
    if small and not (letter == "B" and hand.open_end):
        return letter.lower()
    if alter > 0 and not (letter == "B" and hand.open_end):
        return letter.lower() + "#" * alter
    return letter + {0: "", 1: "#", 2: "##", -1: "b", -2: "w"}[alter]


def _degree(pitch: Pitch, now: InForce) -> str:
    number = (LETTERS.index(pitch.letter) - LETTERS.index(now.key.letter)) % 7
    alter, rest = divmod(pitch.fifths - now.key.tonic_fifths - MAJOR_DEGREES[number], 7)
    if rest or abs(alter) > 2:
        raise Unsayable(f"{pitch} is no degree of {now.key}")
    return ACCIDENTAL[alter] + str(number + 1)


def _fret(head: Head, hand: Hand, now: InForce) -> str:
    if head.string is None or head.fret is None or not 0 <= head.fret <= FRETS:
        raise Unsayable(f"{head.pitch} has no place on the strings")
    if name_pitch(now.tuning[-head.string].midi + head.fret, now) != head.pitch:
        raise Unsayable(f"{head.pitch} would get another name by its fret")
    string = "" if head.string == hand.string else _string(head, now)
    return f"{string}:{head.fret}"


def _string(head: Head, now: InForce) -> str:
    if not now.instrument.fretted or head.string is None or not 1 <= head.string <= len(now.tuning):
        raise Unsayable(f"string {head.string} does not exist here")
    if head.kind == "note" and not 0 <= head.pitch.midi - now.tuning[-head.string].midi <= FRETS:
        raise Unsayable(f"{head.pitch} is not on string {head.string}")
    return string_name(now.tuning, head.string)


def ends_open(text: str) -> bool:
    """Whether a small `b` right behind this text would not be read as a note b of its own."""
    return len(text) > 0 and (
        text[-1] in "ABCDEFG" or (text[-1] == "b" and len(text) > 1 and text[-2] in "ABCDEFG")
    )


def beats_text(length: Fraction, beat_lengths: tuple[Fraction, ...], *, at_end: bool) -> str | None:
    """Return a length as `pickup` and `short` take it: `2`, `1/2`, `1 1/2` beats; None if it is no such number."""
    left, whole = length, 0
    for beat in beat_lengths[::-1] if at_end else beat_lengths:
        if left < beat:
            if not left:
                break
            part = left / beat
            if part.denominator not in (2, 3, 4, 6, 8, 12, 16):
                return None
            return f"{whole} {part}" if whole else str(part)
        left -= beat
        whole += 1
    return str(whole) if whole and not left else None

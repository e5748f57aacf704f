"""Rewriting the notes of one bar: other names, places or ways of writing, and the octave marks that they then need."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction
from typing import Literal, NamedTuple

from scribe.music.events import Event, Head
from scribe.music.inforce import InForce
from scribe.music.key import degree_of
from scribe.music.name import with_name
from scribe.music.pitch import FIFTHS, LETTERS, Pitch
from scribe.music.place import PlacedSlot, place
from scribe.music.resolve import TYPED_ALTER, Contour
from scribe.music.rewrite.beside import CannotWrite, Written, edits_of
from scribe.music.rewrite.edit import Edit
from scribe.music.rewrite.typed import OPEN_PIN, Pieces, degree_text, fret_text, letter_text, pieces
from scribe.source.bar import parse_bar
from scribe.source.plain import plain_bar
from scribe.source.tree import Degree, Fret, Letter, Strike, Tone

__all__ = ["CannotWrite", "Form", "Name", "Typed", "Wanted", "as_typed", "rewrite_bar"]

Form = Literal["letter", "degree", "fret"]
Name = tuple[str, int] | None  # letter and alteration of a chord's root; None under N.C.


class Typed(NamedTuple):
    """A typed note and what it became: its sounding pitch, and the form that the writer gave it.

    `small`: a small letter, or a capital that stands only where a small one would be read otherwise. `sign`: a letter
    with an accidental that says no more than another form without one would: `fn`, `f#`, `Fn`.
    """

    tone: Tone
    head: Head
    small: bool = False
    sign: bool = False

    @property
    def form(self) -> Form:
        if isinstance(self.tone.name, Letter):
            return "letter"
        return "degree" if isinstance(self.tone.name, Degree) else "fret"


class Wanted(NamedTuple):
    """What a note is to be: a spelled sounding pitch, in a form; on a string (1 = highest) at a fret as `fret`.

    `small`: typed with a small letter where that can be; `sign`: with an accidental, needed or not, where that can be.
    `pin`: the string to pin a note to that was a fret; 0 for none.
    """

    pitch: Pitch
    form: Form
    small: bool = True
    string: int = 0
    fret: int = 0
    sign: bool = False
    pin: int = 0


def as_typed(typed: Typed) -> Wanted:
    """The note as it is."""
    head = typed.head
    return Wanted(head.pitch, typed.form, typed.small, head.string or 0, head.fret or 0)


def rewrite_bar(
    text: str,
    events: Sequence[Event],
    before: InForce,
    after: InForce,
    chords: Sequence[tuple[Fraction, Name]],
    wanted: Callable[[Typed], Wanted],
) -> list[Edit]:
    """Return the edits that make a bar's notes what is wanted; places count in its plain text (`plain_bar`).

    `text`: the bar as typed, free of errors; `events`: what it was compiled to under `before`. `after`: what will be
    in force; `chords`: the roots that will be in force from which onset on, for degrees of the chord. What is typed
    and still says what is wanted stays: octave marks, needed or not, degrees, the way in which a string is named.
    Raises `CannotWrite`.
    """
    plain, _ = plain_bar(text)
    walk = _Rewriter(plain, events, before, after, chords, wanted)
    walk.run(place(plain, parse_bar(plain).words, before).slots)
    return edits_of(plain, walk.written, after.tuning)


class _Rewriter:
    """Walks through a bar as the pitch stage does, with the contour of what will be typed."""

    def __init__(
        self,
        text: str,
        events: Sequence[Event],
        before: InForce,
        after: InForce,
        chords: Sequence[tuple[Fraction, Name]],
        wanted: Callable[[Typed], Wanted],
    ) -> None:
        self.before = before
        self.text = text
        self.after = after
        self.chords = list(chords)
        self.wanted = wanted
        self.heads = {
            h.span: h for e in events if not e.held for h in (*e.heads, *(g.head for g in e.graces))
        }
        self.contour = Contour(after.home)
        self.root = after.chord.root if after.chord else None
        self.string = 0  # on which a fret of this word lies that does not name one
        self.end = 0  # of the note before
        self.written: list[Written] = []

    def run(self, slots: Sequence[PlacedSlot]) -> None:
        started: dict[int, Contour] = {}
        for index, placed in enumerate(slots):
            while self.chords and self.chords[0][0] <= placed.onset:
                self.root = self.chords.pop(0)[1]
            if not isinstance(placed.slot, Strike):
                continue
            if placed.again is not None:
                if placed.again in started:
                    started[index] = self.contour = started[placed.again]
                continue
            self._strike(placed.slot)
            if placed.slot.tones[0].name not in ("dead", "unheard"):
                started[index] = self.contour

    def _strike(self, slot: Strike) -> None:
        before = self.contour
        for grace in slot.graces:
            self._note(grace.tone, before, stacked=False)
        above = before
        for number, tone in enumerate(slot.tones):
            above = self._note(tone, above, stacked=number > 0)
            if number == 0 and tone.name not in ("dead", "unheard"):
                self.contour = above

    def _note(self, tone: Tone, contour: Contour, stacked: bool) -> Contour:
        """Take a note in; returns what the next one of a stack is measured from."""
        head = self.heads[tone.span]
        gap = self.text[self.end : tone.span.start]
        if set(gap) & set(" \t{}"):
            self.string = 0
        self.end = tone.span.end
        if tone.name in ("dead", "unheard"):
            if tone.pin:
                self.string = head.string or 0
                return Contour(head.pitch)
            return Contour(Pitch(contour.pitch.letter, 0, contour.pitch.octave))
        parts = pieces(self.text, tone.span)
        want = self.wanted(Typed(tone, head, self._small(tone), self._sign(tone, parts)))
        if want.form == "fret":
            marks = 0 if tone.contour else None
            self.written.append(Written(parts, self._place(tone, head, want, parts), marks, bare=True))
            self.string = want.string
            return Contour(want.pitch, from_fret=True)
        pitch, name = self._kept(tone, want, parts)
        needed = _needed(pitch, contour, stacked, tone.contour)
        if needed is None:
            raise CannotWrite("out-of-range", tone.span, f"{pitch} cannot be reached from {contour.pitch}")
        marks = None if needed == tone.contour else needed
        capital = (letter_text(pitch, self.after.key, small=False) or "") if want.form == "letter" else ""
        self.written.append(Written(parts, name, marks, bare=False, capital=capital, string=want.pin))
        return Contour(pitch)

    def _small(self, tone: Tone) -> bool:
        """Whether a letter is small, or is a B of the key that could not be: behind a string `b` would be its flat."""
        name = tone.name
        if not isinstance(name, Letter) or not name.exact:
            return isinstance(name, Letter)
        own = TYPED_ALTER[name.accidental] == self.before.key.alteration("B")
        return name.letter == "B" and own and bool(OPEN_PIN.search(self.text[: tone.span.start]))

    def _sign(self, tone: Tone, parts: Pieces) -> bool:
        """Whether a letter has an accidental for its own sake, not an `n` that parts a capital from a `b` behind it."""
        name = tone.name
        if not isinstance(name, Letter) or (name.exact and name.accidental != "n"):
            return False
        if not name.exact:
            return bool(name.accidental)
        behind = parts.behind + self.text[parts.span.end : parts.span.end + 1]
        return not behind.startswith("b")

    def _place(self, tone: Tone, head: Head, want: Wanted, parts: Pieces) -> str:
        before = self.text[tone.span.start - 1 : tone.span.start] if tone.span.start else ""
        named = want.string != self.string or before in ("x", "u")
        typed = parts.name.partition(":")[0]
        if isinstance(tone.name, Fret) and head.string == want.string and (typed or not named):
            return f"{typed}:{want.fret}"
        return fret_text(want.string, want.fret, self.after.tuning, named)

    def _tonic(self, tone: Tone) -> int:
        """What degrees are counted from, on the line of fifths."""
        if self.after.degrees == "key":
            return self.after.key.tonic_fifths
        if self.root is None:
            raise CannotWrite(
                "degree-no-chord", tone.span, "a degree of the chord, but no chord is in force here"
            )
        return FIFTHS[LETTERS.index(self.root[0])] + 7 * self.root[1]

    def _kept(self, tone: Tone, want: Wanted, parts: Pieces) -> tuple[Pitch, str]:
        """The pitch as it will be named, and its text: the one that stands there if it says what is wanted."""
        name = tone.name
        if isinstance(name, Letter) and want.form == "letter":
            alter = self.after.key.alteration(name.letter)
            if name.exact or name.accidental:
                alter = TYPED_ALTER[name.accidental]
            if (name.letter, alter) == want.pitch[:2]:
                return want.pitch, parts.name
        if isinstance(name, Degree) and want.form == "degree":
            # A root that gave way to its enharmonic takes its degrees along: what counts is the sound.
            letter, alter = degree_of(self._tonic(tone), name.number, name.alter)
            pitch = with_name(want.pitch.midi, letter, alter)
            if abs(alter) <= 2 and pitch.midi == want.pitch.midi:
                return pitch, parts.name
        return want.pitch, self._name(tone, want)

    def _name(self, tone: Tone, want: Wanted) -> str:
        if want.form == "degree":
            name = degree_text(want.pitch, self._tonic(tone))
        else:
            name = letter_text(want.pitch, self.after.key, want.small, want.sign)
        if name is None:
            raise CannotWrite(
                "triple-accidental", tone.span, f"{want.pitch.name} would need more than two accidentals"
            )
        return name


def _needed(pitch: Pitch, contour: Contour, stacked: bool, first: int = 0) -> int | None:
    """The octave marks that lead to a pitch: those that stand there (`first`) if they do; None if none do."""
    for marks in (first, 0, *(m for n in range(1, 10) for m in (n, -n))):
        if not stacked:
            found = contour.reach(pitch.letter, pitch.alter, marks)
        elif marks >= 0:
            found = Contour(contour.pitch).reach(pitch.letter, pitch.alter, 1 + marks)
        else:
            continue
        if found == pitch:
            return marks
    return None

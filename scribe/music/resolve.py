"""The pitch stage: typed names get one spelled, sounding pitch each; holds and silences become lengths."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from scribe.diagnostics import Diagnostic, Hint, Span
from scribe.music.events import Event, GraceNote, Head, Way
from scribe.music.inforce import Entry, InForce
from scribe.music.key import degree_of
from scribe.music.name import name_pitch, with_name
from scribe.music.pitch import ACCIDENTAL, FIFTHS, LETTERS, NATURAL, Pitch, at_staff
from scribe.music.place import PlacedSlot
from scribe.music.tuning import FRETS, places, string_name, string_of
from scribe.source.tree import Degree, Fret, Hold, Letter, Mark, Silence, Strike, Tone

ONCE_A_BAR = frozenset(("degree-no-chord", "no-strings"))
TYPED_ALTER = {"": 0, "#": 1, "##": 2, "n": 0, "b": -1, "bb": -2}


class Unplayable(Exception):
    """A tone that cannot become a pitch; carries the one diagnostic about it."""

    def __init__(self, code: str, span: Span, message: str, *hints: Hint) -> None:
        super().__init__(message)
        self.diagnostic = Diagnostic(code, "error", span, message, hints)


@dataclass(slots=True)
class Contour:
    """Where the next octave is measured from: a pitch, and whether a fret gave it (then in semitones)."""

    pitch: Pitch
    from_fret: bool = False

    def reach(self, letter: str, alter: int, marks: int) -> Pitch:
        """Return the octave of a name: the nearest one, or by `marks` the next ones above or below.

        Near and next go by the staff; after a fret by semitones, for its name is found later and must not matter.
        """
        if self.from_fret:
            up = (NATURAL[LETTERS.index(letter)] + alter - self.pitch.midi) % 12
            if marks > 0:
                by = (up or 12) + 12 * (marks - 1)
            elif marks < 0:
                by = up - 12 + 12 * (marks + 1)
            else:
                by = up if up <= 6 else up - 12
            return with_name(self.pitch.midi + by, letter, alter)
        here = self.pitch.staff
        step = (LETTERS.index(letter) - here) % 7  # the name's place above: 0 to 6
        if marks > 0:
            return at_staff(here + (step or 7) + 7 * (marks - 1), alter)
        if marks < 0:
            return at_staff(here - ((7 - step) % 7 or 7) - 7 * (-marks - 1), alter)
        return at_staff(here + (step if step <= 3 else step - 7), alter)


class Resolver:
    """Turns one bar's placed slots into events."""

    def __init__(self, in_force: InForce, entry: Entry | None) -> None:
        self.in_force = in_force
        self.entry = entry
        self.contour = Contour(in_force.home)
        self.string: int | None = None  # that the note before is known to lie on
        self.events: list[Event] = []
        self.faults: list[Diagnostic] = []

    def run(
        self,
        slots: tuple[PlacedSlot, ...],
        chords: list[tuple[Fraction, InForce]],
        slap: list[tuple[Fraction, bool]],
    ) -> tuple[Event, ...]:
        """Return the bar's events in order; `chords` and `slap` say what is in force from which onset on."""
        made: dict[int, int] = {}  # slot index -> index of the event that it started
        slapped = self.in_force.slap
        for index, placed in enumerate(slots):
            while chords and chords[0][0] <= placed.onset:
                self.in_force = chords.pop(0)[1]
            while slap and slap[0][0] <= placed.onset:
                slapped = slap.pop(0)[1]
            if placed.slot is None:
                self._todo(placed)
            elif isinstance(placed.slot, Hold):
                self._hold(placed)
            elif isinstance(placed.slot, Silence):
                self._silence(placed.onset, placed.length, placed.span)
            elif placed.again is not None and placed.again in made:
                made[index] = len(self.events)
                self._repeat(self.events[made[placed.again]], placed)
            else:
                try:
                    event = self._strike(placed, placed.slot, slapped)
                except Unplayable as fault:
                    self._say(fault.diagnostic)
                    self._silence(placed.onset, placed.length, placed.span)
                    continue
                made[index] = len(self.events)
                self.events.append(event)
        return tuple(self.events)

    def _say(self, fault: Diagnostic) -> None:
        """Keep a fault, unless one cause has been told for this bar already."""
        if fault.code not in ONCE_A_BAR or all(f.code != fault.code for f in self.faults):
            self.faults.append(fault)

    # --- slots ---------------------------------------------------------------------------------------------

    def _extend(self, length: Fraction, span: Span) -> None:
        last = self.events[-1]
        self.events[-1] = replace(last, length=last.length + length, span=last.span.cover(span))

    def _silence(self, onset: Fraction, length: Fraction, span: Span) -> None:
        if self.events and not self.events[-1].heads and not self.events[-1].todo:
            self._extend(length, span)
        else:
            self.events.append(Event(onset, length, (), (), "", (), False, False, span))

    def _todo(self, placed: PlacedSlot) -> None:
        if self.events and self.events[-1].todo:
            self._extend(placed.length, placed.span)
        else:
            self.events.append(Event(placed.onset, placed.length, (), (), "", (), False, True, placed.span))

    def _hold(self, placed: PlacedSlot) -> None:
        if self.events:
            last = self.events[-1]
            # The span of a note stays at its own slot: a `/` may repeat it with another length.
            self.events[-1] = replace(last, length=last.length + placed.length)
        elif self.entry is None:
            self.faults.append(
                Diagnostic(
                    "hold-nothing",
                    "error",
                    placed.span,
                    "this `-` holds nothing: no bar stands before it",
                    (Hint("write `.` for silence", ".", placed.span),),
                )
            )
            self._silence(placed.onset, placed.length, placed.span)
        elif self.entry.heads:
            heads = tuple(replace(h, span=placed.span) for h in self.entry.heads)
            self.events.append(
                Event(placed.onset, placed.length, heads, (), "", (), True, False, placed.span)
            )
        else:
            self._silence(placed.onset, placed.length, placed.span)

    def _repeat(self, old: Event, placed: PlacedSlot) -> None:
        self.events.append(
            replace(
                old,
                onset=placed.onset,
                length=placed.length,
                held=False,
                heads=tuple(replace(h, span=placed.span) for h in old.heads),
                graces=tuple(
                    GraceNote(replace(g.head, span=placed.span), g.connector, placed.span) for g in old.graces
                ),
                span=placed.span,
            )
        )
        self._move_contour(old.heads[0], isinstance(placed.slot, Strike) and _by_fret(placed.slot))

    def _strike(self, placed: PlacedSlot, slot: Strike, slapped: bool) -> Event:
        before = self.contour
        graces = tuple(GraceNote(self._head(g.tone, before), g.connector, g.span) for g in slot.graces)
        heads: list[Head] = []
        above = before
        for tone in slot.tones:
            head = self._head(tone, above, stacked=bool(heads))
            heads.append(head)
            above = Contour(head.pitch, isinstance(tone.name, Fret))
        marks: tuple[Mark, ...] = slot.marks
        # What is hammered, pulled or slid to is not struck.
        struck = slot.connector in ("", "slur")
        if slapped and struck and not {"thumb", "popped"} & set(marks):
            marks = ("thumb", *marks)
        first = slot.tones[0].name
        if first not in ("dead", "unheard"):
            self._move_contour(heads[0], isinstance(first, Fret))
        if len(heads) > 1:
            heads.sort(key=lambda h: (h.pitch.midi, h.pitch.staff))
        return Event(
            placed.onset,
            placed.length,
            tuple(heads),
            graces,
            slot.connector,
            marks,
            False,
            False,
            slot.span,
        )

    def _move_contour(self, head: Head, from_fret: bool) -> None:
        if head.kind == "note":
            self.contour = Contour(head.pitch, from_fret)
            self.string = head.string

    # --- tones ---------------------------------------------------------------------------------------------

    def _head(self, tone: Tone, contour: Contour, stacked: bool = False) -> Head:
        string = self._string(tone.pin, tone.span) if tone.pin else None
        name = tone.name
        if isinstance(name, Fret):
            return self._fretted(tone, name)
        if name in ("dead", "unheard"):
            assert not isinstance(name, Letter | Degree)
            place = contour.pitch
            if string is not None:
                place = self.in_force.tuning[-string]
            else:
                string = self.string  # where the hand is
            kind = name
            pitch = Pitch(place.letter, 0, place.octave)
            return Head(pitch, kind, tone.ghost, tone.doubtful, tone.meant, string, None, "none", tone.span)
        assert isinstance(name, Letter | Degree)
        way: Way
        if isinstance(name, Letter):
            letter, alter = self._letter(name)
            way = "letter"
        else:
            letter, alter = self._degree(name, tone.span)
            way = "degree"
        if stacked:
            # Each is the next above the one before; a mark lifts it an octave more.
            pitch = Contour(contour.pitch).reach(letter, alter, 1 + max(tone.contour, 0))
        else:
            pitch = contour.reach(letter, alter, tone.contour)
        if not 0 <= pitch.midi <= 127:
            raise Unplayable(
                "out-of-range",
                tone.span,
                f"`{pitch}` lies outside what can be written and heard (MIDI 0 to 127)",
                Hint("take away some of the octave marks"),
            )
        fret = None
        if string is not None:
            fret = self._fret_on(pitch, string, tone)
        return Head(pitch, "note", tone.ghost, tone.doubtful, tone.meant, string, fret, way, tone.span)

    def _letter(self, name: Letter) -> tuple[str, int]:
        if name.accidental or name.exact:
            return name.letter, TYPED_ALTER[name.accidental]
        return name.letter, self.in_force.key.alteration(name.letter)

    def _degree(self, name: Degree, span: Span) -> tuple[str, int]:
        if self.in_force.degrees == "key":
            letter, alter = self.in_force.key.degree(name.number, name.alter)
        else:
            chord = self.in_force.chord
            if chord is None or chord.root is None:
                raise Unplayable(
                    "degree-no-chord",
                    span,
                    "a degree of the chord, but no chord is in force here",
                    Hint("write a chord symbol before it, such as `@Cm7`, or `degrees key` above"),
                )
            root, root_alter = chord.root
            letter, alter = degree_of(FIFTHS[LETTERS.index(root)] + 7 * root_alter, name.number, name.alter)
        if abs(alter) > 2:
            typed = ACCIDENTAL[name.alter] + str(name.number)
            raise Unplayable(
                "triple-accidental",
                span,
                f"degree `{typed}` would be {letter} with {abs(alter)} {'sharps' if alter > 0 else 'flats'} here",
                Hint("name the pitch by a letter"),
            )
        return letter, alter

    def _string(self, typed: str, span: Span) -> int:
        if not self.in_force.instrument.fretted:
            raise Unplayable(
                "no-strings",
                span,
                f"`{self.in_force.instrument.name}` has no strings to name",
                Hint("name the pitch by a letter or a degree"),
            )
        string = string_of(self.in_force.tuning, typed)
        if string is None:
            names = " ".join(p.name for p in self.in_force.tuning)
            raise Unplayable(
                "no-such-string",
                span,
                f"no string `{typed}`, expected one of {names}",
                Hint(f"for another tuning write a line such as `strings {names}`"),
            )
        return string

    def _fretted(self, tone: Tone, name: Fret) -> Head:
        string = self._string(name.string, tone.span)
        if name.fret > FRETS:
            raise Unplayable(
                "off-fretboard",
                tone.span,
                f"fret {name.fret} is off the fretboard, which ends at {FRETS}",
                *self._other_places(string, name, tone.span),
            )
        pitch = name_pitch(self.in_force.tuning[-string].midi + name.fret, self.in_force)
        return Head(
            pitch, "note", tone.ghost, tone.doubtful, tone.meant, string, name.fret, "fret", tone.span
        )

    def _other_places(self, string: int, name: Fret, span: Span) -> list[Hint]:
        tuning = self.in_force.tuning
        found = places(tuning[-string].midi + name.fret, tuning)
        if not found:
            return [Hint("no string of this tuning has that pitch")]
        text = f"{string_name(tuning, found[0][0])}:{found[0][1]}"
        return [Hint(f"the same pitch is at `{text}`", text, span)]

    def _fret_on(self, pitch: Pitch, string: int, tone: Tone) -> int:
        fret = pitch.midi - self.in_force.tuning[-string].midi
        if 0 <= fret <= FRETS:
            return fret
        where = f"{-fret} semitones below the open string" if fret < 0 else f"fret {fret}"
        raise Unplayable(
            "off-fretboard",
            tone.span,
            f"`{pitch}` is not on the `{tone.pin}` string: {where}, expected fret 0 to {FRETS}",
            Hint("take the pin away, choose another string, or move the octave with `^` or `v`"),
        )


def _by_fret(slot: Strike) -> bool:
    return isinstance(slot.tones[0].name, Fret)

"""The notes of one bar as MEI: heads, stacks, rests, beams, tuplets, grace notes, marks that Verovio can draw.

A pure function of the bar and of what the bar before leaves behind, remembered for as long as the bar's stages
remember theirs. What leads from note to note (slurs, ties, slides) comes back as links, since it may cross the bar;
what we draw ourselves beside a note comes back as signs.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, NamedTuple

from scribe.engrave.mei.accidentals import SIGN, Accidentals, Altered
from scribe.engrave.mei.transpose import written_pitch
from scribe.engrave.mei.values import dur
from scribe.music.events import Event, GraceNote, Head
from scribe.music.inforce import InForce
from scribe.music.instrument import written_key
from scribe.music.piece import Bar
from scribe.music.pitch import Pitch
from scribe.music.written import Tuplet, Written
from scribe.source.tree import Mark

DOUBT = "#b3400e"  # of doubtful and unheard notes; never the only sign of them

LinkKind = Literal["tie", "slur", "hammer", "pull", "slide up", "slide down"]
SignKind = Literal["doubt", "fall", "thumb", "popped", "vibrato", "bent", "todo", "grace"]

SOUNDING = SIGN | {2: "ss"}  # MEI has two names for a double sharp: printed `x`, sounding `ss`
_ARTICULATIONS: dict[Mark, str] = {"accent": "acc", "staccato": "stacc", "tenuto": "ten", "harmonic": "harm"}
_SIGNS: dict[Mark, SignKind] = {
    "fall": "fall",
    "thumb": "thumb",
    "popped": "popped",
    "vibrato": "vibrato",
    "bent": "bent",
}


class NoteRef(NamedTuple):
    """A head on the page: its id and its sounding pitch."""

    id: str
    pitch: Pitch


class Link(NamedTuple):
    """How one note leads to the next.

    `start`: ids of the heads before, lowest first; empty after a silence; None where it is the last note of the bar
    before.
    """

    kind: LinkKind
    start: tuple[str, ...] | None
    end: tuple[str, ...]


class Sign(NamedTuple):
    """A sign that we draw at a head, a rest or a stretch; `until` is the head that it reaches to (else ``)."""

    kind: SignKind
    id: str
    until: str = ""


class TupletSign(NamedTuple):
    """A tuplet's number and bracket, which we draw: only so do they keep clear of the letters at its notes.

    `ids`: of its heads and rests; `depth` 0 for the outermost.
    """

    ids: tuple[str, ...]
    number: int
    bracket: bool
    depth: int


class TabNote(NamedTuple):
    """What the tablature shows of a head."""

    id: str
    string: int
    fret: int
    kind: Literal["note", "dead", "unheard"]
    ghost: bool
    doubtful: bool
    tied: bool
    grace: bool


@dataclass(frozen=True, slots=True)
class BarNotes:
    """A bar's notes as MEI.

    `layer` is the content of its first layer. `at` tells the id of what starts at each onset. `first` and `last`:
    the heads of the first event if it starts the bar, and of the last one if it reaches its end; empty for silence.
    `fermatas`: ids of the notes and rests that are held.
    """

    layer: str
    at: tuple[tuple[Fraction, str], ...]
    links: tuple[Link, ...]
    signs: tuple[Sign, ...]
    tab: tuple[TabNote, ...]
    tuplets: tuple[TupletSign, ...]
    fermatas: tuple[str, ...]
    first: tuple[NoteRef, ...]
    last: tuple[NoteRef, ...]
    altered: Altered


def write_notes(bar: Bar, before: Altered) -> BarNotes:
    """Return the notes of a bar that shows notes (not a repeat sign, a row of rests or a bar to do)."""
    return _Writer(bar, before).write()


class _Writer:
    def __init__(self, bar: Bar, before: Altered) -> None:
        self.bar = bar
        self.force: InForce = bar.in_force
        self.accidentals = Accidentals(written_key(self.force.key, self.force.instrument), before)
        self.used: set[str] = set()
        self.at: list[tuple[Fraction, str]] = []
        self.links: list[Link] = []
        self.signs: list[Sign] = []
        self.tab: list[TabNote] = []
        self.fermatas: list[str] = []
        self.out: list[str] = []
        self.first: tuple[NoteRef, ...] = ()
        self.last: tuple[NoteRef, ...] | None = None  # None: nothing yet in this bar

    def write(self) -> BarNotes:
        written = self.bar.written
        notes = written.notes
        opens, closes = _groups(notes, written.tuplets)
        last_of = {note.event: index for index, note in enumerate(notes)}
        events = self.bar.music.events
        for index, note in enumerate(notes):
            event = events[note.event]
            is_first = index == 0 or notes[index - 1].event != note.event
            if is_first and event.graces:
                # Before the beam and the tuplet that begin here: inside, Verovio would beam them to the notes.
                inside = note.beam is not None and index not in opens
                self._graces(event.graces, beamed=len(event.graces) > 1 and not inside)
            self.out.extend(opens.get(index, ()))
            is_last = last_of[note.event] == index
            if event.heads:
                self._strike(event, note, is_first, is_last)
            else:
                self._rest(event, note, is_first)
            self.out.extend(closes.get(index, ()))
        return BarNotes(
            "".join(self.out),
            tuple(self.at),
            tuple(self.links),
            tuple(self.signs),
            tuple(self.tab),
            tuple(_tuplet_signs(notes, written.tuplets, [id for _, id in self.at])),
            tuple(self.fermatas),
            self.first,
            self.last or (),
            self.accidentals.left,
        )

    # --- silences ---------------------------------------------------------------------------------------------

    def _rest(self, event: Event, note: Written, is_first: bool) -> None:
        # A stretch to do is written as a rest too, so that Verovio gives it its place; its ink is left out later.
        id = self._id(f"r{event.span.start}")
        if note.measure_rest:
            self.out.append(f'<mRest xml:id="{id}"/>')
        else:
            kind = ' type="todo"' if event.todo else ""
            self.out.append(f'<rest xml:id="{id}" {dur(note.value, note.dots)}{kind}/>')
            self.at.append((note.onset, id))
        if event.todo:
            self.signs.append(Sign("todo", id))
        if is_first:
            if "held" in event.marks:
                self.fermatas.append(id)
            self.last = ()

    # --- notes ------------------------------------------------------------------------------------------------

    def _strike(self, event: Event, note: Written, is_first: bool, is_last: bool) -> None:
        ids = [self._id(str(head.span.start)) for head in event.heads]
        tied_in = (is_first and event.held) or not is_first
        marks = _artic(event) if is_first else ""
        if len(event.heads) == 1:
            self.out.append(self._note(event.heads[0], ids[0], dur(note.value, note.dots) + marks, tied_in))
        else:
            inner = "".join(
                self._note(head, id, "", tied_in) for head, id in zip(event.heads, ids, strict=True)
            )
            chord = self._id(f"s{event.span.start}")
            self.out.append(f'<chord xml:id="{chord}" {dur(note.value, note.dots)}{marks}>{inner}</chord>')
        self.at.append((note.onset, ids[0]))
        refs = tuple(NoteRef(id, head.pitch) for id, head in zip(ids, event.heads, strict=True))
        if not is_first:
            assert self.last is not None
            self._tie(self.last, refs)
        elif event.held:
            self.links.append(Link("tie", None, tuple(ids)))
        elif event.connector:
            self._link(event.connector, tuple(ids))
        if is_first:
            self._signs(event, ids)
            if note.onset == 0:
                self.first = refs
        elif "vibrato" in event.marks:
            self.signs = [
                sign._replace(until=ids[0]) if sign.kind == "vibrato" and sign is self._vibrato else sign
                for sign in self.signs
            ]
        if is_last and "held" in event.marks:
            self.fermatas.append(ids[-1])
        if is_last and "fall" in event.marks:
            self.signs.extend(Sign("fall", id) for id in ids)
        self._tab(event.heads, ids, tied_in, grace=False)
        self.last = refs

    def _note(self, head: Head, id: str, attributes: str, tied: bool) -> str:
        pitch = written_pitch(head.pitch, self.force.instrument, self.force.key)
        accid = ""
        if head.kind == "note":
            sign = None if tied else self.accidentals.sign(pitch)
            if sign:
                accid = f' accid="{sign}"'
            elif pitch.alter in SIGN and pitch.alter:
                accid = f' accid.ges="{SOUNDING[pitch.alter]}"'
        look = ""
        if head.kind == "dead":
            look = ' head.shape="x"'
        elif head.kind == "unheard":
            look = ' head.shape="slash"'
        if head.ghost:
            look += ' head.mod="paren"'
        if head.doubtful or head.kind == "unheard":
            look += f' color="{DOUBT}"'
        if head.string is not None:
            look += f' tab.string="{head.string}"' + ("" if head.fret is None else f' tab.fret="{head.fret}"')
        space = " " if attributes else ""
        return (
            f'<note xml:id="{id}"{space}{attributes} pname="{pitch.letter.lower()}" oct="{pitch.octave}"'
            f"{accid}{look}/>"
        )

    def _graces(self, graces: tuple[GraceNote, ...], *, beamed: bool) -> None:
        if beamed:
            self.out.append('<graceGrp grace="acc"><beam>')
        for grace in graces:
            self._grace(grace, len(graces) > 1)
        if beamed:
            self.out.append("</beam></graceGrp>")

    def _grace(self, grace: GraceNote, several: bool) -> None:
        id = self._id(f"g{grace.head.span.start}")
        value = "16" if several else "8"
        if grace.connector:
            self._link(grace.connector, (id,))
        attributes = f'dur="{value}" grace="acc" stem.dir="up"'
        self.out.append(self._note(grace.head, id, attributes, tied=False))
        if not several:
            self.signs.append(Sign("grace", id))
        if grace.head.doubtful:
            self.signs.append(Sign("doubt", id))
        self._tab((grace.head,), [id], False, grace=True)
        self.last = (NoteRef(id, grace.head.pitch),)

    def _signs(self, event: Event, ids: list[str]) -> None:
        for head, id in zip(event.heads, ids, strict=True):
            if head.doubtful and not event.held:  # a held note was doubted where it began
                self.signs.append(Sign("doubt", id))
                break  # one question mark a stack; the colour tells which head
        for mark in event.marks:
            if mark in _SIGNS and mark != "fall":
                self.signs.append(Sign(_SIGNS[mark], ids[-1]))
                if mark == "vibrato":
                    self._vibrato = self.signs[-1]

    _vibrato: Sign | None = None

    def _tab(self, heads: tuple[Head, ...], ids: list[str], tied: bool, grace: bool) -> None:
        for head, id in zip(heads, ids, strict=True):
            if head.string is not None and (head.fret is not None or head.kind != "note"):
                fret = head.fret or 0
                self.tab.append(
                    TabNote(id, head.string, fret, head.kind, head.ghost, head.doubtful, tied, grace)
                )

    # --- links ------------------------------------------------------------------------------------------------

    def _link(self, kind: LinkKind, end: tuple[str, ...]) -> None:
        start = None if self.last is None else tuple(ref.id for ref in self.last)
        self.links.append(Link(kind, start, end))

    def _tie(self, before: tuple[NoteRef, ...], after: tuple[NoteRef, ...]) -> None:
        for one, two in zip(before, after, strict=True):
            self.links.append(Link("tie", (one.id,), (two.id,)))

    def _id(self, place: str) -> str:
        """An id made from the bar's id and the place in its text; told apart where the text is played again."""
        id, count = f"{self.bar.id}-{place}", 1
        while id in self.used:
            count += 1
            id = f"{self.bar.id}-{place}.{count}"
        self.used.add(id)
        return id


def _artic(event: Event) -> str:
    names = [_ARTICULATIONS[mark] for mark in event.marks if mark in _ARTICULATIONS]
    return f' artic="{" ".join(names)}"' if names else ""


# --- beams and tuplets ------------------------------------------------------------------------------------------


class _Group(NamedTuple):
    start: int
    end: int  # inclusive
    rank: int  # of groups over the same notes, the lower rank stands outside
    tag: str
    open: str


def _groups(
    notes: tuple[Written, ...], tuplets: tuple[Tuplet, ...]
) -> tuple[dict[int, list[str]], dict[int, list[str]]]:
    """Return the tags to open before and to close after each written note: tuplets round beams where equal."""
    groups = sorted(
        [*_tuplet_groups(notes, tuplets), *_beam_groups(notes)], key=lambda g: (g.start, -g.end, g.rank)
    )
    opens: dict[int, list[str]] = {}
    closes: dict[int, list[str]] = {}
    for group in groups:
        opens.setdefault(group.start, []).append(group.open)
        closes.setdefault(group.end, []).insert(0, f"</{group.tag}>")
    return opens, closes


def _beam_groups(notes: tuple[Written, ...]) -> Iterator[_Group]:
    spans: dict[int, tuple[int, int]] = {}
    for index, note in enumerate(notes):
        if note.beam is not None:
            start, _ = spans.get(note.beam, (index, index))
            spans[note.beam] = (start, index)
    for start, end in spans.values():
        if start != end:
            yield _Group(start, end, 100, "beam", "<beam>")


def _tuplet_groups(notes: tuple[Written, ...], tuplets: tuple[Tuplet, ...]) -> Iterator[_Group]:
    for number, (start, end) in _tuplet_spans(notes, tuplets).items():
        tuplet = tuplets[number]
        shown = "true" if tuplet.bracket else "false"
        tag = f'<tuplet num="{tuplet.actual}" numbase="{tuplet.normal}" bracket.visible="{shown}">'
        yield _Group(start, end, _depth(tuplets, number), "tuplet", tag)


def _tuplet_signs(
    notes: tuple[Written, ...], tuplets: tuple[Tuplet, ...], ids: list[str]
) -> Iterator[TupletSign]:
    for number, (start, end) in _tuplet_spans(notes, tuplets).items():
        tuplet = tuplets[number]
        yield TupletSign(tuple(ids[start : end + 1]), tuplet.actual, tuplet.bracket, _depth(tuplets, number))


def _tuplet_spans(notes: tuple[Written, ...], tuplets: tuple[Tuplet, ...]) -> dict[int, tuple[int, int]]:
    """The first and last written note of each tuplet."""
    spans: dict[int, tuple[int, int]] = {}
    for index, note in enumerate(notes):
        inner = note.tuplet
        while inner is not None:
            start, _ = spans.get(inner, (index, index))
            spans[inner] = (start, index)
            inner = tuplets[inner].parent
    return spans


def _depth(tuplets: tuple[Tuplet, ...], number: int) -> int:
    depth, parent = 0, tuplets[number].parent
    while parent is not None:
        depth, parent = depth + 1, tuplets[parent].parent
    return depth

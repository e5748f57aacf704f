"""An arrangement's notes as they are typed: names, octave marks and strings, and the home they are measured from."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from scribe.bass.arrange import Arrangement, heads_of
from scribe.bass.grips import Stop
from scribe.bass.rewrite import Edit, parts
from scribe.diagnostics import Span
from scribe.music.events import Head
from scribe.music.interval import move_key
from scribe.music.key import Key
from scribe.music.piece import Bar, Piece
from scribe.music.pitch import Pitch, at_staff
from scribe.music.resolve import Contour
from scribe.music.tuning import Tuning, pin_text

_PREFIX = re.compile(r"([~hp/\\^vq]*)([,(]\(?)\Z")
_HOMES = [at_staff(staff) for staff in range(8, 26)]  # D1 to G3
_HOME_GAIN = 0.75  # another home is worth its line if it saves a quarter of the octave marks


@dataclass(slots=True)
class _Token:
    """One note as it will be typed. `text` is filled in by the bar's walk; `after` are its signs."""

    span: Span
    before: str
    name: str
    pin: str
    after: str
    natural: bool  # a capital without a sign: a `b` right behind it would be read as its flat
    string: int | None = None  # to be pinned

    @property
    def text(self) -> str:
        return self.before + self.name + self.pin + self.after


class Typist:
    """Types the notes of an arrangement, one bar of the source after the other.

    `moments` are the numbers of a bar's notes in the arrangement's line; `home` is where the octave of each bar's
    first note is measured from: the usual A1, unless another natural saves many octave marks.
    """

    def __init__(self, piece: Piece, made: Arrangement, pins: bool) -> None:
        self.piece, self.made, self.pins = piece, made, pins
        self.moments: dict[int, list[int]] = {}
        for i, place in enumerate(made.line.places):
            self.moments.setdefault(place.bar, []).append(i)
        self.home = self._home()

    def notes(self, index: int) -> list[Edit]:
        """Return what changes in a bar's text, so that its notes are those of the arrangement."""
        bar = self.piece.bars[index]
        tokens, gone = self._tokens(index)
        apart = _kept_apart(tokens, gone, bar.text, self.made.neck.tuning)
        return [Edit(token.span, token.text) for token in apart] + gone

    def _tokens(self, index: int) -> tuple[list[_Token], list[Edit]]:
        """Every note of a bar as it will be typed, and the deletions around them."""
        bar = self.piece.bars[index]
        key = move_key(bar.in_force.key, self.made.interval)
        contour = Contour(self.home)
        tokens: list[_Token] = []
        gone: list[Edit] = []
        moments = {
            (self.made.line.places[i].event, self.made.line.places[i].grace): i
            for i in self.moments.get(index, [])
        }
        for number, event in enumerate(bar.events):
            if event.held or not event.heads:
                continue
            for g in range(len(event.graces)):
                i = moments.get((number, g))
                if i is not None:
                    self._strike(bar, i, contour, key, tokens, gone)
            i = moments.get((number, -1))
            if i is None:
                tokens += self._loose(bar, event.heads)
                continue
            first = self._strike(bar, i, contour, key, tokens, gone)
            if first is not None:
                contour = Contour(first)
        return tokens, gone

    def _loose(self, bar: Bar, heads: Sequence[Head]) -> list[_Token]:
        """Dead and unheard notes keep their text but for a string that the source named."""
        found = []
        for head in heads:
            typed = parts(bar.text[head.span.start : head.span.end])
            if typed and typed[2]:
                found.append(_Token(head.span, typed[0], typed[1], "", typed[3], False))
        return found

    def _strike(
        self, bar: Bar, i: int, contour: Contour, key: Key, tokens: list[_Token], gone: list[Edit]
    ) -> Pitch | None:
        """Type the notes of one moment; returns the pitch that the contour goes on from."""
        note, heads = self.made.notes[i], heads_of(self.made.source, self.made.line, i)
        kept = sorted((heads[k] for k in note.kept), key=lambda head: head.span)
        pitches = [head.pitch.octaves(note.octaves) for head in kept if head.kind == "note"]
        # By letters each note of a stack is above the one before; places may have been typed in any order.
        if any(b.staff <= a.staff for a, b in pairwise(pitches)):
            pitches.sort(key=lambda pitch: pitch.staff)
        typed_first = min(head.span.start for head in kept) if kept else 0
        for k, head in enumerate(heads):
            if k not in note.kept and parts(bar.text[head.span.start : head.span.end]) is not None:
                gone.append(_without(bar.text, head.span, leading=head.span.start < typed_first))
        stops: dict[int, Stop] = {}
        if note.grip is not None:
            for k, stop in zip(note.kept, note.grip.stops, strict=True):
                stops[(heads[k].pitch.midi + 12 * note.octaves)] = stop
        strike = bar.events[self.made.line.places[i].event].span.start
        above: Contour | None = None
        first: Pitch | None = None
        for head in kept:
            if head.kind != "note":
                tokens += self._loose(bar, [head])
                continue
            pitch = pitches.pop(0)
            typed = parts(bar.text[head.span.start : head.span.end])
            if typed is not None:
                marks = _marks(above or contour, pitch, stacked=above is not None)
                under = stops.get(pitch.midi)
                tokens.append(self._token(bar, head.span, strike, typed, pitch, marks, key, under, gone))
            above = Contour(pitch)
            first = first or pitch
        return first

    def _token(
        self,
        bar: Bar,
        span: Span,
        strike: int,
        typed: tuple[str, str, str, str],
        pitch: Pitch,
        marks: int,
        key: Key,
        stop: Stop | None,
        gone: list[Edit],
    ) -> _Token:
        before = typed[0]
        connectors = "".join(c for c in before if c in "~hp/\\")
        ghost = "q" if "q" in before else ""
        sign = ("^" if marks > 0 else "v") * abs(marks)
        outside = _PREFIX.search(bar.text, strike, span.start)
        if outside and set(outside[1]) & set("^v"):
            plain = outside[1].replace("^", "").replace("v", "")
            gone.append(Edit(Span(outside.start(), outside.end()), plain + outside[2]))
        name, natural = _name(pitch, key)
        string = stop.string if self.pins and stop is not None and stop.fret is not None else None
        behind = re.match(r"\)(:(?:[A-G][#b]?|[a-g]#?))", bar.text[span.end :])
        if behind:  # a string typed behind the parenthesis
            start = span.end + 1
            gone.append(Edit(Span(start, start + len(behind[1])), ""))
        after = typed[3].replace("=", "")
        return _Token(span, connectors + sign + ghost, name, "", after, natural, string)

    def _home(self) -> Pitch:
        """Where to measure from: the usual A1 unless another natural saves many octave marks."""
        firsts = []
        for row in self.moments.values():
            for i in row:
                pitches = [h.pitch for h in heads_of(self.made.source, self.made.line, i) if h.kind == "note"]
                if pitches:
                    firsts.append(pitches[0].octaves(self.made.notes[i].octaves))
                    break

        def marks(home: Pitch) -> int:
            return sum(abs(_marks(Contour(home), pitch, stacked=False)) for pitch in firsts)

        usual = Pitch("A", 0, 1)
        best = min(_HOMES, key=lambda home: (marks(home), abs(home.staff - usual.staff)))
        return best if marks(best) < _HOME_GAIN * marks(usual) else usual


def _name(pitch: Pitch, key: Key) -> tuple[str, bool]:
    """How a pitch is typed, and whether a `b` right behind it would be read as part of it."""
    if key.alteration(pitch.letter) == pitch.alter:
        return pitch.letter.lower(), False
    if pitch.alter > 0:
        return pitch.letter.lower() + "#" * pitch.alter, False
    if pitch.alter < 0:
        return pitch.letter + ("b" if pitch.alter == -1 else "w"), False
    return pitch.letter, True


def _marks(contour: Contour, pitch: Pitch, stacked: bool) -> int:
    """How many `^` (positive) or `v` lead from where the contour stands to a pitch."""
    if stacked:
        first = contour.reach(pitch.letter, pitch.alter, 1)
        return max(0, (pitch.staff - first.staff) // 7)
    if contour.reach(pitch.letter, pitch.alter, 0) == pitch:
        return 0
    direction = 1 if pitch.staff > contour.pitch.staff else -1
    first = contour.reach(pitch.letter, pitch.alter, direction)
    return direction * (1 + abs(pitch.staff - first.staff) // 7)


def _kept_apart(tokens: Sequence[_Token], gone: Sequence[Edit], text: str, tuning: Tuning) -> list[_Token]:
    """Type the strings, and a natural's sign where a `b` follows it, so that no note is read into the one before."""
    done = sorted(tokens, key=lambda token: token.span, reverse=True)
    starts = {token.span.start: token for token in done}
    left_out = {edit.span.start: edit.span.end for edit in gone if not edit.text}
    for token in done:  # from the last one back: what follows is settled
        at = token.span.end
        while at in left_out:
            at = left_out[at]
        follows = token.after or (starts[at].text if at in starts else text[at : at + 1])
        if token.string is not None:
            token.pin = pin_text(tuning, token.string, follows[:1])
        elif token.natural and follows[:1] == "b":
            token.name += "n"
    return done


def _without(text: str, span: Span, leading: bool) -> Edit:
    """The deletion of one note of a stack together with the `+` behind it (`leading`) or before it."""
    start, end = span
    while start > 0 and text[start - 1] == "(" and text[end : end + 1] == ")":
        start, end = start - 1, end + 1
    if leading:
        end += text[end : end + 1] == "+"
    else:
        start -= start > 0 and text[start - 1] == "+"
    return Edit(Span(start, end), "")

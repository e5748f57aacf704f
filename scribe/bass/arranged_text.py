"""An arrangement as a draft: the source's text with its pitches, octave marks and head lines changed, and no more.

Rhythm, marks, chords, words, sections and comments stay as they were typed. Changes of octave and notes left out are
said on the page (a word above the staff) and in comments at the ends of their lines.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from scribe.bass.arrange import Arrangement, heads_of
from scribe.bass.grips import Stop
from scribe.bass.rewrite import Edit, apply, first_bars, parts
from scribe.bass.words import bar_name, beat_name, octaves_name, where
from scribe.diagnostics import Span
from scribe.music.chord import move_chord_text
from scribe.music.events import Head
from scribe.music.interval import UNISON, move_key
from scribe.music.key import Key, parse_key
from scribe.music.piece import Bar, Piece
from scribe.music.pitch import Pitch, at_staff
from scribe.music.resolve import Contour
from scribe.music.settings import parse_use
from scribe.music.tuning import STANDARD, Tuning, pin_text, show_tuning
from scribe.source.tree import Directive, Draft, Music

_PREFIX = re.compile(r"([~hp/\\^vq]*)([,(]\(?)\Z")
_HOMES = [at_staff(staff) for staff in range(8, 26)]  # D1 to G3
_BARLINES = {"single": "|", "double": "||", "repeat end": ":|", "repeat both": ":|:", "final": "|"}
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


def arranged_text(text: str, draft: Draft, piece: Piece, made: Arrangement, pins: bool = False) -> str:
    """Return the draft of an arrangement. `draft` and `piece` are those of `text`; `pins` types the strings too."""
    return _Writer(text, draft, piece, made, pins).run()


def differences(written: Piece, made: Arrangement) -> list[str]:
    """Return where a compiled draft does not sound as arranged: a hold or a repeat that met another octave."""
    found = []
    for i, (place, note) in enumerate(zip(made.line.places, made.notes, strict=True)):
        wanted = sorted(
            h.pitch.midi + 12 * note.octaves
            for k, h in enumerate(heads_of(made.source, made.line, i))
            if k in note.kept and h.kind == "note"
        )
        bar = written.bars[place.bar] if place.bar < len(written.bars) else None
        event = bar.events[place.event] if bar is not None and place.event < len(bar.events) else None
        heads = event.heads if event is not None else ()
        if event is not None and place.grace >= 0:
            heads = tuple(g.head for g in event.graces[place.grace : place.grace + 1])
        if sorted(h.pitch.midi for h in heads if h.kind == "note") != wanted:
            found.append(where(made.source.bars[place.bar], place.event))
    return found


class _Writer:
    """Walks through the lines and bars of the source once."""

    def __init__(self, text: str, draft: Draft, piece: Piece, made: Arrangement, pins: bool) -> None:
        self.text, self.draft, self.piece, self.made, self.pins = text, draft, piece, made, pins
        self.by_bar: dict[int, list[int]] = {}
        for i, place in enumerate(made.line.places):
            self.by_bar.setdefault(place.bar, []).append(i)
        self.moved = made.interval != UNISON
        self.home = self._home()

    def run(self) -> str:
        own = set(first_bars(self.piece))
        edits = [
            Edit(bar.span, self._bar(index)) for index, bar in enumerate(self.piece.bars) if index in own
        ]
        pointer = 0
        for line in self.draft.lines:
            bars: list[int] = []
            if isinstance(line, Music):
                for _ in line.cells:
                    count = (
                        2 if pointer < len(self.piece.bars) and self.piece.bars[pointer].repeat == 2 else 1
                    )
                    bars += range(pointer, pointer + count)
                    pointer += count
            elif line.name == "rest":
                pointer += self._rests_at(pointer, line)
            elif line.name == "use":
                start = pointer
                while pointer < len(self.piece.bars) and self.piece.bars[pointer].offset < line.span.start:
                    pointer += 1
                use = parse_use(line.text)
                if use is not None and use.interval is not None:
                    bars = list(range(start, pointer))
                    edits.append(Edit(line.span, self._written_out(bars)))
            else:
                edits += self._directive(line)
            remarks = [r for bar in bars for r in self._remarks(bar)]
            if remarks:
                edits.append(_at_line_end(self.text, line.span.end, "  ; " + "; ".join(remarks)))
        return self._head() + apply(self.text, edits)

    def _rests_at(self, pointer: int, line: Directive) -> int:
        return int(pointer < len(self.piece.bars) and self.piece.bars[pointer].offset == line.span.start)

    # --- lines -----------------------------------------------------------------------------------------------

    def _head(self) -> str:
        """What must stand above everything: where it comes from, the strings and the home if they are not usual."""
        names = list(dict.fromkeys(bar.in_force.instrument.name for bar in self.piece.bars))
        rows = [f"; arranged for the bass from the part of the {', '.join(names)}" if names else ""]
        typed = {line.name for line in self.draft.lines if isinstance(line, Directive)}
        if "instrument" not in typed:
            rows += self._neck_lines()
        if self.made.neck.kind == "double" and "instrument" not in typed:
            rows.append("instrument double bass")
        if self.moved and "key" not in typed:
            rows.append(f"key {move_key(Key('C', 0, 'major'), self.made.interval)}")
        return "".join(f"{row}\n" for row in rows if row)

    def _neck_lines(self) -> list[str]:
        """The strings and the home, if they are not usual and the source does not name its own."""
        typed = {line.name for line in self.draft.lines if isinstance(line, Directive)}
        rows = []
        if self.made.neck.tuning != STANDARD and "strings" not in typed:
            rows.append(f"strings {show_tuning(self.made.neck.tuning)}")
        if self.home != Pitch("A", 0, 1) and "home" not in typed:
            rows.append(f"home {self.home}")
        return rows

    def _directive(self, line: Directive) -> list[Edit]:
        if line.name == "instrument":
            kind = Edit(line.value_span, "double bass" if self.made.neck.kind == "double" else "bass")
            first = next(
                one for one in self.draft.lines if isinstance(one, Directive) and one.name == line.name
            )
            rows = [row.partition(" ") for row in self._neck_lines()] if line is first else []
            column = (
                line.value_span.start - line.span.start
            )  # values stand below each other, as they were typed
            under = "".join(f"\n{name + ' ':<{column}}{value}" for name, _, value in rows)
            return [kind, _at_line_end(self.text, line.span.end, under)] if under else [kind]
        if line.name == "strings":
            return [Edit(line.value_span, show_tuning(self.made.neck.tuning))]
        if line.name == "home":
            return [Edit(line.value_span, str(self.home))]
        if line.name == "position":
            return [Edit(line.value_span, "free")]
        if line.name == "key" and self.moved:
            key = parse_key(line.text)
            return [Edit(line.value_span, str(move_key(key, self.made.interval)))] if key else []
        return []

    def _written_out(self, bars: Sequence[int]) -> str:
        """The bars of a transposed `use` as music: their octaves may differ from their source's."""
        rows: list[str] = [""]
        for index in bars:
            bar = self.piece.bars[index]
            if bar.rests:
                rows += [f"rest {bar.rests}", ""]
                continue
            row = rows[-1]
            if bar.left == "repeat start" and not row.endswith(":|:"):
                row = row.removesuffix("|") + "|:"
            row = row or "|"
            body = "%%" if bar.repeat == 2 else self._bar(index).strip()
            if bar.repeat != 2 or bar.repeat_part == 2:
                row += f" {body} {_BARLINES.get(bar.right, '|')}"
            rows[-1] = row
        return "\n".join(row for row in rows if row)

    def _remarks(self, index: int) -> list[str]:
        """What the comment of a line says about one bar."""
        said = []
        bar = self.piece.bars[index]
        for i in self.by_bar.get(index, []):
            event = bar.events[self.made.line.places[i].event]
            at = f"{bar_name(bar.number)}, {beat_name(bar, event.onset)}"
            if i in self.made.folds:
                by = self.made.notes[i].octaves - self.made.notes[i - 1].octaves
                said.append(f"{at}: against the source, {octaves_name(by)} from here")
            if self.made.dropped[i]:
                said.append(f"{at}: without {' '.join(map(str, self.made.dropped[i]))}")
        return said

    # --- one bar ---------------------------------------------------------------------------------------------

    def _bar(self, index: int) -> str:
        """The new text of one bar."""
        bar = self.piece.bars[index]
        tokens, gone = self._tokens(index, self.home)
        edits = [
            Edit(token.span, token.text)
            for token in _kept_apart(tokens, gone, bar.text, self.made.neck.tuning)
        ]
        edits += gone
        edits += self._chords(index)
        for i in self.by_bar.get(index, []):
            if i in self.made.folds:
                by = self.made.notes[i].octaves - self.made.notes[i - 1].octaves
                start = _word_start(bar.text, bar.events[self.made.line.places[i].event].span.start)
                # What was done, in words that nobody takes for an order to play it in another octave.
                far = f" {abs(by)} octaves" if abs(by) > 1 else ""
                edits.append(Edit(Span(start, start), f'"folded {"up" if by > 0 else "down"}{far}" '))
        return apply(bar.text, edits)

    def _chords(self, index: int) -> list[Edit]:
        bar = self.piece.bars[index]
        key = move_key(bar.in_force.key, self.made.interval)
        edits = []
        for placed in bar.music.chords:
            typed = bar.text[placed.span.start : placed.span.end]
            found = re.fullmatch(r"(@(?:\d+:)?)(.*?)(\??)", typed)
            if found is None:
                continue
            name = move_chord_text(placed.name, self.made.interval, key) if self.moved else placed.name
            if name != found[2]:
                edits.append(Edit(placed.span, found[1] + name + found[3]))
        return edits

    def _tokens(self, index: int, home: Pitch) -> tuple[list[_Token], list[Edit]]:
        """Every note of a bar as it will be typed, and the deletions around them."""
        bar = self.piece.bars[index]
        key = move_key(bar.in_force.key, self.made.interval)
        contour = Contour(home)
        tokens: list[_Token] = []
        gone: list[Edit] = []
        moments = {
            (self.made.line.places[i].event, self.made.line.places[i].grace): i
            for i in self.by_bar.get(index, [])
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

    # --- the home ----------------------------------------------------------------------------------------------

    def _home(self) -> Pitch:
        """Where to measure from: the usual A1 unless another natural saves many octave marks."""
        firsts = []
        for row in self.by_bar.values():
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


def _word_start(text: str, at: int) -> int:
    """Where the word that holds a place begins."""
    while at > 0 and text[at - 1] not in " \t{":
        at -= 1
    return at


def _at_line_end(text: str, at: int, addition: str) -> Edit:
    end = text.find("\n", at)
    end = len(text) if end < 0 else end
    if end > at and text[end - 1] == "\r":
        end -= 1
    return Edit(Span(end, end), addition)

"""An arrangement as a draft: the source's text with its pitches, octave marks and head lines changed, and no more.

Rhythm, marks, chords, words, sections and comments stay as they were typed. Changes of octave and notes left out are
said on the page (a word above the staff) and in comments at the ends of their lines.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from scribe.bass.arrange import Arrangement, heads_of
from scribe.bass.arranged_notes import Typist
from scribe.bass.rewrite import Edit, apply, first_bars
from scribe.bass.words import bar_name, beat_name, octaves_name, where
from scribe.diagnostics import Span
from scribe.music.chord import move_chord_text
from scribe.music.interval import UNISON, move_key
from scribe.music.key import Key, parse_key
from scribe.music.piece import Piece
from scribe.music.pitch import Pitch
from scribe.music.settings import parse_use
from scribe.music.tuning import STANDARD, show_tuning
from scribe.source.tree import Directive, Draft, Music

_BARLINES = {"single": "|", "double": "||", "repeat end": ":|", "repeat both": ":|:", "final": "|"}


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
        self.text, self.draft, self.piece, self.made = text, draft, piece, made
        self.typist = Typist(piece, made, pins)
        self.moved = made.interval != UNISON

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
        if self.typist.home != Pitch("A", 0, 1) and "home" not in typed:
            rows.append(f"home {self.typist.home}")
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
            return [Edit(line.value_span, str(self.typist.home))]
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
        for i in self.typist.moments.get(index, []):
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
        edits = self.typist.notes(index) + self._chords(index)
        for i in self.typist.moments.get(index, []):
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

    # --- the home ----------------------------------------------------------------------------------------------


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

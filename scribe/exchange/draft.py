"""A whole draft written from a line: heading, directives, bars in systems, and comments for what cannot be said."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import replace
from typing import NamedTuple

from scribe.exchange.asides import clock
from scribe.exchange.barchoice import BarText, write_bar
from scribe.exchange.barlength import Fitted, fit
from scribe.exchange.comments import Unsaid, comments
from scribe.exchange.home import choose_homes
from scribe.exchange.meant import with_meant
from scribe.exchange.model import Bar, Line
from scribe.exchange.pitchtext import Way
from scribe.exchange.repeats import repeat_sign
from scribe.exchange.values import feel_text, key_text, line_of_text, tempo_text, text_value
from scribe.music.assemble import assemble
from scribe.music.context import Context
from scribe.music.inforce import Entry, Feel
from scribe.music.piece import Piece
from scribe.music.settings import LONGEST_REST
from scribe.music.tuning import STANDARD, show_tuning
from scribe.source.read import read, read_line
from scribe.source.tree import Directive

BARS = 4  # of a system
WIDEST = 100  # signs of a line of music that gets no more bars
NAME = 8  # width of a directive's name at the head of a draft
_BARLINE = re.compile(r" *(:?\|+:?) *")  # nothing else in a line of music holds an upright stroke


class Text(NamedTuple):
    """A draft, and what it does not say (the same stands in its comments)."""

    text: str
    unsaid: tuple[Unsaid, ...]


def write_draft(line: Line, way: Way = "letter") -> Text:
    """Return the draft of a line. Nothing is left out in silence: see `Text.unsaid`.

    It is compiled again: bars that read as if beats had been forgotten are divided by beats, and names that the
    speller doubts are marked as meant, since the source prints them.
    """
    by_beats: set[int] = set()
    for _ in range(3):
        made = _Writer(line, way, by_beats).write()
        piece = assemble(read(made.text))
        hasty = _hasty(piece)
        if hasty <= by_beats:
            break
        by_beats |= hasty
    return made._replace(text=with_meant(made.text, piece))


def with_blanks(text: str) -> str:
    """Return a draft with one blank on either side of every barline and a barline at the end of every line."""
    lines = []
    for line in text.splitlines(keepends=True):
        if line.lstrip()[:1] in ("|", "["):
            indent = line[: len(line) - len(line.lstrip())]
            spread = _BARLINE.sub(r" \1 ", line.strip()).strip()
            line = indent + spread + ("\n" if spread[-1] in "]|:" else " |\n")
        lines.append(line)
    return "".join(lines)


def _hasty(piece: Piece) -> set[int]:
    """The bars, by index in the line, that read as if beats had been forgotten."""
    places = [d.span.start for d in piece.diagnostics if d.code == "forgotten-beats"]
    found: set[int] = set()
    index = 0
    for bar in piece.bars:
        if any(bar.span.start <= place <= bar.span.end for place in places):
            found.add(index)
        index += bar.rests or 1
    return found


def is_rest(bar: Bar) -> bool:
    """Whether a bar may go into a row of rest bars."""
    return (
        len(bar.events) == 1
        and not bar.events[0].heads
        and not bar.events[0].todo
        and bar.length == bar.metre.length
        and not (bar.symbols or bar.signs or bar.tempo or bar.feel or bar.endings or bar.unsaid or bar.left)
    )


def _rests(bars: Sequence[Bar]) -> bool:
    """Whether bars may be one row of rest bars: what directives say may stand before the first."""
    return is_rest(replace(bars[0], tempo=None, feel=None)) and all(map(is_rest, bars[1:]))


def systems(bars: Sequence[Bar]) -> list[list[int]]:
    """Return which bars (by index) stand together on a system: those of the source, else four; sections apart."""
    broken = sum(1 for bar in bars if bar.new_system)
    own = broken and 2 <= len(bars) / (broken + 1) <= BARS * 1.5
    rows: list[list[int]] = []
    silent = [is_rest(bar) for bar in bars]
    in_run = [
        rest and (silent[max(i - 1, 0) : i] == [True] or silent[i + 1 : i + 2] == [True])
        for i, rest in enumerate(silent)
    ]
    for index, bar in enumerate(bars):
        row = rows[-1] if rows else []
        full = bar.new_system if own else sum(1 for i in row if not bars[i].pickup) >= BARS
        goes_on = bool(row) and in_run[index] and in_run[row[-1]]
        over = row and bars[row[-1]].endings and not bar.endings
        if not row or bar.section or over or (not goes_on and (full or in_run[index] != in_run[row[-1]])):
            rows.append([index])
        else:
            row.append(index)
    if (
        len(rows) > 1
        and len(rows[-1]) == 1
        and not (own or bars[rows[-1][0]].section or any(in_run[rows[-2][0] :]))
    ):
        rows[-2:] = [rows[-2] + rows[-1]]  # a last bar alone looks forgotten
    return rows


def lines_of_draft(bars: Sequence[Bar]) -> list[list[int]]:
    """Return the bars (by index) of each line of the draft that they come from, long rests as rows of their own."""
    rows: list[list[int]] = []
    resting = 0  # bars of a long rest that are still to come
    for index, bar in enumerate(bars):
        begins = not resting and bar.rests > 1 and _rests(bars[index : index + bar.rests])
        ended = resting == 0 and bool(rows) and bars[rows[-1][0]].rests == len(rows[-1]) > 1
        resting = bar.rests if begins else resting
        if not rows or begins or (not resting and (bar.new_system or ended)):
            rows.append([index])
        else:
            rows[-1].append(index)
        resting = max(resting - 1, 0)
    return rows


class _Writer:
    def __init__(self, line: Line, way: Way, by_beats: Collection[int] = ()) -> None:
        self.line = line
        self.by_beats = by_beats
        self.way: Way = way
        self.context = Context()
        self.out: list[str] = []
        self.music = ""  # the line of music in hand
        self.notes: list[Unsaid] = []  # for comments that go before it
        self.unsaid: list[Unsaid] = []
        self.entries: list[Entry] = []
        self.fork: int | None = None  # index of the first bar of the first ending
        self.number = 1
        self.head = True
        self.section = ""  # waits for the next line of music
        self.last = 0  # index of the last bar in hand

    def write(self) -> Text:
        bars = self.line.bars
        self.heading()
        lined = self.line.lined
        rows = lines_of_draft(bars) if lined else systems(bars)
        usual = self.context.in_force.home
        homes = choose_homes([[bars[i] for i in row] for row in rows], usual)
        for row, home in zip(rows, [None] * len(rows) if lined else homes, strict=True):
            if home is not None:
                self.directive("home", str(home))
            self.system(row)
        return Text("\n".join(self.out) + "\n", tuple(self.unsaid))

    # --- heading and directives

    def heading(self) -> None:
        line = self.line
        for name, value in (
            ("title", line.title),
            ("composer", line.composer),
            ("player", line.player),
            ("recording", line.recording),
        ):
            if line_of_text(value):
                self.directive(name, line_of_text(value))
        for what in filter(None, map(text_value, line.credits)):
            self.out.append(f"; {what}")
            self.unsaid.append(Unsaid(0, what))
        if line.instrument != self.context.in_force.instrument:
            self.directive("instrument", line.instrument.name)
        if line.tuning is not None and line.tuning != STANDARD:
            self.directive("strings", show_tuning(line.tuning))
        if line.bars:
            self.directive("key", key_text(line.bars[0].key))

    def directive(self, name: str, value: str) -> None:
        """Write a directive line and put it in force."""
        self.flush()
        typed = f"{name:<{NAME}} {value}" if self.head else f"{name} {value}"
        read, faults = read_line(typed)
        assert isinstance(read, Directive), (typed, faults)
        fault = self.context.apply(read)
        assert fault is None, fault
        self.out.append(typed)

    def flush(self) -> None:
        """End the line of music in hand."""
        if not self.music:
            return
        bars = self.line.bars
        following = bars[self.last + 1] if self.last + 1 < len(bars) else None
        self.out += [*comments(self.notes), self.music + _end(bars[self.last], following)]
        self.music, self.notes = "", []

    # --- systems

    def system(self, row: Sequence[int]) -> None:
        bars = self.line.bars
        self.flush()
        if self._is_long_rest(row):
            if bars[row[0]].section:
                self.section = f"[{_section(bars[row[0]].section)}]"
            for name, value in self.needs(bars[row[0]], fit(bars[row[0]], self.context))[0]:
                self.directive(name, value)
            if self.section:
                self.out.append(self.section)
                self.section = ""
            for start in range(0, len(row), LONGEST_REST):
                self.directive("rest", str(min(LONGEST_REST, len(row) - start)))
                self.context.rests = 0
                self.context.after_bar(self.context.next_bar())
            self.number += len(row)
            self.entries += [Entry()] * len(row)
            self.head = False
            return
        first = True
        for index in row:
            if index >= len(self.entries):  # else the second bar of a `%%`
                self.bar(index, first=first)
                first = False
        self.flush()

    def _is_long_rest(self, row: Sequence[int]) -> bool:
        """Whether `rest` says a row of bars."""
        bars = self.line.bars
        printed = bars[row[0]].rests == len(row) or not self.line.lined
        return (
            len(row) > 1
            and printed
            and _rests([bars[i] for i in row])
            and all(self._plain_edge(i, row) for i in row)
        )

    def _plain_edge(self, index: int, run: Sequence[int]) -> bool:
        """Whether a bar of rest has no barline or change of its own inside the run."""
        bars = self.line.bars
        bar, before = bars[index], bars[index - 1] if index else None
        last = index + 1 == len(bars)
        following = bars[index + 1] if not last else None
        ends = index == run[-1] and following is not None and bool(following.section)
        if bar.right not in (("", "final") if last else ("", "double") if ends else ("",)):
            return False
        if following is not None and following.left and (index != run[-1] or following.left == "double"):
            return False
        return index == run[0] or (before is not None and (bar.key, bar.metre) == (before.key, before.metre))

    def needs(self, bar: Bar, fitted: Fitted) -> tuple[list[tuple[str, str]], list[str]]:
        """The directives that a bar needs before it, and what none can say."""
        lost: list[str] = []
        found: list[tuple[str, str]] = list(bar.directives)
        now = self.context.in_force
        if bar.key != now.key:
            found.append(("key", key_text(bar.key)))
        if fitted.metre != now.metre:
            found.append(("time", str(fitted.metre)))
        if bar.tempo is not None:
            text = tempo_text(bar.tempo)
            if text is None:
                lost.append(f"tempo {bar.tempo.words} {bar.tempo.value} = {bar.tempo.bpm}")
            else:
                found.append(("tempo", text))
        if bar.feel is not None and bar.feel != now.feel:
            found.append(("feel", feel_text(bar.feel) or Feel().name))
        if fitted.directive:
            found.append((fitted.directive, fitted.value))
        if bar.ending_starts and bar.endings:
            found.append(("ending", ",".join(map(str, sorted(set(bar.endings))))))
        return found, lost

    def bar(self, index: int, *, first: bool) -> None:
        """Write one bar; `first`: it begins a system."""
        bar = self.line.bars[index]
        fitted = fit(bar, self.context)
        directives, lost = self.needs(bar, fitted)
        before = self.line.bars[index - 1] if index else None
        if len(self.music) > WIDEST and not bar.endings:
            self.flush()
            first = first or not self.line.lined
        if bar.section or bar.time is not None or (before is not None and before.endings and not bar.endings):
            self.flush()  # a mark and a time stand at a line's start, and its end is the last ending's
        if bar.section:
            self.section = f"[{_section(bar.section)}]"
        for name, value in directives:
            self.directive(name, value)
        self.head = False
        now = self.context.next_bar()
        self._fork(index)
        again = repeat_sign(self.line.bars, index, now, self.entries) if bar.repeat and not lost else None
        if again is not None:
            made = BarText(again.text, again.after, again.leaves[-1], ())
        else:
            made = write_bar(fitted.bar, now, self._entry(index), self.way, by_beats=index in self.by_beats)
        self.context.after_bar(made.after)
        self.entries += again.leaves if again is not None else (made.leaves,)
        number = 0 if index == 0 and now.pickup else self.number
        self.number += (number != 0) * (1 if again is None else again.bars)
        told = len(self.notes)
        for what in (*bar.unsaid, *lost, *([fitted.said] if fitted.said else []), *made.unsaid):
            self.notes.append(Unsaid(number, what))
        self.unsaid += self.notes[told:]
        if self.music and before is not None:
            self.music += _between(before, bar)
        else:
            double = bar.left == "double" and not (before is not None and before.right == "repeat end")
            sign = "|:" if bar.left == "repeat start" else "||" if double else "|"
            start = [self.section, "" if bar.time is None else clock(bar.time), sign]
            self.music, self.section = ("" if first else " ") + " ".join(part for part in start if part), ""
        # Blanks beside barlines and the barline at a line's end are a fifth of a draft's keys and say nothing.
        self.music += made.text
        self.last = len(self.entries) - 1

    # --- holds

    def _fork(self, index: int) -> None:
        bar, before = self.line.bars[index], self.line.bars[index - 1] if index else None
        if bar.ending_starts and (self.fork is None or before is None or before.right != "repeat end"):
            self.fork = index

    def _entry(self, index: int) -> Entry | None:
        """What a hold at this bar's start reaches back to, in first-pass order."""
        bar, before = self.line.bars[index], self.line.bars[index - 1] if index else None
        at = index - 1
        if bar.ending_starts and self.fork not in (None, index) and before and before.right == "repeat end":
            at = (self.fork or 0) - 1
        return self.entries[at] if at >= 0 else None


def _section(name: str) -> str:
    kept = text_value(name).replace("]", ")").replace("[", "(").replace("|", "/")
    return kept or "-"


def _between(left: Bar, right: Bar) -> str:
    ends, starts = left.right == "repeat end", right.left == "repeat start"
    if ends:
        return ":|:" if starts else ":|"
    if starts:
        return "|:"
    return "||" if left.right in ("double", "final") or right.left == "double" else "|"


def _end(bar: Bar, following: Bar | None) -> str:
    if bar.right == "repeat end":
        return ":|"
    plain = following is not None and not following.section and following.left != "repeat start"
    if plain and bar.right in ("double", "final"):
        return "||"
    return ""  # the end of the line closes the bar

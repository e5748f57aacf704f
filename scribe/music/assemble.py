"""Lines to bars: what is in force is threaded from bar to bar, every bar is compiled in its context."""

from __future__ import annotations

from collections.abc import Iterable
from copy import copy
from dataclasses import replace
from fractions import Fraction

from scribe.diagnostics import Diagnostic, Hint, Span
from scribe.music.bar import begins_with_hold, compile_bar
from scribe.music.context import Context
from scribe.music.draught import REPEAT_ENDS, Draught, Edge
from scribe.music.events import BarMusic, Event, sound_alike
from scribe.music.form import settle
from scribe.music.inforce import Entry
from scribe.music.piece import Piece
from scribe.music.slips import shape, tempo_slips
from scribe.music.use import used_bars
from scribe.source.tree import BarCell, Directive, Draft, Line, Music

NOWHERE = Span(0, 0)
_NOT_STATE = frozenset(
    ("context", "bars", "entries", "systems", "sections", "faults", "number", "line", "fork_at")
)


def assemble(draft: Draft) -> Piece:
    """Compile every bar of a draft and settle its form. Never raises on what a user typed."""
    return Assembler().run(draft)


def no_bars(faults: Iterable[Diagnostic]) -> tuple[Diagnostic, ...]:
    """What to say about a draft without bars that has these faults: nothing if one of them explains it."""
    if any(d.severity == "error" for d in faults):
        return ()
    hint = Hint("a first bar: `| g b d g |`")
    return (Diagnostic("empty", "warning", NOWHERE, "there is no bar in this draft yet", (hint,)),)


class Assembler:
    """Walks through the lines of a draft once, in order."""

    def __init__(self) -> None:
        self.context = Context()
        self.bars: list[Draught] = []
        self.entries: list[Entry] = []  # what each bar left behind
        self.systems: list[int] = []  # index of each system's first bar
        self.sections: dict[str, list[Draught]] = {}
        self.faults: list[Diagnostic] = []
        self.number = 1
        self.line = 0
        self.section = ""  # waits for the next bar
        self.inside = ""  # the section that goes on
        self.fork_at: int | None = None  # index of the first bar of the ending group that goes on

    def run(self, draft: Draft) -> Piece:
        """Return the piece of the whole draft."""
        self.faults += draft.diagnostics
        for line in draft.lines:
            self.take(line)
        if not self.bars:
            self.faults += no_bars(self.faults)
        else:
            self.faults += [unsaid for _, unsaid in tempo_slips(draft.lines)]
        return settle(self.bars, self.systems, self.context, self.faults)

    def take(self, line: Line) -> None:
        """Compile one line."""
        if isinstance(line, Music):
            self._music(line)
        elif line.name == "use":
            self._use(line)
        else:
            self._directive(line)

    # --- between two lines: all that a later line may depend on ----------------------------------------------

    def fork(self, sections: dict[str, list[Draught]] | None = None) -> Assembler:
        """Return a new assembler that goes on from here, with the bars that a later line may reach back to alone.

        It numbers its own bars from 1. `sections`: what `use` may name.
        """
        kept = self._reach()
        if self.fork_at and self.fork_at - 1 not in kept:
            kept.insert(0, self.fork_at - 1)
        new = Assembler()
        new.__dict__.update(self.__dict__)
        new.context = copy(self.context)
        new.bars = [self.bars[i] for i in kept]
        new.entries = [self.entries[i] for i in kept]
        alone = bool(self.systems) and self.systems[-1] == len(self.bars) - 1
        new.systems = [len(kept) - 1 if alone else -1] if self.systems else []
        new.sections = {self.inside: []} if sections is None else sections
        new.faults = []
        new.number = 1
        new.line = 0
        if self.fork_at:
            new.fork_at = kept.index(self.fork_at - 1) + 1
        return new

    def state(self) -> object:
        """Return a hashable key, equal for two assemblers if and only if all later lines do the same to both.

        The heading and the layout of the page are left out: no bar depends on them.
        """
        own = {k: v for k, v in self.__dict__.items() if k not in _NOT_STATE}
        context = {k: v for k, v in self.context.__dict__.items() if k not in ("heading", "layout")}
        kept = [(self.bars[i], self.entries[i]) for i in self._reach()]
        reach = tuple(
            (Held(bar), bar.edge, bar.rests, bar.repeat, bar.in_force.metre, left) for bar, left in kept
        )
        alone = bool(self.systems) and self.systems[-1] == len(self.bars) - 1
        fork = self.entries[self.fork_at - 1] if self.fork_at else self.fork_at
        return (reach, alone, bool(self.systems), fork, *own.items(), *context.items())

    def _reach(self) -> list[int]:
        """The bars that `%`, `%%`, a hold or a rest bar may reach back to, by index."""
        count = len(self.bars)
        plain = next((i for i in range(count - 1, -1, -1) if not self.bars[i].repeat), -1)
        return sorted(i for i in {count - 1, count - 2, plain} if i >= 0)

    # --- lines ---------------------------------------------------------------------------------------------

    def _directive(self, line: Directive) -> None:
        fault = self.context.apply(line)
        if fault is not None:
            self.faults.append(fault)
        if self.context.rests:
            self._rest_bars(line)

    def _music(self, line: Music) -> None:
        if line.section is not None:
            self.section = self.inside = line.section
            self.sections[line.section] = []
        if not line.cells:
            return
        self.line += 1
        if not (line.continues and self.systems) and not self._rest_waits():
            self.systems.append(len(self.bars))
        for i, cell in enumerate(line.cells):
            self._cell(cell, line.time if i == 0 else None)

    def _rest_waits(self) -> bool:
        """A rest bar alone on its system takes the next line beside it, unless a section begins there."""
        alone = bool(self.systems) and self.systems[-1] == len(self.bars) - 1
        return alone and self.bars[-1].rests > 0 and not self.section

    def _rest_bars(self, line: Directive) -> None:
        count, self.context.rests = self.context.rests, 0
        self.line += 1
        if not self._rest_waits():
            self.systems.append(len(self.bars))
        in_force = self.context.next_bar()
        music, written, after = compile_bar(".", in_force, Entry())
        self._add(
            Draught(
                text="",
                offset=line.span.start,
                music=music,
                written=written,
                in_force=in_force,
                events=music.events,
                edge=Edge(None, None),
                line=self.line,
                rests=count,
            ),
            Entry(),
        )
        self.context.after_bar(after)

    def _use(self, line: Directive) -> None:
        found = used_bars(line, self.sections, self.context.next_bar())
        if isinstance(found, Diagnostic):
            self.faults.append(found)
            return
        after = self.context.next_bar()
        for i, (source, bar) in enumerate(found):
            if source.opens or not i:
                self.line += 1
                self.systems.append(len(self.bars))
            bar.line = self.line
            if self.bars and self.bars[-1].in_force.metre[:2] != bar.in_force.metre[:2]:
                self.context.new_metre = True
            self._add(bar, _left_behind(bar.music, bar.events))
            known = [chord.chord for chord in bar.music.chords if chord.chord]
            after = after._replace(chord=known[-1] if known else after.chord)
        if found and found[-1][1].in_force.metre[:2] != after.metre[:2]:
            self.context.new_metre = True
        self.context.after_bar(after)

    # --- bars ----------------------------------------------------------------------------------------------

    def _cell(self, cell: BarCell, time: Fraction | None) -> None:
        in_force = self.context.next_bar()
        held = begins_with_hold(cell.bar.words)
        entry = self._entry() if held else Entry()
        music, written, after = compile_bar(cell.bar.text, in_force, entry)
        bar = Draught(
            text=cell.bar.text,
            offset=cell.start,
            music=music,
            written=written,
            in_force=in_force,
            events=music.events,
            edge=Edge(cell.left, cell.right),
            line=self.line,
            time=time,
            shape=shape(cell.bar.words, music),
            tied=bool(music.events and music.events[0].held),
        )
        if music.repeat:
            self._repeat(bar)
        else:
            self._add(bar, _left_behind(music, music.events))
        self.context.after_bar(after)

    def _entry(self) -> Entry | None:
        """What a hold at the next bar's start reaches back to, in first-pass order."""
        index = len(self.bars) - 1
        if self.context.ending and self.fork_at is not None and self.bars[-1].edge.right in REPEAT_ENDS:
            index = self.fork_at - 1  # a later ending follows the bar before the first one
        return self.entries[index] if index >= 0 else None

    def _repeat(self, bar: Draught) -> None:
        """Fill in what `%` and `%%` repeat."""
        count = bar.music.repeat
        sources = self._sources(count)
        fault = self._no_repeat(bar, sources)
        if fault is not None or sources is None:
            faults = (*bar.music.diagnostics, *([fault] if fault else []))
            bar.music = replace(bar.music, repeat=0, broken=True, diagnostics=faults)
            self._add(bar, Entry(known=False))
            return
        whole = bar.music
        at = bar.text.find("%")
        sign = Span(at, at + count)
        for part, source in enumerate(sources, 1):
            one = bar if count == 1 else replace(bar, time=bar.time if part == 1 else None)
            one.repeat, one.repeat_part = count, part if count == 2 else 0
            one.written = source.written
            if count == 2:
                one.music = _half(whole, part)
                one.edge = Edge(bar.edge.left, None) if part == 1 else Edge(None, bar.edge.right)
            one.events = tuple(_spoken_at(event, sign) for event in source.events)
            first = one.events[0] if one.events else None
            if first is not None and first.held:
                before = self._entry() or Entry()
                one.tied = sound_alike(before.heads, first.heads)
                if not one.tied:
                    one.events = (replace(first, held=False), *one.events[1:])
            self._add(one, _left_behind(source.music, one.events))

    def _no_repeat(self, bar: Draught, sources: list[Draught] | None) -> Diagnostic | None:
        """Say why a bar cannot be repeated here, if so."""
        count = bar.music.repeat
        at = bar.text.find("%")
        span = Span(at, at + count)
        if sources is None:
            return Diagnostic(
                "nothing-to-repeat",
                "error",
                span,
                f"`{'%' * count}` repeats {'a bar' if count == 1 else 'two bars'}, but not so many stand before it",
                (Hint("write the notes, or `?` for a bar still to do"),),
            )
        if all(source.music.length == bar.music.length for source in sources):
            return None
        other = next(source for source in sources if source.music.length != bar.music.length)
        return Diagnostic(
            "repeat-length",
            "error",
            span,
            f"a bar of {_quarters(bar.music.length)} cannot repeat one of {_quarters(other.music.length)}",
            (Hint("write the notes of this bar"),),
        )

    def _sources(self, count: int) -> list[Draught] | None:
        if count == 1:
            plain = next((b for b in reversed(self.bars) if not b.repeat), None)
            return None if plain is None else [plain]
        return self.bars[-2:] if len(self.bars) >= 2 else None

    def _add(self, bar: Draught, leaves: Entry) -> None:
        """Put a bar into the piece with all that waited for it."""
        bar.section, self.section = self.section, ""
        bar.opens = bool(self.systems) and self.systems[-1] == len(self.bars)
        if self.context.ending:
            after_ending = bool(self.bars) and self.bars[-1].edge.right in REPEAT_ENDS
            if self.fork_at is None or not after_ending:
                self.fork_at = len(self.bars)
        self.context.announce(bar)
        bar.number = self.number
        if not self.bars and bar.in_force.pickup:
            bar.number = 0
        else:
            self.number += bar.rests or 1
        self.bars.append(bar)
        self.entries.append(leaves)
        if self.inside:
            self.sections[self.inside].append(bar)


class Held:
    """What a bar holds, as a part of a key: quick to hash, for a bar's text says most of it."""

    __slots__ = ("events", "music", "text", "written")

    def __init__(self, bar: Draught) -> None:
        self.text, self.music, self.written, self.events = bar.text, bar.music, bar.written, bar.events

    def __hash__(self) -> int:
        return hash(self.text)

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Held):
            return NotImplemented
        own = (self.text, self.music, self.written, self.events)
        return own == (other.text, other.music, other.written, other.events)


def _spoken_at(event: Event, span: Span) -> Event:
    """A repeated event, its place that of the repeat sign."""
    heads = tuple(replace(head, span=span) for head in event.heads)
    graces = tuple(replace(g, head=replace(g.head, span=span), span=span) for g in event.graces)
    return replace(event, heads=heads, graces=graces, span=span)


def _quarters(length: Fraction) -> str:
    return f"{length} quarter{'' if length == 1 else 's'}"


def _left_behind(music: BarMusic, events: tuple[Event, ...]) -> Entry:
    if music.broken or music.todo or not events or events[-1].todo:
        return Entry(known=False)
    return Entry(tuple(replace(h, span=NOWHERE) for h in events[-1].heads))


def _half(music: BarMusic, part: int) -> BarMusic:
    """One of the two bars of a `%%` cell: its chords share both bars, everything else stands in the first."""
    chords = tuple(
        replace(c, onset=c.onset * 2 - (part - 1) * music.length)
        for c in music.chords
        if (c.onset * 2 >= music.length) == (part == 2)
    )
    if part == 2:
        return replace(music, chords=chords, words=(), diagnostics=())
    return replace(music, chords=chords)

"""One walk through the lines of a draft, each line's result remembered by its text and what is in force before it.

The states between lines are shared objects: a line that was met in the same state before costs one look into a
dictionary, and behind an edit the walk falls back onto the old results as soon as the state is the old one again.
All places in the results count from the start of the line that the text stands in.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from operator import is_
from typing import NamedTuple, TypeGuard

from scribe.diagnostics import Diagnostic
from scribe.music.assemble import Assembler
from scribe.music.context import Context
from scribe.music.draught import Draught
from scribe.music.piece import Heading, Layout
from scribe.music.settings import parse_use
from scribe.source.read import read_line
from scribe.source.tree import Directive, Line, Music

_BOM = "\ufeff"
_KEEP = 64  # walks after which what the last one did not need is forgotten


class State:
    """What a line's meaning depends on besides its text; equal ones are one object."""

    __slots__ = ("after", "assembler", "key")

    def __init__(self, assembler: Assembler, key: object) -> None:
        self.assembler = (
            assembler  # stands between two lines, with the few bars that later lines reach back to
        )
        self.key = key
        self.after: dict[str, Step] = {}


class Step:
    """What one line does.

    `reading`: faults of its text, `faults`: those of its meaning. `systems`: which of its bars begin one; `advance`:
    how far it moves the numbering of bars; `opened`: the section that begins here. `facts` and `settled` are for what
    the next stage remembers about the line.
    """

    __slots__ = (
        "advance",
        "bars",
        "facts",
        "faults",
        "line",
        "next",
        "opened",
        "reading",
        "settled",
        "systems",
        "used",
    )

    def __init__(self, next: State, line: Line | None, reading: tuple[Diagnostic, ...]) -> None:
        self.next = next
        self.line = line
        self.reading = reading
        self.faults: tuple[Diagnostic, ...] = ()
        self.bars: tuple[Draught, ...] = ()
        self.systems: tuple[int, ...] = ()
        self.advance = 0
        self.opened: str | None = None
        self.used: tuple[tuple[Draught, ...], Step] | None = (
            None  # of `use`: bars named last time, what came of it
        )
        self.facts: object = None
        self.settled: dict[object, object] = {}

    @property
    def directive(self) -> str:
        """The name of the directive in this line, empty for another line."""
        return self.line.name if isinstance(self.line, Directive) else ""


class Walk(NamedTuple):
    """A walked draft, line by line.

    `starts`: where each line begins in the text. `origins`: for a line of `use`, the lines that its bars are written
    in. `root` and `last`: the states before and behind it.
    """

    text: str
    steps: tuple[Step, ...]
    starts: tuple[int, ...]
    origins: Mapping[int, tuple[int, ...]]
    last: State
    heading: Heading
    layout: Layout


class Walker:
    """Walks through one draft again and again; keeps what the last walks needed."""

    def __init__(self) -> None:
        self._states: dict[object, State] = {}
        self._root = self._state(Assembler())
        self._walks = 0

    def walk(self, text: str) -> Walk:
        """Walk through a draft. Costs what its changed lines cost, and next to nothing for each of the others."""
        at = len(_BOM) if text.startswith(_BOM) else 0
        raws = text[at:].split("\n")
        starts: list[int] = []
        steps: list[Step] = []
        origins: dict[int, tuple[int, ...]] = {}
        page = Context()
        state = self._root
        for raw in raws:
            starts.append(at)
            at += len(raw) + 1
            step = state.after.get(raw)
            if step is None:
                step = state.after[raw] = self._step(state, raw)
            if step.advance == 0 and step.line is not None:
                if _about_page(step.line):
                    page.apply(step.line)
                elif step.directive == "use":
                    step, origins[len(steps)] = self._use(state, step, _sections(steps, origins))
            steps.append(step)
            state = step.next
        walk = Walk(text, tuple(steps), tuple(starts), origins, state, page.heading, page.layout)
        self._walks += 1
        if self._walks % _KEEP == 0:
            self._forget(raws, walk)
        return walk

    def _state(self, assembler: Assembler) -> State:
        key = assembler.state()
        found = self._states.get(key)
        if found is None:
            found = self._states[key] = State(assembler, key)
        return found

    def _step(self, state: State, raw: str) -> Step:
        line, faults = read_line(raw.rstrip("\r"))
        if line is None:
            return Step(state, None, faults)
        if _about_page(line):
            step = Step(state, line, faults)
            fault = Context().apply(line)
            step.faults = (fault,) if fault is not None else ()
            return step
        if isinstance(line, Directive) and line.name == "use":
            return Step(state, line, faults)  # what it does depends on the bars that it names, see `_use`
        return self._run(state, line, faults, None)

    def _run(
        self,
        state: State,
        line: Line,
        reading: tuple[Diagnostic, ...],
        sections: dict[str, list[Draught]] | None,
    ) -> Step:
        run = state.assembler.fork(sections)
        known, first = len(run.bars), run.number
        run.take(line)
        bars, systems, number, faults = run.bars[known:], run.systems, run.number, run.faults
        step = Step(self._state(run.fork()), line, reading)
        step.faults = tuple(faults)
        step.bars = tuple(bars)
        step.systems = tuple(start - known for start in systems if start >= known)
        step.advance = number - first
        step.opened = line.section if isinstance(line, Music) else None
        return step

    # --- `use` ---------------------------------------------------------------------------------------------

    def _use(
        self, state: State, plain: Step, sections: Mapping[str, Sequence[tuple[Draught, int]]]
    ) -> tuple[Step, tuple[int, ...]]:
        """The step of a `use` line and where its bars are written."""
        assert isinstance(plain.line, Directive)
        use = parse_use(plain.line.text)
        named = sections.get(use.section, ()) if use else ()
        source = tuple(bar for bar, _ in named)
        if plain.used is not None and source and _same(plain.used[0], source):
            step = plain.used[1]
        else:
            bars = {name: [bar for bar, _ in pairs] for name, pairs in sections.items()}
            step = self._run(state, plain.line, plain.reading, bars)
            plain.used = (source, step)
        first, last = use.bars if use and use.bars else (1, len(named))
        return step, tuple(line for _, line in named[first - 1 : last]) if step.bars else ()

    # --- what is not needed any more -------------------------------------------------------------------------

    def _forget(self, raws: Sequence[str], walk: Walk) -> None:
        """Keep the states and the results of this walk alone."""
        kept: dict[object, State] = {self._root.key: self._root}
        chain: list[tuple[State, str, Step]] = []
        state = self._root
        for raw, step in zip(raws, walk.steps, strict=True):
            chain.append((state, raw, state.after[raw]))
            state = step.next
            kept[state.key] = state
        for state in kept.values():
            state.after = {}
        for state, raw, step in chain:
            state.after[raw] = step
        self._states = kept


def _about_page(line: Line) -> TypeGuard[Directive]:
    return isinstance(line, Directive) and (line.name in Heading._fields or line.name == "layout")


def _same(one: Sequence[object], other: Sequence[object]) -> bool:
    return len(one) == len(other) and all(map(is_, one, other))


def _sections(
    steps: Sequence[Step], origins: Mapping[int, tuple[int, ...]]
) -> dict[str, list[tuple[Draught, int]]]:
    """The bars of each section so far, each with the line that it is written in."""
    found: dict[str, list[tuple[Draught, int]]] = {}
    inside = ""
    for index, step in enumerate(steps):
        if step.opened is not None:
            inside = step.opened
            found[inside] = []
        if inside and step.bars:
            places = origins.get(index) or (index,) * len(step.bars)
            found[inside].extend(zip(step.bars, places, strict=True))
    return found

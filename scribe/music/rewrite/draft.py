"""A draft's bars as they are written, for rewriting them one by one."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import NamedTuple

from scribe.diagnostics import Diagnostic, Span
from scribe.music.assemble import Assembler
from scribe.music.bar import compile_bar
from scribe.music.draught import Draught
from scribe.music.events import Event, Head
from scribe.music.inforce import Entry, InForce
from scribe.music.pitch import Pitch
from scribe.music.rewrite.bar import CannotWrite, Name, Typed, Wanted, rewrite_bar
from scribe.music.rewrite.edit import Edit, apply
from scribe.music.spelling.bars import respelled, spelled
from scribe.music.spelling.phrases import heads_of
from scribe.source.bar import parse_bar
from scribe.source.plain import plain_bar
from scribe.source.read import read
from scribe.source.tree import ChordWord, Draft, Group, Music, Word


class Rewritten(NamedTuple):
    """A new text and what could not be done; with faults the text is the old one. `changed` counts bars, or notes."""

    text: str
    faults: tuple[Diagnostic, ...]
    changed: int = 0


@dataclass(frozen=True, slots=True)
class Source:
    """One bar where it is written: the draught made of it, the same under its final names, the events as typed.

    Places in `typed` count in the bar's plain text.
    """

    draught: Draught
    named: Draught
    typed: tuple[Event, ...]

    @property
    def number(self) -> int:
        return self.draught.number

    @property
    def offset(self) -> int:
        return self.draught.offset

    @property
    def text(self) -> str:
        return self.draught.text

    @property
    def events(self) -> tuple[Event, ...]:
        """What to rewrite: letters and degrees under their typed names, frets under the ones found for them."""
        named = [h for e in self.named.events if not e.held for h in heads_of(e)]
        names = iter(h.pitch for h in named)
        return tuple(e if e.held else _with_names(e, names) for e in self.typed)

    @property
    def names(self) -> dict[Span, Pitch]:
        """What the heads are called in the end, by their places in the bar's plain text."""
        typed = [h for e in self.typed if not e.held for h in heads_of(e)]
        named = [h.pitch for e in self.named.events if not e.held for h in heads_of(e)]
        return {head.span: pitch for head, pitch in zip(typed, named, strict=True)}

    @property
    def words(self) -> tuple[Word, ...]:
        """The bar as read."""
        return parse_bar(plain_bar(self.text)[0]).words

    @property
    def roots(self) -> list[tuple[Fraction, Name]]:
        """The roots of the bar's chords and the onsets from which they are in force."""
        return [(c.onset, c.chord.root) for c in self.draught.music.chords if c.chord is not None]


def _with_names(event: Event, names: Iterator[Pitch]) -> Event:
    def named(head: Head) -> Head:
        pitch = next(names)
        return replace(head, pitch=pitch) if head.way == "fret" else head

    graces = tuple(replace(g, head=named(g.head)) for g in event.graces)
    return replace(event, graces=graces, heads=tuple(named(h) for h in event.heads))


class Walked(NamedTuple):
    """A draft read and compiled as far as its bars."""

    draft: Draft
    bars: tuple[Draught, ...]
    sources: tuple[Source, ...]


def walk(text: str) -> Walked:
    """Read and compile a draft; `sources` holds its bars in the order of the text, each once, those without faults."""
    draft = read(text)
    assembler = Assembler()
    for line in draft.lines:
        assembler.take(line)
    spellings = spelled(assembler.bars)
    first: dict[int, tuple[Draught, Draught]] = {}
    for draught, spelling in zip(assembler.bars, spellings, strict=True):
        if not draught.copied and not draught.rests:
            first.setdefault(draught.offset, (draught, respelled(draught, spelling)))
    sources: list[Source] = []
    for line in draft.lines:
        for cell in line.cells if isinstance(line, Music) else ():
            if cell.start not in first:
                continue
            draught, named = first[cell.start]
            if not draught.music.broken:
                plain, _ = plain_bar(draught.text)
                typed = compile_bar(plain, draught.in_force, Entry())[0].events
                sources.append(Source(draught, named, typed))
    return Walked(draft, tuple(assembler.bars), tuple(sources))


def rewrite_source(
    source: Source,
    after: InForce,
    roots: list[tuple[Fraction, Name]],
    wanted: Callable[[Typed], Wanted],
    more: Callable[[str], list[Edit]] = lambda _: [],
) -> tuple[list[Edit], list[Diagnostic]]:
    """Return the edits (places in the whole draft) that rewrite one bar, and what cannot be done.

    `more` gives other edits of the bar's plain text, of its chord symbols. Typographic signs stay but in what changes.
    """
    plain, places = plain_bar(source.text)
    try:
        edits = rewrite_bar(source.text, source.events, source.draught.in_force, after, roots, wanted)
    except CannotWrite as limit:
        return [], [cannot(source, limit.code, limit.span, limit.message)]
    edits += more(plain)
    if places is not None:
        edits = [Edit(Span(places[e.span.start], places[e.span.end]), e.text) for e in edits]
    return [edit.shift(source.offset) for edit in edits], []


def cannot(source: Source, code: str, span: Span, message: str) -> Diagnostic:
    """The error about a place in a bar that cannot be rewritten."""
    name = f"bar {source.number}" if source.number else "the pickup"
    return Diagnostic(code, "error", span.shift(source.offset), f"{name}: {message}")


def done(text: str, edits: list[Edit], faults: list[Diagnostic], bars: int) -> Rewritten:
    """Return the new text, or, with faults, the old one."""
    if faults:
        return Rewritten(text, tuple(sorted(faults, key=lambda f: f.span)))
    return Rewritten(apply(text, edits), (), bars)


def chord_words(text: str) -> Iterator[tuple[Span, str]]:
    """Yield the names of a bar's chord symbols and their places in its plain text."""

    def inside(words: tuple[Word, ...]) -> Iterator[tuple[Span, str]]:
        for word in words:
            if isinstance(word, ChordWord):
                yield word.name_span, word.name
            elif isinstance(word, Group):
                yield from inside(word.words)

    yield from inside(parse_bar(text).words)

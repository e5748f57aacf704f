"""Doubts as diagnostics: the message, and the mend ready to paste."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import chain
from typing import TYPE_CHECKING, Protocol

from scribe.diagnostics import Diagnostic, Hint, Span
from scribe.music.chord import Chord
from scribe.music.draught import Draught
from scribe.music.events import Head
from scribe.music.inforce import InForce
from scribe.music.key import Key
from scribe.music.name import with_name
from scribe.music.pitch import name_at
from scribe.music.resolve import TYPED_ALTER
from scribe.music.spelling.check import Doubt, check_places
from scribe.music.spelling.costs import fifths_of
from scribe.source.plain import plain_bar
from scribe.source.tree import Letter, Word
from scribe.source.words import tones

if TYPE_CHECKING:
    from scribe.music.rewrite.bar import Typed, Wanted
    from scribe.music.rewrite.edit import Edit

_PLAIN = re.compile(r"[A-G](?:##?|n|w|b)?|[a-g](?:##?|n)?")
_PRINTED = r"[A-Ga-g](?:♭♭?|[♯♮𝄪𝄫])"
_SIGNS = frozenset("♭♯♮𝄪𝄫")
_FEW = 4  # names outside the key, fewer of which are no reason to look at the key


def _typed_name(text: str, span: Span) -> re.Match[str] | None:
    """The name in a span, with its accidental as typed."""
    if _SIGNS.isdisjoint(text):
        return _PLAIN.search(text, *span)
    return re.compile(f"{_PRINTED}|{_PLAIN.pattern}").search(text, *span)  # slow to make: few drafts need it


def doubted(bar: Draught, head: Head, doubt: Doubt) -> Diagnostic | None:
    """Return the warning about a typed name; None where the name does not stand there (a `/` repeats it)."""
    found = _typed_name(bar.text, head.span)
    if found is None:
        return None
    # Most drafts have no doubtful name, and start faster without what mends one.
    from scribe.music.rewrite.edit import joined
    from scribe.music.spelling.reasons import spoken

    span = Span(*found.span())
    typed = found[0]
    edits = mend(bar, {head.span: doubt.better})
    if not edits:
        hint = Hint(f"the better name is {spoken(doubt.better)}; `{typed}=` if this one is meant")
    else:
        whole = joined(bar.text, edits)
        hint = Hint(f"write `{whole.text}`, or `{typed}=` if this name is meant", whole.text, whole.span)
    return Diagnostic("spelling", "warning", span, f"`{typed}` {doubt.reason}", (hint,))


def mend(bar: Draught, better: dict[Span, int]) -> list[Edit]:
    """Return the edits that give heads (by their places) other names, and what the octave of the next notes needs then.

    Nothing where the bar's text holds typographic signs, or where it cannot be done.
    """
    if plain_bar(bar.text)[0] != bar.text:
        return []
    from scribe.music.rewrite.bar import CannotWrite, as_typed, rewrite_bar

    def wanted(typed: Typed) -> Wanted:
        as_it_is = as_typed(typed)
        place = better.get(typed.tone.span)
        if place is None:
            return as_it_is
        return as_it_is._replace(pitch=with_name(as_it_is.pitch.midi, *name_at(place)))

    try:
        return rewrite_bar(bar.text, bar.music.events, bar.in_force, bar.in_force, roots(bar), wanted)
    except CannotWrite:
        return []


def roots(bar: Draught) -> list[tuple[Fraction, tuple[str, int] | None]]:
    """The roots of a bar's chords and the onsets from which they are in force."""
    return [(c.onset, c.chord.root) for c in bar.music.chords if c.chord is not None]


# --- the key -----------------------------------------------------------------------------------------------


class Places(Protocol):
    """What is to be known of a bar (see `scribe.music.spelling.phrases.Hearing`)."""

    @property
    def strange(self) -> int: ...

    @property
    def own(self) -> tuple[int, ...]: ...

    @property
    def foreign(self) -> tuple[int, ...]: ...


def wrong_keys(bars: Sequence[Draught], places: Sequence[Places]) -> Iterator[tuple[int, Diagnostic]]:
    """Yield a hint for every key that the notes under it clearly contradict, with the bar that shows it first."""
    run: list[int] = []
    key: Key | None = None
    for index, bar in enumerate(bars):
        if key is not bar.in_force.key:
            if run and key != bar.in_force.key:
                yield from _wrong_key(bars, run, places)
                run = []
            key = bar.in_force.key
        run.append(index)
    if run:
        yield from _wrong_key(bars, run, places)


def _wrong_key(
    bars: Sequence[Draught], run: Sequence[int], places: Sequence[Places]
) -> Iterator[tuple[int, Diagnostic]]:
    key = bars[run[0]].in_force.key
    asked = [
        i for i in run if not bars[i].repeat and not bars[i].copied and bars[i].in_force.enharmonic != "free"
    ]
    if sum(places[i].strange for i in asked) < _FEW:
        return
    foreign = Counter(chain.from_iterable(places[i].foreign for i in asked))
    if max(foreign.values(), default=0) < _FEW:  # no letter is altered often enough
        return
    found = check_places(key, Counter(chain.from_iterable(places[i].own for i in asked)))
    if found is None:
        return
    heads = (
        (i, event.onset, head)
        for i in asked
        for event in bars[i].events
        if not event.held
        for head in event.heads
        if head.kind == "note"
    )
    index, _, head = next(
        (i, onset, h)
        for i, onset, h in heads
        if not -1 <= h.pitch.fifths - key.fifths <= 5 and -1 <= h.pitch.fifths - found.key.fifths <= 5
    )
    keys = [found.key] if found.mode is None else [found.key, found.mode]
    written = " or ".join(f"`key {_short(k)}`" for k in keys)
    yield (
        index,
        Diagnostic(
            "wrong-key",
            "hint",
            head.span,
            f"{found.outside} of {found.notes} notes lie outside {key}, {found.there} outside {found.key}",
            (Hint(f"if that is the key, write {written}"),),
        ),
    )


def chord_at(bar: Draught, onset: Fraction) -> Chord | None:
    """The chord in force at an onset of a bar."""
    chord = bar.in_force.chord
    for placed in bar.music.chords:
        if placed.onset <= onset and placed.chord is not None:
            chord = placed.chord
    return chord


def _short(key: Key) -> str:
    return str(key).removesuffix(" major")


# --- accidentals that the key has anyway -------------------------------------------------------------------


def needless(text: str, words: Sequence[Word], in_force: InForce) -> list[Diagnostic]:
    """Find small letters with an accidental that the key gives them anyway (`f#` in G major)."""
    if in_force.enharmonic == "free":
        return []
    found: list[Diagnostic] = []
    for tone in tones(words):
        name = tone.name
        if not isinstance(name, Letter) or name.exact or not name.accidental or tone.meant:
            continue
        if in_force.key.alteration(name.letter) != TYPED_ALTER[name.accidental]:
            continue
        typed = _typed_name(text, tone.span)
        if typed is None:
            continue
        from scribe.music.spelling.reasons import spoken

        place = spoken(fifths_of(name.letter, TYPED_ALTER[name.accidental]))
        span = Span(*typed.span())
        small = name.letter.lower()
        found.append(
            Diagnostic(
                "needless-accidental",
                "hint",
                span,
                f"`{typed[0]}` in {in_force.key}: `{small}` alone is {place} here",
                (Hint(f"write `{small}`", small, span),),
            )
        )
    return found

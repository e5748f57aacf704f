"""One bar, from its text to its written values: a pure function, memoised on exactly what it depends on."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

from scribe.diagnostics import Diagnostic, Hint, Span
from scribe.music.chord import parse_chord
from scribe.music.events import BarMusic, PlacedChord
from scribe.music.flats import letter_slips
from scribe.music.inforce import Entry, InForce
from scribe.music.miscount import split_chord
from scribe.music.needless_groups import needless_groups
from scribe.music.notate import NotWritable, notate
from scribe.music.place import BAR, Placement, place, place_roughly
from scribe.music.resolve import Resolver
from scribe.music.slips import line_slips, root_slips
from scribe.music.spelling.words import needless
from scribe.music.written import WrittenBar
from scribe.source.read import parse_bar
from scribe.source.tree import Beat, Hold, Word

NOTHING_WRITTEN = WrittenBar((), ())
SLAP_ENDS = frozenset(("open", "fingers", "pick", "thumb", "tap", "arco", "pizz"))


@lru_cache(maxsize=1536)
def compile_bar(text: str, in_force: InForce, entry: Entry | None) -> tuple[BarMusic, WrittenBar, InForce]:
    """Compile one bar.

    `entry` is what the bar before left (None: there is none). Returns what the bar says, how it is written, and what
    is in force behind it (the last chord, slapping). Never raises on any text: a bar with an error comes back
    `broken`, with its diagnostics and no events.
    """
    read = parse_bar(text)
    length = in_force.bar_length
    placement = place_roughly(text, length) if read.broken else place(text, read.words, in_force)
    chords, faults = _chords(placement)
    before = [*read.diagnostics, *placement.diagnostics]
    faults = before if _failed(before) else before + faults  # one remark for a bar that is drawn empty
    after = in_force
    timeline: list[tuple[Fraction, InForce]] = []
    for chord in chords:
        if chord.chord is not None:
            after = after._replace(chord=chord.chord)
            timeline.append((chord.onset, after))
    slap: list[tuple[Fraction, bool]] = []
    for word in placement.words:
        if word.kind == "direction" and (word.text == "slap" or word.text in SLAP_ENDS):
            slap.append((word.onset, word.text == "slap"))
    if slap:
        after = after._replace(slap=slap[-1][1])
    if placement.todo or placement.repeat or _failed(faults):
        broken = _failed(faults)
        music = BarMusic(
            length,
            (),
            (),
            chords,
            placement.words,
            0 if broken else placement.repeat,
            placement.todo and not broken,
            broken,
            tuple(faults),
        )
        return music, NOTHING_WRITTEN, after
    resolver = Resolver(in_force, entry)
    events = resolver.run(placement.slots, timeline, slap)
    faults += resolver.faults
    written = NOTHING_WRITTEN
    if not _failed(faults):
        offset = in_force.metre.length - in_force.bar_length if in_force.pickup else Fraction(0)
        try:
            written = notate(
                in_force.metre, in_force.bar_length, events, placement.cells, in_force.feel, offset=offset
            )
        except NotWritable as limit:
            faults.append(
                Diagnostic(
                    "too-fine",
                    "error",
                    read.words[0].span.cover(read.words[-1].span),
                    f"{BAR} cannot be written: {limit}",
                    (Hint("use fewer slots in a beat word"),),
                )
            )
    if _failed(faults):
        broken_bar = BarMusic(length, (), (), chords, placement.words, 0, False, True, tuple(faults))
        return broken_bar, NOTHING_WRITTEN, after
    faults += letter_slips(text, read.words, in_force)
    faults += line_slips(text, events, in_force)
    faults += root_slips(text, chords, events)
    faults += needless(text, read.words, in_force)
    faults += needless_groups(text, read.words)
    music = BarMusic(
        length,
        events,
        placement.cells,
        chords,
        placement.words,
        0,
        False,
        False,
        tuple(faults),
    )
    return music, written, after


def begins_with_hold(words: tuple[Word, ...]) -> bool:
    """Tell whether a bar reaches back to the bar before: only then its result depends on an `Entry`."""
    for word in words:
        if isinstance(word, Beat):
            return isinstance(word.slots[0], Hold)
        inner = getattr(word, "words", None)
        if inner is not None:
            return begins_with_hold(inner)
    return False


def _failed(faults: list[Diagnostic]) -> bool:
    return any(d.severity == "error" for d in faults)


def _chords(placement: Placement) -> tuple[tuple[PlacedChord, ...], list[Diagnostic]]:
    chords: list[PlacedChord] = []
    faults: list[Diagnostic] = []
    for typed in sorted(placement.chords, key=lambda c: c.onset):
        chord = parse_chord(typed.word.name)
        chords.append(PlacedChord(typed.onset, typed.word.name, chord, typed.word.doubtful, typed.word.span))
        if chord is None:
            span = typed.word.name_span
            message = f"chord symbol `{typed.word.name}` is not understood; it is shown as typed"
            hints = _chord_hints(typed.word.name, span)
            faults.append(Diagnostic("chord-unknown", "warning", span, message, hints))
    return tuple(chords), faults


def _chord_hints(name: str, span: Span) -> tuple[Hint, ...]:
    """Return what was probably meant by a chord symbol that is not understood."""
    from scribe.music.chord_slips import meant_chord, two_chords  # only needed when something is wrong

    if two := two_chords(name):
        return (Hint(f"each chord stands before its own beat word: `@{two[0]} … @{two[1]} …`"),)
    if meant := meant_chord(name):
        return (Hint(f"write `@{meant}`", meant, span),)
    if name[-1] == "2" and parse_chord(name[:-1]):
        return (Hint(f"with the third it is `@{name[:-1]}add9`, without it `@{name[:-1]}sus2`"),)
    split = split_chord(name)
    glued = (Hint(f"if a blank is missing, write `@{split[0]} {split[1]}`"),) if split else ()
    return (*glued, Hint("usual forms are `Cm7`, `Cmaj7`, `C7b9`, `Cm7b5`, `Csus4`, `C6/9`, `C/E`, `N.C.`"))

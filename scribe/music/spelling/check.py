"""The checker: typed names that a good reader would clearly not expect.

It stays silent on everything that can be defended. A name is doubted only where the whole phrase would cost clearly
more with it, whatever the other notes were called, and where changing it alone (with its repetitions close by) helps
as much while all others stay as typed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from scribe.music.key import Key
from scribe.music.pitch import name_at
from scribe.music.spelling.costs import COSTS, Costs, scale_distance
from scribe.music.spelling.note import Note
from scribe.music.spelling.reasons import Case, reason
from scribe.music.spelling.speller import Phrase

CLEAR = 10.0  # the margin of a doubt (see `python -m tests.benchmarks.spelling`: false alarms, planted names found)
CLEAR_CHORD = 4.0  # … where the chord in force has the sound as its own tone
DELIBERATE = (
    4  # so many repetitions of a name are no slip, unless the better one is the key's or the chord's own
)


class Doubt(NamedTuple):
    """A doubted name: of note `at`, places on the line of fifths, by how much the other is better, and why.

    `reason` goes on behind the typed name: `in Eb major: this is the key's own fourth degree, A flat`.
    """

    at: int
    typed: int
    better: int
    margin: float
    reason: str


def check_names(
    notes: Sequence[Note], typed: Sequence[int], costs: Costs = COSTS, clear: float = CLEAR
) -> tuple[Doubt, ...]:
    """Return the doubts about a phrase under its typed names (places on the line of fifths, one a note).

    `Note.name` marks names that are not in question (settled by a degree, or by the writer's `=`).
    """
    if not notes:
        return ()
    free = [n if n.name is not None else n._replace(prefer="") for n in notes]
    phrase = Phrase(free, typed, costs, also=typed)
    found: list[Doubt] = []
    for i, margins in enumerate(phrase.margins()):
        places = phrase.names[i]
        here = margins[places.index(typed[i])]
        better = places[margins.index(min(margins))]
        if notes[i].name is not None or better == typed[i] or _wanted(notes[i], typed[i]):
            continue
        wanted = CLEAR_CHORD if "chord_tone" in phrase.terms(i, typed) else clear
        if here < wanted:
            continue
        group = _repetitions(phrase, typed, i)
        if len(group) >= DELIBERATE and _foreign(notes[i], better):
            continue
        changed = [better if k in group and better in phrase.names[k] else p for k, p in enumerate(typed)]
        gain = phrase.cost(typed, group) - phrase.cost(changed, group)
        if gain < wanted:
            continue
        changed = [*typed[:i], better, *typed[i + 1 :]]
        why = reason(Case(notes, typed, i, better), phrase.terms(i, typed), phrase.terms(i, changed))
        found.append(Doubt(i, typed[i], better, min(here, gain), why))
    return tuple(found)


def _wanted(note: Note, place: int) -> bool:
    """A sharp under `enharmonic sharps`, a flat under `enharmonic flats`: the writer asked for it."""
    alter = name_at(place)[1]
    return (note.prefer == "sharps" and alter > 0) or (note.prefer == "flats" and alter < 0)


def _repetitions(phrase: Phrase, typed: Sequence[int], i: int) -> set[int]:
    """The same name again close by, with at most one other note in between, and note `i` itself."""
    group = {i}
    for direction in (1, -1):
        last = k = i
        while 0 <= (k := k + direction) < len(typed) and abs(k - last) <= 2:
            if typed[k] == typed[i] and phrase.notes[k].name is None:
                group.add(k)
                last = k
    return group


def _foreign(note: Note, place: int) -> bool:
    """Whether a name belongs neither to the key nor to the chord."""
    return scale_distance(place, note.key) > 0 and not _in_chord(note, place)


class WrongKey(NamedTuple):
    """A key that the notes fit better: how many lie outside the key as typed, and outside the other one."""

    key: Key
    outside: int
    there: int
    notes: int


def check_key(notes: Sequence[Note], typed: Sequence[int]) -> WrongKey | None:
    """Return the neighbour key that the notes clearly fit better than the one in force, if there is one.

    All notes must stand in one key. Chord tones do not count: a blues or a chain of dominants leaves its key all the
    time. A neighbour is a signature with one or two signs more or less; it must leave out at most a fifth as many
    notes, four fewer at least, and more than one note in twelve must speak for it.
    """
    own = [place for note, place in zip(notes, typed, strict=True) if not _in_chord(note, place)]
    if len(own) < 12:
        return None
    key = notes[0].key
    outside = _outside(own, key.fifths)
    best: WrongKey | None = None
    for signature in _neighbours(key.fifths):
        there = _outside(own, signature)
        if outside - there < max(4, len(own) / 12) or 5 * there > outside:
            continue
        if best is None or there < best.there:
            best = WrongKey(_with_signature(key, signature), outside, there, len(own))
    return best


def _in_chord(note: Note, place: int) -> bool:
    if note.chord is None:
        return False
    return any(t.name == name_at(place) for t in note.chord.tones)


def _outside(places: Sequence[int], signature: int) -> int:
    return sum(not -1 <= place - signature <= 5 for place in places)


def _neighbours(signature: int) -> Iterator[int]:
    for by in (1, -1, 2, -2):
        if -7 <= signature + by <= 7:
            yield signature + by


def _with_signature(key: Key, signature: int) -> Key:
    """The key of the same mode that has this signature."""
    letter, alter = name_at(key.tonic_fifths + signature - key.fifths)
    return Key(letter, alter, key.mode)

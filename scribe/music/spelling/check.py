"""The checker: typed names that a good reader would clearly not expect.

It stays silent on everything that can be defended. A name is doubted only where the whole phrase would cost clearly
more with it, whatever the other notes were called, and where changing it alone (with its repetitions close by) helps
as much while all others stay as typed.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from scribe.music.key import MODES, Key
from scribe.music.pitch import name_at
from scribe.music.spelling.costs import COSTS, REACH, TRITONE, Costs, fifths_of, own_terms, scale_distance
from scribe.music.spelling.note import Note
from scribe.music.spelling.speller import Phrase, merged

CLEAR = 9.0  # the margin of a doubt (see `python -m tests.benchmarks.spelling`: false alarms, planted names found)
CLEAR_CHORD = 4.0  # … where the chord in force has the sound as its own tone
CLEAR_KEY = 5.0  # … where the better name is of the key's own scale
AROUND = REACH + 4  # notes on either side of a suspect that are looked at
DELIBERATE = 4  # so many repetitions are no slip, unless the better name is the key's or chord's own


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

    `Note.name` marks names that are not in question (settled by a degree, or by the writer's `=`). A name that key or
    chord has is never doubted: only the surroundings of the others are looked at.
    """
    struck, index = merged([*zip(notes, typed, strict=True)])
    times = Counter(index)
    suspects = [
        i
        for i, (note, place) in enumerate(struck)
        if note.name is None
        and own_terms(note, place, costs)[0]
        and not _in_chord(note, place)
        and not _altered_tone(note, place)
    ]
    found: dict[int, Doubt] = {}
    for start, end, inside in _windows(suspects, len(struck)):
        stretch = Stretch(
            tuple(note for note, _ in struck[start:end]),
            tuple(place for _, place in struck[start:end]),
            tuple(times[i] for i in range(start, end)),
        )
        for doubt in _doubts(stretch, [i - start for i in inside], costs, clear):
            found[doubt.at + start] = doubt
    return tuple(found[k]._replace(at=i) for i, k in enumerate(index) if k in found)


class Stretch(NamedTuple):
    """Notes under their typed names, direct repetitions as one: how often each is struck."""

    notes: tuple[Note, ...]
    typed: tuple[int, ...]
    times: tuple[int, ...]


def _windows(suspects: Sequence[int], count: int) -> Iterator[tuple[int, int, list[int]]]:
    """Yield the stretches around suspects, those that touch as one: start, end, the suspects inside."""
    run: list[int] = []
    for i in suspects:
        if run and i - run[-1] > 2 * AROUND:
            yield max(0, run[0] - AROUND), min(count, run[-1] + AROUND + 1), run
            run = []
        run.append(i)
    if run:
        yield max(0, run[0] - AROUND), min(count, run[-1] + AROUND + 1), run


def _doubts(stretch: Stretch, suspects: Sequence[int], costs: Costs, clear: float) -> Iterator[Doubt]:
    # Most drafts have no suspect, and start faster without these.
    from scribe.music.spelling.passage import in_chromatic_scale, passage_keys
    from scribe.music.spelling.reasons import Case, reason

    notes, typed, _ = stretch
    # What the writer prefers for pitches without a name is no reason to doubt a name.
    phrase = Phrase([n._replace(prefer="") for n in notes], typed, costs, also=typed)
    margins = phrase.margins()
    for i in suspects:
        better, gain = _weighed(phrase, stretch, i, margins[i], clear)
        if better == typed[i] or in_chromatic_scale(notes, typed, i):
            continue
        if any(_defended(stretch, i, key, costs, clear) for key in passage_keys(notes, typed, i)):
            continue
        alone = [*typed[:i], better, *typed[i + 1 :]]
        why = reason(Case(notes, typed, i, better), phrase.terms(i, typed), phrase.terms(i, alone))
        yield Doubt(i, typed[i], better, gain, why)


def _weighed(
    phrase: Phrase, stretch: Stretch, i: int, margins: Sequence[float], clear: float
) -> tuple[int, float]:
    """Return the name that note `i` ought to have and by how much it is better; the typed one if that will do."""
    notes, typed, times = phrase.notes, stretch.typed, stretch.times
    places = phrase.names[i]
    here = margins[places.index(typed[i])]
    better = places[margins.index(min(margins))]
    wanted = CLEAR_CHORD if "chord_tone" in phrase.terms(i, typed) else clear
    if scale_distance(better, notes[i].key) == 0:
        wanted = min(wanted, CLEAR_KEY)
    if better == typed[i] or here < wanted:
        return typed[i], 0.0
    if _foreign(notes[i], better) and (_wanted(stretch.notes[i], typed[i]) or _blue(phrase, typed, i)):
        return typed[i], 0.0
    group = _repetitions(phrase, typed, i)
    if sum(times[k] for k in group) >= DELIBERATE and _foreign(notes[i], better):
        return typed[i], 0.0
    changed = [better if k in group and better in phrase.names[k] else p for k, p in enumerate(typed)]
    gain = phrase.cost(typed, group) - phrase.cost(changed, group)
    return (better, min(here, gain)) if gain >= wanted else (typed[i], 0.0)


def _defended(stretch: Stretch, i: int, key: Key, costs: Costs, clear: float) -> bool:
    """Whether nothing would be said of a name if its passage stood in this key."""
    from scribe.music.spelling.passage import in_chromatic_scale

    around = slice(max(0, i - AROUND), i + AROUND + 1)
    near = Stretch(
        tuple(n._replace(key=key, prefer="") for n in stretch.notes[around]),
        stretch.typed[around],
        stretch.times[around],
    )
    at = i - around.start
    if in_chromatic_scale(near.notes, near.typed, at):
        return True
    phrase = Phrase(near.notes, near.typed, costs, also=near.typed)
    return _weighed(phrase, near, at, phrase.margins()[at], clear)[0] == near.typed[at]


def _wanted(note: Note, place: int) -> bool:
    """A sharp under `enharmonic sharps`, a flat under `enharmonic flats`: the writer asked for it."""
    alter = name_at(place)[1]
    return (note.prefer == "sharps" and alter > 0) or (note.prefer == "flats" and alter < 0)


def _blue(phrase: Phrase, typed: Sequence[int], i: int) -> bool:
    """The raised fourth of a falling blues line, for which the flat fifth would be better: both are in use."""
    return i in phrase.blues and typed[i] - phrase.notes[i].key.tonic_fifths == TRITONE


def _altered_tone(note: Note, place: int) -> bool:
    """Whether an altered tone of a dominant or augmented chord bears its other name.

    Sharp fifth and flat thirteenth, flat fifth and sharp eleventh, sharp ninth and minor third stand for each other
    (common practice, no source).
    """
    if note.chord is None:
        return False
    labels = {tone.label: fifths_of(*tone.name) for tone in note.chord.tones}
    if "3" not in labels or "7" in labels:
        return False
    return any(
        abs(place - labels[label]) == 12 for label in ("#5", "b13", "b5", "#11", "#9") if label in labels
    )


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
    """A signature that the notes fit better.

    `key`: the key of the same mode that has it. `mode`: the key of the same tonic that has it, None where no mode does.
    `outside`, `there`: how many of `notes` notes lie outside the key in force and outside the other one.
    """

    key: Key
    mode: Key | None
    outside: int
    there: int
    notes: int


def check_key(notes: Sequence[Note], typed: Sequence[int]) -> WrongKey | None:
    """Return the key that the notes clearly fit better than the one in force, if there is one.

    All notes must stand in one key. The better one must have as its own all the letters in which the two differ: the
    first that its signature alters at least four times, the others twice, and at most once in seven as the key in
    force has it. Of several it is the one with the fewest notes outside, then the nearest. Chord tones do not count: a
    blues or a chain of dominants leaves its key all the time.
    """
    own = Counter(place for note, place in zip(notes, typed, strict=True) if not _in_chord(note, place))
    return check_places(notes[0].key, own) if own else None


def check_places(key: Key, own: Mapping[int, int]) -> WrongKey | None:
    """The same for notes known only by how often each place on the line of fifths is struck (no chord tones)."""
    best: WrongKey | None = None
    for by in (by for more in range(1, 8) for by in (more, -more)):
        signature = key.fifths + by
        if abs(signature) > 7 or not _altered(own, key.fifths, by):
            continue
        there = _outside(own, signature)
        if best is None or there < best.there:
            letter, alter = name_at(key.tonic_fifths + by)
            best = WrongKey(
                Key(letter, alter, key.mode),
                _same_tonic(key, signature),
                _outside(own, key.fifths),
                there,
                sum(own.values()),
            )
    return best


def _altered(places: Mapping[int, int], signature: int, by: int) -> bool:
    """Whether the letters that `by` more sharps (or flats) alter are altered nearly always, the first of them often."""
    letters = [signature - 1 + k for k in range(by)] if by > 0 else [signature + 5 - k for k in range(-by)]
    for i, place in enumerate(letters):
        kept, changed = places.get(place, 0), places.get(place + (7 if by > 0 else -7), 0)
        if changed < (2 if i else 4) or changed < 6 * kept:
            return False
    return True


def _same_tonic(key: Key, signature: int) -> Key | None:
    for mode, offset in MODES.items():
        if offset == key.tonic_fifths - signature:
            return key._replace(mode=mode)
    return None


def _outside(places: Mapping[int, int], signature: int) -> int:
    return sum(count for place, count in places.items() if not -1 <= place - signature <= 5)


def _in_chord(note: Note, place: int) -> bool:
    if note.chord is None:
        return False
    return any(t.name == name_at(place) for t in note.chord.tones)

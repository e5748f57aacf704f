"""Why one name and not another, in the words of the trade."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from scribe.music.key import MAJOR_DEGREES, Key
from scribe.music.pitch import name_at
from scribe.music.spelling.costs import TRITONE, Terms, fifths_of, scale_distance
from scribe.music.spelling.note import Note

ALTERATION = {-2: " double flat", -1: " flat", 0: "", 1: " sharp", 2: " double sharp"}
CHORD_PART = {
    1: "root",
    2: "second",
    3: "third",
    4: "fourth",
    5: "fifth",
    6: "sixth",
    7: "seventh",
    9: "ninth",
}
CHORD_PART |= {11: "eleventh", 13: "thirteenth"}
KEY_PART = (
    "tonic",
    "second degree",
    "third degree",
    "fourth degree",
    "fifth degree",
    "sixth degree",
    "seventh degree",
)

# What lies outside a chord's own tones, by its place above the root on the line of fifths.
TENSIONS = {-6: "flat fifth", -5: "flat ninth", -4: "flat thirteenth", -3: "minor third", -2: "minor seventh"}
TENSIONS |= {6: "sharp eleventh", 5: "major seventh", 8: "sharp fifth", 9: "sharp ninth"}


def spoken(place: int) -> str:
    """`A flat`, `F double sharp`: a name in words."""
    letter, alter = name_at(place)
    return letter + ALTERATION.get(alter, f" with {abs(alter)} {'sharps' if alter > 0 else 'flats'}")


class Case(NamedTuple):
    """Note `i` of a phrase under the names that it has, and the name that would be better."""

    notes: Sequence[Note]
    names: Sequence[int]
    i: int
    better: int

    @property
    def note(self) -> Note:
        return self.notes[self.i]

    @property
    def name(self) -> str:
        """The better name in words."""
        return spoken(self.better)

    @property
    def usual(self) -> str:
        return f"here {self.name} is usual"


def reason(case: Case, more: Terms, less: Terms) -> str:
    """Return why a note is better called otherwise: `in Eb major: this is the key's own fourth degree, A flat`.

    `more`: the costs, by rule, of the name that it has; `less`: those of the better one. Where the better name belongs
    to chord or key, that is the reason; else the rule that tells the two apart most gives it.
    """
    note = case.note
    part = _chord_part(note, case.better)
    if part and note.chord is not None:
        return f"over {note.chord.text}: the {part} of the chord is {case.name}"
    if scale_distance(case.better, note.key) == 0 and scale_distance(case.names[case.i], note.key):
        return f"in {note.key}: {_key_part(case.better, note.key)}{case.name}"
    apart = {rule: more[rule] - less.get(rule, 0.0) for rule in more}
    rule = max(apart, key=lambda r: apart[r], default="")
    return _WORDS[rule](case) if rule in _WORDS else case.usual


def _chord_part(note: Note, place: int) -> str:
    if note.chord is None or note.chord.root is None:
        return ""
    for tone in note.chord.tones:
        if fifths_of(*tone.name) == place:
            number = int(tone.label.lstrip("#b"))
            altered = {"b": "flat ", "#": "sharp "}.get(tone.label[0], "") if number > 7 else ""
            return altered + CHORD_PART[number]
    return ""


def _key_part(place: int, key: Key) -> str:
    above = place - key.tonic_fifths
    own = -1 <= place - key.fifths <= 5
    if not own:
        return "the leading tone is " if above == 5 else "the raised sixth degree is "
    degree = next(n for n, d in enumerate(MAJOR_DEGREES) if (d - above) % 7 == 0)
    return f"this is the key's own {KEY_PART[degree]}, "


def _leads(case: Case) -> str:
    up, down = _target(case, 1), _target(case, -1)
    if up is not None and case.better - up == 5:
        return f"before {spoken(up)}: a note that leads up a semitone stands one letter below, {case.name}"
    if down is not None and case.better - down == -5:
        return (
            f"before {spoken(down)}: a note that leads down a semitone stands one letter above, {case.name}"
        )
    for k in (case.i - 1, case.i + 1):
        if not 0 <= k < len(case.notes) or abs(case.notes[k].midi - case.note.midi) != 1:
            continue
        if abs(case.better - case.names[k]) == 5:
            return f"beside {spoken(case.names[k])}: a semitone step takes two letters, {case.name}"
    return case.usual


def _target(case: Case, step: int) -> int | None:
    """The name of the note a semitone above (`step` 1) or below that a note leads to, at once or over one other."""
    for k in (case.i + 1, case.i + 2):
        if k < len(case.notes) and case.notes[k].midi - case.note.midi == step:
            return case.names[k]
    return None


def _twin(case: Case) -> str:
    return f"beside the same note under another name: {case.name} as there"


def _surroundings(case: Case) -> str:
    near: list[int] = []
    reach = range(max(0, case.i - 8), min(len(case.notes), case.i + 9))
    for k in sorted(reach, key=lambda k: abs(k - case.i)):
        other = case.names[k]
        apart = abs(other - case.names[case.i]) > TRITONE and abs(other - case.better) <= TRITONE
        if apart and other not in near:
            near.append(other)
    if not near:
        return case.usual
    listed = " and ".join(spoken(place) for place in near[:2])
    return f"near {listed}: with {'these' if len(near) > 1 else 'it'} goes {case.name}"


def _key_distance(case: Case) -> str:
    return f"is far from {case.note.key}: {case.name} lies nearer"


def _double(case: Case) -> str:
    return f"takes two accidentals: {case.name} will do"


def _white(case: Case) -> str:
    return f"has a plain name: {case.name}"


def _root(case: Case) -> str:
    chord = case.note.chord
    if chord is None or chord.root is None:
        return case.usual
    above = case.better - fifths_of(*chord.root)
    if above in TENSIONS:
        return f"over {chord.text}: the {TENSIONS[above]} is {case.name}"
    return f"over {chord.text}: {case.name} lies nearer to the chord"


_WORDS: dict[str, Callable[[Case], str]] = {
    "rising": _leads,
    "falling": _leads,
    "run": _leads,
    "around": _leads,
    "unison": _leads,
    "twin": _twin,
    "turn": _twin,
    "skip": _surroundings,
    "near_flat": _surroundings,
    "far_flat": _surroundings,
    "near_sharp": _surroundings,
    "far_sharp": _surroundings,
    "fifth": _key_distance,
    "double": _double,
    "root": _root,
    "white": _white,
    "preference": _key_distance,
}

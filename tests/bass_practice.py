"""Fingerings that teachers of the bass write on the board, for comparing string choices.

Every entry is common practice without a source ([C]): typed from what method books and lessons usually show, not
taken from one of them. The weights of `scribe.bass.hand` were chosen with this list in view, so agreement with it says
that one table can hold all of it; `tests.bass_practice_unseen` says how the table does on what it was not chosen for.
Where two ways are taught (the closed box that moves to any key, and the one with open strings) both stand there, and a
line counts by the nearer one. The open ways of the minor pentatonic and the blues follow from those of the minor scale;
they were left out at first, when 484 of the 507 notes agreed. A human may overrule each of them.
"""

from __future__ import annotations

from typing import NamedTuple

from scribe import compile
from scribe.bass.fingered import effort_of
from scribe.bass.fingering import solve
from scribe.bass.grips import Grip
from scribe.bass.line import Line, Tone, line_of


class Practice(NamedTuple):
    """`ways`: frets as a draft has them, in the order played; every way has the same pitches.

    `tag`: C for common practice without a source, D where the words decide it ("in first position" is each note on
    the string where its fret is lowest). `setting`: the lines of a draft that name another bass.
    """

    kind: str
    name: str
    ways: tuple[str, ...]
    tag: str = "C"
    setting: str = ""


def box(strings: str, root: int, shape: tuple[tuple[int, ...], ...]) -> str:
    """A movable shape, in frets from the root's."""
    return " ".join(
        ":".join([string, *(str(root + at) for at in row)])
        for string, row in zip(strings, shape, strict=False)
    )


def notes_of(way: str) -> list[str]:
    """The notes of a way one by one: `E:3`, `E:5`."""
    return [f"{part[0]}:{fret}" for part in way.split() for fret in part[2:].split(":")]


MAJOR = ((0, 2), (-1, 0, 2), (-1, 1, 2))
MINOR = ((0, 2, 3), (0, 2, 3), (0, 2))
TRIAD, MINOR_TRIAD = ((0,), (-1, 2), (2,)), ((0, 3), (2,), (2,))
SEVENTH, MAJOR_SEVENTH = ((0,), (-1, 2), (0,)), ((0,), (-1, 2), (1,))
MINOR_SEVENTH, HALF_DIMINISHED = ((0, 3), (2,), (0,)), ((0, 3), (1,), (0,))
ROOT_FIFTH_OCTAVE = ((0,), (2,), (2,))
PENTATONIC = ((0, 3), (0, 2), (0, 2))
BLUES = ((0, 3), (0, 1, 2), (0, 2))

# Root, its string and fret, other ways that are taught besides the box
_MAJOR = (
    ("F#", "EAD", 2, ()),
    ("G", "EAD", 3, ("E:3 A:0:2:3 D:0:2:4:5",)),
    ("Ab", "EAD", 4, ()),
    ("A", "EAD", 5, ("A:0:2:4 D:0:2:4 G:1:2",)),
    ("Bb", "EAD", 6, ("A:1:3 D:0:1:3 G:0:2:3",)),
    ("B", "ADG", 2, ()),
    ("C", "ADG", 3, ("A:3 D:0:2:3 G:0:2:4:5",)),
    ("Db", "ADG", 4, ()),
    ("D", "ADG", 5, ("D:0:2:4 G:0:2:4:6:7",)),
    ("Eb", "ADG", 6, ()),
    ("E, high", "ADG", 7, ()),
)
_MINOR = (
    ("F", "EAD", 1, ()),
    ("F#", "EAD", 2, ("E:2:4 A:0:2:4 D:0:2:4",)),
    ("G", "EAD", 3, ("E:3 A:0:1:3 D:0:1:3:5", "E:3:5 A:1:3:5 D:1:3:5")),
    ("A", "EAD", 5, ("A:0:2:3 D:0:2:3 G:0:2",)),
    ("Bb", "ADG", 1, ()),
    ("B", "ADG", 2, ("A:2:4 D:0:2:4 G:0:2:4",)),
    ("C", "ADG", 3, ("A:3 D:0:1:3 G:0:1:3:5",)),
    ("C#", "ADG", 4, ()),
    ("D", "ADG", 5, ()),
    ("Eb", "ADG", 6, ()),
)
_ROOTS = {
    "F": ("EAD", 1),
    "G": ("EAD", 3),
    "Ab": ("EAD", 4),
    "Bb": ("ADG", 1),
    "C": ("ADG", 3),
    "Db": ("ADG", 4),
}
_FIVES = {**_ROOTS, "B": ("ADG", 2), "D": ("ADG", 5), "Eb": ("ADG", 6)}
_BLUES = {
    "F#": ("EAD", 2),
    "G": ("EAD", 3),
    "A": ("EAD", 5),
    "B": ("ADG", 2),
    "C": ("ADG", 3),
    "D": ("ADG", 5),
}


def _pentatonic(root: str) -> tuple[str, ...]:
    """A minor scale's other ways without its second and sixth."""
    ways = next((more for name, _, _, more in _MINOR if name == root), ())
    return tuple(" ".join(notes[i] for i in (0, 2, 3, 4, 6, 7)) for notes in map(notes_of, ways))


def _blues(root: str) -> tuple[str, ...]:
    """The same with the flat fifth: one fret above the fourth."""
    found = []
    for notes in map(notes_of, _pentatonic(root)):
        string, fret = notes[2].split(":")
        found.append(" ".join([*notes[:3], f"{string}:{int(fret) + 1}", *notes[3:]]))
    return tuple(found)


# Chord shapes whose fifth and octave are open strings are taught so too.
_OPEN = {
    ("major triad", "G"): ("E:3 A:2 D:0 G:0", "E:3 A:2 D:0 D:5"),
    ("major triad", "C"): ("A:3 D:2 G:0 G:5",),
    ("minor triad", "G"): ("E:3 A:1 D:0 G:0",),
    ("minor triad", "C"): ("A:3 D:1 G:0 G:5",),
    ("seventh", "G"): ("E:3 A:2 D:0 D:3",),
    ("seventh", "C"): ("A:3 D:2 G:0 G:3",),
    ("major seventh", "G"): ("E:3 A:2 D:0 D:4",),
    ("major seventh", "C"): ("A:3 D:2 G:0 G:4",),
    ("minor seventh", "G"): ("E:3 A:1 D:0 D:3",),
    ("minor seventh", "C"): ("A:3 D:1 G:0 G:3",),
    # Whoever is taught a minor scale with open strings plays the five notes and the blues out of it as well.
    **{("minor pentatonic", root): _pentatonic(root) for root in _BLUES},
    **{("blues box", root): _blues(root) for root in _BLUES},
}


def _chords(
    kind: str, shape: tuple[tuple[int, ...], ...], roots: dict[str, tuple[str, int]]
) -> list[Practice]:
    return [
        Practice(kind, f"{root} {kind}", (box(strings, fret, shape), *_OPEN.get((kind, root), ())))
        for root, (strings, fret) in roots.items()
        if fret + min(map(min, shape)) > 0
    ]


WALKING = (
    ("F, one bar of F7", "E:1 A:0 :3 D:0"),
    ("F7 to B flat 7", "E:1 A:0 :3 E:3 A:1 D:0 :3 :1"),
    ("B flat, two bars", "A:1 D:0 :3 G:0 :1 :0 D:3 :0"),
    ("C7 to F7", "A:3 D:2 G:0 D:2 E:1 A:0 :3 E:3"),
    ("G minor 7 to C7", "E:3 A:1 D:0 :3 :2 :0 A:3 :1"),
    ("A minor in first position", "A:0 :2 :3 D:2 :0 A:3 :2 :0"),
    ("E minor in first position", "E:0 :2 :3 A:2 :0 E:3 :2 :0"),
    ("D minor to G7", "D:0 :3 :2 :0 E:3 A:2 D:0 A:2"),
    ("G major to C", "E:3 A:2 D:0 A:2 :3 D:2 G:0 D:2"),
    ("C, up by steps", "A:3 D:0 :2 :3 G:0 D:3 :2 :0"),
    ("chromatic to the fifth", "E:1 :2 :3 A:0 :1 :2 :3 D:0"),
)
ROOT_FIFTH_OPEN = (("E", ("E:0 A:2 D:2",)), ("A", ("A:0 D:2 G:2", "E:5 A:7 D:7")))

PRACTICE: tuple[Practice, ...] = (
    *(Practice("major scale", f"{n} major", (box(s, f, MAJOR), *more)) for n, s, f, more in _MAJOR),
    Practice("major scale", "F major", ("E:1:3 A:0:1:3 D:0:2:3",)),
    Practice("major scale", "E major", ("E:0:2:4 A:0:2:4 D:1:2",)),
    *(Practice("minor scale", f"{n} minor", (box(s, f, MINOR), *more)) for n, s, f, more in _MINOR),
    Practice("minor scale", "E minor", ("E:0:2:3 A:0:2:3 D:0:2",)),
    *_chords("major triad", TRIAD, _ROOTS),
    *_chords("minor triad", MINOR_TRIAD, _ROOTS),
    *_chords("seventh", SEVENTH, _ROOTS),
    *_chords("major seventh", MAJOR_SEVENTH, _ROOTS),
    *_chords("minor seventh", MINOR_SEVENTH, _ROOTS),
    *_chords("half-diminished", HALF_DIMINISHED, _ROOTS),
    *_chords("root, fifth, octave", ROOT_FIFTH_OCTAVE, _FIVES),
    *(Practice("root, fifth, octave", n, ways) for n, ways in ROOT_FIFTH_OPEN),
    *_chords("minor pentatonic", PENTATONIC, _BLUES),
    *_chords("blues box", BLUES, _BLUES),
    *(Practice("walking line, first position", n, (way,)) for n, way in WALKING),
)


def draft_of(way: str, setting: str = "") -> str:
    """A way as a draft: one bar, a note a beat at the speed of eighths at 100."""
    words: list[str] = []
    string = ""
    for part in way.replace(" ", ":").split(":"):
        if part.isdigit():
            words.append(f"{string}:{part}")
        elif part:
            string = part
    return f"{setting}time {len(words)}/4\ntempo 200\n| {' '.join(words)} |\n"


def line_typed(way: str, setting: str = "") -> Line:
    """A way as the product reads it."""
    compiled = compile(draft_of(way, setting))
    assert all(said.severity == "hint" for said in compiled.diagnostics), compiled.diagnostics
    return line_of(compiled.piece)


def places_typed(way: str, setting: str = "") -> list[tuple[int, int]]:
    """The places of a way: string (1 = highest) and fret."""
    return [(m.tones[0].string or 0, m.tones[0].fret or 0) for m in line_typed(way, setting).moments]


class Agreement(NamedTuple):
    """How many notes lie where the nearer of an entry's ways has them, of how many, and where ours lie."""

    same: int
    count: int
    ours: tuple[Grip | None, ...]


def agreement(practice: Practice) -> Agreement:
    """Finger an entry's pitches, its strings and frets forgotten, and compare with each of its ways."""
    line = line_typed(practice.ways[0], practice.setting)
    asked = tuple(m._replace(tones=tuple(Tone(tone.midi) for tone in m.tones)) for m in line.moments)
    neck = line.necks[0]
    path = solve(asked, neck, effort_of(neck))
    ours = [(grip.stops[0].string, grip.stops[0].fret) if grip else None for grip in path.grips]
    ways = [places_typed(way, practice.setting) for way in practice.ways]
    same = max(sum(a == b for a, b in zip(ours, way, strict=True)) for way in ways)
    return Agreement(same, len(ours), path.grips)

"""Directions and marks by the names that they have on paper and in speech, for those who do not know ours yet."""

from __future__ import annotations

import re

from scribe.source.spot import END

# Directions as they are said or printed, for the one word that stands for them; then what the hint says.
PHRASES = tuple(
    (re.compile(rf"'{pattern}{END}", re.I), name, words)
    for pattern, name, words in (
        (
            r"d\.?s\.?[ \t_-]*al[ \t._-]*fine",
            "ds",
            "`'ds` alone prints \"D.S. al Fine\" where a `'fine` stands",
        ),
        (
            r"d\.?c\.?[ \t_-]*al[ \t._-]*fine",
            "dc",
            "`'dc` alone prints \"D.C. al Fine\" where a `'fine` stands",
        ),
        (
            r"d\.?s\.?[ \t_-]*al([ \t._-]*\w+)?",
            "ds",
            "`'ds` alone prints \"D.S. al Coda\" where a `'coda` stands",
        ),
        (
            r"d\.?c\.?[ \t_-]*al([ \t._-]*\w+)?",
            "dc",
            "`'dc` alone prints \"D.C. al Coda\" where a `'coda` stands",
        ),
        (r"d\.?s\.?", "ds", ""),
        (r"d\.?c\.?", "dc", ""),
        (r"(cresc|dim|pizz|sim)\.", r"\1", ""),
        (r"to[ \t_-]+coda", "tocoda", ""),
        (r"al[ \t_-]*coda", "tocoda", "the way back is `'ds`, the jump to the coda `'tocoda`"),
        (r"let[ \t_-]*ring", "ring", ""),
        (r"laid[ \t_-]+back", "laidback", ""),
        (r"palm[ \t_-]*mut(?:ed?|ing)", "palm", ""),
        (r"p\.m\.?", "palm", ""),
    )
)

# Marks behind a note, by the names that are given them where a direction is expected.
MARK_NAMES = {
    "fermata": "'h", "hold": "'h", "held": "'h", "accent": ">", "acc": ">", "staccato": "*", "stacc": "*",
    "tenuto": "_", "ten": "_", "harmonic": "'o", "harm": "'o", "vibrato": "'v", "vib": "'v", "bend": "'b",
    "bent": "'b", "pop": "'p", "popped": "'p", "fall": "\\", "falloff": "\\",
}  # fmt: skip
SHORTEST_PART = 3  # letters of a name that stand for it
# Changes of tempo and the like, which are printed as words: what is put between quotes.
WORDS = {
    "rit": "rit.", "ritard": "rit.", "ritardando": "rit.", "rall": "rall.", "rallentando": "rall.",
    "accel": "accel.", "accelerando": "accel.", "atempo": "a tempo", "tempo": "a tempo", "rubato": "rubato",
    "tr": "tr", "trill": "tr", "turn": "turn", "legato": "legato", "stacc": "stacc.", "8va": "8va", "8vb": "8vb",
}  # fmt: skip
# What has a sign of its own before the note or instead of it, by the names that are given it.
_GHOST = "a ghost note has `q` before it: `qg`"
_SLIDE = "a slide stands before the note that it leads to: `/` up, `\\` down, as in `g/a`"
_HAMMER = "a hammer-on stands before the note that it leads to: `h`, as in `gha`"
_PULL = "a pull-off stands before the note that it leads to: `p`, as in `apg`"
_SLUR = "a slur stands before the note that it leads to: `~`, as in `g~a`"
_DEAD = "a dead note is `x`, in place of the note"
OTHER_SIGNS = {
    "ghost": _GHOST, "gh": _GHOST, "dead": _DEAD, "muted": _DEAD, "x": _DEAD,
    "slide": _SLIDE, "gliss": _SLIDE, "glissando": _SLIDE, "sl": _SLIDE, "port": _SLIDE, "portamento": _SLIDE,
    "hammer": _HAMMER, "hammeron": _HAMMER, "ho": _HAMMER, "pull": _PULL, "pulloff": _PULL, "po": _PULL,
    "slur": _SLUR, "leg": _SLUR, "tie": "a note is held by `-` in the next slot, over a barline too",
}  # fmt: skip
# Loudness by its Italian name (common practice, no source).
LOUDNESS = {
    "piano": "p", "pianissimo": "pp", "forte": "f", "fortissimo": "ff", "mezzopiano": "mp", "mezzoforte": "mf",
    "mezzo": "mf", "sforzando": "sfz", "sforzato": "sfz", "crescendo": "cresc", "decresc": "dim",
    "decrescendo": "dim", "diminuendo": "dim", "mute": "palm", "muted": "palm",
}  # fmt: skip


def mark_named(name: str) -> str | None:
    """Return the mark of a name, or of the beginning of one: `'*'` for `staccato`, `stacc` and `stac`."""
    name = name.lower()
    if name in MARK_NAMES:
        return MARK_NAMES[name]
    marks = {mark for whole, mark in MARK_NAMES.items() if whole.startswith(name)}
    return marks.pop() if len(name) >= SHORTEST_PART and len(marks) == 1 else None

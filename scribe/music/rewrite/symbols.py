"""Chord symbols moved to another key, so that they come back as they were typed."""

from __future__ import annotations

from scribe.music.chord import parse_chord
from scribe.music.chord_table import SYMBOL
from scribe.music.key import Key
from scribe.music.pitch import ACCIDENTAL, FIFTHS, LETTERS, name_at

# Where roots lie on the line of fifths around a key's signature, twelve places each: from the tritone substitute of
# the tonic's dominant (-5) to the raised fourth degree; diminished chords lead upwards from their roots and lie on the
# sharp side, but for the one on the flat third. Common practice, no source.
_USUAL = range(-5, 7)
_LEADING = range(-3, 9)
_PLAIN = range(-6, 11)  # G flat to A sharp
_BASSES = range(-8, 13)  # F flat to B sharp
_SCALE, _SCALE_AND_LEADING = range(-1, 6), range(-1, 9)  # in the key itself, C flat and E sharp are roots too
_LEADING_KINDS = ("diminished", "diminished-seventh", "half-diminished")


def move_symbol(text: str, before: Key, after: Key) -> str:
    """Return a chord symbol of one key as it stands in another of the same mode; what is behind the root stays.

    Root and slash bass keep their places in the key, so that the way back leads to the same text. Where one of them
    would have no usual name, both take their enharmonic ones; a name that stands in its key for such a one is taken for
    it, and comes out as the plain one. N.C. stays; of a symbol not understood root and bass move.
    """
    found = SYMBOL.fullmatch(text)
    if found is None:
        return text
    chord = parse_chord(text)
    leading = chord is not None and chord.kind in _LEADING_KINDS
    usual, scale = (_LEADING, _SCALE_AND_LEADING) if leading else (_USUAL, _SCALE)
    root, bass = _place(found["root"]), _place(found["bass"] or found["root"])

    def strange(by: int, key: Key) -> tuple[bool, bool]:
        """Whether root and bass, so many places further on the line of fifths, are names that nobody reads there."""
        place = root + by
        owned = place in _BASSES and place - key.fifths in scale
        return place not in _PLAIN and not owned, bass + by not in _BASSES

    turn = (root - before.fifths - usual.start) // 12 * -12  # to where such a root usually lies
    wished = after.fifths - before.fifths
    if turn and any(strange(turn, before)):  # it had to stand there under another name
        wished += turn
    turns = (wished + 12 * n for n in range(-3, 4))
    moved = min(turns, key=lambda by: (*strange(by, after), abs(by - wished)))
    if not found["bass"]:
        return _name(root + moved) + found["body"]
    low = bass + moved
    while low not in _BASSES:
        low += 12 if low < 0 else -12
    return f"{_name(root + moved)}{found['body']}/{_name(low)}"


def _place(name: str) -> int:
    return FIFTHS[LETTERS.index(name[0])] + 7 * (name.count("#") - name.count("b"))


def _name(place: int) -> str:
    letter, alter = name_at(place)
    return letter + ACCIDENTAL[alter]

"""Spelling: the name a reader expects for every pitch, in its key, over its chord, among its neighbours.

`spell` names the pitches of a phrase, `explain` says how it came to its names, `check_names` doubts typed ones and
`check_key` a typed key. All are pure functions of the notes given.
"""

from scribe.music.spelling.check import Doubt, WrongKey, check_key, check_names
from scribe.music.spelling.costs import COSTS, Costs
from scribe.music.spelling.explain import Candidate, Explanation, explain
from scribe.music.spelling.note import Note
from scribe.music.spelling.speller import spell

__all__ = [
    "COSTS",
    "Candidate",
    "Costs",
    "Doubt",
    "Explanation",
    "Note",
    "WrongKey",
    "check_key",
    "check_names",
    "explain",
    "spell",
]

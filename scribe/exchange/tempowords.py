"""Words above the staff that speak of the tempo, of one or of a change: they hold for every part of a score."""

from __future__ import annotations

import re

from scribe.music.inforce import Tempo

NAMES = {
    "W": "whole",
    "H": "half",
    "Q": "quarter",
    "E": "eighth",
    "S": "16th",
    "T": "32nd",
}  # of note values by their codes
# Terms of the trade (handbook tables of tempo marks; from memory), in the languages that scores use most.
_TERMS = """
    larghissimo largamente largo larghetto grave lento adagio adagietto andante andantino maestoso moderato allegretto
    allegro allegrissimo animato vivace vivacissimo presto prestissimo tempo tranquillo sostenuto
    langsam ruhig mäßig mässig bewegt lebhaft schnell rasch breit
    lent modéré vif vite animé
    slow slowly moderate moderately medium fast bright brightly lively up uptempo ballad blues swing shuffle bossa samba
    funk rock latin waltz march rubato
"""
_TEMPO = frozenset(_TERMS.split())
_CHANGE = re.compile(
    r"(?:(?:poco|molto|un|a|più|meno|sempre|e|ma|non|troppo|little|bit|gradually)\.? )*"
    r"(?:rit|ritard|ritardando|riten|ritenuto|rall|rallentando|accel|accelerando|string|stringendo|allarg|allargando"
    r"|calando|a tempo|tempo i|tempo primo|meno mosso|più mosso|mosso|slower|faster|slowing|zurückhaltend"
    r"|double time|half time|double-time|half-time)\b.*",
    re.IGNORECASE,
)
LONGEST = 60  # signs: longer texts speak of other things


def is_change(words: str) -> bool:
    """Whether words tell a change of the tempo in force: `poco rit.`, `a tempo`."""
    return len(words) <= LONGEST and _CHANGE.fullmatch(words.strip()) is not None


def is_tempo(words: str) -> bool:
    """Whether words name a tempo, and not a change of one: `Molto tranquillo`, `Slow Blues`."""
    if len(words) > LONGEST or is_change(words):
        return False
    return any(word.strip(".,:;!()").casefold() in _TEMPO for word in words.split())


def as_words(tempo: Tempo) -> str:
    """Return a tempo mark as it may stand above the staff inside a bar: `Lento quarter = 60`."""
    dots = tempo.value.count(".")
    name = f"{'dotted-' * (dots == 1)}{NAMES.get(tempo.value[:1], '')}" if dots < 2 else ""
    number = f"{name} = {float(tempo.bpm):g}" if name and tempo.bpm is not None else ""
    return " ".join(part for part in (tempo.words, number) if part)

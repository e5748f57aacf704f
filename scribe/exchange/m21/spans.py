"""What leads from note to note: slurs, hammer-ons, pull-offs, slides, vibrato."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from music21 import articulations, expressions, spanner, stream

from scribe.exchange.m21.events import Struck
from scribe.source.tree import Connector

DRAWN_ELSEWHERE = ("RepeatBracket", "Crescendo", "Diminuendo", "MultiMeasureRest", "StaffGroup", "Ottava")
Places = Mapping[int, int]  # id of a source's note -> its place in the order of playing


def connect(
    part: stream.Part, score: stream.Score, played: Sequence[Struck], named: Sequence[tuple[str, str]] = ()
) -> list[tuple[int, str]]:
    """Set the connectors of a part's notes; returns what cannot be said, each with a place in `played`.

    `named`: slurs by the ids of their notes.
    """
    places = {source: place for place, each in enumerate(played) for source in each.sources}
    lost: list[tuple[int, str]] = []
    names = {name: place for place, each in enumerate(played) for name in each.names}
    slurs = [(names[start], names[end]) for start, end in named if start in names and end in names]
    for sign in spanners(part, score):
        ends = [places[id(each)] for each in sign.getSpannedElements() if id(each) in places]
        if not ends or type(sign).__name__ in DRAWN_ELSEWHERE:
            continue
        first, last = min(ends), max(ends)
        if isinstance(sign, spanner.Slur):
            slurs.append((first, last))
        elif isinstance(sign, articulations.HammerOn | articulations.PullOff):
            _lead(played, last, "hammer" if isinstance(sign, articulations.HammerOn) else "pull", lost)
        elif isinstance(sign, spanner.Glissando):
            _slide(played, first, last, lost)
        elif isinstance(sign, expressions.TrillExtension):
            for place in range(first, last + 1):
                if played[place].heads and "vibrato" not in played[place].marks:
                    played[place].marks.append("vibrato")
        else:
            lost.append((first, _words(type(sign).__name__)))
    _slur(played, slurs, lost)
    return lost


def spanners(part: stream.Part, score: stream.Score) -> list[spanner.Spanner]:
    """Return what spans notes in a score, that of one part first.

    Some of music21's readers leave it to the part, some to the score, some to the upper staff of a piano.
    """
    found = list(part.recurse().getElementsByClass(spanner.Spanner))
    known = {id(each) for each in found}
    for holder in (score, *(other for other in score.parts if other is not part)):
        found += [each for each in holder.getElementsByClass(spanner.Spanner) if id(each) not in known]
    return found


def _slur(played: Sequence[Struck], slurs: Sequence[tuple[int, int]], lost: list[tuple[int, str]]) -> None:
    starts = {first for first, _ in slurs}
    covered: set[int] = set()
    for first, last in sorted(slurs, key=lambda s: (s[0], -s[1])):
        if first == last:
            lost.append((first, "a slur over one note"))
            continue
        if last in starts:
            lost.append((last, "two slurs that meet here, written as one"))
        new = set(range(first + 1, last + 1))
        if new & covered:
            lost.append((first, "a slur under another slur"))
        covered |= new
        for place in range(first + 1, last + 1):
            each, before = played[place], played[place - 1]
            if each.held or each.connector in ("hammer", "pull"):
                continue  # these are slurred anyhow
            if not each.heads or not before.heads:
                if each.heads:
                    lost.append((place, "a slur over a rest"))
                continue
            if each.connector:
                lost.append((place, "a slur over a slide"))
                continue
            each.connector = "slur"


def _lead(played: Sequence[Struck], place: int, connector: Connector, lost: list[tuple[int, str]]) -> None:
    if place == 0 or not played[place - 1].heads or played[place].held:
        lost.append((place, f"a {connector} with no note before it"))
    else:
        played[place].connector = connector


def _slide(played: Sequence[Struck], first: int, last: int, lost: list[tuple[int, str]]) -> None:
    if last - first != 1 or not played[first].heads or not played[last].heads:
        lost.append((first, "a slide over more than two notes"))
        return
    up = played[last].heads[0].pitch.midi >= played[first].heads[0].pitch.midi
    played[last].connector = "slide up" if up else "slide down"


def _words(name: str) -> str:
    if name == "Line":
        return "a line or bracket drawn along the notes"
    return "".join(f" {c.lower()}" if c.isupper() else c for c in name).strip()

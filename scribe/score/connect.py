"""What joins one note to the next, in the bar and over barlines: ties, slurs, hammer-ons, slides, wedges."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from music21 import articulations, dynamics, note, spanner

from scribe.diagnostics import Span
from scribe.score.label import at
from scribe.score.marks import slide_from_nowhere
from scribe.score.measure import Level, Link, tie
from scribe.score.words import WEDGES

LEGATO = {
    "slur",
    "hammer",
    "pull",
}  # all three are drawn with a slur; hammer-on and pull-off with a letter as well


def join(links: Iterable[Link]) -> list[spanner.Spanner]:
    """Tie and join a whole part, given in the order of the page; return slurs, hammer-ons, pull-offs, slides.

    A run of slurred, hammered and pulled notes lies under one slur. A slide from nowhere is a scoop or plop.
    """
    made: list[spanner.Spanner] = []
    before: Link | None = None
    run: list[Link] = []
    for link in _held_together(links):
        last = before.notes[-1] if before is not None and before.notes else None
        if link.connector in LEGATO and last is not None and link.notes:
            run = run or [before]  # type: ignore[list-item]
            run.append(link)
        else:
            made += _slur(run)
            run = []
        if link.notes:
            made += _single(last, link)
        before = link
    return made + _slur(run)


def _held_together(links: Iterable[Link]) -> list[Link]:
    """Tie notes that are held over a barline, and take them as one."""
    whole: list[Link] = []
    for link in links:
        if link.held and link.notes and whole and whole[-1].notes:
            before = whole[-1]
            tie(before.notes[-1], link.notes[0])
            whole[-1] = Link(before.notes + link.notes, before.connector, before.held, before.span)
        else:
            whole.append(link)
    return whole


def tied_in(link: Link) -> Link:
    """Tie the first note of a later ending from before the first one: a tie that begins at no note beside it."""
    tie(None, link.notes[0])
    return replace(link, held=False)


def _slur(run: Sequence[Link]) -> list[spanner.Spanner]:
    if len(run) < 2:
        return []
    return [at(spanner.Slur(run[0].notes[0], run[-1].notes[-1]), run[0].span.cover(run[-1].span))]


def _single(last: note.NotRest | None, link: Link) -> list[spanner.Spanner]:
    first = link.notes[0]
    if link.connector in ("slide up", "slide down"):
        if last is None:
            first.articulations.append(slide_from_nowhere(link.connector == "slide up", link.span))
            return []
        slide = spanner.Glissando(last, first, lineType="solid")
        slide.slideType = "continuous"
        return [at(slide, link.span)]
    if last is not None and link.connector == "hammer":
        return [at(articulations.HammerOn([last, first]), link.span)]
    if last is not None and link.connector == "pull":
        return [at(articulations.PullOff([last, first]), link.span)]
    return []


def wedges(levels: Sequence[Level], end: note.GeneralNote | None) -> list[dynamics.DynamicWedge]:
    """Return a wedge for each `cresc` and `dim`, reaching to the next dynamic, else to the `end`."""
    made = []
    for index, level in enumerate(levels):
        if level.name not in WEDGES or level.here is None:
            continue
        after = next((each for each in levels[index + 1 :] if each.here is not level.here), None)
        goal = after.here if after is not None else end
        wedge = WEDGES[level.name]()
        wedge.addSpannedElements([level.here] if goal is None or goal is level.here else [level.here, goal])
        made.append(at(wedge, level.span if after is None else _reach(level.span, after.span)))
    return made


def _reach(start: Span, end: Span) -> Span:
    return start.cover(end) if start.start <= end.start else start

"""A bar's events to written values: the notate stage."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from fractions import Fraction
from functools import lru_cache
from itertools import count
from typing import NamedTuple

from scribe.music.events import Cell, Event
from scribe.music.inforce import Feel
from scribe.music.metre import Metre
from scribe.music.notate.beams import Group, Item, Leaf, beam
from scribe.music.notate.grid import QUARTER, Tree, metre_tree, tuplet_tree
from scribe.music.notate.style import DEFAULT, Style
from scribe.music.notate.tuplets import Division, Plan, Ticks, division, found, plan, whole
from scribe.music.notate.values import SINGLE, UNDOTTED, NotWritable, rules
from scribe.music.written import Tuplet, Written, WrittenBar


class Stretch(NamedTuple):
    """A sound or a silence, in quarters from the bar's start. Silences of one kind that touch are written as one."""

    onset: Fraction
    length: Fraction
    rest: bool
    kind: int = 0


class _Part(NamedTuple):
    """A stretch, or what of it lies in one space, in ticks of that space."""

    start: Ticks
    end: Ticks
    event: int
    rest: bool


def notate(
    metre: Metre,
    length: Fraction,
    events: Sequence[Event],
    cells: Sequence[Cell],
    feel: Feel = Feel(),  # noqa: ARG001, B008 - see below
    *,
    offset: Fraction = Fraction(0),
    style: Style = DEFAULT,
) -> WrittenBar:
    """Return the written values, tuplets and beams of a bar.

    `length`, and onsets and lengths of `events` (which fill the bar without a gap) and `cells`, are in quarters from
    the bar's start; `offset` is the metric position at which the bar starts (a pickup of one quarter in 4/4: 3).
    Silences that touch are written together and belong to the first of them; stretches to do are written like
    silences, apart from those. A pure function; it does not look at pitches and marks, and no rule of the style table
    looks at `feel`: a draft is typed as it is written (for performed time see `straighten`).

    Raises:
        NotWritable: the rhythm needs values shorter than a 128th.
        ValueError: the events do not fill the bar, or the bar does not fit into the metre.
    """
    stretches = tuple(Stretch(e.onset, e.length, not e.heads, int(e.todo)) for e in events)
    return _remembered(metre, length, stretches, tuple(cells), offset, style)


@lru_cache(maxsize=4096)
def _remembered(
    metre: Metre,
    length: Fraction,
    spans: tuple[Stretch, ...],
    cells: tuple[Cell, ...],
    offset: Fraction,
    style: Style,
) -> WrittenBar:
    """Rhythms come back all the time, with other pitches."""
    return notate_spans(metre, length, spans, cells, offset=offset, style=style)


def notate_spans(
    metre: Metre,
    length: Fraction,
    spans: Sequence[Stretch],
    cells: Sequence[Cell] = (),
    *,
    offset: Fraction = Fraction(0),
    style: Style = DEFAULT,
) -> WrittenBar:
    """Do what `notate` does for bare stretches. Without cells, tuplets are found from the times alone."""
    if length <= 0 or offset < 0 or offset + length > metre.length:
        raise ValueError(f"a bar of {length} quarters at {offset} does not fit into {metre}")
    parts = _merged(spans, length, offset)
    if len(parts) == 1 and parts[0].rest:
        silence = Written(0, Fraction(0), length, "W", 0, None, None, False, measure_rest=True, rest=True)
        return WrittenBar((silence,), ())
    tree = metre_tree(metre)
    edges = [parts[0].start, *(part.end for part in parts)]
    if cells:
        divisions = [division(cell, -offset, QUARTER) for cell in cells]
    elif tree.unit is None and all(isinstance(edge, int) for edge in edges):
        divisions = []
    else:
        divisions = found(tree, edges)
    layout = _Layout(style)
    items = layout.fill(tree, parts, divisions, edges, None)
    beam(tree, items, style, count())
    return layout.bar(items, whole(offset * QUARTER))


def _merged(spans: Sequence[Stretch], length: Fraction, offset: Fraction) -> list[_Part]:
    """Return the stretches in ticks of the metre, silences of one kind together, checked to fill the bar."""
    parts: list[_Part] = []
    at, kind = Fraction(0), -1
    for index, span in enumerate(spans):
        if span.onset != at or span.length <= 0:
            raise ValueError(
                f"event {index} begins at {span.onset} and lasts {span.length}, expected it at {at}"
            )
        at += span.length
        end = whole((offset + at) * QUARTER)
        if span.rest and parts and parts[-1].rest and kind == span.kind:
            parts[-1] = parts[-1]._replace(end=end)
        else:
            start = parts[-1].end if parts else whole(offset * QUARTER)
            parts.append(_Part(start, end, index, span.rest))
        kind = span.kind
    if at != length:
        raise ValueError(f"the events last {at} quarters, the bar {length}")
    return parts


class _Layout:
    """Collects the written values of a bar, space by space."""

    def __init__(self, style: Style) -> None:
        self.style = style
        self.groups: list[Group] = []

    def fill(
        self,
        tree: Tree,
        parts: Sequence[_Part],
        divisions: Sequence[Division],
        edges: Sequence[Ticks],
        group: Group | None,
    ) -> list[Item]:
        """Write the parts that lie in one space: the bar, or the inside of `group`."""
        plans = plan(tree, divisions, edges, self.style) if divisions else []
        marks = _marks(edges, plans)
        items: list[Item] = []
        at = parts[0].start
        for tuplet in plans:
            self.plain(tree, _clip(parts, at, tuplet.start), marks, group, items)
            items.append(self.tuplet(tuplet, _clip(parts, tuplet.start, tuplet.end), group))
            at = tuplet.end
        self.plain(tree, _clip(parts, at, parts[-1].end), marks, group, items)
        return items

    def plain(
        self, tree: Tree, parts: Sequence[_Part], marks: Sequence[int], group: Group | None, items: list[Item]
    ) -> None:
        """Write parts that lie outside the tuplets of their space."""
        ruling = rules(tree, self.style)
        index = -1 if group is None else group.index
        for part in parts:
            start, end = part.start, part.end
            if not (isinstance(start, int) and isinstance(end, int)):
                raise NotWritable
            for cut in ruling.cut(start, end, part.rest, marks):
                code, dots = SINGLE[cut - start]
                items.append(Leaf(part.event, part.rest, start, cut, code, dots, index))
                start = cut

    def tuplet(self, plan: Plan, parts: Sequence[_Part], parent: Group | None) -> Group:
        """Write the inside of a tuplet, in ticks of its own."""
        zero: Ticks = plan.start if parent is None else parent.zero + plan.start * parent.scale
        scale = Fraction(plan.normal, plan.actual) * (1 if parent is None else parent.scale)
        group = Group(len(self.groups), -1 if parent is None else parent.index, plan, zero, scale)
        self.groups.append(group)
        wider = Fraction(plan.actual, plan.normal)

        def inside(at: Ticks) -> Ticks:
            return whole((at - plan.start) * wider)

        inner = [_inside(each, plan.start, wider) for each in plan.inner]
        parts = [_Part(inside(p.start), inside(p.end), p.event, p.rest) for p in parts]
        edges = [parts[0].start, *(part.end for part in parts)]
        group.items = self.fill(tuplet_tree(plan.actual, plan.unit), parts, inner, edges, group)
        return group

    def bar(self, items: Sequence[Item], origin: Ticks) -> WrittenBar:
        """Return the finished bar; `origin` is where it begins, in ticks of the metre."""
        leaves = [leaf for item in items for leaf in item.leaves]
        notes = []
        for leaf, after in zip(leaves, [*leaves[1:], None], strict=True):
            zero, scale = (0, 1) if leaf.tuplet < 0 else self.place(leaf.tuplet)
            notes.append(
                Written(
                    leaf.event,
                    Fraction(zero + leaf.start * scale - origin) / QUARTER,
                    Fraction((leaf.end - leaf.start) * scale) / QUARTER,
                    leaf.code,
                    leaf.dots,
                    None if leaf.tuplet < 0 else leaf.tuplet,
                    leaf.beam,
                    not leaf.rest and after is not None and after.event == leaf.event,
                    rest=leaf.rest,
                )
            )
        sizes = Counter(leaf.beam for leaf in leaves)
        return WrittenBar(tuple(notes), tuple(self.finished(group, origin, sizes) for group in self.groups))

    def place(self, index: int) -> tuple[Ticks, Ticks]:
        return self.groups[index].zero, self.groups[index].scale

    def finished(self, group: Group, origin: Ticks, sizes: Mapping[int | None, int]) -> Tuplet:
        """Return the tuplet; `sizes` of the beams tell whether one covers exactly it (then it needs no bracket)."""
        inside = group.leaves
        beams = {leaf.beam for leaf in inside}
        bracket = len(beams) > 1 or None in beams or sizes[inside[0].beam] > len(inside)
        length = group.plan.actual * group.plan.unit * group.scale
        return Tuplet(
            Fraction(group.zero - origin) / QUARTER,
            Fraction(length) / QUARTER,
            group.plan.actual,
            group.plan.normal,
            UNDOTTED[group.plan.unit],
            None if group.parent < 0 else group.parent,
            bracket,
        )


def _inside(each: Division, start: int, wider: Fraction) -> Division:
    """A division in the ticks inside a tuplet."""
    return Division(
        whole((each.start - start) * wider),
        whole(each.length * wider),
        each.slot * wider,
        tuple(_inside(c, start, wider) for c in each.inner),
    )


def _clip(parts: Sequence[_Part], start: Ticks, end: Ticks) -> list[_Part]:
    """What of the parts lies between two points."""
    if start == end:
        return []
    return [
        _Part(max(p.start, start), min(p.end, end), p.event, p.rest)
        for p in parts
        if p.start < end and p.end > start
    ]


def _marks(edges: Sequence[Ticks], plans: Sequence[Plan]) -> list[int]:
    """Return the points that decide whether beats must show: edges outside tuplets; a tuplet is always finer."""
    marks = [edge for edge in edges if isinstance(edge, int)]
    for each in plans:
        marks += [each.start, each.start + 1, each.end]
    return marks

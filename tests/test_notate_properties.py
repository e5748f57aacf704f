"""Whatever is typed: written values add up, read back to what was meant, and keep the rules that have a source.

Rule numbers as in `test_notate_cases.py`. The reading back below knows the tables of values (MusicXML note types and
dots) and nothing of how the values were chosen.
"""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from scribe.music.events import Cell
from scribe.music.metre import Metre, Share
from scribe.music.notate import DEFAULT, NotWritable, Stretch, Style, notate_spans
from scribe.music.notate.grid import metre_tree
from scribe.music.notate.values import rules
from scribe.music.written import VALUES, WrittenBar
from tests.notate_help import metre

SIMPLE = ("4/4", "3/4", "2/4", "2/2", "3/2", "3/8", "4/8", "4/2", "1/4")
COMPOUND = ("6/8", "9/8", "12/8", "6/4", "15/8")
ASYMMETRIC = ("5/4", "5/8", "7/8", "8/8", "7/4", "11/8")
GROUPED = ("7/8 3+2+2", "5/4 3+2", "4/4 3+1", "9/8 2+2+2+3", "8/8 4+4", "5/8 5")
METRES = SIMPLE + COMPOUND + ASYMMETRIC + GROUPED
STYLES = st.builds(Style, *[st.booleans()] * len(Style._fields))
SLOTS = (1, 1, 2, 2, 3, 4, 4, 5, 6, 6, 7, 8, 9, 12, 16)


class Typed(NamedTuple):
    metre: Metre
    length: Fraction
    offset: Fraction
    events: tuple[Stretch, ...]
    cells: tuple[Cell, ...]


@st.composite
def _cell(draw: st.DrawFn, start: Fraction, length: Fraction, depth: int = 0) -> tuple[Cell, list[Fraction]]:
    """A word or a group over a stretch: the cell and where its slots begin."""
    if depth < 2 and draw(st.integers(0, 5)) == 0:
        sizes = draw(st.lists(st.sampled_from((1, 1, 1, 2)), min_size=2, max_size=5))
        share, at = length / sum(sizes), start
        inner, points = [], []
        for size in sizes:
            cell, inside = draw(_cell(at, share * size, depth + 1))
            inner.append(cell)
            points += inside
            at += share * size
        return Cell(start, length, sum(sizes), tuple(inner)), points
    slots = draw(st.sampled_from(SLOTS if depth == 0 else (1, 1, 2, 3, 4)))
    return Cell(start, length, slots), [start + length * i / slots for i in range(slots)]


@st.composite
def typed(draw: st.DrawFn, metres: tuple[str, ...] = METRES) -> Typed:
    """A bar as the shorthand can say it: words of equal shares, words joined into groups, slots of every kind."""
    m = metre(draw(st.sampled_from(metres)))
    shares = list(draw(st.sampled_from(list(m.word_counts().values()))))
    offset = Fraction(0)
    if draw(st.integers(0, 4)) == 0 and len(shares) > 1:  # a pickup: the last words only
        shares = shares[draw(st.integers(1, len(shares) - 1)) :]
        offset = shares[0].start
    cells, points = [], []
    while shares:
        joined = draw(st.integers(1, min(3, len(shares)))) if draw(st.integers(0, 3)) == 0 else 1
        share = Share(shares[0].start - offset, sum((s.length for s in shares[:joined]), Fraction(0)))
        cell, inside = draw(_cell(*share))
        cells.append(cell)
        points += inside
        del shares[:joined]
    length = m.length - offset
    kinds = draw(st.lists(st.sampled_from("nnnn--."), min_size=len(points), max_size=len(points)))
    events: list[Stretch] = []
    for at, to, kind in zip(points, [*points[1:], length], kinds, strict=True):
        if kind == "-" and events:
            events[-1] = events[-1]._replace(length=to - events[-1].onset)
        else:
            events.append(Stretch(at, to - at, kind == "."))
    return Typed(m, length, offset, tuple(events), tuple(cells))


def _write(bar: Typed, style: Style = DEFAULT) -> WrittenBar:
    try:
        return notate_spans(bar.metre, bar.length, bar.events, bar.cells, offset=bar.offset, style=style)
    except NotWritable:
        finest = min(_finest(cell) for cell in bar.cells)
        assert finest < Fraction(1, 16), "only what is very fine may be refused"
        assume(False)
        raise


def _finest(cell: Cell) -> Fraction:
    return min([cell.length / cell.slots, *(_finest(inner) for inner in cell.inner)])


def _merged(events: tuple[Stretch, ...]) -> list[Stretch]:
    out: list[Stretch] = []
    for event in events:
        if out and event.rest and out[-1].rest:
            out[-1] = out[-1]._replace(length=out[-1].length + event.length)
        else:
            out.append(event)
    return out


def _read(bar: WrittenBar) -> list[tuple[Fraction, Fraction, bool]]:
    """Read the printed values in order, as a player would: (onset, length, rest) with ties joined."""
    out: list[tuple[Fraction, Fraction, bool]] = []
    at, joined = Fraction(0), False
    for note in bar.notes:
        length = VALUES[note.value][2] * (2 - Fraction(1, 2**note.dots))
        tuplet = note.tuplet
        while tuplet is not None:
            length *= Fraction(bar.tuplets[tuplet].normal, bar.tuplets[tuplet].actual)
            tuplet = bar.tuplets[tuplet].parent
        assert (note.onset, note.length) == (at, length)
        if joined or (out and note.rest and out[-1][2]):
            out[-1] = (out[-1][0], out[-1][1] + length, note.rest)
        else:
            out.append((at, length, note.rest))
        assert not (note.rest and note.tied)
        joined = note.tied
        at += length
    assert not joined
    return out


@settings(max_examples=100, derandomize=True, deadline=None)
@given(typed(), STYLES)
def test_written_values_read_back_to_the_times_typed(bar: Typed, style: Style) -> None:
    """Values, dots and tuplet numbers alone give the same onsets and lengths again, and fill the bar."""
    meant = _merged(bar.events)
    written = _write(bar, style)
    if len(meant) == 1 and meant[0].rest:
        (note,) = written.notes
        assert note.measure_rest
        assert note.length == bar.length
        return
    assert not any(note.measure_rest for note in written.notes)
    assert _read(written) == [(event.onset, event.length, event.rest) for event in meant]


@settings(max_examples=100, derandomize=True, deadline=None)
@given(typed(), STYLES)
def test_each_written_value_belongs_to_its_event(bar: Typed, style: Style) -> None:
    """The first value of an event stands at its onset; ties join the values of one event and no others."""
    written = _write(bar, style)
    for note, after in zip(written.notes, [*written.notes[1:], None], strict=True):
        event = bar.events[note.event]
        assert event.onset <= note.onset
        assert note.rest == event.rest
        assert note.tied == (after is not None and after.event == note.event and not note.rest)


@settings(max_examples=100, derandomize=True, deadline=None)
@given(typed(), STYLES)
def test_beams_and_tuplets_nest(bar: Typed, style: Style) -> None:
    """A beam holds neighbours with flags only; beams and tuplets hold each other or have nothing in common."""
    written = _write(bar, style)
    stretches: list[tuple[int, int]] = []
    beams: list[tuple[int, int]] = []
    for beam in {note.beam for note in written.notes} - {None}:
        inside = [i for i, note in enumerate(written.notes) if note.beam == beam]
        assert len(inside) > 1
        assert inside == list(range(inside[0], inside[-1] + 1))
        assert all(VALUES[written.notes[i].value][2] <= Fraction(1, 2) for i in inside)
        assert not any(written.notes[i].rest for i in inside)
        beams.append((inside[0], inside[-1]))
    for number, tuplet in enumerate(written.tuplets):
        inside = [i for i, note in enumerate(written.notes) if _holds(written, number, note.tuplet)]
        assert inside == list(range(inside[0], inside[-1] + 1))
        assert written.notes[inside[0]].onset == tuplet.start
        assert sum(written.notes[i].length for i in inside) == tuplet.length
        assert tuplet.bracket == ((inside[0], inside[-1]) not in beams)
        assert not all(written.notes[i].rest for i in inside)
        stretches.append((inside[0], inside[-1]))
    for a, b in beams:
        for c, d in stretches:
            assert b < c or d < a or (a <= c and d <= b) or (c <= a and b <= d)


def _holds(bar: WrittenBar, outer: int, inner: int | None) -> bool:
    while inner is not None and inner != outer:
        inner = bar.tuplets[inner].parent
    return inner is not None


@settings(max_examples=100, derandomize=True, deadline=None)
@given(typed(("4/4",)))
def test_the_middle_of_the_bar_shows(bar: Typed) -> None:
    """4/4: rules 3 and 4 (Berklee Book 1 p. 16; Harris 1917 fig. 7c), and no beam over the middle (rule 12).

    Only a note of a half or longer that begins on a beat crosses it. A tuplet crosses it only where the middle falls
    on none of its members and half members (case 46: where values allow).
    """
    written = _write(bar)
    middle = 2 - bar.offset
    for note in written.notes:
        if note.onset < middle < note.onset + note.length and note.tuplet is None and not note.measure_rest:
            assert not note.rest
            assert VALUES[note.value][2] >= 2
            assert (note.onset + bar.offset).denominator == 1
    over = [t for t in written.tuplets if t.start < middle < t.start + t.length]
    for tuplet in over:
        if len(over) == 1:  # a nested tuplet over the middle keeps the one around it whole
            into = (middle - tuplet.start) / (tuplet.length / tuplet.actual)
            assert into.denominator != 1
            assert (into * 2).denominator != 1 or 2 * into == tuplet.actual
    for beam in {note.beam for note in written.notes} - {None}:
        inside = [note for note in written.notes if note.beam == beam]
        assert not inside[0].onset < middle < inside[-1].onset or inside[0].tuplet is not None


@settings(max_examples=100, derandomize=True, deadline=None)
@given(typed())
def test_no_rest_takes_parts_of_two_beats(bar: Typed) -> None:
    """Rule 7 (Harris 1917 section 12), all metres: a rest that leaves its beat fills whole beats, outside tuplets."""
    written = _write(bar)
    edges = [Fraction(0)]
    for length in bar.metre.beat_lengths:
        # 2/2 and the like count quarters here, and so do groups of quarters: those are the beats that players feel.
        parts = int(length) if bar.metre.kind != "compound" and bar.metre.unit <= 4 else 1
        edges += [edges[-1] + length * (i + 1) / parts for i in range(parts)]
    for note in written.notes:
        if note.rest and note.tuplet is None and not note.measure_rest:
            start, end = note.onset + bar.offset, note.onset + note.length + bar.offset
            if any(start < edge < end for edge in edges):
                assert start in edges
                assert end in edges


@settings(max_examples=100, derandomize=True, deadline=None)
@given(typed(COMPOUND), STYLES)
def test_no_value_crosses_a_compound_beat_in_part(bar: Typed, style: Style) -> None:
    """Rule 9 (Harris 1917 section 13): outside tuplets, never a beat and a part of another in one value."""
    beat = bar.metre.beat_lengths[0]
    for note in _write(bar, style).notes:
        start, end = note.onset + bar.offset, note.onset + note.length + bar.offset
        if note.tuplet is None and start // beat != -(-end // beat) - 1:
            assert start % beat == 0
            assert end % beat == 0


@settings(max_examples=100, derandomize=True, deadline=None)
@given(typed(), STYLES)
def test_the_same_bar_is_written_the_same_way_again(bar: Typed, style: Style) -> None:
    """Nothing that was written before changes what is written now (kept verdicts included)."""
    first = _write(bar, style)
    rules.cache_clear()
    metre_tree.cache_clear()
    assert _write(bar, style) == first


@settings(max_examples=100, derandomize=True, deadline=None)
@given(
    st.sampled_from(["4/4", "3/4", "6/8", "7/8", "5/4"]),
    st.integers(0, 20),
    st.integers(1, 12),
    st.booleans(),
    STYLES,
)
def test_the_search_is_exact(text: str, at: int, size: int, rest: bool, style: Style) -> None:
    """No way to write a stretch of up to twelve 16ths has fewer values, and none of as many has stronger cuts."""
    tree = metre_tree(metre(text))
    ruling = rules(tree, style)
    start, end = 8 * at, 8 * (at + size)
    assume(end <= tree.root.size)
    allowed = ruling.rest if rest else (lambda a, b: ruling.note(a, b)[0])
    ways = [
        way
        for way in _ways(start, end)
        if all(b - a in ruling.lengths and allowed(a, b) for a, b in zip((start, *way), way, strict=False))
    ]
    chosen = ruling.cut(start, end, rest, [])
    assert tuple(chosen) in ways
    fewest = min(map(len, ways))
    assert len(chosen) == fewest
    strengths = [sorted(map(tree.strength, way[:-1])) for way in ways if len(way) == fewest]
    assert sorted(map(tree.strength, chosen[:-1])) == min(strengths)


def _ways(start: int, end: int) -> list[tuple[int, ...]]:
    """All ways to cut start … end at 16ths."""
    points = range(start + 8, end, 8)
    return [(*(p for i, p in enumerate(points) if mask >> i & 1), end) for mask in range(1 << len(points))]


@pytest.mark.parametrize("text", METRES)
def test_lengths_agree_with_music21(text: str) -> None:
    """music21 gives every written value, with its dots and tuplets, the length that we say it sounds."""
    from music21 import duration

    m = metre(text)
    shares = m.word_counts()[1]
    for slots in range(m.count, 3 * m.count + 1, m.count):
        cells = [Cell(*shares[0], slots)]
        points = [m.length * i / slots for i in range(slots)]
        events = [
            Stretch(a, b - a, False) for a, b in zip(points[::2], [*points[2::2], m.length], strict=True)
        ]
        written = notate_spans(m, m.length, events, cells)
        for note in written.notes:
            made = duration.Duration(VALUES[note.value][0], dots=note.dots)
            if note.tuplet is not None:
                tuplet = written.tuplets[note.tuplet]
                made.appendTuplet(duration.Tuplet(tuplet.actual, tuplet.normal, VALUES[tuplet.unit][0]))
            assert Fraction(made.quarterLength).limit_denominator(10000) == note.length

"""Our rules of notation against print: bare onsets and lengths written again, compared with the printed values.

Print is asked three things. How often is a bar written exactly as ours? Where not, does print agree with itself: are
the same times in the same metre always written in the same way? And which rule of ours does print break there, has
that rule a source, and how often does print keep it where it could break it?
"""

from __future__ import annotations

import hashlib
from collections import Counter, defaultdict
from fractions import Fraction
from typing import NamedTuple

from scribe.exchange.barchoice import printed
from scribe.exchange.model import Bar, Line, Printed
from scribe.music.metre import Metre
from scribe.music.notate import NotWritable, Stretch, notate_spans
from tests.benchmarks.print_rules import Kind, Place, chances, kind_of

COMMON = 200  # bars of a metre from which it has a row of its own
HALVES = ("tuned on", "kept apart")  # by the hash of the file's name


class Times(NamedTuple):
    """All that is left of a bar when its printed values are taken away."""

    metre: Metre
    length: Fraction
    offset: Fraction
    spans: tuple[tuple[Fraction, Fraction, bool], ...]  # onset, length, rest

    @property
    def place(self) -> Place:
        return Place(self.metre, self.offset)


Way = tuple[Printed, ...]


class Print:
    """Collects bars: the same times with all the ways in which print has them."""

    def __init__(self) -> None:
        self.bars: dict[Times, Counter[tuple[Way, int]]] = defaultdict(Counter)

    def take(self, line: Line, file: str) -> None:
        """Take every bar of a line whose printed values fill it."""
        half = hashlib.sha256(file.encode()).digest()[0] % 2
        for bar in line.bars:
            if _is_full(bar) and any(event.heads for event in bar.events):
                self.bars[times(bar)][tuple(p._replace(whole=False) for p in bar.printed), half] += 1

    def show(self) -> None:
        """Print the table by metre, then the verdicts by kind of difference."""
        rows = [Row(each, counted, written(each)) for each, counted in self.bars.items()]
        print("\nrhythm against print: bars written exactly as printed, from onsets and lengths alone")
        total = Share.of(rows)
        print(f"  {'all':<6}{total}")
        for half, name in enumerate(HALVES):
            print(f"    half of the files {name}: {Share.of(rows, half)}")
        by_metre: dict[str, list[Row]] = defaultdict(list)
        for row in rows:
            by_metre[f"{row.times.metre.count}/{row.times.metre.unit}"].append(row)
        small: list[Row] = []
        for metre, some in sorted(by_metre.items(), key=lambda item: -sum(r.count for r in item[1])):
            if sum(row.count for row in some) < COMMON:
                small += some
            else:
                print(f"  {metre:<6}{Share.of(some)}")
        print(f"  {'others':<6}{Share.of(small)}")
        _show_kinds(rows, total.bars)


class Row(NamedTuple):
    """One pattern of times: how print has it, how we write it."""

    times: Times
    printed: Counter[tuple[Way, int]]
    ours: Way

    @property
    def count(self) -> int:
        return self.printed.total()

    @property
    def ways(self) -> Counter[Way]:
        found: Counter[Way] = Counter()
        for (way, _), count in self.printed.items():
            found[way] += count
        return found


class Share(NamedTuple):
    """Bars, those written as ours, and those that the best choice for each pattern of times could get right."""

    bars: int
    same: int
    best: int

    @classmethod
    def of(cls, rows: list[Row], half: int | None = None) -> Share:
        bars = same = best = 0
        for row in rows:
            ways = (
                row.ways
                if half is None
                else Counter({w: n for (w, h), n in row.printed.items() if h == half})
            )
            bars += ways.total()
            same += ways[row.ours]
            best += max(ways.values(), default=0)
        return cls(bars, same, best)

    def __str__(self) -> str:
        of = max(self.bars, 1)
        return f"{self.bars:8} bars {100 * self.same / of:6.2f} % (at best {100 * self.best / of:6.2f} %)"


class Verdict:
    """What is known of one kind of difference, in bars."""

    def __init__(self) -> None:
        self.split = self.agreed = self.once = 0
        self.could = self.kept = self.as_ours = 0
        self.examples: Counter[str] = Counter()

    @property
    def bars(self) -> int:
        return self.split + self.agreed + self.once

    @property
    def keeping(self) -> tuple[int, int]:
        """Bars that keep our rule, of those that could break it; where no chance is known, among the same times."""
        return (self.kept, self.could) if self.could else (self.as_ours, self.as_ours + self.bars)


def _show_kinds(rows: list[Row], total: int) -> None:
    found: dict[Kind, Verdict] = defaultdict(Verdict)
    for row in rows:
        _judge(row, found)
    print(
        "\n  where print differs, in bars. split: print itself has the same times in more than one way; agreed: in"
        "\n  one way, at least twice; once: seen once. kept: of the bars where print could break the rule, how many"
        " keep it (else of those with the same times)."
    )
    print(f"  {'':38}{'bars':>6}{'split':>7}{'agreed':>7}{'once':>6}   kept")
    for kind, seen in sorted(found.items(), key=lambda item: -item[1].bars):
        if not seen.bars:
            continue
        kept, could = seen.keeping
        print(
            f"  {kind.name:38}{seen.bars:6}{seen.split:7}{seen.agreed:7}{seen.once:6}   {f'{kept} of {could}':15}"
            f" {_verdict(kind, seen)}; {kind.rule}"
        )
        for example, count in seen.examples.most_common(4):
            print(f"      {count:5} x {example}")
    split = sum(seen.split for seen in found.values())
    agreed = sum(seen.agreed for seen in found.values())
    sourced = sum(seen.agreed for kind, seen in found.items() if kind.sourced)
    once = sum(seen.once for seen in found.values())
    of = max(total, 1) / 100
    bare = agreed - sourced
    print(
        f"  print disagrees with itself: {split} bars ({split / of:.2f} %); seen once: {once} ({once / of:.2f} %)"
    )
    print(
        f"  print is of one mind, at least twice, and we differ: {agreed} bars ({agreed / of:.2f} %),"
        f" by a rule with a source {sourced} ({sourced / of:.2f} %), without one {bare} ({bare / of:.2f} %)"
    )


def _judge(row: Row, found: dict[Kind, Verdict]) -> None:
    ways = row.ways
    met: set[Kind] = set()
    for way, count in ways.items():
        if way == row.ours:
            continue
        kind = kind_of(way, row.ours, row.times.place)
        seen = found[kind]
        met.add(kind)
        if len(ways) > 1:
            seen.split += count
        elif count > 1:
            seen.agreed += count
        else:
            seen.once += count
        metre = f"{row.times.metre.count}/{row.times.metre.unit}"
        seen.examples[f"{metre}: {_codes(way)} but {_codes(row.ours)}"] += count
    for kind in met:
        found[kind].as_ours += ways[row.ours]
    could: dict[Kind, set[tuple[Fraction, Fraction]]] = defaultdict(set)
    for kind, onset, end in chances(row.ours, row.times.spans, row.times.place):
        could[kind].add((onset, end))
    for kind, places in could.items():
        for way, count in ways.items():
            found[kind].could += count
            if not any((p.onset, p.onset + p.length) in places for p in way):
                found[kind].kept += count


def _verdict(kind: Kind, seen: Verdict) -> str:
    kept, could = seen.keeping
    if 2 * kept >= could:
        return "print keeps it more often than not"
    if kind.sourced:
        return "kept on purpose against print"
    return "print of two minds" if seen.split >= seen.agreed else "a rule may be lacking"


def times(bar: Bar) -> Times:
    """Return a bar without its printed values."""
    spans = tuple((event.onset, event.length, not event.heads) for event in bar.events)
    return Times(bar.metre, bar.length, bar.metre.length - bar.length if bar.pickup else Fraction(0), spans)


def written(bare: Times) -> Way:
    """Return how the notate stage writes a bar from its times alone; nothing if it cannot."""
    try:
        made = notate_spans(bare.metre, bare.length, [Stretch(*s) for s in bare.spans], offset=bare.offset)
    except (NotWritable, ValueError):
        return ()
    return tuple(p._replace(whole=False) for p in printed(made))


def _is_full(bar: Bar) -> bool:
    at = Fraction(0)
    for each in bar.printed:
        if each.onset != at:
            return False
        at += each.length
    return at == bar.length <= bar.metre.length


def _codes(values: Way) -> str:
    out = []
    for p in values:
        code = ("r" if p.rest else "") + p.code
        for actual, normal in reversed(p.tuplets):
            code = f"{{{actual}:{normal} {code}}}"
        out.append(code)
    return " ".join(out)

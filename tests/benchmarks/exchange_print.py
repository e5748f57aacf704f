"""Our rules of notation against print: bare onsets and lengths written again, compared with the printed values."""

from __future__ import annotations

from collections import Counter, defaultdict
from fractions import Fraction

from scribe.exchange.barchoice import printed
from scribe.exchange.model import Bar, Line, Printed
from scribe.music.notate import NotWritable, Stretch, notate_spans

COMMON = 200  # bars of a metre from which it has a row of its own


class Print:
    """Counts bars by metre, and differences by kind."""

    def __init__(self) -> None:
        self.bars: Counter[str] = Counter()
        self.same: Counter[str] = Counter()
        self.kinds: dict[str, Counter[str]] = defaultdict(Counter)
        self.examples: dict[str, Counter[str]] = defaultdict(Counter)

    def take(self, line: Line) -> None:
        """Compare every bar of a line whose printed values fill it."""
        for bar in line.bars:
            if not _is_full(bar) or not any(event.heads for event in bar.events):
                continue
            metre = f"{bar.metre.count}/{bar.metre.unit}"
            ours = written(bar)
            self.bars[metre] += 1
            if ours == tuple(p._replace(whole=False) for p in bar.printed):
                self.same[metre] += 1
                continue
            kind = difference(bar.printed, ours)
            self.kinds[metre][kind] += 1
            self.examples[kind][f"{metre}: {_codes(bar.printed)} but {_codes(ours)}"] += 1

    def show(self) -> None:
        total, same = sum(self.bars.values()), sum(self.same.values())
        print(
            f"\nrhythm against print: {100 * same / max(total, 1):.2f} % of {total} bars written as printed"
        )
        for metre, count in self.bars.most_common():
            if count >= COMMON:
                kinds = ", ".join(f"{kind} {n}" for kind, n in self.kinds[metre].most_common(5))
                print(f"  {metre:<6} {count:7} bars {100 * self.same[metre] / count:6.2f} %   {kinds}")
        for kind, examples in sorted(self.examples.items(), key=lambda item: -sum(item[1].values())):
            print(f"  {kind}: {sum(examples.values())}")
            for example, count in examples.most_common(6):
                print(f"      {count:5} x {example}")


def written(bar: Bar) -> tuple[Printed, ...]:
    """How the notate stage writes a bar from its times alone."""
    spans = [Stretch(event.onset, event.length, not event.heads) for event in bar.events]
    offset = bar.metre.length - bar.length if bar.pickup else Fraction(0)
    try:
        made = notate_spans(bar.metre, bar.length, spans, offset=offset)
    except (NotWritable, ValueError):
        return ()
    return tuple(p._replace(whole=False) for p in printed(made))


def difference(theirs: tuple[Printed, ...], ours: tuple[Printed, ...]) -> str:
    """In one phrase, how two ways to write a bar differ."""
    if not ours:
        return "not writable"
    if any(p.code == "?" for p in theirs):
        return "a value that we do not write"
    notes, mine = [p for p in theirs if not p.rest], [p for p in ours if not p.rest]
    if notes == mine:
        return "rests joined in print" if len(theirs) < len(ours) else "rests divided in print"
    if {p.tuplets for p in theirs} != {p.tuplets for p in ours}:
        return "other tuplets"
    if any(p.code.endswith("..") for p in theirs):
        return "double dots in print"
    if len(notes) < len(mine):
        return "one value in print, tied here"
    if len(notes) > len(mine):
        return "tied in print, one value here"
    return "tied elsewhere"


def _is_full(bar: Bar) -> bool:
    at = Fraction(0)
    for each in bar.printed:
        if each.onset != at:
            return False
        at += each.length
    return at == bar.length <= bar.metre.length


def _codes(values: tuple[Printed, ...]) -> str:
    out = []
    for p in values:
        code = ("r" if p.rest else "") + p.code
        for actual, normal in reversed(p.tuplets):
            code = f"{{{actual}:{normal} {code}}}"
        out.append(code)
    return " ".join(out)

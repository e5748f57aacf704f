"""Round trips over music21's corpus, the keys that imported drafts take, and our rhythm against print.

`python -m tests.benchmarks.exchange` takes a seeded sample (about three minutes when nothing is cached); `--works N`
and `--seed N` another one, `--all` everything there is; `--only-print` leaves out the drafts (quick).
"""

from __future__ import annotations

import argparse
import time
from collections import Counter
from collections.abc import Sequence
from fractions import Fraction

from scribe.exchange.check import sounds_of_piece
from scribe.exchange.draft import write_draft
from scribe.music.assemble import assemble
from scribe.source.read import read
from tests.benchmarks import exchange_keys, exchange_print
from tests.benchmarks.corpus import Part, Row, parts, sample, works

SHOWN = 2000  # parts that are not exact and are listed


def main() -> None:
    """Run all three over one sample."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--all", action="store_true", help="the whole corpus")
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--works", type=int, default=110, help="files in the sample")
    asked.add_argument("--only-print", action="store_true", help="rhythm against print alone")
    chosen = asked.parse_args()
    paths = [p for ps in works().values() for p in ps] if chosen.all else sample(chosen.works, chosen.seed)
    tally = Tally()
    typed = exchange_keys.Keys()
    print_ = exchange_print.Print()
    start = time.perf_counter()
    for path, found in parts(paths, tunes=None if chosen.all else 3):
        tally.files += 1
        tally.pieces += len({part.name.split(" part ")[0] for part in found})
        for part in found:
            if chosen.only_print:
                if not part.fault:
                    print_.take(part.line, path.name)
                continue
            text = tally.take(part, path.parent.name)
            if text is not None:
                typed.take(part, text)
                print_.take(part.line, path.name)
    print(f"{time.perf_counter() - start:.0f} s")
    if not chosen.only_print:
        tally.show()
        typed.show()
    print_.show()


class Tally:
    """Notes that come through a draft with the same onset, length and name."""

    def __init__(self) -> None:
        self.files = self.pieces = self.parts = self.notes = self.wrong = self.crashes = 0
        self.faults: Counter[str] = Counter()
        self.inexact: list[str] = []
        self.unsaid: Counter[str] = Counter()

    def take(self, part: Part, folder: str) -> str | None:
        """Write and compile the draft of a part; returns its text."""
        if part.fault:
            self.faults[part.fault] += 1
            return None
        self.parts += 1
        self.notes += len(part.expected)
        try:
            made = write_draft(part.line)
            piece = assemble(read(made.text))
        except Exception as fault:
            self.crashes += 1
            self.wrong += len(part.expected)
            self.inexact.append(f"{folder}/{part.name}: crash {fault!r}")
            return None
        got = [sound[:3] for sound in sounds_of_piece(piece)]
        wrong = sum((Counter(apart(part.expected)) - Counter(apart(got))).values())
        self.wrong += wrong
        errors = [d.message for d in piece.diagnostics if d.severity == "error"]
        for unsaid in made.unsaid:
            self.unsaid[unsaid.what.split(" (")[0].split(" in bar")[0][:34]] += 1
        if wrong or errors:
            why = [u.what for u in made.unsaid if not u.what.startswith("lyrics")]
            reason = "; ".join(dict.fromkeys([*errors, *why]))[:150] or "times that the file rounds"
            self.inexact.append(f"{folder}/{part.name}: {wrong} of {len(part.expected)} notes: {reason}")
        return made.text

    def show(self) -> None:
        share = 100 * (1 - self.wrong / max(self.notes, 1))
        print(
            f"\n{self.pieces} pieces, {self.parts} single voices, {self.notes} notes through a draft and back:"
        )
        print(f"  {share:.4f} % with the same onset, length and name (aim 99.9 %); {self.crashes} crashes")
        for line in self.inexact[:SHOWN]:
            print(f"  not exact: {line}")
        if len(self.inexact) > SHOWN:
            print(f"  and {len(self.inexact) - SHOWN} more")
        for fault, count in self.faults.most_common():
            print(f"  left out: {count} x {fault}")
        print("  said in comments: " + ", ".join(f"{w} {n}" for w, n in self.unsaid.most_common(14)))


def apart(rows: Sequence[Row]) -> list[Row]:
    """Rows with the time since the one before: a bar that a file overfills moves all that follow, but only once."""
    out: list[Row] = []
    before = rows[0][0] if rows else Fraction(0)
    for onset, length, names in rows:
        out.append((onset - before, length, names))
        before = onset
    return out


if __name__ == "__main__":
    main()

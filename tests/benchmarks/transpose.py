"""There and back again: how many drafts come back as the same text, and why the others do not.

`python -m tests.benchmarks.transpose [DRAFTS]`: as many made-up drafts of each kind of writer (default 300), each
moved up and down by every interval within an octave that a chart is moved by, and back.
"""

from __future__ import annotations

import random
import re
import sys
from collections import Counter

from scribe import compile
from scribe.music.interval import parse_interval
from scribe.music.rewrite.transpose import transpose
from scribe.music.rewrite.ways import rewrite
from tests.any_drafts import CARELESS, NEEDLESS, PLAYER, SMALL_SIGNS, WILD, draft

INTERVALS = ("m2", "M2", "m3", "M3", "P4", "A4", "d5", "P5", "m6", "M6", "m7", "M7", "P8")
KINDS = {
    "one habit: capitals": PLAYER,
    "one habit: small letters with signs": SMALL_SIGNS,
    "needless marks, all keys": NEEDLESS,
    "both habits, some odd accidentals": CARELESS,
    "wild: a third of it odd, all keys": WILD,
}
_PIECES = re.compile(r"^(?:key|home|position)\b[^\r\n]*|@\S+|;.*|[^\s|]+|\s+|\|", re.MULTILINE)


def reason(before: str, after: str) -> str:
    """What kind of thing came back otherwise: the first difference."""
    ours, theirs = _PIECES.findall(before), _PIECES.findall(after)
    for mine, other in zip(ours, theirs, strict=False):
        if mine != other:
            if mine.startswith(("key", "home", "position")) or other.startswith(("key", "home")):
                return f"line: {(mine + ' ').split()[0] if mine.strip() else other.split()[0]}"
            if mine.startswith("@"):
                return "chord symbol"
            if re.sub(r"[\^v]", "", mine) == re.sub(r"[\^v]", "", other):
                return "octave marks"
            if mine.swapcase().replace("n", "").lower() == other.swapcase().replace("n", "").lower():
                return "capital or natural sign"
            if {len(mine), len(other)} and re.search(r"[A-G]", other) and not re.search(r"[A-G]", mine):
                return "small letter came back as a capital"
            return "another name"
    return "length"


def there_and_back(count: int) -> None:
    print(f"{'writer':38}{'moves':>8}{'refused':>9}{'same text':>11}  reasons of the rest")
    for kind, habits in KINDS.items():
        moves = refused = same = 0
        reasons: Counter[str] = Counter()
        for seed in range(count):
            text = draft(random.Random(seed), habits)
            for name in INTERVALS:
                for way, back in (("up", "down"), ("down", "up")):
                    there, home = parse_interval(f"{way} {name}"), parse_interval(f"{back} {name}")
                    assert there is not None
                    assert home is not None
                    new = transpose(text, there)
                    if new.faults:
                        refused += 1
                        continue
                    moves += 1
                    again = transpose(new.text, home)
                    if again.text == text:
                        same += 1
                    else:
                        reasons["refused on the way back" if again.faults else reason(text, again.text)] += 1
        rest = ", ".join(f"{why} {n}" for why, n in reasons.most_common())
        print(f"{kind:38}{moves:8}{refused:9}{100 * same / moves:10.2f}%  {rest}", flush=True)


def ways(count: int) -> None:
    print(f"\n{'writer':38}{'drafts':>8}{'same text':>11}  letters, degrees, letters")
    for kind, habits in KINDS.items():
        tried = same = 0
        for seed in range(count):
            text = draft(random.Random(seed), habits)
            letters = rewrite(text, "letter")
            if letters.faults or any(d.severity == "error" for d in compile(letters.text).diagnostics):
                continue
            degrees = rewrite(letters.text, "degree")
            if degrees.faults:
                continue
            tried += 1
            same += rewrite(degrees.text, "letter").text == letters.text
        print(f"{kind:38}{tried:8}{100 * same / max(tried, 1):10.2f}%")


if __name__ == "__main__":
    number = int(sys.argv[1]) if len(sys.argv) > 1 else 300
    there_and_back(number)
    ways(number)

"""Lines as somebody plays them, to be found again in MIDI files: made up at random, the demos, printed ones."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable, Iterator, Sequence
from fractions import Fraction
from hashlib import sha256
from pathlib import Path
from typing import NamedTuple, Protocol

from scribe.exchange.draft import write_draft
from scribe.music.piece import Piece
from scribe.pipeline import compile
from tests.benchmarks.corpus import Part, parts, sample

DEMOS = sorted((Path(__file__).parent.parent.parent / "demo").glob("*.scribe"))
BARS = 16
SCATTER = (0.008, 0.012, 0.015)
CHORDS = ((0, 4, 7), (0, 3, 7), (0, 4, 7, 10), (0, 3, 7, 10), (0, 4, 7, 11))


class Take(NamedTuple):
    """One file: of which kind, what was played, at how many quarters a minute."""

    kind: str
    piece: Piece
    bpm: float
    scatter: float
    seed: int


# --- lines as bass players play them (common practice, no source) -------------------------------------------


def _at(midi: int) -> str:
    """A sounding pitch as string and fret."""
    return f"E:{midi - 28}" if midi < 37 else f"A:{midi - 33}"


def _bass(rng: random.Random, bars: int) -> list[tuple[int, tuple[int, ...]]]:
    """Root and chord tones of each bar."""
    roots, root = [], rng.randint(28, 40)
    for _ in range(bars):
        roots.append((root, tuple(root + step for step in rng.choice(CHORDS))))
        root = 28 + (root - 28 + rng.choice([5, 5, 5, 7, 2, 9, 0])) % 13
    return roots


def _walk(rng: random.Random) -> Iterator[str]:
    for (root, tones), (following, _) in zip(_bass(rng, BARS), _bass(rng, BARS), strict=True):
        row = [root, *rng.sample(tones[1:], 2), following + rng.choice([-1, 1, -2, 2, 7])]
        words = [_at(max(28, min(note, 50))) for note in row]
        if rng.random() < 0.35:
            place = rng.randrange(4)
            words[place] += rng.choice([_at(max(28, min(row[place], 50))), "x"])
        yield " ".join(words)


def _two(rng: random.Random) -> Iterator[str]:
    for root, tones in _bass(rng, BARS):
        low, high = _at(root), _at(tones[2])
        yield rng.choice(
            [f"{low} {high}", f"{low} {high}", f"{low} - {high} {low}", f"{low} - - {high}{low}"]
        )


def _waltz(rng: random.Random) -> Iterator[str]:
    for root, tones in _bass(rng, BARS):
        low, third, fifth = _at(root), _at(tones[1]), _at(tones[2])
        yield rng.choice(
            [f"{low} {third} {fifth}", f"{low} {fifth} {fifth}", f"{low} - {fifth}", f"{low} . ."]
        )


def _riff(rng: random.Random, cells: list[str], count: int, repeats: int = 2) -> Iterator[str]:
    """A figure of one or two bars, on other roots and with a fill now and then."""
    shapes = [[rng.choice(cells) for _ in range(count)] for _ in range(repeats)]
    for shape in shapes:
        shape[0] = rng.choice([cell for cell in cells if cell[0] == "r"])
    for root, tones in _bass(rng, BARS // 2):
        for bar in range(2):
            shape = list(shapes[bar % repeats])
            if rng.random() < 0.2:
                shape[-1] = rng.choice(cells)
            sounds = {
                "r": root,
                "t": tones[1],
                "f": tones[2],
                "o": root + 12 if root < 39 else root,
                "b": root + 10,
            }
            yield " ".join("".join(_at(sounds[c]) if c in sounds else c for c in cell) for cell in shape)


EIGHTHS = ["rr", "rr", "rf", "ro", "r-", "f-", "-f", "rt"]
SIXTEENTHS = ["r--r", "r-rx", ".-ro", "rxo-", "r--f", "-f-r", "rr-b", "r-.."]
THREES = ["r--", "r-f", "rtf", "f-r", "f--", "r-r"]
KINDS: dict[str, tuple[str, str, tuple[int, int], Callable[[random.Random], Iterator[str]]]] = {
    "walking, swing": ("4/4", "swing", (120, 280), _walk),
    "two feel": ("4/4", "straight", (110, 220), _two),
    "waltz": ("3/4", "straight", (90, 190), _waltz),
    "rock eighths": ("4/4", "straight", (90, 170), lambda rng: _riff(rng, EIGHTHS, 4)),
    "shuffle": ("4/4", "shuffle", (90, 150), lambda rng: _riff(rng, EIGHTHS, 4)),
    "16th groove": ("4/4", "straight", (75, 112), lambda rng: _riff(rng, SIXTEENTHS, 4)),
    "16ths, swung": ("4/4", "swing 16ths", (75, 105), lambda rng: _riff(rng, SIXTEENTHS, 4)),
    "12/8": ("12/8", "straight", (80, 130), lambda rng: _riff(rng, THREES, 4)),
    "6/8": ("6/8", "straight", (80, 150), lambda rng: _riff(rng, THREES, 2)),
    "7/8": ("7/8 2+2+3", "straight", (110, 190), lambda rng: _odd(rng, (2, 2, 3))),
    "5/4": ("5/4 3+2", "straight", (110, 190), lambda rng: _odd(rng, (3, 2))),
}


def _odd(rng: random.Random, groups: tuple[int, ...]) -> Iterator[str]:
    """A figure whose words are the groups of the metre; every figure begins each group with a note, mostly."""
    cells = {2: ["rr", "r-", "rf", "f-", "-f"], 3: ["r--", "r-f", "rrf", "f-r", "f--"]}
    shape = [rng.choice(cells[size]) for size in groups]
    shape[0] = rng.choice(["rr", "r-", "rf"] if groups[0] == 2 else ["r--", "r-f", "rrf"])
    for index, (root, tones) in enumerate(_bass(rng, BARS // 2)):
        for again in range(2):
            row = [
                rng.choice(cells[size]) if rng.random() < 0.1 else cell
                for size, cell in zip(groups, shape, strict=True)
            ]
            if row[0].startswith("-") and not index and not again:
                row[0] = shape[0]  # nothing stands before it that could be held
            sounds = {"r": root, "f": tones[2]}
            yield " ".join("".join(_at(sounds[c]) if c in sounds else c for c in cell) for cell in row)


def take(kind: str, seed: int, scatter: float) -> Take:
    """One take of a kind; a third of them begin with a pickup."""
    rng = random.Random(f"{kind} {seed}")
    metre, feel, (slow, fast), make = KINDS[kind]
    bpm = rng.uniform(slow, fast)
    lines = [f"time {metre}", f"feel {feel}"]
    if rng.random() < 1 / 3 and metre[0] in "43":
        lines += ["pickup 1", f"| {_at(rng.randint(30, 40))} |"]
    lines += [f"| {bar} |" for bar in make(rng)]
    compiled = compile("\n".join(lines))
    assert not any(d.severity == "error" for d in compiled.diagnostics), compiled.diagnostics
    return Take(kind, compiled.piece, bpm, scatter, seed)


def demos(scatter: float) -> Iterator[Take]:
    """The demos, at their tempo."""
    for path in DEMOS:
        piece = compile(path.read_text(encoding="utf-8")).piece
        tempo = piece.bars[0].tempo
        value = Fraction(3, 2) if tempo is not None and tempo.value == "Q." else Fraction(1)
        yield Take("demos", piece, float(tempo.bpm * value) if tempo and tempo.bpm else 120.0, scatter, 1)


# --- printed lines ---------------------------------------------------------------------------------------------

PRINTED = {"4/4": Fraction(1), "3/4": Fraction(1), "6/8": Fraction(3, 2)}  # and the quarters of a beat
BEATS = (70, 140)  # a minute: the files seldom say
NOTES = (24, 220)


def printed(size: int, seed: int, half: int) -> Iterator[Take]:
    """The lowest lines of works of music21's corpus in one metre that is tried, of one half of it (0 or 1), played."""
    for path in sample(size, seed):
        if sha256(path.name.encode()).digest()[0] % 2 != half:
            continue
        for _, found in parts([path], tunes=1):
            for part in [each for each in found if not each.fault][-1:]:
                yield from _played(part, seed)


def _played(part: Part, seed: int) -> Iterator[Take]:
    metres = {f"{bar.metre.count}/{bar.metre.unit}" for bar in part.line.bars}
    metre = metres.pop() if len(metres) == 1 else ""
    if metre not in PRINTED:
        return
    piece = compile(write_draft(part.line).text).piece
    count = sum(bool(event.heads) for bar in piece.bars for event in bar.events)
    if NOTES[0] <= count <= NOTES[1]:
        rng = random.Random(f"{part.name} {seed}")
        bpm = rng.uniform(*BEATS) * float(PRINTED[metre])
        yield Take(f"printed, {metre}", piece, bpm, rng.choice(SCATTER), seed)


# --- where bars begin --------------------------------------------------------------------------------------------


class Sounds(Protocol):
    """An event of a line or of a piece."""

    @property
    def onset(self) -> Fraction:
        """In its bar."""
        ...

    @property
    def heads(self) -> Sequence[object]:
        """None where it is silence."""
        ...


def first_note(bars: Iterable[tuple[Fraction, Sequence[Sounds]]]) -> Fraction:
    """Return how far behind the second barline the first note lies; `bars`: how long they are, and what is in them."""
    at, first = Fraction(0), Fraction(0)
    for index, (length, events) in enumerate(bars):
        first = first if index else length
        for event in events:
            if event.heads:
                return at + event.onset - first
        at += length
    raise ValueError("no notes")

"""Lines of music21's corpus for the benchmarks: which works, their single voices, what music21 itself says of each.

What was read is kept in the user's cache folder for as long as the reader stays as it is.
"""

from __future__ import annotations

import hashlib
import pickle
import random
import warnings
from collections import defaultdict
from collections.abc import Iterator, Sequence
from fractions import Fraction
from pathlib import Path
from typing import NamedTuple

from music21 import chord, converter, corpus, note, stream
from music21.common import opFrac
from platformdirs import user_cache_path

from scribe.exchange.m21 import candidates, read_line
from scribe.exchange.model import Cannot, Line

READER = Path(__file__).parent.parent.parent / "scribe" / "exchange"
TUNES = 3  # of a file with a whole collection, in a sample
Row = tuple[Fraction, Fraction, tuple[str, ...]]
# Folders of the corpus by kind of music.
KINDS = {
    "bach": "chorales and other works of Bach",
    "palestrina": "masses", "trecento": "songs of the 14th century", "monteverdi": "madrigals",
    "josquin": "songs and masses", "ciconia": "songs of the 14th century", "luca": "songs of the 14th century",
    "ryansMammoth": "fiddle tunes", "oneills1850": "fiddle tunes", "airdsAirs": "fiddle tunes",
    "essenFolksong": "folk songs", "miscFolk": "folk songs", "nottingham-dataset": "folk songs",
    "haydn": "string quartets", "mozart": "string quartets", "beethoven": "string quartets",
    "leadSheet": "lead sheets",
}  # fmt: skip


class Part(NamedTuple):
    """One voice of a work. `expected`: what music21 itself says sounds; `fault`: why it could not be read."""

    kind: str
    name: str
    line: Line
    expected: list[Row]
    fault: str = ""


def works() -> dict[str, list[Path]]:
    """The files of the corpus that hold music, by folder."""
    found: dict[str, list[Path]] = defaultdict(list)
    for path in corpus.getCorePaths():
        if path.suffix != ".rntxt" and path.parts[-2] != "demos":
            root = next(p for p in path.parents if p.name == "corpus")
            found[path.relative_to(root).parts[0]].append(path)
    return {name: sorted(paths) for name, paths in sorted(found.items())}


def sample(size: int, seed: int) -> list[Path]:
    """Works drawn from all folders in turn, so that small folders count."""
    rng = random.Random(seed)
    shelves = [rng.sample(paths, len(paths)) for paths in works().values()]
    out: list[Path] = []
    while len(out) < size and any(shelves):
        for shelf in shelves:
            if shelf and len(out) < size:
                out.append(shelf.pop())
    return out


def parts(paths: Sequence[Path], *, tunes: int | None = TUNES) -> Iterator[tuple[Path, list[Part]]]:
    """The single voices of each file; `tunes`: how many of a collection, None for all."""
    reader = hashlib.sha256()
    for file in sorted([*READER.glob("*.py"), *(READER / "m21").glob("*.py"), Path(__file__)]):
        if file.parent.name == "m21" or file.name in ("model.py", "extras.py", "corpus.py"):
            reader.update(file.read_bytes())
    folder = user_cache_path("scribe") / "benchmarks" / reader.hexdigest()[:12]
    folder.mkdir(parents=True, exist_ok=True)
    for path in paths:
        key = hashlib.sha256(f"{path}{path.stat().st_size}{tunes}".encode()).hexdigest()[:24]
        kept = folder / f"{key}.pickle"
        if kept.exists():
            yield path, pickle.loads(kept.read_bytes())
            continue
        found = list(_read(path, tunes))
        kept.write_bytes(pickle.dumps(found))
        yield path, found


def _read(path: Path, tunes: int | None) -> Iterator[Part]:
    kind = KINDS.get(next(p for p in path.parents if p.parent.name == "corpus").name, "other")
    nothing = Line()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            parsed = converter.parse(path)
        except Exception as fault:  # the corpus has files that music21 itself cannot read
            yield Part(kind, path.name, nothing, [], f"music21 cannot read it: {type(fault).__name__}")
            return
        scores = list(parsed.scores) if isinstance(parsed, stream.Opus) else [parsed]
        picked = range(len(scores))
        if tunes is not None and len(scores) > tunes:
            picked = sorted(random.Random(path.name).sample(picked, tunes))
        for index in picked:
            name = f"{path.name}#{index + 1}" if len(scores) > 1 else path.name
            yield from _voices(scores[index], kind, name)


def _voices(score: stream.Score, kind: str, name: str) -> Iterator[Part]:
    for candidate in candidates(score):
        if not candidate.single or not candidate.notes or candidate.voice > 1:
            continue
        label = f"{name} {candidate}"
        try:
            expected = reference(score.parts[candidate.part - 1], candidate.voice)
        except Exception as fault:  # music21 cannot say what sounds: nothing to compare with
            yield Part(kind, label, Line(), [], f"music21 cannot transpose it: {type(fault).__name__}")
            continue
        try:
            line, _, _ = read_line(score, str(candidate.part), candidate.voice or None)
        except Cannot as fault:
            yield Part(kind, label, Line(), expected, f"refused: {fault}")
            continue
        yield Part(kind, label, line, expected)


def settled(time: float | Fraction) -> Fraction:
    """A time as an exact fraction; triplets that a file rounds to 256ths or 1024ths of a quarter are thirds again."""
    exact = Fraction(opFrac(time))
    if exact.denominator in (128, 256, 512, 1024, 2048) or exact.denominator > 480:
        near = (
            Fraction(round(exact * n), n) for n in (1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 12, 15, 16, 20, 24, 32, 48)
        )
        return next((simple for simple in near if abs(simple - exact) < Fraction(1, 200)), exact)
    return exact


def reference(part: stream.Part, voice: int) -> list[Row]:
    """What music21 itself says of a part: onset, length, names of every note, ties joined, at sounding pitch."""
    part = part.toSoundingPitch()
    found: list[Row] = []
    for measure in part.getElementsByClass(stream.Measure):
        holders: list[stream.Stream] = [measure]
        voices = list(measure.voices)
        holders += voices[voice - 1 : voice] if voice else voices[:1]
        for holder in holders:
            for each in holder.getElementsByClass(note.NotRest):
                if "Harmony" not in each.classes:
                    _add(found, each, measure)
    return found


def _add(found: list[Row], each: note.NotRest, measure: stream.Measure) -> None:
    pitches = each.pitches if isinstance(each, chord.Chord) else (each.pitch,)
    names = tuple(f"{p.name.replace('-', 'b')}{p.implicitOctave}" for p in sorted(pitches))
    begin = measure.offset + each.getOffsetInHierarchy(measure)
    onset = settled(begin)
    length = settled(begin + each.quarterLength) - onset
    tied = each.tie is not None and each.tie.type in ("stop", "continue")
    if tied and found and found[-1][2] == names and found[-1][0] + found[-1][1] == onset:
        found[-1] = (found[-1][0], found[-1][1] + length, names)
    else:
        found.append((onset, length, names))

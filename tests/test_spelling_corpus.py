"""The speller and its baselines against printed music: chorales and quartets out of music21's corpus."""

from __future__ import annotations

from pathlib import Path

import pytest
from music21 import converter, corpus

from scribe.music.spelling.check import check_names
from scribe.music.spelling.speller import solve
from tests.benchmarks.lines import Line, Printed, abc_lines, half_of, musicxml_lines
from tests.benchmarks.ps13s1 import ps13s1, shifted
from tests.benchmarks.spelling import as_notes, count_doubts, count_names, in_window

# Own runs of the algorithm as published (10 notes before, 42 from the note on).
VECTORS = {
    "33 35 36 38 40 41 44 45": "A1 B1 C2 D2 E2 F2 G#2 A2",
    "39 41 43 44 46 48 50 51": "Eb2 F2 G2 Ab2 Bb2 C3 D3 Eb3",
    "42 44 46 47 49 51 53 54": "F#2 G#2 A#2 B2 C#3 D#3 E#3 F#3",
    "34 37 39 40 41 44 46 34": "Bb1 Db2 Eb2 E2 F2 Ab2 Bb2 Bb1",
    "43 47 50 53 56 55 53 51 50 48": "G2 B2 D3 F3 Ab3 G3 F3 Eb3 D3 C3",
    "36 40 43 38 42 45 43 47 50 48": "C2 E2 G2 D2 F#2 A2 G2 B2 D3 C3",
    "36 40 43 36 37 38 39 40 41 42 43 36": "C2 E2 G2 C2 Db2 D2 Eb2 E2 F2 F#2 G2 C2",
}


def corpus_file(name: str) -> Path:
    """The path of a file of music21's corpus."""
    found = [p for p in corpus.getCorePaths() if str(p).replace("\\", "/").endswith(f"corpus/{name}")]
    return Path(str(found[0]))


@pytest.fixture(scope="module")
def basses() -> list[Line]:
    """Bass lines of 40 chorales from the half of the corpus that nothing was tuned on."""
    lines: list[Line] = []
    for path in sorted(map(str, corpus.getComposer("bach"))):
        name = f"bach/{Path(path).name}"
        if path.endswith(".mxl") and half_of(name) == 1 and len(lines) < 40:
            parts = list(musicxml_lines(Path(path)))
            if len(parts) == 4:
                lines.append(Line(name, 1, tuple(parts[-1])))
    return lines


@pytest.mark.parametrize("midi", VECTORS)
def test_the_baseline_is_the_published_one(midi: str) -> None:
    """ps13s1 gives its test vectors, letters and octaves."""
    assert " ".join(map(str, ps13s1([int(m) for m in midi.split()]))) == VECTORS[midi]


def test_the_baseline_is_shifted_to_the_key() -> None:
    """The one enharmonic shift that ps13s1 leaves open is set by the signature."""
    d_flat = ps13s1([37, 39, 41, 42, 44, 46, 48, 49])
    sharp = shifted(d_flat, [7] * 8)
    flat = shifted(d_flat, [-5] * 8)
    assert [p.name for p in flat] == ["Db", "Eb", "F", "Gb", "Ab", "Bb", "C", "Db"]
    assert [p.name for p in sharp] == ["C#", "D#", "E#", "F#", "G#", "A#", "B#", "C#"]


def test_lines_are_read_as_music21_reads_them() -> None:
    """Names, signatures and bars of a chorale's voices agree with music21's own reading."""
    path = corpus_file("bach/bwv66.6.mxl")
    score = converter.parse(path)
    for part, line in zip(score.parts, musicxml_lines(path), strict=True):
        theirs = [
            (n.pitch.nameWithOctave.replace("-", "b"), n.getContextByClass("KeySignature").sharps)
            for n in part.recurse().notes
            if n.tie is None or n.tie.type == "start"
        ]
        assert [(str(p.pitch), p.fifths) for p in line] == theirs


def test_tunes_are_read_as_music21_reads_them() -> None:
    """Names of a tune in ABC, with signature, accidentals to the barline and octave marks, agree with music21."""
    text = "X:1\nT:Made up\nM:4/4\nL:1/8\nK:Gm\nG2^F G A,=B_e e|ef' g,2 ^f'2 z2|F,,4 (3bag B2|]\n"
    (ours,) = abc_lines(text)
    theirs = converter.parseData(text, format="abc").recurse().notes
    assert [str(p.pitch) for p in ours] == [n.pitch.nameWithOctave.replace("-", "b") for n in theirs]


def test_bass_lines_are_spelled_as_printed(basses: list[Line]) -> None:
    """At least 99.6 % of the notes of chorale basses, and more than either baseline finds."""
    names = count_names(basses)
    assert names.notes > 2000
    assert names.speller >= 0.996 * names.notes
    assert names.speller > names.window
    assert names.speller > names.ps13s1


def test_a_chromatic_quartet_is_spelled_better_than_by_the_baselines() -> None:
    """A cello line of the untuned half that leaves its key all the time."""
    name = "beethoven/opus59no3/movement2.mxl"
    assert half_of(name) == 1
    line = Line(name, 1, tuple(list(musicxml_lines(corpus_file(name)))[-1]))
    names = count_names([line])
    assert names.speller > max(names.window, names.ps13s1)


def test_the_checker_is_silent_on_printed_music_and_finds_wrong_names(basses: list[Line]) -> None:
    """Under 2 false alarms in 1,000 notes; at least 95 % of the wrong names planted (one in 50)."""
    doubts = count_doubts(basses)
    assert 1000 * doubts.alarms < 2 * doubts.notes
    assert doubts.planted > 20
    assert doubts.found >= 0.95 * doubts.planted
    assert doubts.everywhere_found >= 0.95 * doubts.everywhere


def test_a_long_phrase_is_spelled_like_its_parts(basses: list[Line]) -> None:
    """What stands far away has no say: cutting a long line changes names near the cuts at most."""
    line: list[Printed] = [note for bass in basses for note in bass.notes]
    free, _ = as_notes(Line("joined", 1, tuple(line)))
    alone = [solve(free[i : i + 400]) for i in range(0, 2000, 400)]
    together = solve(free[:2000])
    same = sum(a == b for a, b in zip([p for part in alone for p in part], together, strict=True))
    assert same > 1990


def test_the_window_is_the_one_described() -> None:
    """From three fifths below the tonic of the signature's major key to eight above it: twelve names."""
    assert [p for p in range(-20, 20) if in_window(p, 2)] == list(range(-1, 11))


def test_doubts_name_a_better_place(basses: list[Line]) -> None:
    """A doubted name and its better one are the same sound, twelve fifths apart or twenty-four."""
    for line in basses[:10]:
        free, printed = as_notes(line)
        typed = [p + 12 if i % 25 == 10 and p + 12 < 20 else p for i, p in enumerate(printed)]
        for doubt in check_names(free, typed):
            assert doubt.typed == typed[doubt.at]
            assert (doubt.better - doubt.typed) % 12 == 0

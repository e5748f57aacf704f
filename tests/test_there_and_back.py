"""There and back again: a draft that was moved and moved back is the draft that it was, sign for sign."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from scribe import compile
from scribe.bass.kept_places import as_names, places_of
from scribe.music.interval import Interval, parse_interval
from scribe.music.rewrite.transpose import transpose
from scribe.music.rewrite.ways import rewrite
from tests.any_drafts import NEEDLESS, PLAYER, SMALL_SIGNS, WILD, Habits, draft

DEMOS = sorted((Path(__file__).parent.parent / "demo").glob("*.scribe"))
NAMES = ["m2", "M2", "m3", "M3", "P4", "A4", "d5", "P5", "m6", "M6", "m7", "M7", "P8"]
WAYS = [f"{way} {name}" for name in NAMES for way in ("up", "down")]


def interval(text: str) -> Interval:
    found = parse_interval(text)
    assert found is not None
    return found


def sounds(text: str) -> list[tuple[int | None, object, object]]:
    """Everything that sounds in a draft without errors, and when."""
    compiled = compile(text)
    assert not [d for d in compiled.piece.diagnostics if d.severity == "error"]
    return [(n.midi, n.onset, n.length) for n in compiled.notes]


def returned(text: str, where: str) -> str:
    """A draft moved and moved back; what it sounds like on the way is checked."""
    by = interval(where)
    there = transpose(text, by)
    assume(not there.faults)  # what leaves the fretboard is refused
    assert sounds(there.text) == [(m if m is None else m + by.semitones, *rest) for m, *rest in sounds(text)]
    back = transpose(there.text, -by)
    assert back.faults == ()
    assert sounds(back.text) == sounds(text)
    return back.text


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_the_demos_come_back(path: Path) -> None:
    """By every interval, wherever their frets allow it."""
    text = path.read_text(encoding="utf-8")
    moved = 0
    for where in WAYS:
        there = transpose(text, interval(where))
        if not there.faults:
            moved += 1
            assert transpose(there.text, -interval(where)).text == text, where
    assert moved > 12


@pytest.mark.parametrize("habits", [PLAYER, SMALL_SIGNS], ids=["capitals", "small letters with signs"])
@settings(max_examples=60, derandomize=True, deadline=None)
@given(seed=st.integers(0, 10**6), where=st.sampled_from(WAYS))
def test_drafts_of_a_writer_with_one_habit_come_back(habits: Habits, seed: int, where: str) -> None:
    """Sections, comments, graces, stacks, doubts, pins, degrees, frets, several keys and homes: the same text."""
    text = draft(random.Random(seed), habits)
    assert returned(text, where) == text


@settings(max_examples=40, derandomize=True, deadline=None)
@given(seed=st.integers(0, 10**6), where=st.sampled_from(WAYS))
def test_any_draft_sounds_moved_and_comes_back_in_sound(seed: int, where: str) -> None:
    """Double accidentals, far chords, keys of seven signs, needless signs: never another sound, never an error."""
    returned(draft(random.Random(seed), WILD), where)


def test_needless_marks_in_all_keys_nearly_always_come_back() -> None:
    """Octave marks and capitals that were not needed, keys of up to seven signs: 98 of 100 at least."""
    rng = random.Random(5)
    tried = same = 0
    for seed in range(60):
        text = draft(random.Random(seed), NEEDLESS)
        by = interval(rng.choice(WAYS))
        there = transpose(text, by)
        if not there.faults:
            tried += 1
            same += transpose(there.text, -by).text == text
    assert tried > 40
    assert same >= tried * 0.98


@settings(max_examples=25, derandomize=True, deadline=None)
@given(
    key=st.sampled_from(["C", "Eb", "A minor", "E"]),
    words=st.lists(
        st.tuples(st.sampled_from("EADG"), st.integers(0, 12), st.sampled_from(["", ">", "?", "'v"])),
        min_size=4,
        max_size=16,
    ),
)
def test_frets_become_letters_and_the_same_frets_again(key: str, words: list[tuple[str, int, str]]) -> None:
    """Wherever they lie on the neck: a pin stands where the hand would go elsewhere."""
    words = words[: len(words) // 4 * 4]
    bars = [" ".join(f"{s}:{f}{m}" for s, f, m in words[i : i + 4]) for i in range(0, len(words), 4)]
    text = f"key {key}\n| {' | '.join(bars)} |\n"
    letters = as_names(text, "letter")
    assert letters.faults == ()
    assert sounds(letters.text) == sounds(text)
    assert rewrite(letters.text, "fret", None, places_of(compile(letters.text).piece)).text == text


@settings(max_examples=25, derandomize=True, deadline=None)
@given(seed=st.integers(0, 10**6))
def test_letters_become_degrees_and_the_same_letters_again(seed: int) -> None:
    """Small letters in the key, capitals outside, octave marks, pins, doubts and marks as they were."""
    text = rewrite(draft(random.Random(seed), PLAYER), "letter").text
    degrees = rewrite(text, "degree")
    assume(not degrees.faults)
    assert rewrite(degrees.text, "letter").text == text

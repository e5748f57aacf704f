"""Better names put into a draft, and the edits that put them there."""

from __future__ import annotations

import pytest

from scribe.diagnostics import Span
from scribe.music.rewrite.edit import Edit, aligned, apply, joined
from scribe.music.rewrite.respell import explain_bar, respell
from tests.pieces import random_draft
from tests.rewrite_help import midi


def test_better_names_are_put_in_and_nothing_else_changes() -> None:
    """Only the doubtful names; comments, blanks and alignment stay."""
    text = "; draft\nkey Eb   ; three flats\n|  ^e   G#  b e   | ^e a G#= b |  ; end"
    result = respell(text)
    assert result.text == "; draft\nkey Eb   ; three flats\n|  ^e   Ab  b e   | ^e a G#= b |  ; end"
    assert result.changed == 1


def test_respelling_keeps_the_sound_and_leaves_little_in_doubt() -> None:
    """Any draft: the same sounds; done again, nothing changes."""
    for seed in range(80):
        text = random_draft(seed)
        result = respell(text)
        assert midi(result.text) == midi(text), seed
        assert respell(result.text).text == result.text or result.changed > 0


def test_a_bar_is_explained_note_by_note() -> None:
    """Candidates with costs, the winner first, and how the note is typed."""
    text = "key Eb\n| ^e G# b e | % |\n"
    told = explain_bar(text, 1)
    assert told is not None
    assert [t.sound.head.pitch.name for t in told] == ["Eb", "G#", "Bb", "Eb"]
    assert [t.explanation.candidates[0].place for t in told] == [-3, -4, -2, -3]
    assert told[1].explanation.reason == "in Eb major: this is the key's own fourth degree, A flat"
    assert explain_bar(text, 2) == []
    assert explain_bar(text, 9) is None


@pytest.mark.parametrize(
    ("line", "mended"),
    [
        ("|  E#  g  | a |", "|  f   g  | a |"),  # no longer: made up
        ("|  d#   g | a |", "|  e    g | a |"),
        ("| E# g | a |", "| f g | a |"),  # nobody aligned this
        ("|  a   E#| a |", "|  a   f|  a |"),  # what is behind the barline keeps its place
    ],
)
def test_aligned_bars_stay_aligned(line: str, mended: str) -> None:
    """In lines with runs of blanks, those behind a word make up for its new length."""
    at = next(i for i, sign in enumerate(line) if sign == "#") - 1
    assert apply(line, aligned(line, [Edit(Span(at, at + 2), mended[at])])) == mended


def test_a_longer_word_takes_from_the_blanks_behind_it() -> None:
    """Down to one; two edits of a word count together; other lines have no say."""
    text = "a  b   c d\ne f"
    assert apply(text, aligned(text, [Edit(Span(0, 1), "xyz")])) == "xyz b   c d\ne f"
    assert apply(text, aligned(text, [Edit(Span(3, 4), "xyz")])) == "a  xyz c d\ne f"
    assert apply("ab   c", aligned("ab   c", [Edit(Span(0, 1), "xx"), Edit(Span(1, 2), "yy")])) == "xxyy c"
    assert apply(text, aligned(text, [Edit(Span(11, 12), "xyz")])) == "a  b   c d\nxyz f"


# --- edits -------------------------------------------------------------------------------------------------


def test_edits_count_in_the_text_as_it_was() -> None:
    """Any order, each in its place; two of one place are a mistake."""
    edits = [Edit(Span(4, 5), "X"), Edit(Span(0, 1), ""), Edit(Span(2, 2), "-")]
    assert apply("abcdef", edits) == "b-cdXf"
    assert joined("abcdef", edits[:2]) == Edit(Span(0, 5), "bcdX")
    with pytest.raises(ValueError, match="two edits"):
        apply("abc", [Edit(Span(0, 2), ""), Edit(Span(1, 2), "")])

"""What the hand cannot play is said where the draft is checked: rarely, once, with the mend."""

from __future__ import annotations

from random import Random

import pytest

from scribe import compile
from scribe.bass.remarks import playing
from scribe.diagnostics import Diagnostic
from scribe.diagnostics.playing import PLAYING
from scribe.music.suspect import suspect


def said(text: str) -> list[Diagnostic]:
    """The remarks about the hand, of a draft without errors."""
    found = compile(text).diagnostics
    assert not [d.message for d in found if d.severity == "error"]
    return [d for d in found if d.code in PLAYING]


def mended(text: str) -> str:
    """The text with the first mend of its only remark put in place."""
    (remark,) = said(text)
    hint = remark.hints[0]
    assert hint.span is not None
    assert hint.replacement is not None
    return text[: hint.span.start] + hint.replacement + text[hint.span.end :]


CASES = [
    ("| c:A+e:A . . . |", "| c:A+e:D . . . |"),
    ("| E:1+A:5 . . . |", "| E:1+D:0 . . . |"),
    ("| c+g+e+b . . . |", "| c+g+e . . . |"),
    ("| e+f . . . |", "| e . . . |"),
    ("| A:2hA:1 . . . |", "| A:2pA:1 . . . |"),
    ("| gpb . . . |", "| ghb . . . |"),
    ("| ghg . . . |", "| gg . . . |"),
    ("tempo 50\n| E:1hE:9 . . . |", "tempo 50\n| E:1E:9 . . . |"),
    ("| f vE'v f . |", "| f ^E'v vf . |"),
    ("tempo 200\n| E:1E:15 . . . |", "tempo 200\n| E:1G:0 . . . |"),
    ("tempo 60\n| g hb d g |", "tempo 60\n| g b d g |"),
]


@pytest.mark.parametrize(("text", "better"), CASES)
def test_the_mend_can_be_pasted_and_leaves_nothing_to_say(text: str, better: str) -> None:
    """The text to put in place is complete; the other notes stay what they are."""
    assert mended(text) == better
    if better.startswith("| ghb"):  # a major third low on the neck: it rises now, and is a stretch
        assert [d.code for d in said(better)] == ["wide-stretch"]
    else:
        assert said(better) == []
    before, after = ([n.onset for n in compile(one).notes] for one in (text, better))
    assert set(after) == set(before)


@pytest.mark.parametrize(
    ("text", "code"),
    [("position 5\n| a+f# - b a |", "wide-stretch"), ("strings B A G\n| 31 4+^3 5+5 473\\5 |", "fast-shift")],
)
def test_what_is_typed_already_is_no_mend(text: str, code: str) -> None:
    """The hand has to find the place; there is nothing to type."""
    (remark,) = [d for d in said(text) if d.code == code]
    assert remark.hints[0].replacement is None
    assert "write" not in remark.hints[0].text


def test_the_other_sign_is_offered_where_it_can_be_played() -> None:
    """C at fret 3 and F on the next string: neither a pull-off nor a hammer-on leads there."""
    assert mended("| c cpf f g |") == "| c cf f g |"


def test_a_position_that_a_bar_does_not_lie_in_is_said_once_with_one_that_has_it() -> None:
    """Four notes out of reach, one remark; the nearest position with all of them is named."""
    (remark,) = said("key C\nposition 1\n| ^^g d g b |\n")
    assert remark.code == "leaves-position"
    assert "3 more in this bar" in remark.message
    assert "`position 12` has all of this bar" in remark.hints[0].text
    assert said("key C\nposition 12\n| ^^g d g b |\n") == []


def test_what_is_written_once_is_said_once() -> None:
    """A bar that `%` and `use` play again gets one remark."""
    assert len(said("[A]\n| c:A+e:A . . . | % |\nuse A\n")) == 1


def test_a_stretch_that_only_our_fingering_chose_is_no_remark() -> None:
    """Where the draft leaves another way open, the way we found is nobody's mistake."""
    text = "key Bb\ntempo 100\n| bc de fg ab | ba gf ed cb |\n"
    assert said(text) == []


@pytest.mark.parametrize("text", ["| ve vd g c |", "instrument trumpet\n| g+b d - . |", "| g:G b d g |"])
def test_what_other_remarks_say_is_not_said_again(text: str) -> None:
    """Below the lowest string, on an instrument without strings, pinned to a string that has it not: one remark."""
    assert not [d for d in compile(text).diagnostics if d.code in PLAYING]


def line_of_letters(seed: int) -> str:
    """A made-up line of steps and leaps, with signs between and behind its notes."""
    random = Random(seed)
    bars = []
    for _ in range(12):
        words = []
        for _ in range(4):
            word = random.choice("abcdefg")
            for _ in range(random.choice((0, 0, 1, 1, 3))):
                word += random.choice(("", "", "", "h", "p", "/", "~")) + random.choice(
                    ("", "", "", "^", "v")
                )
                word += random.choice("abcdefg") + random.choice(("", "", "", ">", "'v"))
            words.append(word)
        bars.append(" ".join(words))
    return f"tempo {random.choice((80, 120, 160))}\n| {' | '.join(bars)} |\n"


def test_the_cheap_tests_pass_over_nothing() -> None:
    """Where no bar is suspect no fingering is looked for; one would have found nothing to say. Bar by bar, so that
    many are not suspect.
    """
    clear = 0
    for seed in range(12):
        tempo, line = line_of_letters(seed).split("\n")[:2]
        for bar in line.strip("|").split("|"):
            piece = compile(f"{tempo}\n|{bar}|\n").piece
            if not any(d.severity == "error" for d in piece.diagnostics) and not suspect(piece):
                clear += 1
                assert playing(piece) == ()
    assert clear >= 40


def test_drafts_without_anything_out_of_the_way_are_not_searched() -> None:
    """A walking line with octaves asks for no fingering; stacks, pins, positions and `show tab` do."""
    assert not suspect(compile("key F\ntempo 200\n| f ^f e d | c ^c b a | ghb d f |").piece)
    for text in ("| g+d . . . |", "| g:E b d g |", "position 5\n| g b d g |", "show tab\n| g b d g |"):
        assert suspect(compile(text).piece)

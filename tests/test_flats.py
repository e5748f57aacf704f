"""Small letters with `b` behind them: hinted where a flat note was meant, silent where two notes make sense."""

from __future__ import annotations

import random

import pytest

from scribe import compile
from scribe.diagnostics import Diagnostic
from scribe.music.rewrite.ways import rewrite
from tests.read_help import mended
from tests.rewrite_help import moved


def hints(text: str) -> list[Diagnostic]:
    """The remarks about flats of a draft."""
    return [d for d in compile(text).diagnostics if d.code == "letter-flat"]


@pytest.mark.parametrize(
    ("typed", "after"),
    [
        ("key Bb\n| d eb f g |", "key Bb\n| d e f g |"),
        ("| @Cm7 c eb g b |", "| @Cm7 c Eb g b |"),  # the chord has it, the key has not
        ("key Eb\n| f+eb+ab b d g |", "key Eb\n| f+e+a b d g |"),
        ("| c+eb g a d |", "| c+Eb g a d |"),  # in a stack even where neither key nor chord has the flat
        ("key Eb\n| g+^eb g f g |", "key Eb\n| g+^e g f g |"),
        (
            "key C minor\n| .c.c eb-c- g . |",
            "key C minor\n| .c.c e-c- g . |",
        ),  # five slots that would be four
        ("key F\ntime 6/8\n| bb-d f-- |", "key F\ntime 6/8\n| b-d f-- |"),
        ("key Ab\n| f ab db ^eb |", "key Ab\n| f a d ^e |"),
        ("key Eb\n| f ab db ^eb |", "key Eb\n| f a Db ^e |"),
        ("key Gb\n| f bb cb gb |", "key Gb\n| f b c g |"),
        ("| c eb g bb |", "| c Eb g Bb |"),  # in no key: two letters whose pairs alone are out of step
        ("key F\n| ab c ^db f |", "key F\n| Ab c ^Db f |"),
        ("| cd ebf gab bbc |", "| cd Ebf gAb Bbc |"),
    ],
)
def test_a_flat_meant_is_said_once_and_mended(typed: str, after: str) -> None:
    """One hint a bar holds every flat of it; with the mend pasted nothing is left to say."""
    (found,) = hints(typed)
    assert mended(typed, found) == after
    assert hints(after) == []


@pytest.mark.parametrize(
    "typed",
    [
        "key Gb\n| gb ^eb db fa |",  # eighths throughout
        "key Eb\n| ^eb ab db gb |",
        "key Eb\n| ^eb eb eb eb |",  # root and fifth
        "key Eb\n| f ^eb gb eb |",  # one letter of the key, though the words would come out even
        "| g eb d c |",  # neither key nor chord has the flat
        "key Bb\n| d e>b f g+d |",
        "| c eb g eb |",
        "key Eb\n| g bb |",  # one other word is no pattern
        "key C\n| eb-c- g |",  # neither key nor chord has E flat
        "key Eb\n| ebgbd g |",  # two pairs: the word says no division
        "key Eb\n| eb-g c |",  # four slots are as usual as three
        "key Eb\n| cebga c |",  # a quintuplet without holds is one
        "| dbbg aa |",  # pairs do not share a note
        "key Eb\n| g+c c+^cb+b b+^bb+b g |",  # octaves
    ],
)
def test_two_notes_are_two_notes(typed: str) -> None:
    """Where the division of the bar speaks for two notes nothing is said."""
    assert hints(typed) == []


@pytest.mark.parametrize("key", ["C", "F", "Eb", "Gb", "E", "C#", "A minor"])
def test_a_flat_sign_is_never_the_note_b(key: str) -> None:
    """Behind a small letter the sign `♭` makes an exact flat in every key, as `#` and `n` make exact notes."""
    for letter in "abcdefg":
        found = compile(f"key {key}\nenharmonic free\n| {letter}♭ |").piece.bars[0].events
        assert [head.pitch[:2] for event in found for head in event.heads] == [(letter.upper(), -1)]


def test_a_flat_sign_alone_is_no_note() -> None:
    """A flat sign that no letter and no degree owns is an error; before its letter the mend turns them round."""
    (found,) = compile("| g ♭e b |").diagnostics
    assert (found.code, mended("| g ♭e b |", found)) == ("misplaced-accidental", "| g Eb b |")
    assert [d.code for d in compile("| g e♭♭♭ |").diagnostics] == ["too-many-accidentals"]
    assert [d.code for d in compile("| g ♭ |").diagnostics] == ["accidental-without-note"]


def test_a_flat_sign_is_rewritten_as_a_capital() -> None:
    """What is rewritten gets plain signs: the flat needs its capital there."""
    assert moved("key C\n| c e♭ g b♭ |", "up M2") == "key D\n| d F a C |"
    assert rewrite("key C\n| 1 ♭3 5 3 |", "letter").text == "key C\n| c Eb g e |"
    assert rewrite("key C\n| c e♭ g e |", "degree").text == "key C\n| 1 b3 5 3 |"


def test_the_words_name_the_flat_once() -> None:
    """The hint for one note does not say twice that it is one note."""
    (found,) = hints("| @Cm7 c eb g b |")
    assert [hint.text for hint in found.hints] == ["for the one note E flat write `Eb`"]
    (found,) = hints("key Bb\n| d eb f g |")
    assert [hint.text for hint in found.hints] == ["for the one note E flat write `e`: Bb major has it"]


def test_the_rule_of_several_words_is_seldom_wrong() -> None:
    """On random lines of quarters and eighths, in which every `b` is meant, it speaks in fewer than one bar in 200."""
    chance = random.Random(5)
    bars = said = 0
    for key in ("F", "Bb", "Eb", "Ab", "Db", "G minor", "C minor", "F minor", "Bb minor"):
        at, line = 0, []
        for _ in range(60):
            words = []
            for _ in range(4):
                steps = [
                    chance.choice((0, 0, 1, -1, 1, -1, 2, -2, 3, -3, 4)) for _ in range(chance.choice((1, 2)))
                ]
                letters = ""
                for step in steps:
                    at = (at + step) % 7
                    letters += "abcdefg"[at]
                words.append(letters)
            line.append(" ".join(words))
        bars += len(line)
        said += sum("each" in d.message for d in hints(f"key {key}\n| {' | '.join(line)} |"))
    assert bars == 540
    assert said * 200 < bars

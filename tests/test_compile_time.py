"""Words and slots become exact onsets and lengths; bars are threaded together."""

from __future__ import annotations

import pytest

from scribe import compile
from tests.drafts import codes, notes, pitches, rhythm


@pytest.mark.parametrize(
    ("draft", "expected"),
    [
        ("| g b d g |", "0:1 1:1 2:1 3:1"),
        ("| g b |", "0:2 2:2"),
        ("| g |", "0:4"),
        ("| g b d g g b d g |", "0:1/2 1/2:1/2 1:1/2 3/2:1/2 2:1/2 5/2:1/2 3:1/2 7/2:1/2"),
        ("| gb g-b g--b gbd |", "0:1/2 1/2:1/2 1:2/3 5/3:1/3 2:3/4 11/4:1/4 3:1/3 10/3:1/3 11/3:1/3"),
        ("| g -b - .d |", "0:3/2 3/2:3/2 7/2:1/2"),
        ("| g--bcd . . . |", "0:1/2 1/2:1/6 2/3:1/6 5/6:1/6"),
        ("| 2{g b d} g b |", "0:2/3 2/3:2/3 4/3:2/3 2:1 3:1"),
        ("| 2{g bd 1{g b}} g b |", "0:2/3 2/3:1/3 1:1/3 4/3:1/3 5/3:1/3 2:1 3:1"),
        ("| gb / 2{g b d} |", "0:1/2 1/2:1/2 1:1/2 3/2:1/2 2:2/3 8/3:2/3 10/3:2/3"),
        ("time 12/8\n| g gb gbd g-b |", "0:3/2 3/2:3/4 9/4:3/4 3:1/2 7/2:1/2 4:1/2 9/2:1 11/2:1/2"),
        ("time 7/8 2+2+3\n| g b d |", "0:1 1:1 2:3/2"),
        ("time 7/8 2+2+3\n| g b d g b d g |", "0:1/2 1/2:1/2 1:1/2 3/2:1/2 2:1/2 5/2:1/2 3:1/2"),
        ("time 6/8\n| gbdgbd |", "0:1/2 1/2:1/2 1:1/2 3/2:1/2 2:1/2 5/2:1/2"),
        ("time 5/4\n| gbdgbdgbdgbdgbdgbdgb |", " ".join(f"{n}/4:1/4" for n in range(20))),
        ("pickup 1\n| g | a |", "0:1 | 0:4"),
        ("pickup 1 1/2\n| g a | a |", "0:1/2 1/2:1 | 0:4"),
        ("| g |\nshort 2\n| g a | a |", "0:4 | 0:1 1:1 | 0:4"),
        # A hold at a bar's start goes on from the bar before; the note list joins both.
        ("| g . . -b | - - d g |", "0:1 7/2:5/2 | 2:1 3:1"),
        ("| g |\nrest 8\n| a |", "0:4 | 0:4"),
    ],
)
def test_words_share_the_bar_and_slots_share_the_word(draft: str, expected: str) -> None:
    """Onsets and lengths in quarters (the language's own examples)."""
    got = rhythm(draft)
    want = " | ".join(" ".join(_lowest(p) for p in bar.split()) for bar in expected.split(" | "))
    assert got == want


def _lowest(pair: str) -> str:
    from fractions import Fraction

    onset, length = pair.split(":")
    return f"{Fraction(onset)}:{Fraction(length)}"


def test_values_are_written_for_the_metre() -> None:
    """The note list holds the written values, tied ones in order (reference cases 5 and 17)."""
    assert [n.values for n in notes("| .g - - -. | . . . .b | - . . . |")] == [
        ("Q.", "Q."),
        ("E", "Q"),
    ]


def test_one_bar_repeats_sound_again() -> None:
    """`%` is the last bar that is not `%` once more."""
    assert pitches("| g b d g | % | % | a . . . |") == "G1 B1 D2 G2 " * 3 + "A1"


def test_two_bar_repeats_are_one_cell() -> None:
    """`%%` is one cell for two bars."""
    piece = compile("| g . . . | a . . . | %% | b . . . |").piece
    assert [b.number for b in piece.bars] == [1, 2, 3, 4, 5]
    assert [str(b.events[0].heads[0].pitch) for b in piece.bars] == ["G1", "A1", "G1", "A1", "B1"]


def test_a_hold_in_a_second_ending_reaches_back_past_the_first() -> None:
    """In first-pass order the second ending follows the bar before the first."""
    draft = "|: g b d g |\nending 1\n| a . . . :|\nending 2\n| - . . . |"
    last = compile(draft).piece.bars[-1]
    assert str(last.events[0].heads[0].pitch) == "G2"
    assert last.tied


def test_chords_stand_at_their_word_or_slot() -> None:
    """`@3:Cm7` stands at the third slot of the word that follows; a bar without words is shared."""
    bar = compile("| @Gm7 g @3:C7 gbdb d g |").piece.bars[0]
    assert [(c.name, str(c.onset)) for c in bar.music.chords] == [("Gm7", "0"), ("C7", "3/2")]
    repeat = compile("| g b d g | @Gm7 @C7 % |").piece.bars[1]
    assert [(c.name, str(c.onset)) for c in repeat.music.chords] == [("Gm7", "0"), ("C7", "2")]


def test_barlines_agree_on_both_sides() -> None:
    """Barlines typed at the end of one line and the start of the next meet in one; the last is final."""
    bars = compile("|: g | a :|: b | c :|\n| d ||\n[B]\n| e | f |").piece.bars
    assert [b.right for b in bars] == [
        "single", "repeat both", "single", "repeat end", "double", "single", "final",
    ]  # fmt: skip
    assert [b.left for b in bars] == ["repeat start", "", "repeat start", "", "", "", ""]
    assert [b.section for b in bars] == ["", "", "", "", "", "B", ""]


def test_a_repeat_that_begins_a_section_takes_the_place_of_its_double_bar() -> None:
    """`|:` is stronger than the double bar before a section."""
    bars = compile("pickup 1\n| g |\n[A]\n|: g b d b :|").piece.bars
    assert [(b.left, b.right) for b in bars] == [("", "single"), ("repeat start", "repeat end")]


def test_endings_last_to_their_repeat_or_the_end_of_their_line() -> None:
    """The first ending ends at `:|`, the last at the end of its source line."""
    draft = "|: g | a |\nending 1\n| b | c :|\nending 2\n| d | e |\n| f |"
    bars = compile(draft).piece.bars
    assert [(b.endings, b.ending_starts, b.ending_ends) for b in bars] == [
        ((), False, False), ((), False, False),
        ((1,), True, False), ((1,), False, True),
        ((2,), True, False), ((2,), False, True),
        ((), False, False),
    ]  # fmt: skip


def test_source_lines_are_systems_and_a_blank_continues_one() -> None:
    """A music line that begins with a blank goes on in the system above, directives between them or not."""
    piece = compile("| g | a |\ntempo 90\n  | b |\n| c |").piece
    assert piece.systems == ((0, 3), (3, 4))


def test_a_pickup_is_bar_nought() -> None:
    """The first full bar after a pickup is bar 1 (common practice, no source)."""
    assert [b.number for b in compile("pickup 1\n| g | a |\nrest 4\n| b |").piece.bars] == [0, 1, 2, 6]


def test_a_hold_reached_again_on_another_note_is_said() -> None:
    """On a later pass a hold ties only to the same pitch; the check says where it does not."""
    assert codes("| g b d g |: - b d b :|") == ["hold-differs"]
    assert codes("| g b d g |: - b d ^g :|") == []


def test_broken_bars_leave_the_others_alone() -> None:
    """A fault costs one diagnostic and its own bar."""
    compiled = compile("| g b d g | g b d | a b d g |")
    assert [d.code for d in compiled.diagnostics] == ["word-count"]
    assert [b.music.broken for b in compiled.piece.bars] == [False, True, False]
    assert compiled.diagnostics[0].message == (
        "bar 2 holds 3 beat words, expected 1, 2, 4 or 8 in 4/4 (1 too few for 4)"
    )


def test_ids_of_a_bar_do_not_change_when_other_bars_do() -> None:
    """What stands in a bar keeps its id while other bars are edited."""
    before = compile("| g b d g | a b c d | e f g a |").piece.bars
    after = compile("| g d d g | a b c d | e f g a | b |").piece.bars
    assert [b.id for b in before[1:]] == [b.id for b in after[1:3]]
    assert before[0].id != after[0].id


def test_use_keeps_endings_and_systems_and_leaves_its_last_chord_in_force() -> None:
    """The copy of a section has the form of the section, and what follows it stands under its last chord."""
    piece = compile(
        "key Bb\n[A]\n|: @Cm7 c |\n  | d |\nending 1\n| e :|\nending 2\n| f |\n[B]\n| @Gb7 g |\nuse A\n| E:0 |"
    ).piece
    assert [b.endings for b in piece.bars[5:9]] == [(), (), (1,), (2,)]
    assert piece.systems == ((0, 2), (2, 3), (3, 4), (4, 5), (5, 7), (7, 8), (8, 9), (9, 10))
    assert piece.bars[9].in_force.chord is not None
    assert piece.bars[9].in_force.chord.text == "Cm7"
    assert str(piece.bars[9].events[0].heads[0].pitch) == "E1"


def test_notes_of_a_repeated_bar_stand_at_its_sign() -> None:
    """The place of what `%` repeats is the `%`."""
    draft = "| g b d b | % |\n"
    assert [n.span.start for n in notes(draft)][4:] == [draft.index("%")] * 4


def test_a_pickup_before_a_section_gets_no_double_bar() -> None:
    """The pickup belongs to the section."""
    assert compile("pickup 1\n| g |\n[A]\n| g | a |").piece.bars[0].right == "single"


def test_hammered_and_slid_notes_are_not_thumbed() -> None:
    """Under slap only what is struck is thumbed."""
    assert [n.marks for n in notes("| 'slap a hb d/e g |")] == [
        ("thumb",), ("hammer",), ("thumb",), ("slide up",), ("thumb",),
    ]  # fmt: skip

"""Names in drafts: frets and moved lines get theirs, typed ones are doubted, the mend compiles to the same sound."""

from __future__ import annotations

import random

import pytest

from scribe import compile
from scribe.diagnostics import Diagnostic
from scribe.live.sketch import sketch
from scribe.live.walk import Walker
from scribe.music.rewrite.respell import respell
from scribe.pipeline import Compiled
from tests.pieces import random_draft


def names(text: str) -> str:
    """The pitches of a draft as they stand on the page."""
    return " ".join(str(n.pitch) for n in compile(text).notes)


def said(text: str, code: str = "spelling") -> list[Diagnostic]:
    """What is said of a draft's names."""
    return [d for d in compile(text).piece.diagnostics if d.code == code]


def mended(text: str, one: Diagnostic) -> str:
    """The draft with the first hint that can be pasted."""
    hint = next(h for h in one.hints if h.replacement is not None and h.span is not None)
    assert hint.span is not None
    assert hint.replacement is not None
    return text[: hint.span.start] + hint.replacement + text[hint.span.end :]


def midi(compiled: Compiled) -> list[int | None]:
    return [n.midi for n in compiled.notes]


def test_frets_are_named_by_key_chord_and_what_follows() -> None:
    """The same fret is a leading tone here, a flat third there."""
    assert names("key A minor\n| A:0 E:4 E:5 A:3 |\n") == "A1 G#1 A1 C2"
    assert names("key C minor\n| A:3 E:4 E:3 A:3 |\n") == "C2 Ab1 G1 C2"
    assert names("| @A7 A:4 @Dm D:0 |\n") == "C#2 D2"
    assert names("| @Db7 A:4 @C A:3 |\n") == "Db2 C2"


def test_a_fret_is_named_with_the_bar_behind_in_view() -> None:
    """Spelling looks over the barline: the note that it leads to stands in the next bar."""
    assert names("| A:3 A:5 A:3 A:6 | A:7 A:3 A:5 A:3 |\n").split()[3] == "D#2"
    assert names("| A:3 A:5 A:7 A:6 | A:5 A:3 A:5 A:3 |\n").split()[3] == "Eb2"


def test_a_section_or_a_long_rest_ends_a_phrase() -> None:
    """Behind a section mark or four bars of rest a note has no more say."""
    close = "| A:3 A:5 A:3 A:6 |{}| A:7 A:3 A:5 A:3 |\n"
    assert names(close.format(" . | . | . ")).split()[3] == "D#2"
    far = names("| A:3 A:5 A:3 A:6 |\nrest 4\n| A:7 A:3 A:5 A:3 |\n").split()[3]
    section = names("[A]\n| A:3 A:5 A:3 A:6 |\n[B]\n| A:7 A:3 A:5 A:3 |\n").split()[3]
    assert far == section == names("| A:3 A:5 A:3 A:6 |\n").split()[3]


def test_held_and_repeated_bars_keep_the_names_they_go_on_with() -> None:
    """A hold over the barline, `/`, `%` and `%%` show the name of the note that they repeat."""
    assert names("key A minor\n| A:0 . . E:4 | - E:5 . . |\n") == "A1 G#1 A1"
    text = "key A minor\n| E:4:5 / / / | % | %% |\n"
    assert names(text) == " ".join(["G#1 A1"] * 16)


def test_a_moved_section_is_named_for_its_new_key() -> None:
    """`use A up M3` in another key: no double sharps where the key asks for plain names."""
    text = "key C\n[A]\n| c e- g ^c |\nkey Db\nuse A up A1\n"
    assert names(text) == "C2 E2 G2 C3 Db2 F2 Ab2 Db3"


def test_the_preference_names_frets_outside_the_key() -> None:
    """`enharmonic sharps` and `flats` are for pitches without a name."""
    assert names("enharmonic sharps\n| A:3 A:6 A:3 A:3 |\n").split()[1] == "D#2"
    assert names("enharmonic flats\n| A:3 E:2 A:3 A:3 |\n").split()[1] == "Gb1"


def test_a_doubted_name_gets_its_reason_and_a_mend() -> None:
    """The message names what was typed, the key and the better name; the hint can be pasted."""
    (one,) = said("key Eb\n| ^e G# ^B e |\n")
    assert one.message == "`G#` in Eb major: this is the key's own fourth degree, A flat"
    assert one.hints[0].text == "write `Ab`, or `G#=` if this name is meant"
    (one,) = said("key Eb\n| @B7 B Eb F# A |\n")
    assert one.message == "`Eb` over B7: the third of the chord is D sharp"


@pytest.mark.parametrize(
    "text",
    [
        "key Eb\n| ^e G# ^B e |\n",
        "key Eb\n| ^e G#= ^B e |\n",
        "key Eb\n| d G# d G# |\n",
        "key Eb\n| e+G# (G#) qvG#>: ,G#b |\n".replace(">:", ">"),
        "key Eb\n| e G# d ^^g |\n",
        "key D\n| d Gb Gba Gb |\n",
        "| A- c Db d |\n",
    ],
)
def test_a_mend_keeps_the_sound(text: str) -> None:
    """However the octaves are typed, the mended draft sounds the same and is doubted less."""
    before = compile(text)
    doubts = said(text)
    for one in doubts:
        after = compile(mended(text, one))
        assert midi(after) == midi(before)
        assert len([d for d in after.piece.diagnostics if d.code == "spelling"]) < len(doubts)


def test_a_mend_brings_the_octave_marks_that_it_needs() -> None:
    """With another letter a note may lie on the other side of its neighbour: the hint covers both, and no more."""
    assert said("key Eb\n| ^e G# d e |\n")[0].hints[0].replacement == "Ab vd"
    assert said("key Eb\n| c G# c G# |\n")[0].hints[0].replacement == "Ab"
    assert said("key Eb\n| c qvG# (^d) G#> |\n")[0].hints[0].replacement == "qvAb"
    assert said("key Eb\n| c qvG# (^d) G#> |\n")[1].hints[0].replacement == "^Ab>"


def test_silence_where_the_writer_asks_for_it() -> None:
    """`=` on a note, `enharmonic free` for a stretch, degrees always."""
    assert len(said("key Eb\n| ^e G# ^B e |\n")) == 1
    assert said("key Eb\n| ^e G#= ^B e |\n") == []
    assert said("key Eb\nenharmonic free\n| ^e G# ^B e |\n") == []
    assert said("key Eb\n| ^1 #3 5 1 |\n") == []


def test_fix_puts_the_better_name_on_the_page_and_says_nothing() -> None:
    """`enharmonic fix`: the text stays, the page shows A flat."""
    text = "enharmonic fix\nkey Eb\n| ^e G# B= e |\n"
    assert names(text) == "Eb2 Ab2 B2 Eb3"
    assert said(text) == []


def test_copies_are_not_doubted_a_second_time() -> None:
    """`%` and `use` repeat a bar; what is wrong with it is said where it is written."""
    assert len(said("key Eb\n[A]\n| ^e G# b e | % |\nuse A\n")) == 1


def test_a_wrong_key_is_suspected_once() -> None:
    """One hint with the count, at the first note that speaks for the other key."""
    text = "key G\n| g b d F | d F e F | ^g F e d |\n"
    (one,) = said(text, "wrong-key")
    assert one.message == "4 of 12 notes lie outside G major, 0 outside C major"
    assert one.hints[0].text == "if that is the key, write `key C` or `key G mixolydian`"
    assert text[one.span.start : one.span.end] == "F"


def test_an_accidental_that_the_key_gives_is_needless() -> None:
    """`f#` in G major; not `f#` in C, not a capital, not with `=`."""
    (one,) = said("key G\n| g ^d f# ^g |\n", "needless-accidental")
    assert one.message == "`f#` in G major: `f` alone is F sharp here"
    assert said("| g ^d f# ^g |\n", "needless-accidental") == []
    assert said("key G\n| g ^d F# ^g |\n", "needless-accidental") == []
    assert said("key G\n| g ^d f#= ^g |\n", "needless-accidental") == []


def test_random_drafts_keep_their_sound_when_all_mends_are_taken_one_by_one() -> None:
    """For any draft, pasting a mend changes no sounding pitch."""
    tried = 0
    for seed in range(150):
        text = random_draft(seed)
        compiled = compile(text)
        for one in said(text)[:3]:
            if any(h.replacement for h in one.hints):
                tried += 1
                assert midi(compile(mended(text, one))) == midi(compiled), (seed, one)
    assert tried > 30


def test_the_live_walk_says_the_same() -> None:
    """Line by line while typing: the same names and remarks as a fresh compilation."""
    dice = random.Random(3)
    walker = Walker()
    lines = [
        "key Eb",
        "| A:3 E:4 A:3 A:6 |",
        "| A:7 ^e G# d |",
        "rest 2",
        "| ^e G# ^B e |",
        "| % |",
        "| A:6 / / - |",
    ]
    for _ in range(40):
        text = "\n".join(dice.choices(lines, k=6)) + "\n"
        live, fresh = sketch(walker.walk(text)).piece(), compile(text).piece
        assert live.diagnostics == fresh.diagnostics
        assert [b.events for b in live.bars] == [b.events for b in fresh.bars]


def test_a_hold_meets_the_same_sound_whatever_its_name() -> None:
    """The name found for a fret before the chord changes is no other note."""
    text = "| @Db7 A:4 . . A:4 |: - @A7 A:0 D:2 A:4 :|\n"
    assert [d.code for d in compile(text).piece.diagnostics if d.code == "hold-differs"] == []


REPEATS = [
    ("|: f a c Gb :|\n| g a g c |", 0),  # goes back to f first
    ("|: f a c Gb :|", 0),
    ("|: g a c Gb :| g a c f |", 1),  # g both times
    ("|: g a c Gb :| f a c f |", 0),
    ("|: f a c d | g a c Gb :| g a c f |", 0),
    ("|: f a c d\nending 1\n| g a c Gb :|\nending 2\n| g a c f |", 0),  # ending 2 never follows ending 1
    ("|: g a c d\nending 1\n| g a c Gb :|\nending 2\n| f a c f |", 1),
    ("|: g a c Gb\nending 1\n| g a c f :|\nending 2\n| f a c f |", 0),  # led into on the first pass alone
    ("|: g a c Gb\nending 1\n| g a c f :|\nending 2\n| g a c f |", 1),
    ("|: g a c Gb | g a c f :|", 1),  # far from the repeat sign
    ("| f a c Gb :| g a c f |", 0),  # back to the beginning
    ("| f a c Gb | g a c f |", 1),
]


@pytest.mark.parametrize(("music", "warnings"), REPEATS)
def test_names_beside_repeat_signs_are_judged_as_they_are_played(music: str, warnings: int) -> None:
    """A name is doubted only where the better one is right for every note that is played next (common practice)."""
    text = f"key F\n{music}\n"
    found = said(text)
    assert len(found) == warnings
    assert (respell(text).text == text) is not bool(warnings)
    fixed = names(f"key F\nenharmonic fix\n{music}\n")
    assert ("F#" in fixed) is bool(warnings)
    assert ("Gb" in fixed) is not bool(warnings)
    for one in found:
        assert said(mended(text, one)) == []
        assert midi(compile(mended(text, one))) == midi(compile(text))

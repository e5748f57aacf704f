"""What players who are new to the shorthand type as they know it from paper, and what they are told."""

from __future__ import annotations

import random
import re

import pytest

from scribe import compile
from scribe.diagnostics import Diagnostic
from scribe.live.sketch import sketch
from scribe.live.walk import Walker


def said(text: str, code: str) -> list[Diagnostic]:
    """The remarks of one code; the live page must say the same."""
    found = list(compile(text).piece.diagnostics)
    assert list(sketch(Walker().walk(text)).diagnostics) == found
    return [one for one in found if one.code == code]


def mended(text: str, code: str) -> str:
    """The draft after the mends of all remarks of one code, from the last one on."""
    for one in reversed(said(text, code)):
        hint = next(hint for hint in one.hints if hint.replacement is not None)
        assert hint.span is not None
        assert hint.replacement is not None
        text = text[: hint.span.start] + hint.replacement + text[hint.span.end :]
    return text


@pytest.mark.parametrize(
    ("typed", "after"),
    [
        ("120bpm", "120"),
        ("Swing feel 120BPM", "Swing feel 120"),
        ("ca.120", "ca. 120"),
        ("~120", "ca. 120"),
        ("120ish", "ca. 120"),
        ("120-126", "ca. 123"),
        ("(120)", "120"),
        ("120/min", "120"),
        ("92,5", "92.5"),
        ("MM120", "120"),
    ],
)
def test_a_number_among_the_words_of_a_tempo(typed: str, after: str) -> None:
    """A number with something glued to it sets no speed: a hint offers the one that does."""
    text = f"tempo {typed}\nfeel straight\n| g |\n"
    assert mended(text, "tempo-words") == f"tempo {after}\nfeel straight\n| g |\n"
    tempo = compile(mended(text, "tempo-words")).piece.bars[0].tempo
    assert tempo is not None
    assert tempo.bpm is not None


@pytest.mark.parametrize(
    "typed",
    ["126", "ca. 120", "Medium 152", "Rubato", "Tempo di 12/8", "In 8ths", "1950s ballad", "2-feel 90"],
)
def test_tempos_that_are_right_get_no_remark(typed: str) -> None:
    """`ca. 120` is words and a number; numbers of metres, values and years are words."""
    assert said(f"tempo {typed}\n| g |\n", "tempo-words") == []


@pytest.mark.parametrize(
    ("typed", "feel"),
    [
        ("Medium swing 132", "swing"),
        ("swing", "swing"),
        ("Slow shuffle 70", "shuffle"),
        ("Swing 16ths 90", "swing 16ths"),
    ],
)
def test_a_tempo_that_swings_in_words_alone(typed: str, feel: str) -> None:
    """The words print no swing sign and swing nothing: the hint adds the line that does, and is silent then."""
    text = f"tempo {typed}\n| g |\n"
    assert mended(text, "feel-unsaid") == f"tempo {typed}\nfeel {feel}\n| g |\n"
    assert said(mended(text, "feel-unsaid"), "feel-unsaid") == []
    assert said(f"feel straight\n{text}", "feel-unsaid") == []
    assert said(f"{text}feel swing\n| g |\n", "feel-unsaid") == []


@pytest.mark.parametrize(
    ("typed", "after"),
    [
        ("| g b d g | x4", "| g b d g | % | % | %"),
        ("| g b d g | x2 |", "| g b d g | % |"),
        ("| g b d g | (3x)", "| g b d g | % | %"),
        ("| g b d g | ×2", "| g b d g | %"),
    ],
)
def test_how_often_a_bar_is_played(typed: str, after: str) -> None:
    """`x4` behind a bar would be a dead note and a degree: the hint writes the repeat signs."""
    assert mended(typed, "times-as-bar") == after


@pytest.mark.parametrize("typed", ["|: g b d g :| x4", "| g b | a c | x3", "| g b d g | x1"])
def test_how_often_where_no_mend_is_sure(typed: str) -> None:
    """Where several bars may be meant the hint says how, and pastes nothing."""
    (found,) = said(typed, "times-as-bar")
    assert all(hint.replacement is None for hint in found.hints)


@pytest.mark.parametrize("typed", ["| x4 5 1 1 | x4 5 1 1 |", "| x4 | 1 5 |", "x4"])
def test_dead_notes_beside_degrees_stay_what_they_are(typed: str) -> None:
    """Only the last bar of a line, alone as a number of times, is asked about."""
    assert said(typed, "times-as-bar") == []


def test_a_section_with_a_number_of_times_makes_no_bar() -> None:
    """`[A] x2` says what can be done, and does not make a bar of the number."""
    (found,) = said("[A] x2\n| g b d g |\n", "no-barline")
    assert "`use`" in found.hints[0].text
    assert [bar.text for bar in compile("[A] x2\n| g b d g |\n").piece.bars] == ["g b d g"]


@pytest.mark.parametrize(
    ("line", "code", "after"),
    [
        ("use A x2", "no-such-section", "use A\nuse A"),
        ("use A up P4 x2", "use-value", "use A up P4\nuse A up P4"),
        ("use A bars 1 3x", "use-value", "use A bars 1\nuse A bars 1\nuse A bars 1"),
    ],
)
def test_a_section_used_a_number_of_times(line: str, code: str, after: str) -> None:
    """`use` plays a section once: the mend writes a line for each time."""
    text = f"[A]\n| g b d g |\n{line}\n"
    assert mended(text, code) == f"[A]\n| g b d g |\n{after}\n"
    assert not [one for one in compile(mended(text, code)).piece.diagnostics if one.severity == "error"]


ENDINGS = "|: g b d g |\nending 1\n  | g a b c :|\nending 2\n  | g a b g |"


@pytest.mark.parametrize(
    "typed",
    [
        "|: g b d g |1 g a b c :|2 g a b g |",
        "|: g b d g |1. g a b c :|2. g a b g |",
        "|: g b d g |[1 g a b c :|[2 g a b g |",
    ],
)
def test_endings_as_they_are_printed(typed: str) -> None:
    """The number of an ending at its barline is no degree: the mends make the lines, and the notes are read right."""
    assert mended(typed, "ending-at-barline") == ENDINGS
    assert not compile(ENDINGS).piece.diagnostics
    assert [note.midi for note in compile(typed).notes] == [note.midi for note in compile(ENDINGS).notes]


def test_an_ending_that_begins_its_line() -> None:
    """The barline that the number stands at goes with its bar."""
    text = "|: g b d g\n|1 g a b c :|\n|2 g a b g |"
    assert mended(text, "ending-at-barline") == "|: g b d g\nending 1\n| g a b c :|\nending 2\n| g a b g |"


@pytest.mark.parametrize(
    "typed", ["|: 1 3 5 1 |1 3 5 1 :|", "|: g b d g |1 3 5 1 :|", "|1 g a b|", "|: g b | 1 g :|"]
)
def test_degrees_at_a_barline_stay_degrees(typed: str) -> None:
    """A bar of degrees may stand close to its barline."""
    assert said(typed, "ending-at-barline") == []


@pytest.mark.parametrize(
    ("typed", "after"),
    [
        ("ending 1 | g b d g :|", "ending 1\n| g b d g :|"),
        ("ending 1,2 |: g b d g :|", "ending 1,2\n|: g b d g :|"),
        ("key G minor | g b d g |", "key G minor\n| g b d g |"),
        ("pickup 1 | g", "pickup 1\n| g"),
    ],
)
def test_music_behind_a_directive(typed: str, after: str) -> None:
    """A directive has a line of its own: the music goes to the next one."""
    assert mended(typed, f"{typed.split()[0]}-value") == after


@pytest.mark.parametrize("sign", ["//", "#", "--"])
def test_comments_begun_with_another_sign(sign: str) -> None:
    """A line that begins as comments do elsewhere is told how they begin here."""
    text = f"{sign} a fine line\n| g b d g |\n"
    assert mended(text, "comment-sign") == "; a fine line\n| g b d g |\n"
    assert not compile(mended(text, "comment-sign")).piece.diagnostics


def test_a_colon_behind_a_directive() -> None:
    """The mend shows the whole line."""
    (found,) = said("title: My tune\n| g |\n", "sign-in-directive")
    assert found.hints[0].text == "leave it out: `title My tune`"
    assert mended("title: My tune\n| g |\n", "sign-in-directive") == "title My tune\n| g |\n"


@pytest.mark.parametrize("tempo", ["Part E 100", "ca. 90", "Theme 120", "Tempo di minuetto 100"])
def test_words_before_a_tempo_are_no_beats(tempo: str) -> None:
    """A letter behind words, and words that only begin like a beat's name, are printed."""
    assert said(f"tempo {tempo}\n| g |\n", "tempo-value") == []


@pytest.mark.parametrize(
    ("typed", "after"),
    [("e", "^e"), ("va", "a"), ("^^^^b", "^^^b"), ("(e)g", "(^e)g"), ("f vd", "f ^d")],
)
def test_a_note_that_the_bass_does_not_have(typed: str, after: str) -> None:
    """The mend names the same note an octave nearer, as it is typed; it is silent then."""
    text = f"key Eb\nhome E1\n| {typed} |\n"
    assert mended(text, "outside-range") == f"key Eb\nhome E1\n| {after} |\n"
    assert said(mended(text, "outside-range"), "outside-range") == []


@pytest.mark.parametrize(
    ("typed", "after", "code"),
    [
        ("g b d 3{f d b}", "g b d fdb", "word-count"),
        ("g 3{f d b}", "g fdb", "group-changes-nothing"),
        ("g b 3{f d b} 3{f d b}", "g b fdb 3{f d b}", "group-changes-nothing"),
    ],
)
def test_a_group_whose_number_counts_its_notes(typed: str, after: str, code: str) -> None:
    """Meant as a triplet of one beat, which is a word of three slots; one remark, and its mend does that."""
    assert len(said(f"| {typed} |\n", "word-count") + said(f"| {typed} |\n", "group-changes-nothing")) == 1
    assert mended(f"| {typed} |\n", code) == f"| {after} |\n"


@pytest.mark.parametrize("typed", ["2{g b d} g b", "3{g b}d", "3{g b d e} g", "2{gb d} a b"])
def test_groups_that_are_meant(typed: str) -> None:
    """Another number of words, or more than one slot in a word: nothing is said of the braces."""
    assert said(f"| {typed} |\n", "group-changes-nothing") == []


def octaves(text: str) -> list[Diagnostic]:
    """What is said of octaves, in order of place."""
    return sorted([*said(text, "far-leap"), *said(text, "outside-range")], key=lambda one: one.span)


@pytest.mark.parametrize(
    ("music", "home"),
    [
        ("| e b e b | e b e b | g d g d | e b e b |", "D2"),
        (
            "key D minor\n| d--a a--d | g--d d--g | a--e e--a | d--a a-.C# |\n"
            "| b--f f--b | e--Bb Bb--e | a--e e--C# | d - |",
            "E2",
        ),
    ],
)
def test_one_home_for_many_bars(music: str, home: str) -> None:
    """Where one `home` takes the octaves of several bars right, one hint names it; with it nothing is left to say."""
    (found,) = octaves(music)
    assert "more places lie too far off as well" in found.message
    assert found.hints[0].text == f"`home {home}` for the whole draft mends all of it"
    assert octaves(f"home {home}\n{music}") == []


def test_octaves_that_no_home_mends_are_said_one_by_one() -> None:
    """Bars that want other octaves than each other keep a hint each; so do few of them."""
    assert len(octaves("| d f a d | b g e c | d f a c | d f e d | d a f d |")) == 4
    assert len(octaves("| e b e b | g b d g |")) == 1


def test_a_home_that_is_offered_is_right() -> None:
    """Over random drafts: the home that is said to mend all of it leaves nothing, and one that mends most, a third."""
    rng = random.Random(6)
    offered = 0
    for _ in range(150):
        bars = [" ".join(rng.choice("abcdefg") for _ in range(4)) for _ in range(rng.randint(3, 8))]
        text = "| " + " | ".join("^" * (rng.random() < 0.3) + bar for bar in bars) + " |"
        found = octaves(text)
        home = (
            re.match(r"`home (\w+)` for the whole draft mends (all|most)", found[0].hints[0].text)
            if found
            else None
        )
        if home is None:
            continue
        offered += 1
        left = octaves(f"home {home[1]}\n{text}")
        assert not left if home[2] == "all" else 0 < len(left) <= 3
    assert offered > 5


def test_steady_without_a_hairpin() -> None:
    """It ends nothing, which is told; behind a dynamic too, and over bars."""
    assert mended("| 'p g b 'steady d b |\n", "no-hairpin") == "| 'p g b  d b |\n"
    assert len(said("| 'cresc g b 'f d b | 'steady g b d b | g b 'steady d b |\n", "no-hairpin")) == 2
    assert said("| 'cresc g b d b | g 'steady b d b |\n", "no-hairpin") == []


def test_a_german_h_is_told_apart() -> None:
    """B natural is typed `B`; alone, `h` leads to nothing."""
    (fault,) = said("| g b d h |\n", "connector-without-note")
    assert "B natural is `B`" in fault.hints[0].text

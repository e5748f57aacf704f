"""Chords, faulty bars and tempos as players new to the shorthand type them, and what they are told."""

from __future__ import annotations

import pytest

from scribe import compile
from tests.test_newcomers import mended, said


@pytest.mark.parametrize(
    ("typed", "after"),
    [
        ("Cis7", "C#7"),
        ("Bes7", "Bb7"),
        ("As7", "Ab7"),
        ("Es", "Eb"),
        ("Essus4", "Ebsus4"),
        ("Fism7b5", "F#m7b5"),
        ("Gis/Dis", "G#/D#"),
        ("C/H", "C/B"),
        ("C/e", "C/E"),
        ("Cmj7", "Cmaj7"),
        ("C^7", "Cmaj7"),
        ("Ch7", "Cm7b5"),
        ("Cmoll", "Cm"),
        ("Cdur", "C"),
        ("Cdom7", "C7"),
        ("Cm/maj7", "Cm(maj7)"),
        ("C7/Bb7", "C7/Bb"),
    ],
)
def test_a_chord_named_as_elsewhere(typed: str, after: str) -> None:
    """A symbol that is not understood gets the one that is, and nothing is left to say behind the mend."""
    text = f"| @{typed} g b d g |\n"
    assert mended(text, "chord-unknown") == f"| @{after} g b d g |\n"
    assert said(mended(text, "chord-unknown"), "chord-unknown") == []


@pytest.mark.parametrize(
    ("typed", "after"),
    [("cis7", "C#7"), ("Hm", "Bm"), ("hes7", "Bb7"), ("es/g", "Eb/G"), ("(C7)", "C7?")],
)
def test_a_chord_that_begins_otherwise(typed: str, after: str) -> None:
    """The mend is understood at once, not in two steps."""
    text = f"| @{typed} g b d g |\n"
    assert mended(text, "chord-name") == f"| @{after} g b d g |\n"
    assert said(mended(text, "chord-name"), "chord-unknown") == []


@pytest.mark.parametrize("typed", ["Asus", "Esus4", "Dsus", "Esus2", "Adim"])
def test_chords_that_are_no_flats(typed: str) -> None:
    """`Asus` is A with its fourth, not A flat."""
    assert said(f"| @{typed} g b d g |\n", "chord-unknown") == []


def test_two_chords_in_one_word() -> None:
    """They need a beat word each: nothing is offered for pasting."""
    (found,) = said("| @Am7-D7 a c d a |\n", "chord-unknown")
    assert found.hints[0].text == "each chord stands before its own beat word: `@Am7 … @D7 …`"


@pytest.mark.parametrize(
    "notes", ["g b d", "g b d z", "g b d g'bend", "g 2{b d g", "G:-1 b d g", "g b:G d g"]
)
def test_a_bar_with_a_fault_keeps_its_chords_and_words(notes: str) -> None:
    """While a bar is typed, or after a slip in it, its chords stay on the page and in force, and so do its texts."""
    text = f'degrees chord\n| @C7 g |\n| @Fm7 "stop" \'mf {notes} | 3 |\n'
    _, faulty, after = compile(text).piece.bars
    assert faulty.music.broken
    assert [chord.name for chord in faulty.music.chords] == ["Fm7"]
    assert [word.text for word in faulty.music.words] == ["stop", "mf"]
    assert [chord.onset for chord in faulty.music.chords] == [0]
    assert [str(head.pitch)[:1] for event in after.events for head in event.heads] == ["A"]


def test_chords_of_a_faulty_bar_stand_about_where_they_belong() -> None:
    """The chord before the fourth of five words stands behind the middle; nothing stands in the next bar."""
    bar = compile("| @Am7 a a a @D7 d d | @3:Gm7? g b d g |\n").piece.bars[0]
    assert [str(chord.onset) for chord in bar.music.chords] == ["0", "12/5"]
    (found,) = said("| @3:Gm7? g b d g |\n", "chord-slot")
    assert found.hints[0].replacement == "@Gm7?"
    (other,) = compile("| @3:Gm7? g b d g |\n").piece.bars
    assert [str(chord.onset) for chord in other.music.chords] == ["0"]


@pytest.mark.parametrize(
    ("typed", "after"),
    [
        ("tempo 58\ntime 12/8\n", "tempo dotted-quarter 58\ntime 12/8\n"),
        ("time 6/8\ntempo Slow ca. 60\n", "time 6/8\ntempo Slow ca. dotted-quarter 60\n"),
    ],
)
def test_a_number_of_beats_in_a_compound_metre(typed: str, after: str) -> None:
    """A number alone counts quarters; where beats are dotted the hint offers those, and is silent then."""
    assert mended(f"{typed}| g |\n", "tempo-beat") == f"{after}| g |\n"
    assert said(f"{after}| g |\n", "tempo-beat") == []
    assert compile(f"{after}| g |\n").piece.bars[0].tempo.value == "Q."  # type: ignore[union-attr]


@pytest.mark.parametrize(
    "head",
    ["tempo 58\n", "tempo quarter 87\ntime 12/8\n", "tempo Slow\ntime 12/8\n", "tempo 90\n| g |\ntime 6/8\n"],
)
def test_other_tempos_say_what_they_seem_to(head: str) -> None:
    """In simple metre, with a beat named, without a number, and of bars before the metre changes."""
    assert said(f"{head}| g |\n", "tempo-beat") == []


def test_words_of_a_tempo_between_quotes() -> None:
    """Quotes around them are not printed; inside they are."""
    tempos = [
        compile(f"tempo {typed}\n| g |\n").piece.bars[0].tempo
        for typed in ('"One drop" 72', '"Rubato"', 'In "two" 90')
    ]
    assert [(tempo.words, tempo.bpm) for tempo in tempos if tempo] == [
        ("One drop", 72),
        ("Rubato", None),
        ('In "two"', 90),
    ]


def test_a_pass_without_an_ending() -> None:
    """Ending 3 behind ending 1 is remarked on; any number may stand first, and a first ending begins a new count."""
    assert len(said("|: g b d b |\nending 1\n| a b :|\nending 3\n| a g |\n", "ending-missing")) == 1
    whole = "|: g b d b |\nending 1,2\n| a b :|\nending 3\n| a g |\n"
    assert said(whole + whole, "ending-missing") == []
    assert said("|: g b d b |\nending 2\n| a b :|\n| g |\n", "ending-missing") == []


def test_a_sign_in_a_faulty_bar_is_not_asked_for_its_partner() -> None:
    """One remark for one bar; a segno in a faulty bar is a segno."""
    (found,) = (d for d in compile("| a b c d 'ds al coda |\n").piece.diagnostics if d.severity != "hint")
    assert found.code == "unknown-direction"
    (found,) = (
        d for d in compile("| 'segno a b z d | a b c d 'ds |\n").piece.diagnostics if d.severity != "hint"
    )
    assert found.code == "unknown-sign"


def test_two_chords_typed_at_one_place_stand_side_by_side() -> None:
    """In the faulty bar too, so that they can be read."""
    bar = compile("| @Fm7 @Bbm7 f a @C7 b d |\n").piece.bars[0]
    assert [(chord.name, str(chord.onset)) for chord in bar.music.chords] == [
        ("Fm7", "0"),
        ("Bbm7", "1"),
        ("C7", "2"),
    ]


def test_signs_of_the_form_are_not_used_again() -> None:
    """A section that is used again brings its notes and dynamics; its segno stays where it was written."""
    piece = compile("[A]\n| 'segno 'mf g b d g | a b c 'tocoda d |\nuse A\n| 'coda g b d 'ds g |\n").piece
    words = [[word.text for word in bar.music.words] for bar in piece.bars]
    assert words == [["segno", "mf"], ["tocoda"], ["mf"], [], ["coda", "ds"]]


def test_a_chord_ends_where_the_key_changes() -> None:
    """Notes of the new key are not named by the old key's last chord; degrees of a chord go on."""
    text = "key D minor\n| @Dm d f a d |\nkey C#\n| c e g b |\n"
    assert said(text, "spelling") == []
    assert [bar.in_force.chord is None for bar in compile(text).piece.bars] == [True, True]
    same = text.replace("key C#", "key F")  # the same signs: the chord goes on
    assert [bar.in_force.chord is None for bar in compile(same).piece.bars] == [True, False]
    over = "key D minor\ndegrees chord\n| @Dm 1 b3 5 1 |\nkey C\n| 1 b3 5 1 |\n"
    assert [
        str(head.pitch)[0] for event in compile(over).piece.bars[1].events for head in event.heads
    ] == list("DFAD")


@pytest.mark.parametrize(
    ("typed", "after"),
    [
        ("key F\n| @Bdim7 b d f d |\n", "key F\n| @Bdim7 B d f d |\n"),
        ("key Bb\n| g @Edim7 ^e g f |\n", "key Bb\n| g @Edim7 ^E g f |\n"),
        ("key C\n| @F#m7b5 f a c e |\n", "key C\n| @F#m7b5 f# a c e |\n"),
        ("key C\n| @Ebmaj7 e> g d g |\n", "key C\n| @Ebmaj7 Eb> g d g |\n"),
        ("key Eb\n| @F/A a c f c |\n", "key Eb\n| @F/A A c f c |\n"),
        ("key A\n| @F7 c @C7 (c)e g a |\n", "key A\n| @F7 c @C7 (C)e g a |\n"),
    ],
)
def test_a_small_letter_that_misses_the_root_of_its_chord(typed: str, after: str) -> None:
    """The key makes it the semitone beside the root with which the chord begins: the hint offers the root."""
    assert mended(typed, "root-letter") == after
    assert said(after, "root-letter") == []


@pytest.mark.parametrize(
    "typed",
    [
        "key F\n| @Bdim7 b= d f d |\n",  # meant
        "key F\n| @Bb7 b d f d |\n",
        "key F\n| @Bdim7 Bb d f d |\n",  # exact
        "key Bb\n| @C7 g b e g |\n",  # not the root, and not where the chord is set
        "key C\n| @Bb7 g a b c |\n",  # on the way to c
        "key D minor\n| @Bmaj7 b f d f |\n",  # its seventh under another name: one remark, about the name
        "key F\n| @Bdim7 1 3 5 1 |\n",
    ],
)
def test_other_letters_under_a_chord(typed: str) -> None:
    """Nothing is said of notes that are meant, exact, somewhere else, or told otherwise."""
    assert said(typed, "root-letter") == []

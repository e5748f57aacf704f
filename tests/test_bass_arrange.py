"""Another instrument's line as a bass line: exact, complete, and said bar by bar."""

from __future__ import annotations

from math import inf

import pytest

from scribe import compile
from scribe.bass.arrange import Arrangement, arrange, heads_of, interval_to
from scribe.bass.arrange_report import path, report
from scribe.bass.arranged_text import arranged_text, differences
from scribe.bass.change import change_cost
from scribe.bass.fingering import Task, shifted, solve
from scribe.bass.fretboard import Fretboard, fretboard
from scribe.bass.grips import FREE, Grip, choices, own_cost
from scribe.bass.hand import ELECTRIC
from scribe.bass.line import Moment, Tone
from scribe.music.interval import UNISON, Interval
from scribe.music.key import parse_key

NECK = Fretboard()
SOLO = """title  Back Room
instrument alto sax
key Eb
tempo 160
[A]
| @Fm7 .c eg b d | @Bb7 ^fd ba gf . | @Ebmaj7 g-b d ^g f | . . .eb c | ; my own words
| @Fm7 (c) ,d,ef hg b | @Bb7 % | @Ebmaj7 e'v - / . | g> a* b c |
rest 2
use A up P4
"""


def arranged(
    text: str, key: str | None = None, strings: str = "E A D G", pins: bool = False
) -> tuple[str, Arrangement]:
    """The draft of the first way, and the way."""
    compiled = compile(text)
    assert not [d.message for d in compiled.diagnostics if d.severity == "error"]
    piece = compiled.piece
    target = parse_key(key) if key else None
    interval = interval_to(piece.bars[0].in_force.key, target) if target else UNISON
    made = arrange(piece, fretboard(strings), interval=interval)[0]
    return arranged_text(text, compiled.draft, piece, made, pins), made


def sounding(text: str) -> list[tuple[int, str, str, int | None]]:
    """Bar, onset, length and MIDI number of every note, grace notes and dead notes too."""
    return [(n.bar, str(n.onset), str(n.length), n.midi) for n in compile(text).notes]


# --- the search ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("midis", [(64, 67, 72), (76, 60, 55), (88, 89, 40), (50, 86, 51)])
@pytest.mark.parametrize("fold", [1.0, 12.0])
def test_octave_and_fingering_are_one_exact_search(midis: tuple[int, ...], fold: float) -> None:
    """Equal to trying every octave of every note in every place: cost and path, folds included."""
    moments = tuple(Moment((Tone(midi),), 0.3, 0.0) for midi in midis)
    octaves = (0, -1, -2, -3)
    task = Task(octaves=octaves, fold=(fold,) * 3, register=0.2)

    def least(i: int, before: Grip | None, was: int) -> float:
        if i == len(moments):
            return 0.0
        best = inf
        for octave in octaves:
            moment = shifted(moments[i], octave)
            for grip in choices(moment, NECK, ELECTRIC, "mixed").grips:
                if grip.frees_the_hand:
                    grip = grip._replace(hand=before.hand if before else FREE)
                cost = own_cost(grip, moment, NECK, ELECTRIC).total + 0.2 * abs(octave)
                if before is not None:
                    cost += change_cost(before, moments[i - 1], grip, "", NECK, ELECTRIC).total
                    cost += fold * (1 + abs(octave - was)) / 2 if octave != was else 0.0
                best = min(best, cost + least(i + 1, grip, octave))
        return best

    assert solve(moments, NECK, ELECTRIC, task=task).cost == pytest.approx(least(0, None, 0), abs=1e-9)


def test_a_line_that_fits_in_one_octave_is_never_folded() -> None:
    """Two octaves of range or less: the whole line moves together, its contour as it was."""
    made = arranged("instrument tenor sax\nkey F\n| c f a ^c | f ^c a f | d g b d |")[1]
    assert made.folds == ()
    assert len({note.octaves for note in made.notes}) == 1


def test_a_line_wider_than_the_neck_is_folded_where_it_breathes() -> None:
    """Over four octaves: one change, and that after the rest."""
    text = "instrument piano\ntempo 120\nhome C2\n| c d e g |\n| . . . . |\nhome C7\n| c d e g |"
    made = arranged(text)[1]
    assert made.folds == (4,)


def test_every_note_lies_on_the_neck_and_keeps_its_name() -> None:
    """No pitch is changed but by octaves, none is without a place."""
    made = arranged(SOLO)[1]
    for i, (note, moment) in enumerate(zip(made.notes, made.line.moments, strict=True)):
        assert note.grip is not None
        heads = heads_of(made.source, made.line, i)
        for stop, tone, k in zip(note.grip.stops, moment.tones, note.kept, strict=True):
            assert stop.fret is not None
            assert NECK.midi(stop.string, stop.fret) == tone.midi
            assert (tone.midi - heads[k].pitch.midi) == 12 * note.octaves


# --- stacks ------------------------------------------------------------------------------------------------------


def test_of_a_stack_the_bass_the_guide_tones_and_the_top_are_kept_in_this_order() -> None:
    """Six notes of C9 on a piano: C stays, then E and B flat of the chord; what is left out is listed."""
    text = "instrument piano\ntempo 60\n| @C9 c+g+b+e+g+d - - - |".replace("b+", "Bb+")
    made = arranged(text)[1]
    (note,) = made.notes
    heads = heads_of(made.source, made.line, 0)
    kept = [heads[k].pitch.name for k in note.kept]
    assert kept[0] == "C"
    assert {"E", "Bb"} <= set(kept) or len(kept) == 2
    assert len(kept) + len(made.dropped[0]) == 6
    assert not set(note.kept) & {h for h, head in enumerate(heads) if head.pitch in made.dropped[0]}


def test_a_stack_in_reach_is_kept_whole() -> None:
    """Root and fifth."""
    made = arranged("instrument guitar\ntempo 60\n| c+g - - - |")[1]
    assert made.dropped == ((),)
    assert made.notes[0].kept == (0, 1)


# --- the draft ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("key", [None, "C", "F#", "G"])
@pytest.mark.parametrize("strings", ["E A D G", "B E A D G C"])
@pytest.mark.parametrize("pins", [False, True])
def test_the_draft_compiles_to_the_arrangement(key: str | None, strings: str, pins: bool) -> None:
    """Every note where the search put it; onsets and lengths are those of the source."""
    text, made = arranged(SOLO, key, strings, pins)
    compiled = compile(text)
    assert [d.message for d in compiled.diagnostics if d.severity == "error"] == []
    assert differences(compiled.piece, made) == []
    old, new = sounding(SOLO), sounding(text)
    assert [row[:3] for row in new] == [row[:3] for row in old]
    shift = made.interval.semitones
    for (_, _, _, was), (_, _, _, now) in zip(old, new, strict=True):
        assert was is not None
        assert now is not None
        assert (now - was - shift) % 12 == 0
    if pins:
        assert all(h.string for b in compiled.piece.bars for e in b.events for h in e.heads)


def test_words_marks_and_comments_stay() -> None:
    """Title, sections, own comments, accents, staccato, vibrato, ghosts, graces, repeats and rests are untouched."""
    text = arranged(SOLO)[0]
    for kept in ("title  Back Room", "[A]", "; my own words", "rest 2", "@Fm7", "| @Bb7 % |", "'v", "(c)"):
        assert kept in text
    assert "instrument bass" in text
    assert "use A up P4" not in text  # written out: its octaves are its own
    assert text.count("rest 2") == 2


def test_home_and_strings_stand_under_the_instrument() -> None:
    """What the new line is measured from comes where a writer would type it, not above the title."""
    text, _ = arranged("title High\ninstrument piano\n| ^^c b a g | ^^c b a f |\n")
    rows = text.splitlines()
    assert rows[1:3] == ["title High", "instrument bass"]
    assert all(not row.startswith("home") for row in rows[:3])


def test_no_note_stays_that_only_an_open_string_brings_within_reach() -> None:
    """Open D below, a third two octaves and more above it: that is left out, and listed."""
    _, made = arranged("instrument piano\nkey F\n| @Dm7 vd+^c+f+a - - - |\n")
    stack = made.line.moments[0].tones
    assert max(t.midi for t in stack) - min(t.midi for t in stack) <= 24
    assert len(stack) + len(made.dropped[0]) == 4


def test_a_fold_waits_for_a_long_note() -> None:
    """Where no rest parts the phrases the octave changes behind a long note, not in the middle of a run."""
    _, made = arranged("instrument piano\ntempo 90\n| ^^c d e g | f - - - | vvc d e g | e - - - |\n")
    assert all(made.line.moments[i - 1].sounds >= 1.5 for i in made.folds)
    assert made.folds


def test_a_plain_use_stays_and_follows_its_section() -> None:
    """`use A` repeats the arranged bars."""
    source = "instrument alto sax\n[A]\n| c e g ^c | a f d b |\nuse A\n"
    text, made = arranged(source)
    assert "use A" in text
    assert differences(compile(text).piece, made) == []


def test_folds_stand_on_the_page_and_in_the_comments() -> None:
    """A word above the staff at the place, a comment at the end of the line."""
    source = "instrument piano\ntempo 120\n| vc d e g | . . . . | ^^^^^c d e g |\n"
    text, made = arranged(source)
    assert len(made.folds) == 1
    by = made.notes[-1].octaves - made.notes[0].octaves
    assert f'"folded down{f" {abs(by)} octaves" if abs(by) > 1 else ""}"' in text
    assert "; bar 3, beat 1: against the source, " in text


def test_the_key_moves_with_its_chords_and_keeps_its_mode() -> None:
    """G minor to E minor: a minor third down, names and chord symbols along."""
    source = "instrument trumpet\nkey G minor\n| @Gm7 g b d f | @D7/F# F# a c d |\n"
    text, made = arranged(source, "E")
    assert made.interval == Interval(-2, -3)
    assert "key E minor" in text
    assert "@Em7" in text
    assert "@B7/D#" in text
    assert [n.degree for n in compile(text).notes] == [n.degree for n in compile(source).notes]


@pytest.mark.parametrize(
    ("start", "end", "interval"),
    [
        ("C", "D", Interval(1, 2)), ("C", "Bb", Interval(-1, -2)), ("Eb", "C", Interval(-2, -3)),
        ("F", "B", Interval(-4, -6)), ("C", "F", Interval(3, 5)), ("C", "G", Interval(-3, -5)), ("A", "A", UNISON),
    ],
)  # fmt: skip
def test_the_way_to_another_key_is_the_shorter_one(start: str, end: str, interval: Interval) -> None:
    """At most a tritone; that one goes down."""
    a, b = parse_key(start), parse_key(end)
    assert a is not None
    assert b is not None
    assert interval_to(a, b) == interval


def test_a_natural_before_the_note_b_is_not_read_as_its_flat() -> None:
    """`C` and then `b` would be C flat: the natural is typed."""
    source = "instrument trumpet\nkey D\n| CnB d d d |\n".replace("CnB", "Cnb")
    text, made = arranged(source)
    assert differences(compile(text).piece, made) == []


# --- the report ----------------------------------------------------------------------------------------------------


def test_the_report_says_what_was_changed_bar_by_bar() -> None:
    """From which page, the key, the octaves of every bar, what was left out."""
    source = "instrument alto sax\ntempo 120\n| c e g ^c | c+d+e+f+g . . . | a f d b |\n"
    made = arranged(source)[1]
    rows = report(made)
    assert rows[0] == "from the alto sax, which reads a M6 above its sound; to strings E A D G"
    assert rows[1] == "key kept"
    left_out = [row for row in rows if row.startswith("bar 2:")]
    assert len(left_out) == 1
    for pitch in made.dropped[4]:
        assert str(pitch) in left_out[0]
    covered = " ".join(row.split(":")[0] for row in rows)
    assert "bar 1" in covered
    assert "bar 3" in covered
    assert len(path(made)) == 3


def test_a_bar_with_an_error_is_named_and_left_alone() -> None:
    """Its text stays; the report says so."""
    source = "instrument alto sax\n| c e g | a f d b |\n"
    compiled = compile(source)
    made = arrange(compiled.piece, NECK)[0]
    text = arranged_text(source, compiled.draft, compiled.piece, made)
    assert "| c e g |" in text
    assert "bar 1: has an error and is left as it is" in report(made)


def test_more_ways_differ() -> None:
    """Each way moves or places the notes otherwise."""
    piece = compile(SOLO).piece
    found = arrange(piece, NECK, count=3)
    assert len(found) == 3
    assert len({way.notes for way in found}) == 3

"""Scores as other programs write them: nothing in them is passed over in silence."""

from __future__ import annotations

import pytest

from scribe import compile
from scribe.exchange.draft import write_draft
from scribe.exchange.reading import take
from tests.exchange_help import (
    BACK,
    LINE,
    bar_of,
    direction,
    draft,
    note,
    notes,
    part_of,
    score_of,
    sign,
    words,
)


def repeat_sign(kind: str, bars: int = 1) -> str:
    """`<measure-repeat>`: how a bar is printed as the sign that repeats the bar before."""
    inside = str(bars) if kind == "start" else ""
    return (
        f'<attributes><measure-style><measure-repeat type="{kind}">{inside}</measure-repeat></measure-style>'
        "</attributes>"
    )


def test_an_empty_bar_under_a_repeat_sign_repeats() -> None:
    """MusicXML 4.0: `measure-repeat` "specifies a notation style for repetitions"; a bar left empty under it is not
    silence."""
    bars = [
        bar_of(LINE, 4),
        bar_of(repeat_sign("start") + note(".", 16)),
        bar_of(repeat_sign("stop") + LINE),
    ]
    assert draft(part_of(bars)) == "|c d e f|%|c d e f"


def test_other_voices_of_the_staff_are_named_where_they_play() -> None:
    """What stands beside the line that is taken is said at its bars, once for bars in a row."""
    below = BACK + note("C2", 16, voice=2)
    alone, both = bar_of(LINE), bar_of(LINE + below)
    made = draft(part_of([bar_of(LINE, 4), both, both, alone, both, alone, alone, alone]))
    assert [line for line in made.splitlines() if line.startswith(";")] == [
        "; bars 2-3: voice 2 left out",
        "; bar 5: voice 2 left out",
    ]
    assert ";" not in draft(part_of([bar_of(LINE, 4), alone]))


def test_a_bar_with_one_voice_is_for_every_voice() -> None:
    """The lower of two voices is not silent where the staff is not divided."""
    below = BACK + note("C2", 16, voice=2)
    made = draft(part_of([bar_of(LINE, 4), bar_of(LINE + below), bar_of(LINE)]), voice=2)
    assert made == "; bar 2: voice 1 left out\n|c d e f|vvc|c d e f"


def test_a_line_with_a_stack_now_and_then_is_a_line() -> None:
    """The bass of a piano piece is taken, though it ends with an octave, and not the voice above it."""
    low, high = notes("C2", "D2", "E2", "F2"), BACK + notes("G3", "G3", "A3", "B3", voice=2)
    end = note("C2", 16) + note("C3", 16, "<chord/>") + BACK + note("G3", 16, voice=2)
    made = draft(part_of([bar_of(low + high, 4), *[bar_of(low + high)] * 3, bar_of(end)]))
    assert made.splitlines()[-1].endswith("|c+c")
    assert "voice 2 left out" in made


def test_the_lowest_line_is_taken_before_chords() -> None:
    """A bass part with a stack in it goes before a tune; a tune goes before chords below it; the left hand of a
    piano piece goes before the right one."""
    tune, low = bar_of(notes("C5", "D5", "E5", "F5"), 4), bar_of(notes("C2", "D2", "E2", "F2"), 4)
    octave = bar_of(note("C2", 16) + note("C3", 16, "<chord/>"))
    chords = bar_of((note("C4") + note("E4", more="<chord/>") + note("G4", more="<chord/>")) * 4, 4)
    bass = ("Bass", [low, octave])
    assert take(score_of([("Flute", [tune, tune]), bass])).source == "part 2 (Bass)"
    assert take(score_of([("Flute", [tune]), ("Guitar", [chords])])).source == "part 1 (Flute)"
    left = bar_of((note("C2") + note("C3", more="<chord/>") + note("G3")) * 2, 4)
    assert take(score_of([("Piano", [tune]), ("Piano", [left])])).source == "part 2 (Piano)"


def test_a_part_for_the_bass_goes_before_a_lower_one() -> None:
    """By its name, in a band whose piano goes lower; elsewhere parts are compared as they sound, not as written."""
    low, high = bar_of(notes("C2", "D2", "E2", "F2"), 4), bar_of(notes("C3", "D3", "E3", "F3"), 4)
    for name in (
        "Bass",
        "E. Bass",
        "Electric Bass",
        "Contrabass",
        "Upright Bass",
        "Fretless Bass",
        "Bass Guitar",
    ):
        assert take(score_of([("Piano", [low]), (name, [high])])).source == f"part 2 ({name})"
    assert take(score_of([("Piano", [low]), ("Bass Clarinet", [high])])).source == "part 1 (Piano)"
    written = "<transpose><diatonic>-8</diatonic><chromatic>-14</chromatic></transpose>"
    tenor = bar_of(notes("C4", "D4", "E4", "F4"), 4, written)
    viola = bar_of(notes("G3", "G3", "A3", "A3"), 4)
    assert take(score_of([("Viola", [viola]), ("Tenor Sax", [tenor])])).source == "part 2 (Tenor Sax)"


def test_a_voice_that_crosses_to_the_other_staff_is_whole() -> None:
    """The left hand of a piano piece keeps the note that it plays on the upper staff (MusicXML 4.0: `staff` tells
    where a note stands, `voice` what it belongs to)."""
    upper, lower = "<staff>1</staff>", "<staff>2</staff>"
    bar = (
        note("C5", 16, behind=upper)
        + BACK
        + note("C3", 8, behind=lower, voice=5)
        + note("G2", 4, behind=lower, voice=5)
        + note("G3", 4, behind=upper, voice=5)
    )
    assert draft(part_of([bar_of(bar, 4, "<staves>2</staves>")], "Piano"), part="2") == "|vvc g^g"


def test_two_voices_of_one_number_on_two_staves_stay_apart() -> None:
    """Some programs count the voices of each staff from 1."""
    bar = notes("C5", "D5", "E5", "F5").replace("</note>", "<staff>1</staff></note>")
    bar += BACK + notes("C3", "C3", "C3", "C3").replace("</note>", "<staff>2</staff></note>")
    score = part_of([bar_of(bar, 4, "<staves>2</staves>")], "Piano")
    assert draft(score, part="1") == "|c d e f"
    assert draft(score, part="2") == "|vvc c c c"


@pytest.mark.parametrize(
    ("said", "typed"),
    [
        ("D.S. al Coda", "'ds"),
        ("Dal Segno al Coda", "'ds"),
        ("D.C. al Coda", "'dc"),
        ("DS al Coda", "'ds"),
        ("D.S. al Fine", '"D.S. al Fine"'),  # `'ds` would print "al Coda" here
    ],
)
def test_jumps_are_directions(said: str, typed: str) -> None:
    """Words that send the player back are the draft's own sign where that prints the same."""
    bars = [
        bar_of(sign("segno") + LINE, 4),
        bar_of(LINE + words("To Coda")),
        bar_of(LINE + words(said)),
        bar_of(sign("coda") + LINE),
    ]
    assert (
        draft(part_of(bars)).replace("\n", "")
        == f"|'segno c d e f|c d e f 'tocoda|c d e f {typed}|'coda c d e f"
    )


def test_back_to_the_beginning_and_to_the_end() -> None:
    """D.C. al Fine, where no coda is."""
    bars = [bar_of(LINE, 4), bar_of(LINE + words("Fine")), bar_of(LINE + words("D.C. al Fine"))]
    assert draft(part_of(bars)) == "|c d e f|c d e f 'fine|c d e f 'dc"


EIGHTHS = notes("C3", "D3", "E3", "C3", "D3", "E3", duration=2)
ONE = "<attributes><divisions>4</divisions></attributes>"


@pytest.mark.parametrize(
    ("bars", "metre", "typed"),
    [
        (
            [notes("C3", "D3", "E3", duration=8), notes("C3", "C3", "D3", "D3", "E3", "E3")],
            "3/2",
            "c d e|cc dd ee",
        ),
        ([notes("C3", "D3", "E3"), note("C3", 8) + note("D3")], "3/4", "c d e|c - d"),
        ([note("C3"), notes("D3", "E3", "F3", "E3"), notes("D3", "E3", duration=8)], "4/4", "c|d e f e|d e"),
        ([note("C3", 2) + note("D3") + note("E3", 2) + note("F3"), EIGHTHS], "6/8", "cd- ef-|cde /"),
        ([EIGHTHS, EIGHTHS], "3/4", "cd ec de|cd ec de"),
    ],
)
def test_a_score_without_a_metre_gets_one(bars: list[str], metre: str, typed: str) -> None:
    """By the lengths of its bars and what goes over the beats (common practice, no source); the report says so.

    The shorter first bar of the third is a pickup.
    """
    score = part_of([bar_of((ONE if not i else "") + each) for i, each in enumerate(bars)], "Cello")
    line = take(score).line
    assert line.remarks == (f"no metre named, {metre} by its bars",)
    text = write_draft(line).text
    assert [bar.split() for bar in text.splitlines()[-1][1:].split("|")] == [
        bar.split() for bar in typed.split("|")
    ]
    piece = compile(text).piece
    assert {str(bar.in_force.metre) for bar in piece.bars} == {metre}
    assert ";" not in text


def test_slurs_of_the_lower_staff() -> None:
    """music21 leaves them to the upper one."""
    slur = '<notations><slur type="{}" number="1"/></notations>'
    low = note("C3") + note("D3") + note("E3") + note("F3")
    low = low.replace("</note>", slur.format("start") + "</note>", 1)
    low = slur.format("stop").join([*low.rsplit("</note>", 1)[:1], "</note>"])
    bar = LINE.replace("<octave>3", "<octave>5").replace("</type>", "</type><staff>1</staff>")
    bar += BACK + low.replace("<voice>1", "<voice>2").replace("</type>", "</type><staff>2</staff>")
    score = part_of([bar_of(bar, 4, "<staves>2</staves>")], "Piano")
    assert draft(score, part="2") == "|vvc ~d ~e ~f"


def test_signs_set_behind_the_end_of_a_pickup_stay_in_it() -> None:
    """A segno with an offset does not make the bar longer."""
    segno = sign("segno").replace("</direction>", "<offset>8</offset></direction>")
    score = part_of([bar_of(note("C3") + segno, 4), bar_of(LINE)])
    text = write_draft(take(score).line).text
    assert "pickup   1\n" in text
    assert text.splitlines()[-1].startswith("|c")


def test_too_many_rests_are_a_bar_s_rest() -> None:
    """Where the bar is no longer in other parts, two whole rests in 4/4 are one; it is said."""
    rests = note(".", 16) * 2
    high = LINE.replace("<octave>3", "<octave>5")
    score = score_of(
        [("Violin", [bar_of(high, 4), bar_of(high)]), ("Cello", [bar_of(rests, 4), bar_of(LINE)])]
    )
    assert (
        draft(score, part="2")
        == "; bar 1: rests of 8 quarters in a bar of 4/4, written as a bar's rest\n|.|c d e f"
    )


@pytest.mark.parametrize(
    ("bar", "said"),
    [
        (direction("<other-direction>hold your breath</other-direction>") + LINE, "hold your breath"),
        (direction("<eyeglasses/>") + LINE, "eyeglasses"),
        (
            "<figured-bass><figure><figure-number>6</figure-number></figure></figured-bass>" + LINE,
            "figured bass",
        ),
        (LINE.replace("<note>", "<note><cue/>", 1), "a cue note kept as a note"),
        (LINE.replace("<note>", '<note print-object="no">', 1), "an unprinted note kept as a note"),
        (
            LINE.replace(
                "</note>",
                "<notations><technical><other-technical>P</other-technical></technical></notations></note>",
                1,
            ),
            "a sign of playing: P",
        ),
        (LINE + '<barline location="right"><fermata/></barline>', "a fermata on the barline"),
    ],
)
def test_what_nobody_reads_is_named_at_its_bar(bar: str, said: str) -> None:
    """Elements of MusicXML 4.0 that neither music21 reads nor a draft has room for."""
    assert f"; bar 2: {said}\n" in draft(part_of([bar_of(LINE, 4), bar_of(bar)]))


def test_only_the_part_that_is_taken_is_spoken_of() -> None:
    """What the other players' parts say is no loss of this one."""
    odd = bar_of(direction("<eyeglasses/>") + notes("C5", "D5", "E5", "F5"), 4)
    assert ";" not in draft(score_of([("Flute", [odd]), ("Bass", [bar_of(LINE, 4)])]))


def test_strings_and_repeat_signs_belong_to_their_part() -> None:
    """Behind a piano, whose two staves are parts of their own for the reader."""
    hands = notes("C5", "D5", "E5", "F5").replace("</note>", "<staff>1</staff></note>")
    hands += BACK + notes("C4", "C4", "C4", "C4", voice=5).replace("</note>", "<staff>2</staff></note>")
    strings = "".join(
        f'<staff-tuning line="{i}"><tuning-step>{s[0]}</tuning-step><tuning-octave>{s[1]}</tuning-octave>'
        "</staff-tuning>"
        for i, s in enumerate(("B0", "E1", "A1", "D2", "G2"), 1)
    )
    head = f"<staff-details>{strings}</staff-details>"
    bass = [
        bar_of(LINE, 4).replace("</attributes>", f"{head}</attributes>"),
        bar_of(repeat_sign("start") + LINE),
    ]
    score = score_of([("Piano", [bar_of(hands, 4, "<staves>2</staves>"), bar_of(hands)]), ("Bass", bass)])
    made = write_draft(take(score).line).text
    assert "strings  B E A D G\n" in made
    assert made.endswith("f|%\n")


@pytest.mark.parametrize(
    ("transpose", "sounding"),
    [
        ("<chromatic>0</chromatic><octave-change>-1</octave-change>", "C2 D2 E2 F2"),
        ("<chromatic>-2</chromatic>", "Bb2 C3 D3 Eb3"),
        ("<chromatic>-9</chromatic><octave-change>-1</octave-change>", "Eb1 F1 G1 Ab1"),
    ],
)
def test_a_transposition_in_semitones_only(transpose: str, sounding: str) -> None:
    """MusicXML 4.0, `transpose`: `diatonic` may be left out; how many staff places from common practice."""
    line = take(part_of([bar_of(LINE, 4, f"<transpose>{transpose}</transpose>")], "Bass")).line
    assert " ".join(str(event.heads[0].pitch) for event in line.bars[0].events) == sounding


@pytest.mark.parametrize(
    ("inside", "typed"),
    [
        ("<function>V7</function><kind>dominant</kind>", '|"V7" c d e f'),
        (
            '<numeral><numeral-root text="IV">4</numeral-root></numeral><kind text="maj7">major-seventh</kind>',
            '|"IVmaj7" c d e f',
        ),
        ("<numeral><numeral-root>2</numeral-root></numeral><kind>minor</kind>", '|"2" c d e f'),
        ("<kind>none</kind>", "|@N.C. c d e f"),
    ],
)
def test_chords_without_a_root(inside: str, typed: str) -> None:
    """MusicXML 4.0, `harmony`: a chord may be named by its place in the key; it is printed as words."""
    assert draft(part_of([bar_of(f"<harmony>{inside}</harmony>{LINE}", 4)])) == typed


def test_the_strings_named_at_the_tablature_are_those_of_the_notes() -> None:
    """A staff of notes over a tablature for a bass in drop D, whose open strings stand at the tablature only."""
    strings = "".join(
        f'<staff-tuning line="{i}"><tuning-step>{s[0]}</tuning-step><tuning-octave>{s[1]}</tuning-octave>'
        "</staff-tuning>"
        for i, s in enumerate(("D1", "A1", "D2", "G2"), 1)
    )
    head = (
        '<staves>2</staves><clef number="2"><sign>TAB</sign></clef>'
        f'<staff-details number="2">{strings}</staff-details>'
        "<transpose><chromatic>0</chromatic><octave-change>-1</octave-change></transpose>"
    )
    low = note("D2", 16, behind="<staff>1</staff>")
    place = "<notations><technical><string>4</string><fret>0</fret></technical></notations>"
    low += BACK + note("D2", 16, behind=f"<staff>2</staff>{place}", voice=2)
    made = write_draft(take(part_of([bar_of(low, 4, head)], "Bass")).line)
    assert "strings  D A D G\n" in made.text
    assert made.unsaid == ()


def test_places_that_the_strings_do_not_have_are_said_alone() -> None:
    """A string that is too high for its note: the grace note before it and the fall behind it stay."""
    signs = "<technical><string>1</string><fret>0</fret></technical><articulations><falloff/></articulations>"
    grace = "<note><grace/><pitch><step>F</step><octave>2</octave></pitch><voice>1</voice><type>eighth</type></note>"
    bar = grace + note("E2", 16, behind=f"<notations>{signs}</notations>")
    assert draft(part_of([bar_of(bar, 4)], "Bass")) == "; bar 1: strings and frets\n|,^f^e\\"


def test_a_key_that_begins_inside_a_bar_is_that_of_the_next() -> None:
    """A draft's keys begin at barlines; which key and where it began is said in our names."""
    flats = "<attributes><key><fifths>-4</fifths><mode>major</mode></key></attributes>"
    first = bar_of(notes("C3", "E3") + flats + notes("C3", "G3"), 4)
    made = write_draft(take(part_of([first, bar_of(LINE)])).line).text
    assert made.split("\n", 1)[1] == (
        "key      C\n; bar 1: the key Ab begins inside the bar, not behind it\n|c e c ^g\nkey Ab\n |c D E f\n"
    )


def test_quarter_tones_are_named_as_we_name_notes() -> None:
    """What is heard between two frets is written at the lower one."""
    sharp = note("A2", 16).replace("</step>", "</step><alter>0.5</alter>")
    flat = note("B2", 16).replace("</step>", "</step><alter>-0.5</alter>")
    assert draft(part_of([bar_of(sharp, 4), bar_of(flat)], "Bass")) == (
        "; bar 1: a quarter tone above A2, written as A2\n; bar 2: a quarter tone above Bb2, written as Bb2\n|^a|^^Bb"
    )


@pytest.mark.parametrize(
    ("sign", "made"),
    [
        ("<strong-accent/>", "; bar 1: strong accent, written as accent\n|c d> e f"),
        ("<staccatissimo/>", "; bar 1: staccatissimo, written as staccato\n|c d* e f"),
        ("<detached-legato/>", "|c d*_ e f"),
        ("<scoop/>", "; bar 1: scoop\n|c d e f"),
        ("<plop/>", "; bar 1: plop\n|c d e f"),
    ],
)
def test_marks_a_draft_has_only_something_like(sign: str, made: str) -> None:
    """The nearest mark, and what it was; a scoop is no slide from the note before."""
    marked = note("D3", behind=f"<notations><articulations>{sign}</articulations></notations>")
    assert draft(part_of([bar_of(note("C3") + marked + notes("E3", "F3"), 4)])) == made


def test_a_scoop_behind_a_rest_is_a_slide_from_nowhere() -> None:
    """That a draft can say."""
    scoop = note("D3", behind="<notations><articulations><scoop/></articulations></notations>")
    assert draft(part_of([bar_of(note(".") + scoop + notes("E3", "F3"), 4)])) == "|. /d e f"


def test_remarks_of_a_line_are_as_few_as_can_be() -> None:
    """The same of several bars once, short ones of the same bars together, counts added up."""
    cue = LINE.replace("<note>", "<note><cue/>")
    bars = [bar_of(cue, 4), bar_of(LINE), bar_of(cue), bar_of(cue + direction("<eyeglasses/>")), bar_of(LINE)]
    made = draft(part_of([*bars[:2], bars[2], bars[3]]))
    assert made.splitlines()[:-1] == [
        "; bars 1, 3-4: a cue note kept as a note (12 times)",
        "; bar 4: eyeglasses",
    ]
    both = bar_of(cue + direction("<eyeglasses/>") + direction("<harp-pedals/>"), 4)
    assert (
        draft(part_of([both])).splitlines()[0]
        == "; bar 1: a cue note kept as a note (4 times), eyeglasses, harp pedals"
    )


@pytest.mark.parametrize(
    ("kind", "text", "typed"),
    [
        ("suspended-fourth", "7sus4", "C7sus4"),
        ("dominant", "7alt", "C7alt"),
        ("dominant", "7b9", "C7b9"),
        ("major", "add9", "Cadd9"),
        ("minor-seventh", "m7", "Cm7"),
        ("minor-seventh", "major what", "Cm7"),
    ],
)
def test_degrees_that_only_the_text_of_a_chord_has(kind: str, text: str, typed: str) -> None:
    """MusicXML 4.0, `kind`: `text` is how the chord is printed; what it adds to the kind is believed."""
    chord = f'<harmony><root><root-step>C</root-step></root><kind text="{text}">{kind}</kind></harmony>'
    assert draft(part_of([bar_of(chord + LINE, 4)])) == f"|@{typed} c d e f"


def test_two_staves_without_a_name_are_a_piano() -> None:
    """Some programs write `MusicXML Part` where there is no name."""
    high = LINE.replace("<octave>3", "<octave>5").replace("</type>", "</type><staff>1</staff>")
    low = LINE.replace("<voice>1", "<voice>2").replace("</type>", "</type><staff>2</staff>")
    for name in ("", "MusicXML Part"):
        line = take(part_of([bar_of(high + BACK + low, 4, "<staves>2</staves>")], name)).line
        assert line.instrument.name == "piano left hand"
        assert line.remarks == ("a part without a name, one of two staves, read as piano left hand",)


def test_a_hairpin_with_its_word_is_one() -> None:
    """Some scores print `cresc.` where they draw a hairpin."""
    wedge = '<wedge type="{}" number="1"/>'
    both = direction(wedge.format("crescendo")) + words("cresc.")
    inside = both + notes("C3", "D3", "E3") + direction(wedge.format("stop")) + note("F3")
    assert draft(part_of([bar_of(inside, 4), bar_of(LINE)])).startswith("|'cresc c d e 'steady f")


def test_a_double_bar_beside_a_repeat_sign_is_that_sign() -> None:
    """The thicker barline says it: printed, there is no other."""
    double = '<barline location="left"><bar-style>light-light</bar-style></barline>'
    back = '<barline location="right"><repeat direction="backward"/></barline>'
    bars = [bar_of(LINE, 4), bar_of(LINE), bar_of(LINE), bar_of(LINE + back), bar_of(double + LINE)]
    assert (
        draft(part_of([*bars, *bars[1:3]])) == "|c d e f|c d e f|c d e f|c d e f:|\n|c d e f|c d e f|c d e f"
    )

"""Scores as other programs write them: nothing in them is passed over in silence."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from scribe import compile
from scribe.exchange.draft import write_draft
from scribe.exchange.out.mei import mei
from scribe.exchange.out.musicxml import musicxml
from scribe.exchange.reading import take
from scribe.music.piece import Piece
from tests.exchange_help import bar_of, part_of, piece_of, score_of


def note(pitch: str, duration: int = 4, more: str = "", behind: str = "", voice: int = 1) -> str:
    """One note, four divisions a quarter; `.` is a rest. `more` stands before its pitch, `behind` at its end."""
    kind = {16: "whole", 8: "half", 4: "quarter", 2: "eighth"}[duration]
    what = "<rest/>" if pitch == "." else f"<pitch><step>{pitch[0]}</step><octave>{pitch[1]}</octave></pitch>"
    return f"<note>{more}{what}<duration>{duration}</duration><voice>{voice}</voice><type>{kind}</type>{behind}</note>"


def notes(*pitches: str, duration: int = 4, voice: int = 1) -> str:
    """Notes of one length."""
    return "".join(note(pitch, duration, voice=voice) for pitch in pitches)


def words(text: str) -> str:
    """Words above the staff."""
    return f"<direction><direction-type><words>{text}</words></direction-type></direction>"


def sign(name: str) -> str:
    """A segno or a coda."""
    return f"<direction><direction-type><{name}/></direction-type></direction>"


def repeat_sign(kind: str, bars: int = 1) -> str:
    """`<measure-repeat>`: how a bar is printed as the sign that repeats the bar before."""
    inside = str(bars) if kind == "start" else ""
    return (
        f'<attributes><measure-style><measure-repeat type="{kind}">{inside}</measure-repeat></measure-style>'
        "</attributes>"
    )


LINE = notes("C3", "D3", "E3", "F3")
BACK = "<backup><duration>16</duration></backup>"


def draft(data: bytes, **asked: object) -> str:
    """The music lines and comments of what is made of a score, its heading left out."""
    made = write_draft(take(data, **asked).line).text  # type: ignore[arg-type]
    return "\n".join(line for line in made.splitlines() if line.lstrip()[:1] in ("|", ";", "["))


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


@pytest.mark.parametrize(
    ("name", "instrument"),
    [
        ("Trumpet in B♭", "trumpet"),
        ("E♭ Alto Saxophone", "alto sax"),
        ("Saxophone, Tenor", "tenor sax"),
        ("Bass Guitar (TAB)", "bass"),
        ("Piano (left hand)", "piano left hand"),
        ("Viola", "viola"),
        ("Violoncello II", "cello"),
        ("Posaune", "trombone"),  # German, Italian, French: music21's table of names
        ("Contrebasse", "double bass"),
        ("Chitarra", "guitar"),
        ("Trompete 2", "trumpet"),
    ],
)
def test_names_of_parts_as_they_are_printed(name: str, instrument: str) -> None:
    """Keys, numbers, the order of the words and the language do not matter, and nothing is called a guess."""
    line = take(part_of([bar_of(LINE, 4)], name)).line
    assert (line.instrument.name, line.remarks) == (instrument, ())


def test_the_lower_staff_of_a_piano_keeps_its_clef() -> None:
    """What begins in the bass clef is the left hand, on the page as well."""
    low = "<attributes><clef><sign>F</sign><line>4</line></clef></attributes>"
    made = write_draft(take(part_of([bar_of(low + LINE, 4)], "Piano")).line).text
    assert "instrument piano left hand\n" in made
    assert compile(made).piece.bars[0].in_force.instrument.clef == "bass"
    high = LINE.replace("<octave>3", "<octave>5")
    assert take(part_of([bar_of(high, 4)], "Piano")).line.instrument.name == "piano"


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


def test_whatever_is_named_on_the_page_is_named_in_the_draft() -> None:
    """Lyricist, rights, a subtitle: comments at the head, counted; nothing twice, and a movement in the title."""
    head = (
        "<work><work-title>Nine Lamps</work-title></work><movement-title>Third Lamp</movement-title>"
        '<identification><creator type="composer">A. Lowe</creator><creator type="lyricist">B. Lind</creator>'
        "<rights>All rights to A. Lowe</rights></identification>"
        "<credit><credit-words>NINE LAMPS</credit-words></credit><credit><credit-words>A. Lowe</credit-words></credit>"
        "<credit><credit-words>for\n rainy nights; slowly</credit-words></credit><part-list>"
    )
    made = write_draft(take(part_of([bar_of(LINE, 4)]).replace(b"<part-list>", head.encode())).line)
    assert made.text.splitlines()[:5] == [
        "title    Nine Lamps, Third Lamp",
        "composer A. Lowe",
        "; lyricist: B. Lind",
        "; rights: All rights to A. Lowe",
        "; for rainy nights, slowly",
    ]
    assert [each.bar for each in made.unsaid] == [0, 0, 0]


def test_what_only_the_page_names_is_the_heading() -> None:
    """Largest words in the middle and those at the right of the first page (common practice, no source)."""
    drawn = (
        '<credit page="1"><credit-words default-y="1500" justify="right" font-size="12">A. Lowe</credit-words></credit>'
        '<credit page="1"><credit-words default-y="1627" justify="center" font-size="24">Wet Street</credit-words>'
        '</credit><credit page="1"><credit-words default-y="90" justify="right">set by nobody</credit-words></credit>'
        "<part-list>"
    )
    made = write_draft(take(part_of([bar_of(LINE, 4)]).replace(b"<part-list>", drawn.encode())).line)
    assert made.text.splitlines()[:3] == ["title    Wet Street", "composer A. Lowe", "; set by nobody"]


def tempo(words: str = "", speed: str = "", sound: str = "", more: str = "") -> str:
    """A direction above the staff."""
    inside = f"<direction-type><words>{words}</words></direction-type>" if words else ""
    if speed:
        mark = f"<beat-unit>quarter</beat-unit><per-minute>{speed}</per-minute>"
        inside += f"<direction-type><metronome>{mark}</metronome></direction-type>"
    heard = f'<sound tempo="{sound}"/>' if sound else ""
    return f'<direction placement="above"{more}>{inside}{heard}</direction>'


@pytest.mark.parametrize(
    ("above", "typed"),
    [
        (tempo("Slow Blues", sound="66"), "tempo    Slow Blues 66"),
        (tempo("Slow Blues", sound="120"), "tempo    Slow Blues"),  # what programs play when nothing is said
        (tempo("Molto tranquillo"), "tempo    Molto tranquillo"),
        (tempo("Slow Blues") + tempo(speed="60", sound="60"), "tempo    Slow Blues 60"),
        (tempo("Ruhig", "ca. 72"), "tempo    Ruhig ca. 72"),
        (tempo("Alone in the street", sound="90", more=' directive="yes"'), "tempo    Alone in the street"),
        (tempo("pizz."), None),
    ],
)
def test_a_tempo_over_the_top_part_is_everybody_s(above: str, typed: str | None) -> None:
    """Tempo words stand once for all parts (common practice); other words of another part are its own."""
    score = score_of(
        [("Violin", [bar_of(above + LINE.replace("3<", "5<"), 4)]), ("Cello", [bar_of(LINE, 4)])]
    )
    lines = [x for x in write_draft(take(score).line).text.splitlines() if x.startswith("tempo")]
    assert lines == ([typed] if typed else [])
    assert "pizz" not in write_draft(take(score).line).text


def test_words_beside_a_tempo_are_not_lost_in_it() -> None:
    """What is part of the tempo mark stands there alone; other words at its place stay, even where it has them too."""
    slow = tempo("Slow Blues", sound="70") + words("Blues")
    assert draft(part_of([bar_of(slow + LINE, 4)])) == '|"Blues" c d e f'
    drawn = tempo("Langsam (", more=' directive="yes"').replace(
        "</direction>", "<direction-type><words>)</words></direction-type></direction>"
    )
    made = write_draft(take(part_of([bar_of(drawn + LINE, 4)])).line).text
    assert made.splitlines()[-2:] == ["tempo    Langsam", "|c d e f"]


def test_changes_of_tempo_over_the_top_part_are_everybody_s() -> None:
    """Ritardando and a tempo, at their beats."""
    top = notes("C5", "C5") + words("poco rit.") + notes("C5", "C5")
    score = score_of(
        [
            ("Violin", [bar_of(top, 4), bar_of(words("a tempo") + LINE)]),
            ("Cello", [bar_of(LINE, 4), bar_of(LINE)]),
        ]
    )
    assert draft(score, part="2") == '|c d "poco rit." e f|"a tempo" c d e f'


def test_a_speed_that_is_only_played_is_said_in_beats() -> None:
    """A dotted quarter in 6/8."""
    eighths = notes(*["C3"] * 6, duration=2)
    bar = bar_of(tempo(sound="207").replace("<direction-type></direction-type>", "") + eighths, 4)
    score = part_of([bar.replace("<beats>4", "<beats>6").replace("<beat-type>4", "<beat-type>8")])
    assert "tempo    dotted-quarter 138\n" in write_draft(take(score).line).text


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
    ("name", "instrument"), [("Alto II", "voice"), ("Soprano", "voice"), ("Tenor 1", "male voice")]
)
def test_singers_are_singers(name: str, instrument: str) -> None:
    """However low they are; without a guess in the report."""
    score = part_of([bar_of(LINE, 4).replace("<sign>F</sign><line>4", "<sign>G</sign><line>2")], name)
    assert (take(score).line.instrument.name, take(score).line.remarks) == (instrument, ())


def test_percussion_is_told() -> None:
    """A drum part comes in when nothing else is there; its strokes are dead notes, and the report says so."""
    stroke = note("C3").replace("pitch>", "unpitched>").replace("step>", "display-step>")
    bar = bar_of(stroke.replace("octave>", "display-octave>") * 4, 4)
    line = take(part_of([bar], "Drums")).line
    assert (line.instrument.name, line.remarks) == (
        "bass",
        ("`Drums` is percussion: every stroke is a dead note",),
    )
    assert draft(part_of([bar], "Drums")) == "|x x x x"


def direction(inside: str) -> str:
    """One direction of any kind."""
    return f"<direction><direction-type>{inside}</direction-type></direction>"


@pytest.mark.parametrize(
    ("bar", "said"),
    [
        (direction("<other-direction>hold your breath</other-direction>") + LINE, "hold your breath"),
        (direction("<eyeglasses/>") + LINE, "eyeglasses"),
        (
            "<figured-bass><figure><figure-number>6</figure-number></figure></figured-bass>" + LINE,
            "figured bass",
        ),
        (LINE.replace("<note>", "<note><cue/>", 1), "a cue note"),
        (LINE.replace("<note>", '<note print-object="no">', 1), "a note that is not printed"),
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


@pytest.mark.parametrize(
    ("inside", "said", "remark"),
    [
        ("<pppp/>", "'ppp", "the dynamic pppp, written as ppp"),
        ("<ffffff/>", "'fff", "the dynamic ffffff, written as fff"),
        ("<sffz/>", "'sfz", "the dynamic sffz, written as sfz"),
        ("<sfp/>", "'fp", "the dynamic sfp, written as fp"),
        ("<sfpp/>", "'fp", "the dynamic sfpp, written as fp"),
        ("<sfzp/>", "'fp", "the dynamic sfzp, written as fp"),
        ("<pf/>", '"pf"', "the dynamic pf, written as a text"),
        ("<n/>", '"n"', "the dynamic n, written as a text"),
        ("<other-dynamics>mfp</other-dynamics>", '"mfp"', "the dynamic mfp, written as a text"),
        ("<other-dynamics>rfz</other-dynamics>", "'rfz", ""),
        ("<other-dynamics>poco f</other-dynamics>", '"poco f"', ""),
        ("<p/><sf/>", "'p 'sf", ""),
    ],
)
def test_rarer_dynamics(inside: str, said: str, remark: str) -> None:
    """All of MusicXML 4.0's `dynamics`: those that a draft has not are the nearest one or a text, with a comment."""
    bar = note("C3") + direction(f"<dynamics>{inside}</dynamics>") + notes("D3", "E3", "F3")
    made = draft(part_of([bar_of(bar, 4)]))
    assert made.splitlines()[-1] == f"|c {said} d e f"
    assert [line for line in made.splitlines() if line[0] == ";"] == (
        [f"; bar 1: {remark}"] if remark else []
    )


def test_a_hairpin_goes_on_behind_a_sforzando() -> None:
    """A draft's hairpins end at any dynamic: one that passes an accent is begun again there, and no word is lost.

    The hairpins of this file have no `number`, which MusicXML 4.0 allows.
    """

    def wedge(kind: str) -> str:
        return direction(f'<wedge type="{kind}"/>')

    def sign(name: str) -> str:
        return direction(f"<dynamics><{name}/></dynamics>")

    bar = wedge("diminuendo") + notes("C3", "D3") + sign("sf") + notes("E3", "F3")
    after = notes("E3") + wedge("stop") + sign("p") + notes("D3", "C3", "C3")
    assert draft(part_of([bar_of(bar, 4), bar_of(after)])) == "|'dim c d 'sf 'dim e f|e 'p d c c"
    bar = wedge("crescendo") + notes("C3", "D3", "E3") + wedge("stop") + sign("sfz") + notes("F3")
    assert draft(part_of([bar_of(bar, 4)])) == "|'cresc c d e 'sfz f"


@pytest.mark.parametrize(
    ("until", "said"),
    [("1m+1", "|'cresc g b 'sf 'cresc d b|'f g b d b"), ("0m+3", "|'cresc g b 'sf d b|'f g b d b")],
)
def test_a_hairpin_of_mei_goes_on_behind_a_sforzando(until: str, said: str) -> None:
    """The same in MEI, whose hairpins end at a `tstamp2`: so many bars on, at that beat."""
    data = mei(piece_of("| 'cresc g b d b | 'f g b d b |"))
    assert data.count(b'tstamp2="1m+1"') == 1
    data = data.replace(b"<hairpin", b'<dynam staff="1" tstamp="3">sf</dynam><hairpin')
    assert draft(data.replace(b'tstamp2="1m+1"', f'tstamp2="{until}"'.encode())) == said


SWELL = "| 'p g 'cresc b 'dim d 'steady b | g 'cresc b - 'steady g | 'mf g b 'dim d - | - - 'p g . |"


@pytest.mark.parametrize("write", [mei, musicxml])
def test_hairpins_end_where_they_do(write: Callable[[Piece], bytes]) -> None:
    """A swell over two notes is one, and does not go on to the next dynamic."""
    assert (
        draft(write(piece_of(SWELL)))
        == "|'p g 'cresc b 'dim d 'steady b|g 'cresc b - 'steady g|'mf gb 'dim d|- 'p g."
    )


def test_a_dynamic_inside_a_hairpin_ends_it() -> None:
    """Which is said: a draft has no other."""
    wedge = "<direction><direction-type><wedge type='{}'/></direction-type></direction>"
    loud = "<direction><direction-type><dynamics><mf/></dynamics></direction-type></direction>"
    bar = wedge.format("crescendo") + notes("C3", "D3") + loud + notes("E3", "F3") + wedge.format("stop")
    assert draft(part_of([bar_of(bar, 4), bar_of(LINE)])) == (
        "; bar 1: the end of a cresc. hairpin, in bar 1\n|'cresc c d 'mf e f|c d e f"
    )


def test_dynamics_that_hang_on_a_note() -> None:
    """MusicXML 4.0 has `dynamics` in directions and in a note's `notations` alike."""
    loud = note("D3", behind="<notations><dynamics><ff/></dynamics></notations>")
    bar = note("C3") + loud + notes("E3", "F3")
    assert draft(part_of([bar_of(bar, 4)])) == "|c 'ff d e f"


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
    ("title", "typed"),
    [
        ("One; Two", "One; Two"),  # `;` begins a comment only behind a blank
        ("One ; Two", "One , Two"),
        (";", ","),
        ("\tOne\n Two ", "One Two"),
    ],
)
def test_titles_come_as_they_are(title: str, typed: str) -> None:
    """But for what would end them, and what is said in a draft is what it reads."""
    work = f"<work><work-title>{title}</work-title></work><part-list>"
    text = write_draft(take(part_of([bar_of(LINE, 4)]).replace(b"<part-list>", work.encode())).line).text
    assert text.startswith(f"title    {typed}\n")
    assert compile(text).piece.heading.title == typed

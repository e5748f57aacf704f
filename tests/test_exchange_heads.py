"""What stands at the head of a score: its names, its instrument, its tempo, wherever other programs put them."""

from __future__ import annotations

import pytest

from scribe import compile
from scribe.exchange.draft import write_draft
from scribe.exchange.reading import take
from tests.exchange_help import LINE, bar_of, draft, note, notes, part_of, score_of, words


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


def test_a_change_of_tempo_is_printed_once() -> None:
    """Though it stands over two parts, a beat apart."""
    top = words("a tempo") + notes("C5", "C5", "C5", "C5")
    low = note("C3") + words("a tempo") + notes("D3", "E3", "F3")
    score = score_of([("Violin", [bar_of(top, 4)]), ("Cello", [bar_of(low, 4)])])
    assert draft(score, part="2") == '|c "a tempo" d e f'


def test_a_speed_that_nobody_chose_is_not_printed() -> None:
    """Programs play 120 quarters a minute when nothing is said, and write it down."""
    said = [write_draft(take(part_of([bar_of(tempo(sound=s) + LINE, 4)])).line).text for s in ("120", "96")]
    assert ["tempo" in text for text in said] == [False, True]


def test_a_speed_that_is_only_played_is_said_in_beats() -> None:
    """A dotted quarter in 6/8."""
    eighths = notes(*["C3"] * 6, duration=2)
    bar = bar_of(tempo(sound="207").replace("<direction-type></direction-type>", "") + eighths, 4)
    score = part_of([bar.replace("<beats>4", "<beats>6").replace("<beat-type>4", "<beat-type>8")])
    assert "tempo    dotted-quarter 138\n" in write_draft(take(score).line).text


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

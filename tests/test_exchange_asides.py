"""What notation has no sign for goes out in words of our own, where the formats leave room for them."""

from __future__ import annotations

from collections.abc import Callable

import pytest
import verovio
from lxml import etree

from scribe.exchange.asides import clock
from scribe.exchange.out.mei import mei
from scribe.exchange.out.musicxml import musicxml
from scribe.exchange.reading import take
from scribe.exchange.worker import draft_of
from scribe.music.piece import Piece
from tests.exchange_help import piece_of
from tests.musicxml_schema import faults

Writer = Callable[[Piece, str], bytes]
both = pytest.mark.parametrize("write", [musicxml, mei], ids=lambda w: w.__name__)
EVERYTHING = """title    Cellar Door
recording takes/door 2.flac
key      D minor
layout   fit
layout   page letter
home     C2
enharmonic flats
show     tab
position 5
time     5/4 3+2
[A] 1:02:03.45 |fga dc|.hd- \\e|a d
show none
rest 3
|d c
degrees chord
time 4/4
[B] |@C7 d e f g|%
"""


def back(write: Writer, draft: str) -> str:
    """The draft that comes back without its text."""
    return draft_of(write(piece_of(draft), "")).text


@both
def test_everything_comes_back(write: Writer) -> None:
    """The recording and its times, `show`, `position`, `layout`, `enharmonic`, `degrees`, `home`, lines, long rests,
    groups of a metre, a hammer-on out of silence, a slide against its sign: the draft is the same again."""
    assert back(write, EVERYTHING) == EVERYTHING


@both
@pytest.mark.parametrize(
    ("draft", "line"),
    [
        ("| g b |\n| g b |\n| g b | a a |\n| g |", "|g b\n|g b\n|g b|a a\n|g"),
        ("| . | . |\nrest 2\n| g |", "|.|.\nrest 2\n|g"),
        ("| g |\nrest 4\n|: g | a :|", "rest 4\n|:g"),
        ("show tab\n| g b d g | a a a a |", "show     tab\n|g b d g|a a a a"),  # its fingering is not pinned
        ("| d:D x x:A b | d:D xb b x |", "x x:A b|"),
        ("ending 1\n| ~g |\nending 2\n| hg |", "|hg"),
        ("| g b d b |\n| % | ha b d b |", "|ha b d b"),
        ("| g g g g g g gab 'open -,ab |", "gab 'open -,ab"),  # a sign at a note that is tied to another one
        ("time 3/4\n| g 'dim b 'cresc d |", "'cresc d"),
        ("| g##=+Ab - - . |", "##5+b6"),
        ("strings B E A D G\n| g b |\nstrings D A D G\n| g b |", "strings D A D G"),
        ("| g b 'slap g .pb | hd b x u |", "'slap g .pb|hd b x u"),  # what is hammered out of a silence is not thumbed
        ("| g b d b | % | -d b g d |", "%|-d b g d"),  # held from where no note is printed
        ("|: g b d d |\nending 1\n| -b d a a :|\nending 2\n| -g d a d |", "ending 2\n|-g d a d"),
        ("time 3/4\npickup 1\n| ? |\ntime 4/4\n| g |", "pickup   1\n|?\ntime 4/4\n|g"),  # rests that are shorter
        ("time 3/4\npickup 2\n| . . |\n| g |", "pickup   2\n|. .\n|g"),
        ("| g |\nshort 2\n| @C7 . . |\n| g |", "short 2\n|@C7 . .\n|g"),
        ("time 3/4\n| g 2{b ?} | 2{x ? --} a |", "|g b ?|2{x ? -} a"),  # still to do at a tuplet's end
        ("| g 'cresc b d g |\nrest 5\n| g 'dim b 'p d g |", "rest 5\n|g 'dim b"),  # over a long rest
        ("time 3/4\n| g - 'dim - | d 'p g d |", "|g - 'dim -|d 'p g d"),  # a hairpin that begins under a held note
        ("| g 'cresc - 'dim - 'ff - |", "|g 'cresc - 'dim - 'ff -"),  # and two under one note
        ("| gb ab 'dim -gab g |", "'dim -gab"),  # at a note that is tied to the one before
        ("instrument alto sax\nkey B\n| @C5 g @3:Bbmaj7 b-- |", "@C5 g @3:Bbmaj7 b--"),  # B#5, A#maj7 by the interval
        ("instrument alto sax\nkey B\n| @Bbwhat? g b |", "@Bbwhat? g b"),
    ],
)  # fmt: skip
def test_line_by_line(write: Writer, draft: str, line: str) -> None:
    """Lines end where they ended, rests stay what they were, nothing is added."""
    assert line in back(write, draft)


@pytest.mark.parametrize(
    "wrong",
    ["show nonsense", "title Theirs", "lead 1/0 slur", "lead 99 slur", "lead 0 dance", "found x 0,7 5.9", "time 9/9/9",
     "recorded soon", "position 99", "use A", "lead", "", "rest 5", "home H:1", "show tab\nshow strings", "length 2",
     "length 9", "length 0", "length x", "chord 0 C7",
     "chord 1 Gm7", "chord x F", "chord"],
)  # fmt: skip
def test_what_does_not_fit_is_left_aside(wrong: str) -> None:
    """Anybody may have written a file: what stands there is doubted, and nothing else suffers."""
    data = musicxml(piece_of("| @G7 g b d b |\n| g - - - |"), "")
    root = etree.fromstring(data)
    root.find(".//other-direction").text = f"scribe: {wrong}"  # type: ignore[union-attr]
    assert draft_of(etree.tostring(root)).text.endswith("|@G7 g b d b\n|g\n")


def test_others_have_nothing_against_it() -> None:
    """The W3C's schema, and Verovio; nothing of it is printed."""
    piece = piece_of(EVERYTHING)
    assert faults(musicxml(piece, "")) == []
    toolkit = verovio.toolkit()
    assert toolkit.loadData(mei(piece, "").decode())
    assert toolkit.getLog() == ""
    page = etree.fromstring(toolkit.renderToSVG(1).encode())
    assert "position" not in "".join(str(t) for text in page.iter("{*}text") for t in text.itertext())


@both
def test_a_program_that_throws_it_away_has_not_changed_the_music(write: Writer) -> None:
    """Then the draft that the file carries counts as before."""
    root = etree.fromstring(write(piece_of(EVERYTHING), EVERYTHING))
    for each in [*root.iter("{*}other-direction"), *root.iter("{*}annot")]:
        each.getparent().remove(each)
    assert take(etree.tostring(root)).draft == EVERYTHING


@pytest.mark.parametrize("text", ["0:00", "0:08.2", "12:59.75", "1:00:05", "2:03:04.000001"])
def test_times_are_written_as_they_are_typed(text: str) -> None:
    """Seconds and minutes have two digits behind a colon; no decimal is lost."""
    time = piece_of(f"{text} | g |").bars[0].time
    assert time is not None
    assert clock(time) == text

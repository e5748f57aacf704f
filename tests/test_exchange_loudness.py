"""Dynamics and hairpins of other programs."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from scribe.exchange.out.mei import mei
from scribe.exchange.out.musicxml import musicxml
from scribe.music.piece import Piece
from tests.exchange_help import BACK, LINE, bar_of, direction, draft, note, notes, part_of, piece_of


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


def test_dynamics_between_the_staves_are_for_both_hands() -> None:
    """Those under the upper staff of a piano stand once for both (common practice); the left hand's own come first."""

    def between(name: str, staff: str) -> str:
        made = direction(f"<dynamics><{name}/></dynamics>")
        return made.replace("<direction>", '<direction placement="below">').replace(
            "</direction>", f"<staff>{staff}</staff></direction>"
        )

    def bar(signs: str) -> str:
        high = LINE.replace("<octave>3", "<octave>5").replace("</type>", "</type><staff>1</staff>")
        low = LINE.replace("<voice>1", "<voice>2").replace("</type>", "</type><staff>2</staff>")
        return signs + high + BACK + low

    first, second = bar(between("f", "1")), bar(between("p", "1") + between("mf", "2"))
    score = part_of([bar_of(first, 4, "<staves>2</staves>"), bar_of(second)], "Piano")
    assert draft(score, part="2").replace("v", "") == "|'f c d e f|'mf c d e f"

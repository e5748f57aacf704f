"""Systems and pages: which bars stand together, how wide and how far apart they are set."""

from __future__ import annotations

import re

import pytest

from scribe.engrave import engrave, engrave_system
from scribe.engrave.breaks import best_breaks, facts
from scribe.engrave.layout import by_count
from scribe.engrave.pages import _cut
from scribe.engrave.sheet import draw_systems, prepare
from tests.pieces import DEMOS, piece

WALK = "| g b d f | a c e d |"


def systems(text: str) -> list[tuple[int, int]]:
    """The systems of a draft as runs of bars."""
    found = piece(text)
    return _cut(found, prepare(found), 17000.0)


def test_source_lines_are_systems() -> None:
    """Two lines of two bars are two systems; a line that begins with a blank goes on in the one above."""
    assert systems(f"{WALK}\n{WALK}") == [(0, 2), (2, 4)]
    assert systems(f"{WALK}\n {WALK}") == [(0, 4)]


def test_a_pickup_on_its_own_line_leads_into_the_first_system() -> None:
    """A lone pickup is no system."""
    assert systems(f"pickup 1\n| d |\n{WALK}") == [(0, 3)]


def test_a_line_with_too_much_music_is_divided_evenly() -> None:
    """Eight bars of sixteenths do not fit on one line: they are set two by two, not squeezed."""
    bar = "gbdf gbdf gbdf gbdf"
    cut = systems("| " + " | ".join([bar] * 8) + " |")
    assert [end - start for start, end in cut] == [2, 2, 2, 2]


def test_bars_a_system_by_number() -> None:
    """`layout 4`: four bars a system, a section begins a new one, the pickup is not counted."""
    text = "layout 4\npickup 1\n| d |\n" + "\n".join([WALK] * 3) + f"\n[B]\n{WALK}"
    assert systems(text) == [(0, 5), (5, 7), (7, 9)]
    assert by_count(piece(text).bars, 3) == [(0, 4), (4, 7), (7, 9)]


def test_the_best_breaks_are_the_best_of_all_ways() -> None:
    """Dynamic programming against trying every way to break nine bars."""
    from itertools import combinations, pairwise

    from scribe.engrave.breaks import _cost

    found = piece("\n".join([WALK] * 3 + ["[B]"] + [WALK] * 1 + ["| gbd gbd gbd gbd |"]))
    widths = [2400.0, 3100.0, 2700.0, 4200.0, 2500.0, 2600.0, 3900.0, 2400.0, 5000.0]
    known = facts(found.bars, widths)
    room, signs, target = 12000.0, 1400.0, 0.76

    def cost(cut: list[tuple[int, int]]) -> float:
        return sum(
            _cost(known, (signs + sum(widths[a:b])) / room / target, a, b, last=b == 9) for a, b in cut
        )

    ways = []
    for count in range(9):
        for inner in combinations(range(1, 9), count):
            ends = [0, *inner, 9]
            cut = list(pairwise(ends))
            if all((signs + sum(widths[a:b])) / room <= 1.05 for a, b in cut):
                ways.append(cost(cut))
    best = best_breaks(known, room, signs, 0, 9, target)
    assert cost(best) == pytest.approx(min(ways))
    assert best[0][0] == 0
    assert best[-1][1] == 9


@pytest.mark.parametrize("count", [5, 9, 13, 17, 21])
def test_fit_leaves_no_last_bar_alone(count: int) -> None:
    """Whatever the number of bars, the last system has company."""
    text = (
        "layout fit\n| " + " | ".join(["g b d f", "a c e d", "gb da c e"][i % 3] for i in range(count)) + " |"
    )
    cut = systems(text)
    assert cut[-1][1] - cut[-1][0] >= 2
    assert [a for a, _ in cut[1:]] == [b for _, b in cut[:-1]]


def test_fit_keeps_two_bar_repeats_together() -> None:
    """The two bars of `%%` are never on two systems."""
    text = "layout fit\n" + "| g b d f | a c e d | %% | g b d f | a b c d | %% " * 4 + "|"
    found = piece(text)
    starts = {start for start, _ in systems(text)}
    assert not starts & {i for i, bar in enumerate(found.bars) if bar.repeat_part == 2}


def test_bars_of_equal_content_look_equal() -> None:
    """Like bars of a system are equally wide, but for the signs at its start and the heavy barline at its end."""
    found = piece("| g b d f | g b d f | g b d f | g b d f |")
    drawn = draw_systems(prepare(found), [(0, 4)], 17000.0)[0]
    widths = [bar.right - max(bar.left, bar.content_left) for bar in drawn.engraved.bars]
    assert widths[1] == pytest.approx(widths[2], rel=0.01)
    assert max(widths) < 1.12 * min(widths)


def test_bars_without_notes_keep_a_bar_s_width() -> None:
    """Bars to do, whole notes and repeat signs are not squeezed between bars of quarters."""
    found = piece("| g b d f | ? | g | % |")
    drawn = draw_systems(prepare(found), [(0, 4)], 17000.0)[0]
    widths = [bar.right - max(bar.left, bar.content_left) for bar in drawn.engraved.bars]
    assert min(widths[1:]) > 0.6 * widths[0]


def test_a_two_bar_repeat_is_little_wider_than_a_plain_bar() -> None:
    """One sign stands for both bars: they need no more than half as much again as one (by eye)."""
    system = draw_systems(prepare(piece("| g b d b | a c b d | %% | g b d b |")), [(0, 5)], 17000.0)[0]
    wide = [bar.right - bar.left for bar in system.engraved.bars]
    assert 0.8 * wide[1] < wide[2] + wide[3] < 1.5 * wide[1]


def test_a_sparse_system_keeps_the_density_of_the_others() -> None:
    """One bar after lines of four is not stretched to the whole width."""
    found = piece("\n".join(["| g b d f | a c e d | g b d f | a c e d |"] * 3) + "\n| g b d f |")
    whole = prepare(found)
    cut = _cut(found, whole, 17000.0)
    drawn = draw_systems(whole, cut, 17000.0)
    assert all(system.engraved.right > 16900 for system in drawn[:-1])
    last = drawn[-1].engraved
    assert last.right < 8500
    usual = drawn[0].engraved.bars[1]
    assert last.right - last.bars[0].content_left == pytest.approx(usual.right - usual.left, rel=0.35)


def test_a_long_piece_takes_several_pages_and_none_has_a_lonely_system() -> None:
    """Page numbers on each, no system alone at the end, and the pages are filled from the top."""
    pages = engrave(piece("title Long\n" + "\n".join(["| g b d f | a c e d | g b d f | a c e d |"] * 21)))
    counts = [svg.count('class="system"') for svg in pages.svgs]
    assert sum(counts) == 21
    assert len(counts) >= 2
    assert counts[-1] >= 2
    assert all('class="page-number"' in svg for svg in pages.svgs)
    assert 'class="running-head"' in pages.svgs[1]
    assert 'class="running-head"' not in pages.svgs[0]


def test_the_staff_gets_a_little_smaller_before_a_system_goes_to_a_page_of_its_own() -> None:
    """As many lines as just do not fit at the largest size still make one page."""
    line = "| @Gm7 g b d f | a c e d | g b d f | a c e d |"
    for count in range(8, 16):
        pages = engrave(piece("title T\n" + "\n".join([line] * count)))
        last = pages.svgs[-1].count('class="system"')
        assert len(pages.svgs) == 1 or last > 1


def test_pages_have_the_size_of_the_paper() -> None:
    """ISO 216 A4 is 210 by 297 mm; US letter 8.5 by 11 inches (ANSI/ASME Y14.1)."""
    a4, letter = engrave(piece(WALK)), engrave(piece("layout page letter\n" + WALK))
    assert (a4.width_mm, a4.height_mm) == (210.0, 297.0)
    assert (letter.width_mm, letter.height_mm) == (215.9, 279.4)


def test_an_excerpt_shows_the_bars_asked_for() -> None:
    """`bars` by printed numbers, `system` by its place; no title block; a user's mistake is a ValueError."""
    found = piece("title T\n" + "\n".join([WALK] * 3))
    middle = engrave(found, bars=(3, 4))
    assert re.findall(r'<g class="bar" id="([^"]+)"', middle.svgs[0]) == [bar.id for bar in found.bars[2:4]]
    assert 'class="title"' not in middle.svgs[0]
    assert middle.height_mm < 60
    assert engrave(found, system=2).svgs == middle.svgs
    with pytest.raises(ValueError, match="bars 9-10"):
        engrave(found, bars=(9, 10))
    with pytest.raises(ValueError, match="system 4"):
        engrave(found, system=4)


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_a_system_alone_looks_as_on_the_page(path) -> None:  # type: ignore[no-untyped-def]
    """What is engraved system by system shows the same notation as the whole: same ids, same places."""
    from scribe.pipeline import compile

    found = compile(path.read_text()).piece
    whole = prepare(found)
    cut = _cut(found, whole, 17000.0)
    together = draw_systems(whole, cut, 17000.0)
    for run, system in zip(cut, together, strict=True):
        alone = draw_systems(whole, [run], 17000.0, cut)[0]
        assert alone.engraved.heads.keys() == system.engraved.heads.keys()
        for id, head in alone.engraved.heads.items():
            other = system.engraved.heads[id]
            assert head.left == pytest.approx(other.left, abs=60)  # Verovio's own rounding, in 1/100 mm
            assert head.y - alone.top == pytest.approx(other.y - system.top, abs=2)
        assert [(p.kind, p.ink.text) for p in alone.placed] == [(p.kind, p.ink.text) for p in system.placed]


def test_one_system_by_bar_indices() -> None:
    """`engrave_system` gives one self-contained picture."""
    found = piece("\n".join([WALK] * 3))
    svg = engrave_system(found, 2, 3)
    assert svg.count('class="system"') == 1
    assert re.findall(r'<g class="bar" id="([^"]+)"', svg) == [bar.id for bar in found.bars[2:4]]

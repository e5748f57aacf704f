"""What stands on the finished page, and that nothing touches."""

from __future__ import annotations

import re
from importlib.util import find_spec
from itertools import pairwise

import pytest
from lxml import etree

from scribe.engrave import engrave
from scribe.engrave import ink as draw
from scribe.engrave.check import overlaps
from scribe.engrave.compose import System
from scribe.engrave.options import SPACE
from scribe.engrave.pages import _cut
from scribe.engrave.sheet import draw_systems, prepare
from scribe.pipeline import compile
from scribe.source.directions import DIRECTIONS
from tests.pieces import DEMOS, piece, random_draft

SVG = "{http://www.w3.org/2000/svg}"


def drawn(text: str) -> list[System]:
    """The finished systems of a draft."""
    found = piece(text)
    whole = prepare(found)
    return draw_systems(whole, _cut(found, whole, 17000.0), 17000.0)


def words(system: System, kind: str) -> list[str]:
    """What is written on a system, of one kind, from left to right."""
    found = [each for each in system.placed if each.kind == kind and each.ink.text]
    return [each.ink.text for each in sorted(found, key=lambda each: each.x)]


def heights(system: System, kind: str) -> set[float]:
    """The baselines of one kind."""
    return {round(each.y - system.top) for each in system.placed if each.kind == kind}


def test_every_page_is_one_self_contained_picture() -> None:
    """Valid XML, titled for screen readers, no text that needs a font, no style sheet, nothing from elsewhere."""
    text = 'title Night <Bus> & Home\ncomposer A. B.\ntempo Medium 120\n[A]\n| @Ebmaj7 \'mf e g b "go" d |'
    for svg in engrave(piece(text)).svgs:
        root = etree.fromstring(svg.encode())
        assert root.findtext(SVG + "title") == "Night <Bus> & Home"
        assert "C major" in (root.findtext(SVG + "desc") or "")
        assert not list(root.iter(SVG + "text"))
        assert not list(root.iter(SVG + "style"))
        hrefs = {use.get("{http://www.w3.org/1999/xlink}href") for use in root.iter(SVG + "use")}
        ids = [element.get("id") for element in root.iter() if element.get("id")]
        assert {href[1:] for href in hrefs if href} <= set(ids)
        assert len(set(ids)) == len(ids)


def test_every_note_on_the_page_has_the_id_of_its_source() -> None:
    """Ids of the MEI are found again: what is pointed at on the page leads to the text."""
    pages = engrave(piece("| g b? d x | ,abd e+b . u |"))
    shown = set(re.findall(r'<g class="note" id="([^"]+)"', pages.svgs[0]))
    assert shown == set(re.findall(r'<note xml:id="([^"]+)"', pages.mei))


def test_same_draft_same_page() -> None:
    """Nothing random, no date: two runs give the same bytes."""
    text = random_draft(3)
    assert engrave(compile(text).piece).svgs == engrave(compile(text).piece).svgs


def test_chord_symbols_stand_in_one_row_above_the_notes() -> None:
    """One baseline a system, above the staff, clear of high notes."""
    system = drawn("| @Gm7 g b d f | @C13 ^^c c @F#m7b5 c @Bbmaj7 vb |")[0]
    assert words(system, "chord") == ["Gm7", "C13", "F#m7b5", "Bbmaj7"]
    assert len(heights(system, "chord")) == 1
    assert max(heights(system, "chord")) < 0


def test_long_chord_symbols_push_the_notes_apart() -> None:
    """Also over a barline: at full size, in one row, none touching the next."""
    system = drawn("| g @F#m7b5/C g | @C c | @Cmaj7#11/E c @Ebmaj9/G c @G7b9#11 c @C c |")[0]
    chords = sorted((each for each in system.placed if each.kind == "chord"), key=lambda each: each.x)
    assert len(heights(system, "chord")) == 1
    assert all(a.x + a.ink.advance < b.x for a, b in pairwise(chords))
    assert {each.ink.size for each in chords} == {520.0}


def test_words_stay_on_the_page_however_long() -> None:
    """A text or a section name longer than the system is set smaller, one at its end is moved in."""
    long = drawn(f'[{"Section " * 20}]\n| "{"words " * 40}" g b d f | g "at the very end" b |')[0]
    for each in long.placed:
        assert each.box is not None
        assert each.box.left > -50
        assert each.box.right < 17050


def test_a_long_text_breaks_into_lines_and_begins_where_it_belongs() -> None:
    """In place of reaching back over the bars before: the first note of bar 2 is what it is about."""
    text = "with the side of the hand near the bridge, and let the low string go on sounding under all of it"
    system = drawn(f'| g b d f g b d f | "{text}" g b d f g b d f | g b d f |')[0]
    (found,) = [each for each in system.placed if each.kind == "words"]
    second = list(system.engraved.heads.values())[8]
    assert found.ink.text == text
    assert found.box is not None
    assert found.box.left == pytest.approx(second.left, abs=0.3 * SPACE)
    assert 0.5 * SPACE < found.box.height - draw.direction("hand").box.height < 6 * SPACE


def test_palm_muting_reaches_to_its_last_note() -> None:
    """A line behind the words ends over the last note before `'open`; a plain way of playing has none."""
    system = drawn("| 'palm g g g g | g g 'open b d | 'pick g g g g |")[0]
    by_text = {each.ink.text: each for each in system.placed if each.kind == "words"}
    muted, picked = by_text["P.M."].box, by_text["pick"]
    last = list(system.engraved.heads.values())[5]
    assert muted is not None
    assert muted.right == pytest.approx(last.right, abs=40)
    assert picked.box is not None
    assert picked.box.width == pytest.approx(draw.direction("pick").box.width, abs=1)


def test_palm_muting_goes_on_over_a_system_s_end() -> None:
    """The next system says it again in parentheses; over more than eight bars the words alone say it."""
    first, second = drawn("| 'ring g b d f |\n| g b 'open d f |")
    assert words(first, "words") == ["let ring"]
    assert words(second, "words") == ["(let ring)", "ord."]
    long = drawn("| 'palm g b d f |" + " g b d f |" * 8)[0]
    (alone,) = [each for each in long.placed if each.kind == "words"]
    assert alone.box is not None
    assert alone.box.width == pytest.approx(draw.direction("P.M.").box.width, abs=1)


def test_a_fall_and_the_slide_behind_it_do_not_cross() -> None:
    """The hand has left the note that falls: the slide comes from nowhere, right of the fall."""
    system = drawn("| g b\\ /d b |")[0]
    (fall,) = [each.box for each in system.placed if each.kind == "fall"]
    (slide,) = [each.box for each in system.placed if each.kind == "slide"]
    assert fall is not None
    assert slide is not None
    assert fall.right < slide.left


def test_the_row_of_the_form_is_outside_the_chords() -> None:
    """From the staff outwards: chords, endings, then box, segno and tempo."""
    system = drawn("tempo Medium 120\n[Verse]\n|: 'segno @Gm7 g b d f | a c e d :|")[0]
    (form,) = [each for each in system.placed if each.kind == "form"]
    (chord,) = [each for each in system.placed if each.kind == "chord"]
    assert form.ink.text.startswith("Verse segno Medium")
    assert form.x == 0
    assert form.y < chord.y
    assert form.box is not None
    assert chord.box is not None
    assert form.box.bottom < chord.box.top


def test_dal_segno_says_where_to_go_on() -> None:
    """With a coda in the piece D.S. is `D.S. al Coda`, with a Fine `al Fine` (common practice)."""
    coda = drawn("| 'segno g | 'tocoda g | 'ds g | 'coda g |")[0]
    assert "D.S. al Coda" in words(coda, "form")
    assert "To Coda" in words(coda, "form")
    fine = drawn("| g | 'fine g | 'dc g |")[0]
    assert "D.C. al Fine" in words(fine, "form")


@pytest.mark.parametrize("word", ["'ds", "'dc", "'fine", "'tocoda", "'coda", "'mf", "'slap", '"once more"'])
def test_words_at_a_bar_s_end_stand_before_its_barline(word: str) -> None:
    """They take no time and no room: the bar is as wide as without them, and they end where it does."""
    with_word = drawn(f"| g b d b | g - - - {word} |\n| g - b - |")[0]
    without = drawn("| g b d b | g - - - |\n| g - b - |")[0]
    bar, plain = with_word.engraved.bars[1], without.engraved.bars[1]
    assert bar.right == plain.right
    assert max(box.right for box in bar.strokes) == pytest.approx(bar.right, abs=20)
    kinds = {"words", "form", "dynamic"}
    (found,) = [each for each in with_word.placed if each.kind in kinds and each.ink.text]
    assert found.box is not None
    assert bar.right - 150 < found.box.right <= bar.right + 5


def test_the_player_leaves_or_stops_at_a_double_barline() -> None:
    """D.S., D.C. and Fine (common practice); a repeat sign stays what it is."""
    mei = engrave(piece("| g b 'dc | g b 'ds | g b 'fine | g b |: g b | g b 'dc :| g |")).mei
    found = re.findall(r'<measure[^>]* n="(\d+)"(?: left="\w+")?(?: right="(\w+)")?>', mei)
    assert [right for _, right in found] == ["dbl", "dbl", "dbl", "", "", "rptend", "end"]


def test_chord_symbols_are_moved_with_a_transposing_part() -> None:
    """Eb sounds where an alto saxophone reads C (handbook table of transposing instruments); a bass reads what it is.

    Signs and qualities stay, N.C. too.
    """
    chords = "key Eb\n| @Ebmaj7 e @Ab7/C a | @N.C. b @F#m7b5 f |"
    assert words(drawn(f"instrument alto sax\n{chords}")[0], "chord") == ["Cmaj7", "F7/A", "N.C.", "D#m7b5"]
    assert words(drawn(f"instrument trumpet\n{chords}")[0], "chord") == ["Fmaj7", "Bb7/D", "N.C.", "G#m7b5"]
    assert words(drawn(chords)[0], "chord") == ["Ebmaj7", "Ab7/C", "N.C.", "F#m7b5"]
    mei = engrave(piece(f"instrument clarinet\n{chords}")).mei
    assert re.findall(r"<harm[^>]*>([^<]*)", mei) == ["Fmaj7", "Bb7/D", "N.C.", "G♯m7b5"]


def test_endings_are_numbered_over_their_bars() -> None:
    """The bracket begins at the first bar of the ending, also where it is the system's first."""
    system = drawn("|: g b d f |\n ending 1\n | a c e d :|\n ending 2\n | a b c d |")[0]
    assert words(system, "ending-number") == ["1.", "2."]
    numbers = [each.x for each in system.placed if each.kind == "ending-number"]
    assert numbers[0] == pytest.approx(system.engraved.bars[1].left, abs=250)
    assert numbers[1] == pytest.approx(system.engraved.bars[2].left, abs=250)


@pytest.mark.parametrize("bars", [2, 3, 4, 7, 12])
def test_bars_of_rest_are_one_broad_bar(bars: int) -> None:
    """Few bars of rest look like many: a bar over most of its width (common practice in band parts, no source)."""
    (system,) = drawn(f"rest {bars}")
    place = system.engraved.bars[0]
    broad = [
        box
        for box in system.engraved.boxes
        if box.right - box.left > 0.7 * (place.right - place.content_left)
    ]
    assert [box for box in broad if 0.5 * SPACE < box.bottom - box.top < 1.5 * SPACE]


def test_systems_are_numbered_by_their_first_bar_but_not_the_first() -> None:
    """Bar numbers at each system's start (common practice)."""
    found = drawn("| g b d f | a c e d |\n| g b d f |\n| g b d f |")
    assert [words(system, "bar-number") for system in found] == [[], ["3"], ["4"]]


def test_doubts_have_a_question_mark_as_well_as_a_colour() -> None:
    """All question marks of a system on one line below the staff, each under its note."""
    system = drawn("| g? b d? f | @C7? vvc a b d |")[0]
    marks = [each for each in system.placed if each.kind == "doubt"]
    assert len(marks) == 2
    assert len(heights(system, "doubt")) == 1
    assert words(system, "chord") == ["C7?"]
    bar = piece("| g? b d? f | @C7? vvc a b d |").bars[0]
    for each, index in zip(marks, (0, 2), strict=True):
        head = system.engraved.heads[f"{bar.id}-{bar.events[index].heads[0].span.start}"]
        assert each.x < head.middle < each.x + each.ink.advance


def test_bars_to_do_and_broken_bars_are_marked_in_words() -> None:
    """Not taken for silence: words on a pale ground."""
    found = compile("| g b d f | ? | | g g g |").piece
    system = draw_systems(prepare(found), [(0, 4)], 17000.0)[0]
    assert words(system, "to-do") == ["to do", "to do", "to mend"]


def test_hammer_on_pull_off_and_slap_letters() -> None:
    """H and P at the slur, T and P over the note (trade's letters)."""
    system = drawn("| ghb bpg g't g'p |")[0]
    assert words(system, "letters") == ["H", "P", "T", "P"]


@pytest.mark.parametrize(
    "bar", ["'slap g g'p x:E(g)b.d e+b", "'slap a--hb b-pa e/g g", "g'p.b'p g'ta'tb'p g'p-hb'p ^g'p--"]
)
def test_a_tuplet_is_numbered_outside_the_letters_at_its_notes(bar: str) -> None:
    """Numbers and brackets stand on the side of the stems, and beyond T, P and H where these stand there too."""
    system = drawn(f"| {bar} |")[0]
    letters = [each.box for each in system.placed if each.kind == "letters" and each.box]
    numbers = [each.box for each in system.placed if each.kind == "tuplet" and each.ink.text and each.box]
    assert numbers
    for number in numbers:
        near = [box for box in letters if box.left < number.right + 400 and number.left - 400 < box.right]
        over = [box for box in near if box.bottom < system.top]
        assert all(number.bottom < box.bottom for box in over) or number.top > system.bottom
    assert not overlaps(engrave(piece(f"| {bar} |")).svgs[0])


def test_dynamics_and_hairpins_share_a_line_below() -> None:
    """A hairpin runs from its word to the next level; over many bars the word is written instead."""
    system = drawn("| 'p g 'cresc b d f | 'f g b d f |")[0]
    assert words(system, "dynamic") == ["p", "f"]
    assert len(heights(system, "dynamic")) == 1
    (wedge,) = [each for each in system.placed if each.kind == "hairpin"]
    dynamics = sorted((each for each in system.placed if each.kind == "dynamic"), key=lambda each: each.x)
    assert wedge.box is not None
    assert dynamics[0].box is not None
    assert dynamics[1].box is not None
    assert dynamics[0].box.right < wedge.box.left < wedge.box.right < dynamics[1].box.left
    long = drawn(
        "\n".join(["| 'cresc g b d f | a c e d | g b d f | a c e d |"] + ["| 'f g b d f | a c e d |"] * 2)
    )
    assert words(drawn("| 'cresc g | g | g | g | g | 'f g |")[0], "dynamic") == ["cresc.", "f"]
    assert words(long[0], "dynamic") == []


def test_a_swell_has_its_own_ends() -> None:
    """Louder, softer and steady: two hairpins side by side, and none under the notes behind them."""
    system = drawn("| 'p g 'cresc b 'dim d 'steady b | g b d b |")[0]
    first, second = sorted(
        (e.box for e in system.placed if e.kind == "hairpin" and e.box), key=lambda box: box.left
    )
    assert first.right <= second.left
    plain = drawn("| 'p g 'cresc b 'dim d b | 'f g b d b |")[0]
    longer = max(e.box.right for e in plain.placed if e.kind == "hairpin" and e.box)
    assert second.right < longer - 500
    assert words(system, "dynamic") == ["p"]


# The names of SMuFL 1.4, table `Dynamics`.
SMUFL = {
    "ppp": "PPP", "pp": "PP", "p": "Piano", "mp": "MP", "mf": "MF", "f": "Forte", "ff": "FF", "fff": "FFF",
    "fp": "FortePiano", "sf": "Sforzando1", "sfz": "Sforzato", "fz": "Forzando", "rf": "Rinforzando1",
    "rfz": "Rinforzando2",
}  # fmt: skip


def test_every_dynamic_is_the_music_fonts_own_sign() -> None:
    """Each is one glyph below the staff: the one to which the font's own list gives that name."""
    listed = etree.parse(find_spec("verovio").submodule_search_locations[0] + "/data/Leland.xml")
    codes = {each.get("n"): each.get("c") for each in listed.iter("g")}
    assert set(SMUFL) == {name for name, info in DIRECTIONS.items() if info.kind == "dynamic"}
    for name, sign in SMUFL.items():
        (found,) = [each for each in drawn(f"| '{name} g b d b |")[0].placed if each.kind == "dynamic"]
        assert [mark.glyph.id for mark in found.ink.marks] == [codes[f"dynamic{sign}"]]


def test_dynamics_of_one_note_stand_beside_what_holds() -> None:
    """`'p 'sfz` at one note are side by side; a hairpin ends at a *sfz* and goes on clear of it."""
    system = drawn("key E minor\n| 'p 'sfz vE E? 'cresc E E | 'sfz 'cresc E E 'rfz E 'fff E |")[0]
    assert words(system, "dynamic") == ["p sfz", "sfz", "rfz", "fff"]
    assert len(heights(system, "dynamic")) == 1
    row = [(e.box.left, e.box.right, e.kind) for e in system.placed if e.kind in ("dynamic", "hairpin")]
    assert [kind for _, _, kind in sorted(row)] == ["dynamic", "hairpin"] * 2 + ["dynamic"] * 2
    assert all(a[1] < b[0] for a, b in pairwise(sorted(row)))
    assert not overlaps(engrave(piece("key E minor\n| 'p 'sfz vE E? 'cresc E 'rfz E> | 'fff E |")).svgs[0])


def test_ties_and_slurs_go_on_over_a_system_s_end() -> None:
    """Half a curve on either system, at the right and the left edge."""
    first, second = drawn("| g b d f |\n| - b d ~f |")
    (out,) = [each for each in first.placed if each.kind == "tie"]
    (back,) = [each for each in second.placed if each.kind == "tie"]
    assert out.box is not None
    assert back.box is not None
    assert out.box.right == pytest.approx(first.engraved.right, abs=60)
    assert back.box.left < min(head.left for head in second.engraved.heads.values())


def test_a_change_at_a_system_s_end_is_announced() -> None:
    """The new key and metre stand at the end of the system before, and again at the start (common practice)."""
    text = "| g b d f | a c e d |\nkey Eb\ntime 3/4\n| g b d | e g b |"
    first, second = drawn(text)
    after = [box for box in first.engraved.boxes if box.left > first.engraved.bars[-1].content_right]
    assert len(after) >= 5  # three flats, two digits
    assert "E083" in {glyph.id for glyph in first.glyphs}
    assert "E083" in {glyph.id for glyph in second.glyphs}
    alone = draw_systems(prepare(piece(text)), [(0, 2)], 17000.0)[0]
    assert {glyph.id for glyph in alone.glyphs} == {glyph.id for glyph in first.glyphs}


def test_the_time_signature_is_printed_once() -> None:
    """At the start, not on every system."""
    first, second = drawn("| g b d f |\n| g b d f |")
    assert "E084" in {glyph.id for glyph in first.glyphs}
    assert "E084" not in {glyph.id for glyph in second.glyphs}


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_nothing_touches_on_the_demos(path) -> None:  # type: ignore[no-untyped-def]
    """Words and signs keep clear of notes, of each other and of other systems."""
    for svg in engrave(compile(path.read_text()).piece).svgs:
        assert overlaps(svg) == []


@pytest.mark.parametrize("start", range(0, 200, 20))
def test_nothing_touches_on_made_up_drafts(start: int) -> None:
    """Two hundred drafts of random words, marks, chords and signs: no overlap at all."""
    for seed in range(start, start + 20):
        for svg in engrave(piece(random_draft(seed))).svgs:
            assert overlaps(svg) == [], seed


def test_the_overlap_check_sees_what_touches() -> None:
    """A chord symbol pushed down on the notes, and a system pushed up into another, are found."""
    svg = engrave(piece("| @Gm7 g b d f |\n| @C7 c e g b |")).svgs[0]
    assert overlaps(svg) == []
    x, y = re.findall(r'<g class="chord" transform="translate\((\S+) (\S+)\)"', svg)[0]
    low = svg.replace(f"translate({x} {y})", f"translate({x} {float(y) + 900})", 1)
    assert any("chord" in found.one for found in overlaps(low))
    _, second = re.findall(r'transform="translate\(1500 (\S+)\) scale', svg)
    near = svg.replace(f"translate(1500 {second})", f"translate(1500 {float(second) - 1800})")
    assert any(found.one == found.other == "notes" for found in overlaps(near))

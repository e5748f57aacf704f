"""Lines: what each is taken for, bars and their barlines, comments, times, faults."""

from __future__ import annotations

from fractions import Fraction

import pytest

from scribe.source.read import read
from scribe.source.tree import Directive, Music
from tests.read_help import codes, faults, mended


def music(text: str) -> Music:
    """The only line of a draft, which must be music."""
    (line,) = read(text).lines
    assert isinstance(line, Music)
    return line


def bars(text: str) -> list[tuple[str | None, str, str | None]]:
    """Left barline, text and right barline of each bar of a line."""
    return [(cell.left, cell.bar.text, cell.right) for cell in music(text).cells]


BARS = [
    ("| g | b |", [("single", "g", "single"), (None, "b", "single")]),
    ("|g|b|", [("single", "g", "single"), (None, "b", "single")]),
    ("| g | b", [("single", "g", "single"), (None, "b", None)]),
    ("|: g :|: b :| c || d |", [
        ("repeat start", "g", "repeat both"), (None, "b", "repeat end"), (None, "c", "double"), (None, "d", "single"),
    ]),
    ("|| g |", [("double", "g", "single")]),
    ("| A:3:| x |", [("single", "A:3", "repeat end"), (None, "x", "single")]),
    ("| | ? |", [("single", "", "single"), (None, "?", "single")]),
    ("|", [("single", "", None)]),
    ("[A]| g |", [("single", "g", "single")]),
]  # fmt: skip


@pytest.mark.parametrize(("typed", "meant"), BARS, ids=[b[0] for b in BARS])
def test_bars_of_a_line(typed: str, meant: list[tuple[str | None, str, str | None]]) -> None:
    """Barlines are taken first, the longest first; blanks beside them do not matter."""
    assert bars(typed) == meant
    assert codes(typed) == []


def test_cells_know_where_they_start() -> None:
    """A bar's own text is the draft's text at its place."""
    text = "key G\n 0:08.2 |  g b  |é| ; c\n"
    (_, line) = read(text).lines
    assert isinstance(line, Music)
    for cell in line.cells:
        assert text[cell.start : cell.start + len(cell.bar.text)] == cell.bar.text
    assert text[line.span.start : line.span.end] == "0:08.2 |  g b  |é|"


def test_section_and_time() -> None:
    """A section mark and a time in the recording stand before music, alone or together; sections also alone."""
    assert (music("[Bridge 2]").section, music("[Bridge 2]").cells) == ("Bridge 2", ())
    line = music("[A] 1:02:03.5 | g |")
    assert (line.section, line.time) == ("A", Fraction("3723.5"))
    assert music("0:12.4 [B] | g |").time == Fraction("12.4")
    assert music("12:00 | g |").time == 720


def test_blank_before_music_goes_on_in_the_system() -> None:
    """A music line that begins with a blank continues; the others do not."""
    assert music(" | g |").continues
    assert music("\t| g |").continues
    assert not music("| g |").continues


def test_comments() -> None:
    """`;` begins a comment, in texts only behind a blank; between double quotes it is text."""
    assert [line.text for line in read("title So; so ; no\n; all\nkey G;minor\n").lines] == ["So; so", "G"]  # type: ignore[union-attr]
    assert read('title "a ; b" c ; d').lines[0].text == '"a ; b" c'  # type: ignore[union-attr]
    assert bars('| "a;b" g ; c | d') == [("single", '"a;b" g', None)]


def test_line_ends_and_marks() -> None:
    """CRLF, a byte order mark, tabs, blank lines, no final newline: nothing changes."""
    plain = read("key G minor\n\n| g b | d |")
    other = read("\ufeffkey\tG minor\t\r\n\r\n|\tg b | d |\r\n")
    assert not faults(plain)
    assert not faults(other)
    assert [type(line) for line in plain.lines] == [type(line) for line in other.lines] == [Directive, Music]
    first, second = (
        line.cells[0].bar.text for line in (plain.lines[1], other.lines[1]) if isinstance(line, Music)
    )
    assert first == second == "g b"


FAULTY = [
    ("tmepo 120", "unknown-directive", "tmepo", "tempo 120"),
    ("titel One | Two", "unknown-directive", "titel", "title One | Two"),
    ("hello there", "unknown-directive", "hello", None),
    ("!!", "unknown-directive", "!!", None),
    ("tuning D A D G", "unknown-directive", "tuning", "strings D A D G"),
    ("artist N. N.", "unknown-directive", "artist", "player N. N."),
    ("bpm 120 ; about", "unknown-directive", "bpm", "tempo 120 ; about"),
    ("meter 3/4", "unknown-directive", "meter", "time 3/4"),
    ("meter waltz", "unknown-directive", "meter", None),
    ("swing", "unknown-directive", "swing", "feel swing"),
    ("4/4", "unknown-directive", "4/4", "time 4/4"),
    ("Bb major ; it is", "unknown-directive", "Bb", "key Bb major ; it is"),
    ("120 bpm", "unknown-directive", "120", "tempo 120"),
    ("Verse: | g b |", "section-mark", "Verse:", "[Verse] | g b |"),
    ("A: |: g b :|", "section-mark", "A:", "[A] |: g b :|"),
    ("bridge 2 | g b |", "section-mark", "bridge 2", "[bridge 2] | g b |"),
    ("section A", "unknown-directive", "section", "[A]"),
    ("(B)", "unknown-directive", "(B)", "[B]"),
    ("Part B2", "unknown-directive", "Part", "[B2]"),
    ("tab on", "unknown-directive", "tab", "show tab"),
    ("repeat", "unknown-directive", "repeat", None),
    ("D.S. al Coda", "unknown-directive", "D.S.", None),
    ("coda", "unknown-directive", "coda", None),
    ("double time", "unknown-directive", "double", None),
    ("# a thought about it", "comment-sign", "#", "; a thought about it"),
    ("g b d f", "no-barline", "g", "| g b d f"),
    ("1 3 5 1", "no-barline", "1", "| 1 3 5 1"),
    ("g b d f | g |", "no-barline", "g", "| g b d f | g |"),
    ("[A] g b", "no-barline", "g", "[A] | g b"),
    ("'mf g b d f", "no-barline", "'mf", "| 'mf g b d f"),
    ("'segno |: g b :|", "sign-outside-bar", "'segno", "|: 'segno g b :|"),
    ("'coda 'mf |g", "sign-outside-bar", "'coda 'mf", "| 'coda 'mf g"),
    ("[A] 'segno | g |", "sign-outside-bar", "'segno", "[A] | 'segno g |"),
    ('0:12 "ho, ho" | g |', "sign-outside-bar", '"ho, ho"', '0:12 | "ho, ho" g |'),
    ("'segno [A] | g |", "sign-outside-bar", "'segno", None),
    ("'segno  ; here | g", "sign-outside-bar", "'segno", None),
    ("[A] 'segno", "sign-outside-bar", "'segno", None),
    ("[A", "section-mark", "[A", "[A]"),
    ("[]", "section-mark", "[]", None),
    ("12.4 | g |", "recording-time", "12.4", "0:12.4 | g |"),
    ("0:7 | g |", "recording-time", "0:7", "0:07 | g |"),
    ("0:75 | g |", "recording-time", "0:75", "1:15 | g |"),
    ("0:12", "time-without-music", "0:12", None),
    ("||: g |", "unknown-barline", "||:", "|: g |"),
    ("| g :||", "unknown-barline", ":||", "| g :|"),
    ("| g ||| b |", "unknown-barline", "|||", "| g || b |"),
    ("key", "missing-value", "key", None),
    ("key: G", "sign-in-directive", ":", "key G"),
    ("title a\x00b", "unknown-sign", "\x00", "title ab"),
]


@pytest.mark.parametrize(("typed", "code", "place", "after"), FAULTY, ids=[f[0] for f in FAULTY])
def test_faulty_line(typed: str, code: str, place: str, after: str | None) -> None:
    """One fault with its place; a mend to paste, where there is one, leaves nothing to say."""
    (found,) = faults(read(typed))
    assert (found.code, typed[found.span.start : found.span.end]) == (code, place)
    if after is None:
        assert not any(hint.replacement is not None for hint in found.hints)
    else:
        assert mended(typed, found) == after
        assert codes(after) == []


def test_music_without_its_barline_is_still_read() -> None:
    """A forgotten first barline costs one remark, not the bars."""
    assert bars("g b | d |") == [("single", "g b", "single"), (None, "d", "single")]


def test_a_sign_before_the_first_barline_makes_no_bar_of_its_own() -> None:
    """`'segno | g |` is one bar, not an empty one and another; the hint shows where the sign stands."""
    assert bars("'segno |: g :|") == [("repeat start", "g", "repeat end")]
    assert music("[A] 'segno").cells == ()
    (found,) = faults(read("'segno"))
    assert [hint.text for hint in found.hints] == ["write it inside the next bar: `| 'segno …`"]


def test_unclosed_quote_ends_at_its_barline() -> None:
    """The bars beside a bar with an unclosed quote or group are read as if nothing were wrong."""
    assert codes('| g | "fill b | d | 2{g b | d |') == ["unclosed-quote", "unclosed-group"]


def test_a_million_characters_give_one_fault() -> None:
    """Endless lines of any kind are one fault each."""
    for text in (
        "g" * 10**6,
        "| g " * 250_000,
        '"' * 10**6,
        "\x00" * 10**6,
        "| " + "2{" * 500_000,
        "title " + "x" * 10**6,
    ):
        assert codes(text) == ["line-too-long"]


def test_faults_are_counted_when_there_are_too_many() -> None:
    """After a hundred faulty lines the others are counted; a line with more than a hundred broken bars is cut."""
    found = read("hello\n" * 1000).diagnostics
    assert len(found) == 101
    assert found[-1].code == "too-many-faults"
    assert "900" in found[-1].message
    assert codes("| z " * 1000).count("unknown-sign") == 100
    assert codes("| z " * 1000).count("too-many-faults") == 1

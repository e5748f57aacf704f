"""Usual slips: what is said of them, where, and that the mend mends. The wording is ours, the rules the language's."""

from __future__ import annotations

import pytest

from scribe.source.read import parse_bar, read
from tests.read_help import faults, mended

# the bar as typed; the code; what is underlined; the bar after the mend, None where there is none to paste
SLIPS = [
    ("g z", "unknown-sign", "z", "g ."),
    ("r g", "unknown-sign", "r", ". g"),
    ("H", "unknown-sign", "H", "B"),
    ("g é", "unknown-sign", "é", None),
    ("g \x00", "unknown-sign", "\x00", "g "),
    ('g "ho g', "unclosed-quote", '"ho g', 'g "ho g"'),
    ("2{g b d", "unclosed-group", "2{g b d", "2{g b d}"),
    ("g b}", "unmatched-brace", "}", "g b"),
    ("{g b d} g", "group-without-count", "{", "2{g b d} g"),
    ("2 {g b d}", "group-without-count", "2 {", "2{g b d}"),
    ("0{g b d}", "group-count", "0", "2{g b d}"),
    ("2{} g", "empty-group", "}", None),
    ("(g b", "unclosed-parenthesis", "(g", None),
    ("(g b d) g", "unclosed-parenthesis", "(g", "(g) (b) (d) g"),
    ("g // second time softer", "comment-sign", "//", "g ; second time softer"),
    ("g # second time softer", "comment-sign", "#", "g ; second time softer"),
    ("%3", "repeat-not-alone", "%3", "% | % | %"),
    ("% 3", "repeat-not-alone", "% 3", "% | % | %"),
    ("%x2", "repeat-not-alone", "%x2", "% | %"),
    ("%99", "repeat-not-alone", "%99", None),
    ("'rit g", "unknown-direction", "'rit", '"rit." g'),
    ("'accel. g", "unknown-direction", "'accel.", '"accel." g'),
    ("'heavy g", "unknown-direction", "'heavy", '"heavy" g'),
    ("g'tr b", "unknown-mark", "'tr", None),
    ("g b'trill", "unknown-mark", "'trill", None),
    ("@H7 b", "chord-name", "H7", "@B7 b"),
    ("@hm7 b", "chord-name", "hm7", "@Bm7 b"),
    ("c:A2 g", "mixed-word", "2", "c:A g"),
    ("g) b", "unmatched-parenthesis", ")", "g b"),
    ("()", "no-note-in-parentheses", "()", None),
    ("g5", "mixed-word", "5", "G:5"),
    ("A3 b", "mixed-word", "3", "A:3 b"),
    ("A12-", "mixed-word", "1", "A:12-"),
    ("gd5", "mixed-word", "5", None),
    ("Ab3", "mixed-word", "3", None),
    ("1 3b 5", "misplaced-accidental", "3b", "1 b3 5"),
    ("5#", "misplaced-accidental", "5#", "#5"),
    ("#g", "misplaced-accidental", "#g", "g#"),
    ("1 8", "degree-number", "8", "1 ^1"),
    ("b9", "degree-number", "b9", "^b2"),
    ("1 0", "degree-number", "0", "1 ."),
    ("@Cm7 / / / /", "slash-first", "/ / / /", "@Cm7"),
    ("@Cm7 / / @F7 / /", "slash-first", "/ / @F7 / /", "@Cm7 @F7"),
    ("/ g", "slash-first", "/", "- g"),
    ("2{g b d} /", "slash-first", "/", "2{g b d} 2{g b d}"),
    ("g //", "doubled-slash", "//", "g / /"),
    ("g ->", "mark-on-hold", ">", "g -"),
    ("g .'o", "mark-on-hold", "'o", "g ."),
    ("g ~- b", "mark-on-hold", "~", "g - b"),
    ("g -#", "accidental-without-note", "#", "g -"),
    ("x#", "accidental-without-note", "#", "x"),
    ("^x", "sign-without-use", "^", "x"),
    ("^A:3", "sign-without-use", "^", "A:3"),
    ("u=", "sign-without-use", "=", "u"),
    ("'slp g", "unknown-direction", "'slp", "'slap g"),
    ("'mfg b", "unknown-direction", "'mfg", "'mf g b"),
    ("'tg b", "unknown-direction", "'tg", "g't b"),
    ("'slapp g", "unknown-direction", "'slapp", "'slap g"),
    ("'fermata g b", "unknown-direction", "'fermata", "g'h b"),
    ("'fermata ^Bb", "unknown-direction", "'fermata", "^Bb'h"),
    ("'fermata gb", "unknown-direction", "'fermata", None),
    ("g'fermata b", "unknown-mark", "'fermata", "g'h b"),
    ("g'accent", "unknown-mark", "'accent", "g>"),
    ("g 'ds al coda", "unknown-direction", "'ds al coda", "g 'ds"),
    ("g 'DC al Fine", "unknown-direction", "'DC al Fine", "g 'dc"),
    ("g 'd.s.", "unknown-direction", "'d.s.", "g 'ds"),
    ("g 'dsalcoda", "unknown-direction", "'dsalcoda", "g 'ds"),
    ("g 'ds al", "unknown-direction", "'ds al", "g 'ds"),
    ("g 'to coda b", "unknown-direction", "'to coda", "g 'tocoda b"),
    ("'let ring g", "unknown-direction", "'let ring", "'ring g"),
    ("'laid-back g", "unknown-direction", "'laid-back", "'laidback g"),
    ("'palm muted g", "unknown-direction", "'palm muted", "'palm g"),
    ("'cresc. g", "unknown-direction", "'cresc.", "'cresc g"),
    ("'mf- g", "unknown-direction", "'mf-", "'mf - g"),
    ("'ffff g", "unknown-direction", "'ffff", "'fff g"),
    ("'ppppp g", "unknown-direction", "'ppppp", "'ppp g"),
    ("'sffz g", "unknown-direction", "'sffz", "'sfz g"),
    ("'sfp g", "unknown-direction", "'sfp", "'fp g"),
    ("'fffg b", "unknown-direction", "'fffg", "'fff g b"),
    ("g'sfz b", "unknown-mark", "'sfz", "'sfz g b"),
    ("g& b", "unknown-sign", "&", None),
    ("g'mf b", "unknown-mark", "'mf", "'mf g b"),
    ("g'pp b", "unknown-mark", "'pp", "'pp g b"),
    ("g'z", "unknown-mark", "'z", None),
    (">g", "mark-before-note", ">g", "g>"),
    ("?g", "mark-before-note", "?g", "g?"),
    ("% g", "repeat-not-alone", "g", None),
    ("g %%", "repeat-not-alone", "%%", None),
    ("%%%", "repeat-not-alone", "%%%", "%%"),
    ("@cm7 g", "chord-name", "cm7", "@Cm7 g"),
    ("@Hm g", "chord-name", "Hm", "@Bm g"),
    ("@3Cm gab", "chord-name", "3Cm", "@3:Cm gab"),
    ("@C:maj7 g", "chord-name", "C:maj7", "@Cmaj7 g"),
    ("@0:C g", "chord-slot-number", "0", None),
    ("g @C", "chord-at-end", "@C", None),
    ("@C @F g", "two-chords", "@F", None),
    ('"ho"g', "missing-blank", "g", '"ho" g'),
    ("g@C b", "missing-blank", "@", "g @C b"),
    ("g###", "too-many-accidentals", "#", "g##"),
    ("G#n", "too-many-accidentals", "n", "G#"),
    ("gw", "double-flat-small", "gw", "Gw"),
    ("A:123", "fret-number", "123", None),
    (":5", "string-missing", ":5", "A:5"),
    ("g:H", "string-name", ":H", None),
    ("E:x", "string-name", "E:x", "x:E"),
    ("A:3:D", "pin-on-fret", ":D", None),
    ("~hg", "two-connectors", "~h", None),
    ("^vg", "contour-both-ways", "^v", None),
    ("g~ b", "connector-without-note", "~", "g ~b"),
    ("p g", "connector-without-note", "p", "'p g"),
    (",c- d", "grace-alone", ",c", None),
    (",c>d", "mark-on-grace", "c>", None),
    ("e+ b", "stack-without-note", "+", None),
    ("??", "doubled-question", "?", "?"),
    ("[B] g", "misplaced-section", "[B]", None),
    ("g'bend a b", "unknown-mark", "'bend", "g'b a b"),
    ("g'stac a b", "unknown-mark", "'stac", "g* a b"),
    ("g'tenut a b", "unknown-mark", "'tenut", "g_ a b"),
    ("'mf g'bend", "unknown-mark", "'bend", "'mf g'b"),
    ("2{g'bend a b}", "unknown-mark", "'bend", "2{g'b a b}"),
    ("a g'ten", "unknown-mark", "'ten", "a g_"),
    ("g'ghost", "unknown-mark", "'ghost", None),
    ("g'gliss a", "unknown-mark", "'gliss", None),
    ("g'hammer a", "unknown-mark", "'hammer", None),
    ("'mezzoforte g", "unknown-direction", "'mezzoforte", "'mf g"),
    ("'mute g", "unknown-direction", "'mute", "'palm g"),
    ("'slide g", "unknown-direction", "'slide", None),
    ("mf g a", "unknown-sign", "m", "'mf g a"),
    ("Am7 a c", "unknown-sign", "m", "@Am7 a c"),
    ("g Bbmaj7 b d", "unknown-sign", "m", "g @Bbmaj7 b d"),
    ("@C major c e", "unknown-sign", "m", "@C c e"),
    ("@C minor c e", "unknown-sign", "m", "@Cm c e"),
    ("@C7 sus4 c e", "unknown-sign", "s", "@C7sus4 c e"),
    ("(check this) g b", "unknown-sign", "k", '"check this" g b'),
    ("g b \U0001d13d d", "unknown-sign", "\U0001d13d", "g b . d"),
    ("g b\u200b d", "unknown-sign", "\u200b", "g b d"),
    ("<g b d> a", "unknown-sign", "<", None),
    ("g b \u2016 d g", "unknown-sign", "\u2016", "g b || d g"),
    ("] g b", "unknown-barline", "]", " g b"),
    ("~~g b", "two-connectors", "~~", "~g b"),
    ("g d, b", "grace-alone", ",", "g vd b"),
    ("g d'' b", "unknown-mark", "'", None),
    ("g/ - - b", "connector-without-note", "/", "g - - /b"),
    ("g - -'h", "mark-on-hold", "'h", "g - -"),
    ("fis g a", "unknown-sign", "i", "f# g a"),
    ("g bes d", "unknown-sign", "s", "g Bb d"),
    ("hes g", "unknown-sign", "s", "Bb g"),
    ("e-flat g", "unknown-sign", "l", "Eb g"),
    ("R 3 5", "unknown-sign", "R", "1 3 5"),
    ("IV 5", "unknown-sign", "I", "4 5"),
    ("g _ b", "unknown-sign", "_", "g - b"),
    ("A:2-5-", "mixed-word", "5", "A:2-:5-"),
    ("E:3-0-", "mixed-word", "0", "E:3-:0-"),
    ("3:2{a b c} g", "group-without-count", "3:2{", "2{a b c} g"),
    ("{3:2 a b c} g", "group-without-count", "{3:2 ", "2{a b c} g"),
    ("@Fm7 @Bbm7 f a b d", "two-chords", "@Bbm7", "@Fm7 f a @Bbm7 b d"),
    ("@Fm7 @Bbm7 @C7 f a b d", "two-chords", "@Bbm7", None),
    ("@Fm7 @Bbm7 'mf f a", "two-chords", "@Bbm7", None),
    ("c8 g", "mixed-word", "8", None),
    ("d8 g", "mixed-word", "8", "D:8 g"),
]


@pytest.mark.parametrize(("typed", "code", "place", "after"), SLIPS, ids=[s[0] for s in SLIPS])
def test_slip(typed: str, code: str, place: str, after: str | None) -> None:
    """A slip is one error with its code and place; where it has a mend to paste, the mended bar reads well."""
    bar = parse_bar(typed)
    assert bar.words == ()
    (found,) = bar.diagnostics
    assert (found.code, typed[found.span.start : found.span.end]) == (code, place)
    if after is None:
        assert not any(hint.replacement is not None for hint in found.hints)
    else:
        assert mended(typed, found) == after
        assert not [one for one in faults(read(f"| {after}")) if one.severity == "error"]


@pytest.mark.parametrize(
    ("typed", "code", "after"), [("Bbb", "flat-then-b", "Bw"), ("g>>", "mark-twice", "g>")]
)
def test_hint_leaves_the_words(typed: str, code: str, after: str) -> None:
    """A remark that is no error keeps the bar's words."""
    bar = parse_bar(typed)
    (found,) = bar.diagnostics
    assert (found.code, found.severity) == (code, "hint")
    assert bar.words
    assert mended(typed, found) == after


def test_ds_says_what_it_prints() -> None:
    """`'ds al coda` learns that `'ds` alone prints the whole of it where a coda stands (`form_words` does)."""
    (hint,) = parse_bar("g 'ds al coda").diagnostics[0].hints
    assert hint.text == "`'ds` alone prints \"D.S. al Coda\" where a `'coda` stands"
    (hint,) = parse_bar("g 'dc al fine").diagnostics[0].hints
    assert hint.text == "`'dc` alone prints \"D.C. al Fine\" where a `'fine` stands"


def test_a_sign_of_another_trade_gets_no_odd_mend() -> None:
    """`&` and `$` are unknown, and nothing is guessed."""
    for sign in "&$":
        (found,) = parse_bar(f"g {sign} d g").diagnostics
        assert (found.message, found.hints) == (f"unknown sign `{sign}`", ())


def test_messages_hold_no_names_of_the_grammar() -> None:
    """Players read words of the trade: no token names, no tracebacks, lower case, no full stop."""
    for typed, *_ in SLIPS:
        (found,) = parse_bar(typed).diagnostics
        for text in (found.message, *(hint.text for hint in found.hints)):
            assert not any(name in text for name in ("NOTE", "STILL", "GRACE", "Token", "$END", "Unexpected"))
        assert not found.message.endswith(".")
        assert not found.message[:1].isupper()


def test_control_signs_are_shown_by_number() -> None:
    """A sign that cannot be printed is named by its number, also inside a text."""
    assert "U+0007" in parse_bar("g \x07").diagnostics[0].message
    assert "U+0000" in parse_bar('"a\x00" g').diagnostics[0].message


@pytest.mark.parametrize("typed", ['g "the \'bend" a', "g'b e", "'tap g'b ed", "g'bed a"])
def test_marks_and_texts_that_hold_such_letters(typed: str) -> None:
    """A text may hold the name of a mark, and a mark may stand before notes that are no name."""
    assert parse_bar(typed).words

"""What a bar's text is read as: words, slots, notes. The rules are those of the language (grammar/LANGUAGE.md)."""

from __future__ import annotations

import pytest

from scribe.source.read import parse_bar
from scribe.source.tree import Beat, Strike, TextWord
from tests.read_help import words

READ = [
    # slots
    ("g", "[g]"),
    ("gb -b g--b", "[g b] [hold b] [g hold hold b]"),
    ("g--. .-g- b.c- d", "[g hold hold silence] [silence hold g hold] [b silence c hold] [d]"),
    ("x u ux", "[dead] [unheard] [unheard dead]"),
    ("", ""),
    # letters: a small one and b are two notes, a capital keeps exactly one b
    ("gb Gb Gbb Bw", "[g b] [Gb] [Gb b] [Bbb]"),
    ("f# f## fn F# F## Fn", "[f#] [f##] [fn] [F#] [F##] [Fn]"),
    ("Bn g#b", "[Bn] [g# b]"),
    # degrees: the accidental in front
    ("1 b3 #4 bb7 ##1", "[1] [b3] [#4] [bb7] [##1]"),
    ("4#5 1b3 n7", "[4 #5] [1 b3] [7]"),
    ("1-.x", "[1 hold silence dead]"),
    # frets: the string stays for the word
    ("A:12 A:3:5:7 Eb:3", "[A12] [A3 A5 A7] [Eb3]"),
    ("d:5 A:3D:5:7", "[d5] [A3 D5 D7]"),
    ("x:A:3 A:3x:5", "[dead:A A3] [A3 dead A5]"),
    # contour, ghosts, strings, marks
    ("^g vvb ^^D", "[^g] [vvb] [^^D]"),
    ("qg (g) (ga)b ^(g) (^g)", "[ghost g] [ghost g] [ghost g ghost a b] [ghost ^g] [ghost ^g]"),
    ("qx (x:A) (g-a)", "[ghost dead] [ghost dead:A] [ghost g hold ghost a]"),
    ("g:A g=? B:E=", "[g:A] [doubtful meant g] [meant B:E]"),
    ("g>*_'t?", "[doubtful g accent staccato tenuto thumb]"),
    ("g?_> g'p'o'v'b'h", "[doubtful g tenuto accent] [g popped harmonic vibrato bent held]"),
    ("(g)> (ga)?", "[ghost g accent] [ghost g ghost doubtful a]"),
    # connectors
    ("~g hb pa /c \\d", "[slur>g] [hammer>b] [pull>a] [slide up>c] [slide down>d]"),
    ("g~bha", "[g slur>b hammer>a]"),
    ("^~g q^hb", "[slur>^g] [hammer>ghost ^b]"),
    # \ is a fall unless a note stands right behind it in the word
    ("g\\ g\\- g\\. b", "[g fall] [g fall hold] [g fall silence] [b]"),
    ("g\\b g\\x g\\(b)", "[g slide down>b] [g slide down>dead] [g slide down>ghost b]"),
    ("g\\,cb g\\^b", "[g (slide down>c)b] [g slide down>^b]"),
    ("5\\b3 A:7\\:5 g\\>", "[5 slide down>b3] [A7 slide down>A5] [g fall accent]"),
    # grace notes
    (",cd ,c,de ,chd", "[(>c)d] [(>c)(>d)e] [(>c)hammer>d]"),
    ("~,cd ,~cd g,cd", "[(slur>c)d] [(slur>c)d] [g (>c)d]"),
    (",(c)d ,c(d) (,cd) ,cx", "[(>ghost c)d] [(>c)ghost d] [(>ghost c)ghost d] [(>c)dead]"),
    # stacks
    ("e+b e+^b e+(b) ~e+b>", "[e+b] [e+^b] [e+ghost b] [slur>e+b accent]"),
    ("e>+b* e?+b g+bd", "[e+b accent staccato] [doubtful e+b] [g+b d]"),
    # groups
    ("2{g b d}", "2([g] [b] [d])"),
    ("2{ @Cm7 g 1{b d} . } a", "2(chord Cm7@1 [g] 1([b] [d]) [silence]) [a]"),
    # words beside the notes
    ("@Cm7 g @3:F7/A? gab", "[g] chord".join(["chord Cm7@1 ", " F7/A@3? [g a b]"])),
    ("@N.C. g", "chord N.C.@1 [g]"),
    ('"a | b"'.replace("|", "/") + " g", "text<a / b> [g]"),
    ("'mf g 'slap b 'fine", "direction mf [g] direction slap [b] direction fine"),
    ("g / / b", "[g] again again [b]"),
    ("? g ?", "todo [g] todo"),
    ("%", "repeat 1"),
    ('@C %% "again"', "chord C@1 repeat 2 text<again>"),
    ("@C @F", "chord C@1 chord F@1"),
]


@pytest.mark.parametrize(("typed", "meant"), READ, ids=[r[0] or "empty" for r in READ])
def test_reads(typed: str, meant: str) -> None:
    """Each construct of the language is read as the words, slots and notes it stands for."""
    assert words(typed) == meant


PLAIN = [
    ("F♯ B♭ G♮", "F# Bb Gn"),
    ("g—b g–", "g-b g-"),
    ("‘mf g’o", "'mf g'o"),
    ("“fill” g", '"fill" g'),
    ("âg ê ãb", "^ag ^e ~ab"),
    ("a\u0302 e\u0303", "^a ~e"),
    ("B𝄫 F𝄪", "Bw F##"),
    ("e♭ b♭ e♭b g♯ g♮", "Eb Bb Ebb g# gn"),
    ("e♭♭ E♭♭ b𝄫 ê♭ (a♭) g+e♭", "Ew Ew Bw ^Eb (Ab) g+Eb"),
    ("♭3 ♭♭7 5", "b3 bb7 5"),
    ("a♭:3 E♭:2", "ab:3 Eb:2"),
    ("@C♭7♭9 c♭", "@Cb7b9 Cb"),
    ("g…", "g..."),
    ("g\u00a0b", "g b"),
    ("çoda g", "'coda g"),
    ("gó", "g'o"),
]


@pytest.mark.parametrize(("typed", "plain"), PLAIN)
def test_typographic_signs_are_plain_ones(typed: str, plain: str) -> None:
    """What keyboards and editors make of plain signs reads as those, places in the text as typed."""
    assert words(typed) == words(plain)
    bar = parse_bar(typed)
    assert bar.words[-1].span.end == len(typed)


def test_spans_are_those_of_the_text_as_typed() -> None:
    """A dead key's letter stands for two plain signs; the notes behind it keep their own places."""
    typed = "âg ^c"
    first, second = parse_bar(typed).words
    assert isinstance(first, Beat)
    assert [typed[slot.span.start : slot.span.end] for slot in first.slots] == ["â", "g"]
    assert typed[second.span.start : second.span.end] == "^c"


def test_text_keeps_its_typography() -> None:
    """Words above the staff are printed as typed, whatever signs they hold."""
    (word,) = parse_bar("“it’s café – â”").words
    assert isinstance(word, TextWord)
    assert word.text == "it’s café – â"


def test_span_of_every_note_is_what_was_typed() -> None:
    """The place of a slot runs from its first grace note or connector to its last mark."""
    typed = "~,ce+^b>'t -g?"
    spans = [
        typed[slot.span.start : slot.span.end]
        for word in parse_bar(typed).words
        if isinstance(word, Beat)
        for slot in word.slots
        if isinstance(slot, Strike)
    ]
    assert spans == ["~,ce+^b>'t", "g?"]


@pytest.mark.parametrize("count", [1, 9, 10, 11, 12, 13, 16, 24, 48])
def test_any_number_of_slots_is_kept(count: int) -> None:
    """How many slots a word may have depends on the metre; reading keeps them all."""
    (word,) = parse_bar("g" * count).words
    assert isinstance(word, Beat)
    assert len(word.slots) == count

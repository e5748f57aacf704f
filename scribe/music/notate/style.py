"""The style table: every choice of the notate stage in one place, with its rule, its tag and its source.

Tags: L looked up, M from memory, C common practice without a source. Rule and case numbers are those of the tables in
`tests/test_notate_cases.py`.
"""

from __future__ import annotations

from typing import NamedTuple


class Style(NamedTuple):
    """What a house style may change. The defaults are the modern reading of jazz and pop parts."""

    latin: bool = False
    double_dots: bool = False
    whole_beats: bool = True
    triple_dots: bool = True
    duplets: bool = True
    halves: bool = True
    triple_beam: bool = True


DEFAULT = Style()


class Choice(NamedTuple):
    """One row of the table. `field` is the field of `Style` that changes it, empty where it is fixed."""

    field: str
    choice: str
    source: str


CHOICES = (
    # values
    Choice("", "the fewest written values that the rules allow", "rule 1, L: Berklee Book 1 p. 16"),
    Choice("", "of equally many, the cuts at the strongest points; then the fewest syncopated values; "
           "then the longest value first", "C"),
    Choice("", "4/4 and 2/2: only a half or longer that begins on a beat crosses the middle",
           "rule 3, L: Berklee Book 1 p. 16"),
    Choice("", "beats of a half or longer (4/2): a dotted half that begins on a beat may cross the middle too",
           "rule 3 by its word; print: 1,350 of 1,350 such bars in 1,000 files of music21's corpus"),
    Choice("latin", "4/4: a dotted quarter may cross the middle from any eighth (Q. Q. Q)",
           "rule 13, case 7, L: Berklee Take Note, figure not seen; off by default"),
    Choice("", "E Q E, E Q. inside two beats and S E S, S E. inside one, each one level down again",
           "rule 11, L: Puget Sound 4.6, the values M"),
    Choice("", "but where something shorter stands in the same beats every beat is shown: E E~E S S",
           "rules 5 and 6, L: McCormick 2008; musicengravingtips.com"),
    Choice("", "no value that begins or ends on a 16th hides a beat, none on a 32nd hides an eighth",
           "rule 5, cases 19 and 20, L: McCormick 2008"),
    Choice("whole_beats", "compound: one value for several whole beats (H. fills 6/8); off: Q.~Q.",
           "case 30, modern M, strict L: Harris 1917 fig. 8a"),
    Choice("", "compound: never a beat and a part of another", "rule 9, L: Harris 1917 sec. 13"),
    Choice("triple_dots", "triple time: a dotted value may begin half a beat late (Q. Q.); off: Q. E~Q",
           "case 24, M"),
    Choice("", "asymmetric: a value that leaves its group fills whole groups; 8/4 is twice 4/4", "C"),
    Choice("double_dots", "double dots", "C; off by default, a tie reads quicker"),
    # rests
    Choice("", "a rest fills one beat, one half of a bar or a binary part of a beat, undotted",
           "rules 4, 7, 8, L: Harris 1917 sec. 12"),
    Choice("", "compound: dotted rests for whole beats and for the half of 12/8, an undotted one for the first "
           "two thirds of a beat, never for the last two", "cases 31 and 35, L: Harris 1917 fig. 8"),
    Choice("", "a whole bar of silence is the whole rest in any metre", "rule 10, L: Harris 1917 p. 18"),
    # tuplets
    Choice("", "simple: plain where a member is an undotted or dotted value or so many eighths (four in 3/4: E.)", "C"),
    Choice("", "simple: n in the time of the next lower power of two (3:2, 5:4, 6:4, 7:4, 9:8)",
           "rule 14, L: LearnMusicTheory.net 1.7"),
    Choice("duplets", "compound: 2:3, 4:6, 8:12 with the look of the simple division; off: two dotted eighths",
           "rule 15, case 34, L: LearnMusicTheory.net 1.7"),
    Choice("", "three beats or three thirds: other n in the time of the nearest 3, 6, 12 (5:6, 7:6, 10:12)",
           "C, after rule 15"),
    Choice("", "other lengths (5/8, 7/8 as one): n in the time of the nearest number of undotted values", "C"),
    Choice("", "a division over several beats is written beat by beat with ties, unless the notes over the beat "
           "are whole members of a slower tuplet (three quarters in two beats)", "C; case 42, L: same"),
    Choice("", "a group keeps the number that the writer gave it, also where its members are divided", "C"),
    Choice("", "a tuplet over the middle is cut there where that falls on a member or half a member",
           "case 46, M"),
    Choice("", "six in a beat: 6:4; an eighth and 3:2 where one half is plain; 3:2 eighths where pairs are held; "
           "two 3:2 for long and short in both halves (E S E S)", "C"),
    Choice("", "a tuplet takes no more of a beat than what does not fit plain time: E. {3:2 TTT}", "C"),
    Choice("", "twelve or more in a beat: two tuplets where no note lies over the half", "C"),
    Choice("", "a bracket unless one beam covers exactly the tuplet", "rule 16, L: LearnMusicTheory.net 1.7"),
    # beams
    Choice("halves", "4/4: plain eighths by half bar; off: by beat", "rule 12, case 12, L: both legal"),
    Choice("triple_beam", "3/4: plain eighths in one beam; off: by beat", "rule 12, case 23, L: both legal"),
    Choice("", "16ths, shorter values and tuplets: by beat", "rule 12, case 13, L: Berklee Take Note"),
    Choice("", "compound and asymmetric: by beat or group", "cases 28 and 37 to 40, C"),
    Choice("", "rests end a beam; a note alone has a flag", "C"),
)  # fmt: skip


def normal(length: int, actual: int) -> int:
    """Return in the time of how many undotted values `actual` equal notes over `length` ticks stand.

    The value is `length` / result. `length` counts ticks of a 128th; see the rows on tuplets above.
    """
    odd = length // (length & -length)
    if odd == 1:
        return power(actual)
    if odd == 3:
        if power(actual) == actual:
            return 3 * actual // 2
        if actual % 3 == 0:
            return 3 * power(actual // 3)
    low = odd
    while 2 * low <= actual:
        low *= 2
    # The nearer one by ratio: actual/low against 2*low/actual.
    return low if low >= actual or actual * actual <= 2 * low * low else 2 * low


def power(number: int) -> int:
    """Return the greatest power of two that is not above `number` (at least 1)."""
    return 1 << (number.bit_length() - 1)

"""The tempo words of a MusicXML score, whichever part they stand over, and speeds as music21 can read them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from lxml import etree

from scribe.exchange.tempowords import is_tempo
from scribe.exchange.xmltext import decimal, one_line, staves
from scribe.music.inforce import Tempo

PLAYED = ""  # the value of a tempo that is only played, in quarters: no note is printed with it
FASTEST = 999  # a minute
USUAL = 120  # quarters a minute that programs play when nothing is said: no news
_SPEED = re.compile(r"\d+(?:\.\d+)?")


class TempoWords(NamedTuple):
    """By index of the measure. `beside`: words printed with a mark; `alone`: tempos without a printed number."""

    beside: dict[int, str]
    alone: dict[int, Tempo]


def plain_speeds(root: etree._Element) -> None:
    """Leave `ca. 72` and `72-76` a number, and say the rest in words: music21 reads numbers only.

    A speed that is played and is no number is taken away.
    """
    for sound in root.iterfind("part/measure//sound[@tempo]"):
        if decimal(sound.get("tempo")) is None:
            del sound.attrib["tempo"]
    for each in root.iterfind("part/measure/direction/direction-type/metronome/per-minute"):
        text = one_line(each.text or "")
        number = _SPEED.search(text)
        if number is None or number[0] == text:
            continue
        each.text = number[0]
        rest = one_line(text.replace(number[0], "", 1)).strip("()")
        direction = next(each.iterancestors("direction"))
        words = list(direction.iterfind("direction-type/words"))
        said = rest if rest[:1].isalpha() else text
        if words:
            words[-1].text = f"{(words[-1].text or '').rstrip(' (')} {said}"
        else:
            made = etree.Element("direction-type")
            etree.SubElement(made, "words").text = said
            direction.insert(0, made)


def tempo_words(root: etree._Element) -> TempoWords:
    """Return the words of tempo marks, and words that are one, and take them out of the score.

    MusicXML 4.0, `direction`: `directive` "indicates that it is a tempo indication". Other words before a bar's first
    note count where the direction is played as a tempo, or where they name one above the first of several staves. Words
    that differ from those first found at a bar stay where they are.
    """
    found = TempoWords({}, {})
    several = sum(staves(part) for part in root.iterchildren("part")) > 1
    for place, part in enumerate(root.iterchildren("part")):
        for index, measure in enumerate(part.iterchildren("measure")):
            said = list(_said(measure, vocabulary=place == 0 and several))
            bare = any(tempo.value and not tempo.words for _, tempo in said)  # a mark with a number alone
            for direction, tempo in said:
                if not tempo.words:
                    continue
                if tempo.value or bare:
                    kept = found.beside.setdefault(index, tempo.words) == tempo.words
                else:
                    kept = found.alone.setdefault(index, tempo).words == tempo.words
                if kept:
                    _take_out(direction)
    return found


def _said(measure: etree._Element, *, vocabulary: bool) -> Iterator[tuple[etree._Element, Tempo]]:
    """Directions before the first note that are tempos; `value` is `Q` for printed marks, PLAYED for words alone."""
    for each in measure:
        if each.tag == "note":
            return
        if each.tag != "direction":
            continue
        words = one_line(" ".join(w.text or "" for w in each.iterfind("direction-type/words")))
        sound = each.find("sound")
        played = None if sound is None else sound.get("tempo")
        top = (
            vocabulary and (each.findtext("staff") or "1").strip() == "1" and each.get("placement") != "below"
        )
        if each.find("direction-type/metronome") is not None:
            yield each, Tempo(words, "Q", None)
        elif words and each.get("directive") == "yes":
            yield each, Tempo(_unfinished(words), PLAYED, None)
        elif (top or played) and is_tempo(words):
            yield each, Tempo(words, PLAYED, _speed(played))


def _take_out(direction: etree._Element) -> None:
    for words in list(direction.iterfind("direction-type/words")):
        words.getparent().remove(words)


def _speed(text: str | None) -> Fraction | None:
    number = decimal(text)
    return number.limit_denominator(1000) if number is not None and is_news(number) else None


def is_news(speed: float | Fraction | None) -> bool:
    """Whether a speed that is only played, in quarters a minute, says more than that nobody chose one."""
    return speed is not None and 0 < speed <= FASTEST and speed != USUAL


def _unfinished(words: str) -> str:
    """Words without the empty brackets that are left where a note was drawn by other means."""
    return one_line(re.sub(r"\(\s*=?\s*\)", "", words)) or words

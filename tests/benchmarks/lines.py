"""Single lines out of music21's corpus with their printed names, read straight from the files and cached.

music21 takes many seconds for one quartet; only names, keys and places are wanted here, so MusicXML and ABC are read
by the few lines below. A test compares what they give with music21's own reading.
"""

from __future__ import annotations

import hashlib
import os
import pickle
import re
import zipfile
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import NamedTuple

from lxml import etree

from scribe.music.pitch import FIFTHS, LETTERS, Pitch

VERSION = 5  # of the cached records


class Printed(NamedTuple):
    """A printed note. `fifths`, `mode`: the signature in force (`mode` empty where the file does not say).

    `onset` and `length` in quarters, `onset` from the start of its bar (the `bar`-th in the line).
    """

    pitch: Pitch
    fifths: int
    mode: str
    bar: int
    onset: Fraction
    length: Fraction
    chord: str


class Line(NamedTuple):
    """One voice of one piece: a name for reports, the file's half of the corpus (0 or 1), the notes."""

    name: str
    half: int
    notes: tuple[Printed, ...]


# Sub-corpus: folders, and which lines of a piece ("all", or indexes of parts from the end or the start).
SETS: dict[str, tuple[tuple[str, ...], str]] = {
    "bach chorales, bass": (("bach",), "-1 of 4"),
    "bach chorales, soprano": (("bach",), "0 of 4"),
    "bach chorales, alto": (("bach",), "1 of 4"),
    "bach chorales, tenor": (("bach",), "2 of 4"),
    "haydn quartets, cello": (("haydn",), "-1 of 4"),
    "haydn quartets, violin I": (("haydn",), "0 of 4"),
    "mozart quartets, cello": (("mozart/k155", "mozart/k156", "mozart/k458", "mozart/k80"), "-1 of 4"),
    "mozart quartets, violin I": (("mozart/k155", "mozart/k156", "mozart/k458", "mozart/k80"), "0 of 4"),
    "beethoven quartets, cello": (("beethoven",), "-1 of 4"),
    "beethoven quartets, violin I": (("beethoven",), "0 of 4"),
    "schumann quartet, songs, piano": (("schumann_robert", "schumann_clara", "schubert"), "all"),
    "monteverdi madrigals": (("monteverdi",), "all"),
    "trecento": (("trecento", "ciconia"), "all"),
    "folk songs (essen, one in six)": (("essenFolksong",), "all"),
    "fiddle tunes (one in six)": (("ryansMammoth", "oneills1850", "airdsAirs"), "all"),
    "ragtime, lead sheets, songs": (("joplin", "leadSheet", "liliuokalani", "johnson_j_r"), "all"),
}


def load() -> dict[str, tuple[Line, ...]]:
    """Return every sub-corpus, from the cache where there is one (a file in the user's cache folder)."""
    from platformdirs import user_cache_dir

    cache = Path(user_cache_dir("scribe")) / f"benchmark-lines-{VERSION}.pickle"
    if cache.exists():
        found: dict[str, tuple[Line, ...]] = pickle.loads(cache.read_bytes())
        return found
    from music21 import corpus

    root = Path(str(corpus.getCorePaths()[0]))
    while root.name != "corpus":
        root = root.parent
    sets = {name: tuple(_lines(root, folders, which)) for name, (folders, which) in SETS.items()}
    cache.parent.mkdir(parents=True, exist_ok=True)
    part = cache.with_suffix(f".{os.getpid()}")
    part.write_bytes(pickle.dumps(sets))
    part.replace(cache)
    return sets


def half_of(name: str, parts: int = 2) -> int:
    """The half (or other part) of the corpus that a file belongs to, by a hash of its path below the corpus folder."""
    return hashlib.sha256(name.encode()).digest()[0] % parts


def _lines(root: Path, folders: tuple[str, ...], which: str) -> Iterator[Line]:
    for folder in folders:
        for path in sorted((root / folder).rglob("*")):
            name = path.relative_to(root).as_posix()
            if path.suffix in (".mxl", ".xml"):
                parts = list(musicxml_lines(path))
                if which != "all":
                    index, _, size = which.partition(" of ")
                    if len(parts) != int(size):
                        continue
                    parts = [parts[int(index)]]
                for i, notes in enumerate(parts):
                    if notes:
                        yield Line(f"{name}#{i}", half_of(name), tuple(notes))
            elif path.suffix == ".abc":
                for i, notes in enumerate(abc_lines(path.read_text("utf-8", "replace"))):
                    if len(notes) > 3 and half_of(f"{name}#{i}", 6) == 0:
                        yield Line(f"{name}#{i}", half_of(name), tuple(notes))


# --- MusicXML ----------------------------------------------------------------------------------------------


def musicxml_lines(path: Path) -> Iterator[list[Printed]]:
    """Yield the lines of a MusicXML file: one for each part, staff and voice that has notes in order of time.

    Of a chord only the note that stands first is taken; notes tied to the one before are left out. Lines that
    hold less than a third of the notes of their part's largest line are parts of it that split off for some bars
    and are left out too.
    """
    root = _score(path)
    if root is None:
        return
    for part in root.iterfind("part"):
        lines: dict[tuple[str, str], list[Printed]] = {}
        fifths, mode, divisions = 0, "", 1
        for bar, measure in enumerate(part.iterfind("measure")):
            now = Fraction(0)
            for item in measure:
                if item.tag == "attributes":
                    divisions = int(item.findtext("divisions") or divisions)
                    key = item.find("key")
                    if key is not None and key.findtext("fifths"):
                        fifths, mode = int(key.findtext("fifths") or 0), key.findtext("mode") or ""
                elif item.tag in ("backup", "forward"):
                    step = Fraction(item.findtext("duration") or "0") / divisions
                    now += -step if item.tag == "backup" else step
                elif item.tag == "note":
                    length = Fraction(item.findtext("duration") or "0") / divisions
                    if item.find("chord") is not None:
                        continue
                    pitch = item.find("pitch")
                    tied = any(t.get("type") == "stop" for t in item.iterfind("tie"))
                    if pitch is not None and not tied:
                        place = (item.findtext("staff") or "1", item.findtext("voice") or "1")
                        name = Pitch(
                            pitch.findtext("step") or "C",
                            round(float(pitch.findtext("alter") or 0)),
                            int(pitch.findtext("octave") or 4),
                        )
                        lines.setdefault(place, []).append(Printed(name, fifths, mode, bar, now, length, ""))
                    now += length
        most = max((len(notes) for notes in lines.values()), default=0)
        kept = [notes for notes in lines.values() if 3 * len(notes) > most]
        yield from kept or [[]]


def _score(path: Path) -> etree._Element | None:
    data = path.read_bytes()
    if path.suffix == ".mxl":
        with zipfile.ZipFile(path) as package:
            container = etree.fromstring(package.read("META-INF/container.xml"))
            rootfile = next(e for e in container.iter() if etree.QName(e).localname == "rootfile")
            data = package.read(rootfile.get("full-path"))
    parser = etree.XMLParser(load_dtd=False, no_network=True, resolve_entities=False)
    root = etree.fromstring(data, parser)
    return root if root.tag == "score-partwise" else None


# --- ABC ---------------------------------------------------------------------------------------------------

_ABC_MODES = {"": 0, "maj": 0, "ion": 0, "m": 3, "min": 3, "aeo": 3, "dor": 2, "phr": 4, "lyd": -1, "mix": 1}
_ABC_MODES["loc"] = 5
_ABC_NAMES = {"maj": "major", "": "major", "m": "minor", "min": "minor", "aeo": "minor", "dor": "dorian"}
_ABC = re.compile(
    r'"(?P<text>[^"]*)"|!(?P<deco>[^!\n]*)!|\{(?P<grace>[^}]*)\}|\[(?P<inline>[A-Za-z]:[^\]]*)\]'
    r"|(?P<bar>\|[\]:|]?|:\|?|\[\|)|(?P<acc>\^\^|__|\^|_|=)?(?P<note>[A-Ga-g])(?P<oct>[,']*)"
    r"(?P<num>\d*)(?P<den>/*\d*)(?P<tie>-?)|(?P<rest>[zxy])\d*"
)
_ACC = {"^^": 2, "^": 1, "=": 0, "_": -1, "__": -2}


def abc_key(text: str) -> tuple[int, str] | None:
    """Return signature and mode of a `K:` field (ABC standard 2.1, section 3.1.14), or None."""
    found = re.match(r"\s*([A-G])([#b]?)\s*([A-Za-z]*)", text)
    if not found:
        return None
    mode = found[3].lower()
    mode = "m" if mode == "m" else mode[:3]
    if mode not in _ABC_MODES:
        return None
    tonic = FIFTHS[LETTERS.index(found[1])] + 7 * {"#": 1, "b": -1, "": 0}[found[2]]
    return tonic - _ABC_MODES[mode], _ABC_NAMES.get(mode, "")


def abc_lines(text: str) -> Iterator[list[Printed]]:
    """Yield the tunes of an ABC file. An accidental lasts to the barline for its own octave (ABC 2.1, section 4.2).

    Notes tied to the one before are left out, and so are grace notes.
    """
    notes: list[Printed] = []
    key: tuple[int, str] | None = None
    bar = 0
    signs: dict[tuple[str, int], int] = {}
    chord = ""
    tied: tuple[str, int] | None = None
    now = Fraction(0)
    for row in text.splitlines():
        field = re.match(r"([A-Za-z]):(.*)", row)
        if field:
            if field[1] == "X":
                if notes:
                    yield notes
                notes, key, bar, chord, tied = [], None, 0, "", None
            elif field[1] == "K":
                key = abc_key(field[2]) or key
            continue
        if row.startswith("%") or key is None:
            continue
        for m in _ABC.finditer(row.split("%")[0]):
            if m["text"] is not None:
                chord = m["text"] if re.match(r"[A-G]", m["text"]) else chord
            elif m["inline"]:
                if m["inline"].startswith("K:"):
                    key = abc_key(m["inline"][2:]) or key
            elif m["bar"] is not None:
                bar, signs, now = bar + 1, {}, Fraction(0)
            elif m["note"]:
                letter = m["note"].upper()
                octave = 4 + m["note"].islower() + m["oct"].count("'") - m["oct"].count(",")
                if m["acc"]:
                    signs[letter, octave] = _ACC[m["acc"]]
                place = FIFTHS[LETTERS.index(letter)]
                natural = (place + 1 < key[0]) if key[0] > 0 else -(5 - place < -key[0])
                alter = signs.get((letter, octave), int(natural))
                length = Fraction(m["num"] or 1)
                den = m["den"]
                if den:
                    length /= int(den.strip("/") or 2 ** den.count("/"))
                if tied != (letter, octave):
                    notes.append(Printed(Pitch(letter, alter, octave), *key, bar, now, length, chord))
                now += length
                tied = (letter, octave) if m["tie"] else None
    if notes:
        yield notes

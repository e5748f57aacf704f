"""The lines of a draft that move with it: `key`, `home`, `position`; and what is put down so that they come back.

A bar's text can stay as it is but for its names if the key and the place that octaves are measured from move along.
Where a draft has no such line, one is added, with a comment that says so, and goes again when it is back at what
holds without it. Where the name that a line had would not be found again on the way back, it is kept in a comment.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import NamedTuple

from scribe.diagnostics import Span
from scribe.music.context import Context
from scribe.music.inforce import InForce
from scribe.music.interval import Interval, move
from scribe.music.key import Key, parse_key
from scribe.music.pitch import ACCIDENTAL, Pitch, parse_pitch
from scribe.music.rewrite.edit import Edit
from scribe.music.rewrite.keys import SIGNS, Named, named_keys
from scribe.music.settings import parse_home
from scribe.music.tuning import FRETS
from scribe.source.tree import Directive, Draft, Music

C_MAJOR = InForce().key  # where a draft without a `key` line stands
ADDED = "added by transpose"

_PLACE = re.compile(r"([A-Ga-g][#b]?:)(\d+)")
_ADDED = re.compile(rf"[ \t]*;[ \t]*{ADDED}[ \t]*")
_KEPT = re.compile(r" ; (?P<what>from|at fret) (?P<value>[^;]*?)(?=\s*(?:;|$))")


class Stand(NamedTuple):
    """What a bar stands in after the move, and by what its notes moved."""

    key: Key
    home: Pitch
    by: Interval


@dataclass(slots=True)
class Lines:
    """The edits of a draft's lines, and for each bar (by its place in the draft) what it then stands in."""

    edits: list[Edit] = field(default_factory=list)
    bars: dict[int, Stand] = field(default_factory=dict)


def move_lines(
    text: str, draft: Draft, interval: Interval, signs: int = SIGNS, add_home: bool = False
) -> Lines:
    """Move a draft's lines. `add_home`: with lines that move the home of bars that had the instrument's own."""
    return _Walk(text, draft, interval, signs, add_home).run()


def first_key(draft: Draft) -> Key:
    """The key that the first bar stands in."""
    key = C_MAJOR
    for line in draft.lines:
        if isinstance(line, Music) and line.cells:
            break
        if isinstance(line, Directive) and line.name == "key":
            key = parse_key(line.text) or key
    return key


def between_keys(before: Key, after: Key, interval: Interval) -> Interval:
    """Return the interval from one key to another as they are named; it sounds like `interval`."""
    fifths = after.tonic_fifths - before.tonic_fifths
    return Interval((7 * interval.semitones - fifths) // 12, interval.semitones)


class _Value(NamedTuple):
    """A line's new value and the comment that keeps what it was; None: the comment stays as it is."""

    text: str
    kept: str | None = None


class _Walk:
    """Threads what is in force through the draft as it is and as it will be."""

    def __init__(self, text: str, draft: Draft, interval: Interval, signs: int, add_home: bool) -> None:
        self.text = text
        self.draft = draft
        self.interval = interval
        self.signs = signs
        self.add_home = add_home
        self.old = Context()
        self.new = Context()
        self.end = "\r\n" if "\r\n" in text else "\n"
        # In the column where the head's first line has its value.
        heads = (n for n in draft.lines if isinstance(n, Directive))
        self.column = next((n.value_span.start - n.span.start for n in heads), 0)
        self.done = Lines()
        self.begun = False
        self.missing = C_MAJOR  # the key that the first bar is to stand in, where no line says it
        self.keys: dict[Span, Named] = {}

    def run(self) -> Lines:
        self._name_keys()
        for index, line in enumerate(self.draft.lines):
            if isinstance(line, Music):
                self._begin(line)
                self._music(index, line)
            elif line.name == "key":
                self._key(line)
            elif line.name == "home":
                self._begin(line)
                self._home(index, line)
            elif line.name == "position":
                self._position(line)
            elif line.name in ("strings", "instrument", "rest"):
                if line.name == "rest":
                    self._begin(line)
                self.old.apply(line)
                self.new.apply(line)
        return self.done

    def _name_keys(self) -> None:
        lines = [n for n in self.draft.lines if isinstance(n, Directive) and n.name == "key"]
        typed = [(line, key, self._kept(line)["value"]) for line in lines if (key := parse_key(line.text))]
        keys = [key for _, key, _ in typed]
        kept = [value for _, _, value in typed]
        bars = next((n.span.start for n in self.draft.lines if isinstance(n, Music) and n.cells), 0)
        if not typed or typed[0][0].span.start > bars:
            keys, kept = [C_MAJOR, *keys], ["", *kept]
        found = named_keys(keys, kept, self.interval, self.signs)
        self.keys = {
            line.span: named for (line, _, _), named in zip(reversed(typed), reversed(found), strict=False)
        }
        if len(found) > len(typed):
            self.missing = found[0].key

    def _by(self) -> Interval:
        return between_keys(self.old.in_force.key, self.new.in_force.key, self.interval)

    def _set_key(self, key: Key) -> None:
        self.new.in_force = self.new.in_force._replace(key=key)

    def _set_home(self, home: Pitch) -> None:
        self.new.in_force = self.new.in_force._replace(home=home)
        self.new.home_typed = True

    # --- the text ------------------------------------------------------------------------------------------

    def _comment(self, line: Directive) -> str:
        """What stands behind a line's value, to the end of the line."""
        end = self.text.find("\n", line.value_span.end)
        return self.text[line.value_span.end : end if end >= 0 else len(self.text)].rstrip("\r")

    def _kept(self, line: Directive) -> dict[str, str]:
        """What the comment behind a line's value keeps of it: nothing, `from` a name, or `at fret` a number."""
        found = _KEPT.match(self._comment(line))
        return {k: found[k] for k in ("what", "value")} if found else {"what": "", "value": ""}

    def _added(self, line: Directive) -> bool:
        return bool(_ADDED.fullmatch(self._comment(line)))

    def _write(self, line: Directive, value: _Value) -> None:
        """Change a line's value, and the comment that keeps what it was if that is another now."""
        start, end = line.value_span
        text = value.text
        if value.kept is not None:
            found = _KEPT.match(self._comment(line))
            end += found.end() if found else 0
            text += f" ; {value.kept}" if value.kept else ""
        if text != self.text[start:end]:
            self.done.edits.append(Edit(Span(start, end), text))
        self.new.apply(line._replace(text=value.text))

    def _remove(self, line: Directive) -> None:
        start = self.text.rfind("\n", 0, line.span.start) + 1
        end = self.text.find("\n", line.span.end) + 1
        self.done.edits.append(Edit(Span(start, end or len(self.text)), ""))

    def _add(self, line: Music | Directive, name: str, value: str) -> None:
        """Put a line in before another."""
        at = self.text.rfind("\n", 0, line.span.start) + 1
        column = max(self.column, len(name) + 1)
        self.done.edits.append(Edit(Span(at, at), f"{name:<{column}}{value} ; {ADDED}{self.end}"))

    def _begin(self, line: Music | Directive) -> None:
        """Before the first line that depends on the key: put it in if it is missing."""
        if not self.begun and self.missing != C_MAJOR:
            self._add(line, "key", str(self.missing).removesuffix(" major"))
            self._set_key(self.missing)
        self.begun = True

    def _music(self, index: int, line: Music) -> None:
        """Before a line of bars: put in the home that they need, if they would be measured from another one."""
        if not line.cells and index + 1 < len(self.draft.lines):
            after = self.draft.lines[
                index + 1
            ]  # a section mark alone: the lines that it needs stand above it
            if not isinstance(after, Music) or not after.cells:
                return
        home = move(self.old.in_force.home, self._by())
        if self.add_home and home.staff != self.new.in_force.home.staff:
            self._add(line, "home", str(home._replace(alter=0)))  # its place on the staff is what counts
            self._set_home(home)
        for cell in line.cells:
            self.done.bars[cell.start] = Stand(self.new.in_force.key, self.new.in_force.home, self._by())

    # --- keys ----------------------------------------------------------------------------------------------

    def _key(self, line: Directive) -> None:
        if line.span not in self.keys:
            return
        new, kept = self.keys[line.span]
        self.old.apply(line)
        if not self.done.bars and self._added(line) and new == C_MAJOR:
            self._remove(line)
            return
        letter = new.letter if line.text[0].isupper() else new.letter.lower()
        rest = re.sub(r"^[A-Ga-g][#b]?", "", line.text)
        self._write(line, _Value(letter + ACCIDENTAL[new.alter] + rest, kept))

    # --- the home of octaves -------------------------------------------------------------------------------

    def _home(self, index: int, line: Directive) -> None:
        if self.old.apply(line) is not None:
            return
        by = self._by_at(index)
        home = move(self.old.in_force.home, by)
        if self._added(line) and home.staff == self.new.in_force.home.staff:
            self._remove(line)
            return
        self._write(line, self._place(line, home))

    def _by_at(self, index: int) -> Interval:
        """By what the bars move that stand behind a line."""
        old, new = self.old.in_force.key, self.new.in_force.key
        for line in self.draft.lines[index:]:
            if isinstance(line, Music) and line.cells:
                break
            if line.span in self.keys and isinstance(line, Directive):
                old, new = parse_key(line.text) or old, self.keys[line.span].key
        return between_keys(old, new, self.interval)

    def _place(self, line: Directive, home: Pitch) -> _Value:
        """How a home is typed: as a place if it was one and still lies there, else as a pitch."""
        place = _PLACE.fullmatch(line.text)
        if place is not None:
            moved = self._on_string(place, self.interval.semitones, home, self.new.in_force)
            return _Value(moved) if moved else _Value(_pitch_text(home), f"from {line.text}")
        origin = _PLACE.fullmatch(self._kept(line)["value"])
        if origin is not None:
            here = self._on_string(
                origin, -self.interval.semitones, self.old.in_force.home, self.old.in_force
            )
            moved = self._on_string(origin, 0, home, self.new.in_force)
            if moved and not here:
                return _Value(moved, "")
        typed = _pitch_text(home)
        return _Value(typed if line.text[0].isupper() else typed[0].lower() + typed[1:])

    @staticmethod
    def _on_string(place: re.Match[str], semitones: int, home: Pitch, in_force: InForce) -> str:
        """The place so many frets further, if it is one and is read as `home` there; else nothing."""
        fret = int(place[2]) + semitones
        text = f"{place[1]}{fret}"
        found = parse_home(text, in_force.tuning, in_force.key) if fret >= 0 else None
        return text if found is not None and (found.staff, found.midi) == (home.staff, home.midi) else ""

    # --- the hand ------------------------------------------------------------------------------------------

    def _position(self, line: Directive) -> None:
        """A position moves along the neck; where there is none, the hand is free, and a comment keeps the fret."""
        kept = self._kept(line)
        typed = kept["value"] if kept["what"] == "at fret" and line.text == "free" else line.text
        if not re.fullmatch(r"-?\d+", typed):
            return
        fret = int(typed) + self.interval.semitones
        if 1 <= fret <= FRETS:
            self._write(line, _Value(str(fret), "" if line.text == "free" else None))
        else:
            self._write(line, _Value("free", f"at fret {fret}"))


def _pitch_text(home: Pitch) -> str:
    """A pitch as `home` takes it; its staff place is what counts, an accidental that cannot be typed is left out."""
    return str(home) if parse_pitch(str(home)) else str(home._replace(alter=0))

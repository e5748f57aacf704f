"""A small reader of TrueType files: which glyph a character has, its outline, its advance, and kerning.

It reads only the bytes it is asked for, so that the first word of a page costs a few milliseconds; a
general font library needs ten times as long to open the four or five faces of a page. Layout of the tables:
OpenType specification 1.9 (`cmap`, `glyf`, `hmtx`, `GPOS`). Numbers are font units, y upwards.
"""

from __future__ import annotations

from pathlib import Path
from struct import unpack_from

from scribe.engrave.ink.outline import Segment

_Point = tuple[float, float, bool]  # x, y, on the curve


class TrueType:
    """One font file, read lazily.

    Raises:
        ValueError: the file is no TrueType font.
    """

    def __init__(self, path: Path) -> None:
        self._data = data = path.read_bytes()
        if data[:4] != b"\0\1\0\0":
            raise ValueError(f"{path.name} is no TrueType font")
        self._tables: dict[str, int] = {}
        for place in range(_u16(data, 4)):
            entry = 12 + 16 * place
            self._tables[data[entry : entry + 4].decode("latin-1")] = _u32(data, entry + 8)
        head = self._tables["head"]
        self.units_per_em = _u16(data, head + 18)
        self._long_loca = _u16(data, head + 50) == 1
        self._metrics = _u16(data, self._tables["hhea"] + 34)
        self._cmap = self._find_cmap()
        self._pairs: list[int] | None = None

    def glyph(self, character: str) -> int:
        """The glyph number of a character; 0 when the font lacks it."""
        code = ord(character)
        data, at = self._data, self._cmap
        if _u16(data, at) == 12:
            for place in range(_u32(data, at + 12)):
                first, last, glyph = unpack_from(">III", data, at + 16 + 12 * place)
                if first <= code <= last:
                    return int(glyph + code - first)
            return 0
        doubled = _u16(data, at + 6)
        ends, starts = at + 14, at + 16 + doubled
        for place in range(0, doubled, 2):
            if _u16(data, ends + place) < code:
                continue
            start = _u16(data, starts + place)
            if start > code:
                return 0
            delta = _u16(data, starts + doubled + place)
            slot = starts + 2 * doubled + place
            offset = _u16(data, slot)
            if offset == 0:
                return (code + delta) & 0xFFFF
            glyph = _u16(data, slot + offset + 2 * (code - start))
            return (glyph + delta) & 0xFFFF if glyph else 0
        return 0

    def advance(self, glyph: int) -> int:
        """How far the pen moves on after the glyph."""
        return _u16(self._data, self._tables["hmtx"] + 4 * min(glyph, self._metrics - 1))

    def outline(self, glyph: int) -> tuple[Segment, ...]:
        """The glyph's contours, y upwards; empty for a blank."""
        out: list[Segment] = []
        for contour in self._contours(glyph):
            out += _curve(contour)
        return tuple(out)

    def kern(self, left: int, right: int) -> int:
        """What to add to the advance of `left` when `right` follows: the font's GPOS pair adjustments."""
        if self._pairs is None:
            self._pairs = self._find_pairs()
        for table in self._pairs:
            found = self._pair(table, left, right)
            if found is not None:
                return found
        return 0

    # -- cmap and glyf

    def _find_cmap(self) -> int:
        """The best Unicode subtable: full repertoire (format 12) before the basic plane (format 4)."""
        data, at = self._data, self._tables["cmap"]
        found = {}
        for place in range(_u16(data, at + 2)):
            platform, _, offset = unpack_from(">HHI", data, at + 4 + 8 * place)
            if platform in (0, 3):
                found[_u16(data, at + offset)] = at + offset
        for form in (12, 4):
            if form in found:
                return int(found[form])
        raise ValueError("the font has no Unicode character map")

    def _contours(self, glyph: int, depth: int = 0) -> list[list[_Point]]:
        data, loca = self._data, self._tables["loca"]
        if self._long_loca:
            start, end = unpack_from(">II", data, loca + 4 * glyph)
        else:
            start, end = (2 * half for half in unpack_from(">HH", data, loca + 2 * glyph))
        if start == end:
            return []
        at = self._tables["glyf"] + start
        count = _i16(data, at)
        if count >= 0:
            return self._simple(at + 10, count)
        return self._composite(at + 10, depth) if depth < 8 else []

    def _simple(self, at: int, count: int) -> list[list[_Point]]:
        data = self._data
        ends = unpack_from(f">{count}H", data, at)
        points = ends[-1] + 1 if count else 0
        at += 2 * count
        at += 2 + _u16(data, at)  # instructions for screens of old
        flags: list[int] = []
        while len(flags) < points:
            flag = data[at]
            at += 1
            flags.append(flag)
            if flag & 8:
                flags += [flag] * data[at]
                at += 1
        axes: list[list[int]] = []
        for short, same in ((2, 16), (4, 32)):
            value, values = 0, []
            for flag in flags:
                if flag & short:
                    value += data[at] if flag & same else -data[at]
                    at += 1
                elif not flag & same:
                    value += _i16(data, at)
                    at += 2
                values.append(value)
            axes.append(values)
        every = [(float(x), float(y), bool(flag & 1)) for x, y, flag in zip(*axes, flags, strict=True)]
        starts = (0, *(end + 1 for end in ends[:-1]))
        return [every[start : end + 1] for start, end in zip(starts, ends, strict=True)]

    def _composite(self, at: int, depth: int) -> list[list[_Point]]:
        data = self._data
        out: list[list[_Point]] = []
        more = True
        while more:
            flags, glyph = unpack_from(">HH", data, at)
            at += 4
            dx, dy = unpack_from(">hh" if flags & 1 else ">bb", data, at)
            at += 4 if flags & 1 else 2
            if not flags & 2:  # placed by matching points: none of our faces does that
                dx = dy = 0
            a, b, c, d = 1.0, 0.0, 0.0, 1.0
            if flags & 8:
                a = d = _f2dot14(data, at)
                at += 2
            elif flags & 0x40:
                a, d = _f2dot14(data, at), _f2dot14(data, at + 2)
                at += 4
            elif flags & 0x80:
                a, b, c, d = (_f2dot14(data, at + 2 * place) for place in range(4))
                at += 8
            for contour in self._contours(glyph, depth + 1):
                out.append([(a * x + c * y + dx, b * x + d * y + dy, on) for x, y, on in contour])
            more = bool(flags & 0x20)
        return out

    # -- GPOS pair adjustment

    def _find_pairs(self) -> list[int]:
        """Offsets of the pair subtables that the default script's `kern` feature names, in order."""
        data = self._data
        gpos = self._tables.get("GPOS")
        if gpos is None:
            return []
        features, lookups = gpos + _u16(data, gpos + 6), gpos + _u16(data, gpos + 8)
        wanted: list[int] = []
        for place in range(_u16(data, features)):
            entry = features + 2 + 6 * place
            if data[entry : entry + 4] == b"kern":
                feature = features + _u16(data, entry + 4)
                for index in unpack_from(f">{_u16(data, feature + 2)}H", data, feature + 4):
                    if index not in wanted:
                        wanted.append(index)
        out = []
        for index in wanted:
            lookup = lookups + _u16(data, lookups + 2 + 2 * index)
            kind = _u16(data, lookup)
            for place in range(_u16(data, lookup + 4)):
                table = lookup + _u16(data, lookup + 6 + 2 * place)
                real = kind
                if kind == 9:  # an extension: the same kind of table, further away
                    real, table = _u16(data, table + 2), table + _u32(data, table + 4)
                # Only tables that change the first advance and nothing else.
                if real == 2 and unpack_from(">HH", data, table + 4) == (4, 0):
                    out.append(table)
        return out

    def _pair(self, table: int, left: int, right: int) -> int | None:
        data = self._data
        place = _coverage(data, table + _u16(data, table + 2), left)
        if place is None:
            return None
        if _u16(data, table) == 1:
            pairs = table + _u16(data, table + 10 + 2 * place)
            low, high = 0, _u16(data, pairs)
            while low < high:
                middle = (low + high) // 2
                found = _u16(data, pairs + 2 + 4 * middle)
                if found == right:
                    return _i16(data, pairs + 4 + 4 * middle)
                low, high = (middle + 1, high) if found < right else (low, middle)
            return None
        first = _class(data, table + _u16(data, table + 8), left)
        second = _class(data, table + _u16(data, table + 10), right)
        return _i16(data, table + 16 + 2 * (first * _u16(data, table + 14) + second))


def _curve(contour: list[_Point]) -> list[Segment]:
    """A closed contour of quadratic curves; between two control points in a row lies a point of the curve."""
    if not contour:
        return []
    first = next((place for place, point in enumerate(contour) if point[2]), None)
    if first is None:
        (ax, ay, _), (bx, by, _) = contour[-1], contour[0]
        points = [((ax + bx) / 2, (ay + by) / 2, True), *contour]
    else:
        points = contour[first:] + contour[:first]
    start_x, start_y, _ = points[0]
    out: list[Segment] = [("M", start_x, start_y)]
    control: tuple[float, float] | None = None
    for x, y, on in [*points[1:], points[0]]:
        if control is None:
            if on:
                out.append(("L", x, y))
        elif on:
            out.append(("Q", *control, x, y))
        else:
            out.append(("Q", *control, (control[0] + x) / 2, (control[1] + y) / 2))
        control = None if on else (x, y)
    if out[-1][0] == "L":
        out.pop()  # the closing line
    out.append(("Z",))
    return out


def _coverage(data: bytes, at: int, glyph: int) -> int | None:
    form, count = unpack_from(">HH", data, at)
    low, high = 0, count
    while low < high:
        middle = (low + high) // 2
        if form == 1:
            first = last = _u16(data, at + 4 + 2 * middle)
            index: int = middle
        else:
            first, last, start = unpack_from(">HHH", data, at + 4 + 6 * middle)
            index = start + glyph - first
        if first <= glyph <= last:
            return index
        low, high = (middle + 1, high) if last < glyph else (low, middle)
    return None


def _class(data: bytes, at: int, glyph: int) -> int:
    if _u16(data, at) == 1:
        first, count = unpack_from(">HH", data, at + 2)
        return _u16(data, at + 6 + 2 * (glyph - first)) if first <= glyph < first + count else 0
    low, high = 0, _u16(data, at + 2)
    while low < high:
        middle = (low + high) // 2
        first, last, number = unpack_from(">HHH", data, at + 4 + 6 * middle)
        if first <= glyph <= last:
            return int(number)
        low, high = (middle + 1, high) if last < glyph else (low, middle)
    return 0


def _u16(data: bytes, at: int) -> int:
    return data[at] << 8 | data[at + 1]


def _i16(data: bytes, at: int) -> int:
    value = _u16(data, at)
    return value - 0x10000 if value & 0x8000 else value


def _u32(data: bytes, at: int) -> int:
    return int.from_bytes(data[at : at + 4], "big")


def _f2dot14(data: bytes, at: int) -> float:
    return _i16(data, at) / 16384

"""The instruments a line may be written for, and the way from sounding to written pitch and back."""

from __future__ import annotations

from typing import NamedTuple

from scribe.music.interval import Interval, move, move_key
from scribe.music.key import Key
from scribe.music.pitch import Pitch, parse_pitch


class Instrument(NamedTuple):
    """Name, clef and transposition of a part.

    A draft speaks in sounding pitch; the page shows it as this instrument reads it: written = sounding moved
    by `diatonic` staff places and `chromatic` semitones (both with the octaves in; 7 and 12 for the bass).
    """

    name: str
    clef: str  # "bass", "treble", "tenor", "alto"
    diatonic: int
    chromatic: int
    home: Pitch  # sounding: where each bar's first octave is measured from
    low: Pitch  # usual sounding range
    high: Pitch
    fretted: bool  # has strings and frets that a draft may name


BASS = Instrument("bass", "bass", 7, 12, Pitch("A", 0, 1), Pitch("E", 0, 1), Pitch("G", 0, 4), True)

_MIDDLE_LINE = {
    "treble": Pitch("B", 0, 4),
    "bass": Pitch("D", 0, 3),
    "tenor": Pitch("A", 0, 3),
    "alto": Pitch("C", 0, 4),
}


def _pitch(text: str) -> Pitch:
    pitch = parse_pitch(text)
    assert pitch is not None, text
    return pitch


def _other(name: str, clef: str, sounds: Interval, low: str, high: str) -> Instrument:
    """Return an instrument that sounds `sounds` away from its page; home is the staff's middle line."""
    written = -sounds
    home = move(_MIDDLE_LINE[clef], sounds)
    return Instrument(
        name, clef, written.steps, written.semitones, home, _pitch(low), _pitch(high), fretted=False
    )


_AS_WRITTEN = Interval(0, 0)
_OCTAVE_LOWER = Interval(-7, -12)
_B_FLAT = Interval(-1, -2)  # a major second lower
_B_FLAT_LOW = Interval(-8, -14)  # a major ninth lower
_E_FLAT = Interval(-5, -9)  # a major sixth lower
_E_FLAT_LOW = Interval(-12, -21)  # a major thirteenth lower
_IN_F = Interval(-4, -7)  # a perfect fifth lower

# Transpositions: handbook tables of transposing instruments, checked in the tests. Sounding ranges are the
# usual ones of a good player (from memory); they only serve remarks.
INSTRUMENTS: tuple[Instrument, ...] = (
    BASS,
    Instrument("double bass", "bass", 7, 12, Pitch("A", 0, 1), Pitch("E", 0, 1), Pitch("G", 0, 4), True),
    _other("synth bass", "bass", _OCTAVE_LOWER, "C1", "C4"),
    _other("soprano sax", "treble", _B_FLAT, "Ab3", "E6"),
    _other("alto sax", "treble", _E_FLAT, "Db3", "A5"),
    _other("tenor sax", "treble", _B_FLAT_LOW, "Ab2", "E5"),
    _other("baritone sax", "treble", _E_FLAT_LOW, "C2", "A4"),
    _other("trumpet", "treble", _B_FLAT, "E3", "Bb5"),
    _other("flugelhorn", "treble", _B_FLAT, "E3", "Bb5"),
    _other("clarinet", "treble", _B_FLAT, "D3", "Bb6"),
    _other("bass clarinet", "treble", _B_FLAT_LOW, "Db2", "F5"),
    _other("horn", "treble", _IN_F, "B1", "F5"),
    _other("trombone", "bass", _AS_WRITTEN, "E2", "Bb4"),
    _other("bass trombone", "bass", _AS_WRITTEN, "Bb1", "Bb4"),
    _other("tuba", "bass", _AS_WRITTEN, "D1", "F4"),
    _other("flute", "treble", _AS_WRITTEN, "C4", "C7"),
    _other("oboe", "treble", _AS_WRITTEN, "Bb3", "G6"),
    _other("bassoon", "bass", _AS_WRITTEN, "Bb1", "Eb5"),
    _other("violin", "treble", _AS_WRITTEN, "G3", "A7"),
    _other("viola", "alto", _AS_WRITTEN, "C3", "E6"),
    _other("cello", "bass", _AS_WRITTEN, "C2", "A5"),
    _other("guitar", "treble", _OCTAVE_LOWER, "E2", "E6"),
    _other("piano", "treble", _AS_WRITTEN, "A0", "C8"),
    _other("piano left hand", "bass", _AS_WRITTEN, "A0", "C5"),
    _other("electric piano", "treble", _AS_WRITTEN, "E1", "E7"),
    _other("organ", "treble", _AS_WRITTEN, "C2", "C7"),
    _other("organ pedals", "bass", _AS_WRITTEN, "C2", "G4"),
    _other("synthesizer", "treble", _AS_WRITTEN, "C2", "C7"),
    _other("vibraphone", "treble", _AS_WRITTEN, "F3", "F6"),
    _other("voice", "treble", _AS_WRITTEN, "F3", "C6"),
    _other("male voice", "treble", _OCTAVE_LOWER, "C2", "C5"),
    _other("bass voice", "bass", _AS_WRITTEN, "C2", "F4"),
)

# Other names in use, blanks and hyphens left out.
_ALIASES = {
    "bass": ("bassguitar", "electricbass", "ebass", "elbass", "fretlessbass", "fretless"),
    "double bass": ("contrabass", "uprightbass", "upright", "stringbass", "acousticbass", "standupbass"),
    "synth bass": ("synthesizerbass", "keyboardbass", "keybass"),
    "soprano sax": ("soprano", "sopranosaxophone"),
    "alto sax": ("alto", "altosaxophone"),
    "tenor sax": ("tenor", "tenorsaxophone", "sax", "saxophone"),
    "baritone sax": ("baritone", "bari", "barisax", "baritonesaxophone"),
    "trumpet": ("bbtrumpet", "cornet"),
    "flugelhorn": ("flugel", "fluegelhorn", "flügelhorn"),
    "clarinet": ("bbclarinet",),
    "horn": ("frenchhorn", "horninf"),
    "trombone": ("tenortrombone", "bone"),
    "tuba": ("sousaphone",),
    "violin": ("fiddle",),
    "cello": ("violoncello",),
    "guitar": ("electricguitar", "acousticguitar"),
    "piano": ("keys", "keyboard", "keyboards"),
    "piano left hand": ("lefthand",),
    "electric piano": ("epiano",),
    "organ": ("electricorgan",),
    "organ pedals": ("organpedal", "pedals"),
    "synthesizer": ("synth",),
    "vibraphone": ("vibes",),
    "voice": ("vocal", "vocals", "femalevoice"),
    "male voice": ("tenorvoice", "baritonevoice"),
    "bass voice": ("bassvocal", "bassvocals", "bassinger"),
}


def _plain(name: str) -> str:
    return "".join(name.casefold().replace("-", " ").replace(".", " ").split())


_BY_NAME = {_plain(instrument.name): instrument for instrument in INSTRUMENTS}
_BY_NAME |= {alias: _BY_NAME[_plain(name)] for name, aliases in _ALIASES.items() for alias in aliases}


def find_instrument(name: str) -> Instrument | None:
    """Return the instrument of that name, whatever its case, blanks and hyphens (`Alto Sax`), or None."""
    return _BY_NAME.get(_plain(name))


def written_interval(instrument: Instrument, key: Key | None = None) -> Interval:
    """Return the interval from sounding to written pitch.

    With the sounding key given, the one that leads into `written_key`: where that key is the enharmonic one,
    the notes go along (B major on the alto saxophone is read as A flat, not as G sharp major).
    """
    interval = Interval(instrument.diatonic, instrument.chromatic)
    if key is None:
        return interval
    turns = (key.tonic_fifths + interval.fifths - written_key(key, instrument).tonic_fifths) // 12
    return Interval(interval.steps + turns, interval.semitones)


def to_written(pitch: Pitch, instrument: Instrument, key: Key | None = None) -> Pitch:
    """Return what the instrument reads for a sounding pitch; `key` (sounding) as for `written_interval`."""
    return move(pitch, written_interval(instrument, key))


def to_sounding(pitch: Pitch, instrument: Instrument, key: Key | None = None) -> Pitch:
    """Return what sounds when the instrument reads a pitch; `key` (sounding) as for `written_interval`."""
    return move(pitch, -written_interval(instrument, key))


def written_key(key: Key, instrument: Instrument) -> Key:
    """Return the key in which the instrument reads a sounding key; the enharmonic one beyond seven signs."""
    return move_key(key, Interval(instrument.diatonic, instrument.chromatic))

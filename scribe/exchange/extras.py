"""What music21 does not read in a format, read beside it, for the reader of its scores."""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass, field
from fractions import Fraction

from scribe.exchange.model import Sign, Symbol
from scribe.music.inforce import Feel, Tempo
from scribe.music.tuning import Tuning
from scribe.source.tree import Connector, Mark


@dataclass(frozen=True)
class Extras:
    """Everything by index of the measure, unless it says otherwise.

    `signs`, `words`, `symbols`: by number of the part (from 1; 0: any) and measure. `words`: words above the staff
    that may turn out to be a feel or a direction. `tempo_words`: words printed beside a tempo mark. `endings`:
    passes, and whether the bracket starts there. `tunings`, `labels` (names): by number of the part, from 1.
    `marks`: by the id of a note; `heads`: `dead`, `unheard`, `ghost`, `doubtful`, `string 3`, `fret 5`, likewise.
    `slides`, `slurs`: pairs of ids. `leads`: by the id of the note that they lead to. `lost`: by number of the part
    (0: any) and measure, what nobody reads. `repeats`: likewise, the sign that is printed: (1, 0) one bar, (2, 1)
    and (2, 2) two bars. `copies`: the source has only the sign there, so that whatever the repeated bar says is
    said again. `rests`: likewise by part and measure, how many bars of rest are printed as one. `late`: by the
    number of a hairpin, how long after the start of its first note it begins. `systems`: which measures begin one.
    `credits`: who and what is named on the page besides title, composer and player, in words.
    """

    feels: Mapping[int, Feel] = field(default_factory=dict)
    tempo_words: Mapping[int, str] = field(default_factory=dict)
    tempos: Mapping[int, Tempo] = field(default_factory=dict)
    sections: Mapping[int, str] = field(default_factory=dict)
    signs: Mapping[tuple[int, int], Sequence[Sign]] = field(default_factory=dict)
    words: Mapping[tuple[int, int], Sequence[tuple[Fraction, str]]] = field(default_factory=dict)
    symbols: Mapping[tuple[int, int], Sequence[Symbol]] = field(default_factory=dict)
    endings: Mapping[int, tuple[tuple[int, ...], bool]] = field(default_factory=dict)
    tunings: Mapping[int, Tuning] = field(default_factory=dict)
    labels: Mapping[int, str] = field(default_factory=dict)
    marks: Mapping[str, Sequence[Mark]] = field(default_factory=dict)
    heads: Mapping[str, Set[str]] = field(default_factory=dict)
    slides: Sequence[tuple[str, str]] = ()
    slurs: Sequence[tuple[str, str]] = ()
    leads: Mapping[str, Connector] = field(default_factory=dict)
    lost: Mapping[tuple[int, int], Sequence[str]] = field(default_factory=dict)
    repeats: Mapping[tuple[int, int], tuple[int, int]] = field(default_factory=dict)
    rests: Mapping[tuple[int, int], int] = field(default_factory=dict)
    late: Mapping[str, Fraction] = field(default_factory=dict)
    copies: bool = False
    systems: Set[int] = frozenset()
    modes: bool = True  # whether the source's keys have modes
    credits: Sequence[str] = ()
    title: str = ""
    composer: str = ""
    player: str = ""


NOTHING = Extras()

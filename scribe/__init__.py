"""scribe: a terse shorthand for bass lines, compiled to music21 and engraved beside the text.

>>> from scribe import compile, engrave
>>> compiled = compile("key G minor\\n| g b d g |")
>>> [str(note.pitch) for note in compiled.notes]
['G1', 'Bb1', 'D2', 'G2']
"""

from scribe.pipeline import Compiled, compile, engrave

__all__ = ["Compiled", "compile", "engrave"]
__version__ = "0.1.0"

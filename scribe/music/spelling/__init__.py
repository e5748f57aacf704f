"""Spelling: the name a reader expects for every pitch, in its key, over its chord, among its neighbours.

`speller.spell` names the pitches of a phrase, `explain.explain` says how it came to its names, `check.check_names`
doubts typed ones and `check.check_key` a typed key. All are pure functions of the notes given.
"""

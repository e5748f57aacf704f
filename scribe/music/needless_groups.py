"""Groups that change nothing: their number was meant to count their notes, as the figure over a tuplet does."""

from __future__ import annotations

from collections.abc import Sequence

from scribe.diagnostics import Diagnostic, Hint
from scribe.source.tree import Beat, Group, Word


def counted_groups(words: Sequence[Word]) -> list[Group]:
    """Return the groups that change nothing: as many beat words as they last, of one slot each."""
    return [
        word
        for word in words
        if isinstance(word, Group)
        and word.beats == len(word.words) > 1
        and all(isinstance(each, Beat) and len(each.slots) == 1 for each in word.words)
    ]


def group_meant(text: str, group: Group) -> Hint:
    """Return the mend of a group whose number was meant to count its notes, as over a tuplet: `3{g b d}` is `gbd`."""
    word = "".join(text[each.span.start : each.span.end] for each in group.words)
    order = f"a number before `{{` says how many words a group lasts; notes that share one word are `{word}`"
    return Hint(order, word, group.span)


def needless_groups(text: str, words: Sequence[Word]) -> list[Diagnostic]:
    """Hint at the first group of a bar that changes nothing."""
    return [
        Diagnostic(
            "group-changes-nothing",
            "hint",
            group.span,
            f"`{group.beats}{{…}}` lasts {group.beats} words and holds {group.beats}: the braces change nothing",
            (group_meant(text, group),),
        )
        for group in counted_groups(words)[:1]
    ]

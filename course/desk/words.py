"""What commands say, as it is said at the desk: with pages in place of options and commands."""

from __future__ import annotations

import re

_SAID: list[tuple[str, str]] = [
    (r" \(glossbook \w+\)", ""),
    (r" \(--[\w-]+\)", ""),
    (r",? or run: glossbook [^;]*$", ""),
    (r"Check the name, or make one: glossbook describe", "Begin on the page Today"),
    (r"Check the name; a mark book", "A mark book"),
    (r"Key its answers in: glossbook mark --on-paper \S+", "Key its answers in, on the pile"),
    (r"Reopen it first: glossbook settle \d+ --reopen", "Take that decision back first"),
    (r", with glossbook settle --hand-in NUMBER --decision \"set aside\"", ", below this matter"),
    (r": glossbook settle\b", ", under Matters"),
    (r": glossbook questions\b", " among the questions of the paper"),
    (r"To issue: glossbook issue .*", "To issue, draft another sitting of the paper."),
    (r"Decide it with --decision accept, or --marks", "Accept it, or give marks"),
    (r"Name the part: --part", "Name the part:"),
    (r"Give a later day, or --opens-on too", "Give a later day, or another opening day too"),
    (r"--hand-in-by\b", "the last day"),
    (r"--opens-on\b", "the opening day"),
    (r"--class\b", "the class list"),
    (r"--(checked-)?by\b", "your name"),
    (r"--reason\b", "your own note"),
    (r"--(part|marks|reads)\b", r"the \1"),
    (r"--(\w+)\b", r"\1"),
]
_RULES = [(re.compile(what), by) for what, by in _SAID]


def at_the_desk(text: str) -> str:
    """Return a line of a command in the words of the desk.

    >>> at_the_desk("--hand-in-by: is not given. Give the day of this sitting.")
    'The last day: is not given. Give the day of this sitting.'
    >>> at_the_desk("Record of the mark book: 3f2a (glossbook verify)")
    'Record of the mark book: 3f2a'
    """
    for what, by in _RULES:
        text = what.sub(by, text)
    return text[:1].upper() + text[1:] if text[:4] == "the " or text[:5] == "your " else text

"""One value in two forms inside one sentence: "ten past seven" to say, "19:10" to show.

Whoever knows the value writes both forms with `both`; whoever holds the finished sentence takes
the one it needs. So no form is ever guessed back from text.
"""

import re

_BOTH = re.compile("⟦([^¦⟧]*)¦([^⟧]*)⟧")


def both(spoken: str, shown: str) -> str:
    """The two forms of one value, to stand in a sentence."""
    return f"⟦{spoken}¦{shown}⟧"


def to_say(sentence: str) -> str:
    """The sentence with the spoken form of every value."""
    return _BOTH.sub(r"\1", sentence)


def to_show(sentence: str) -> str:
    """The sentence with the shown form of every value."""
    return _BOTH.sub(r"\2", sentence)

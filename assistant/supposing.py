"""Which change a "what if" supposes: told from the clause after the "if", as far as words tell."""

import re
from collections.abc import Iterator

from assistant.meaning import Understood
from assistant.wording import plain

WHAT_IF = "what_if"
# The intents whose change can be supposed.
CHANGING = frozenset(
    """report_longer report_begun skip_step drop_dish add_dish move_service serve_later cook_joined
    cook_left equipment_lost""".split()  # noqa: SIM905
)
_LEAD = re.compile(
    r"^.*?\b(?:if|suppos(?:e|ing)(?: that)?)\b\s*|\bwhen do we eat\b|\bwhat changes\b"
)
_WHEN = re.compile(r"\bx(?:clock|duration)\b|\b(?:later|earlier|sooner|after|before|first|last)\b")
_LEFT = re.compile(
    r"\b(?:alone|on my own|by myself|(?:no|without|lose|lost) (?:my |any )?help(?:er)?s?)\b"
    r"|\b(?:helper|sister|brother|daughter|son|friend|husband|wife|he|she)\b.*"
    r"\b(?:leaves?|left|goes|went|gone)\b(?!.*\bout\b)"
)
_JOINED = re.compile(r"\b(?:help(?:s|ed|ing)?|join(?:s|ed)?|hands|(?:second|another|extra) cook)\b")
_PLACE = re.compile(r"\b(?:oven|ring|burner|hob|hotplate)s?\b")
_LOST = re.compile(
    r"\b(?:breaks?|broken?|los[et]|lost|without|fails?|failed|goes|went|dies|died|gone"
    r"|stop(?:s|ped)?|not work\w*|(?:doesn|didn|isn|wasn)'?t work\w*|only (?:have|had) one)\b"
)
_SERVES = re.compile(r"\b(?:serve[ds]?|bring|brought)\b")
_COMES = re.compile(r"\b(?:eat|ate|have|had|comes?|came)\b")
_OUT = re.compile(
    r"\b(?:skip\w*|drop\w*|without|cancel\w*|forget|forgot|cut|(?:leave|left)\b.*\bout"
    r"|(?:do|did|wo|would)(?:n'?t| not)|not (?:make|do)\w*)\b"
)
_ADDED = re.compile(r"\b(?:add(?:ed)?|as well|too|also)\b")
_BEGUN = re.compile(r"\b(?:start(?:ed)?|beg[iau]n)\b")
_MEAL = re.compile(r"\b(?:eat|ate|dinner|supper|lunch|service|guests?|they|everyone|push|move)\b")
_LONGER = re.compile(r"\bxduration\b|\b(?:longer|slow\w*|late|behind|more time)\b")


def clause_of(wording: str) -> str:
    """What is supposed: a masked wording without its "what if" and what is asked of it."""
    return _LEAD.sub("", wording).strip(" ,?")


def change_told(clause: str, heard: Understood) -> str | None:
    """The intent of the change that the words of a clause tell; None where they do not."""
    kinds = {ref.kind for ref in heard.refs}
    # "Leaves" are a food as well, and masked as one.
    if _LEFT.search(plain(heard.text)):
        return "cook_left"
    return next(_changes(clause, "dish" in kinds, bool(kinds & {"dish", "step"})), None)


def _changes(clause: str, dish: bool, named: bool) -> Iterator[str]:
    """Every change that fits, what is plainest first."""
    if _JOINED.search(clause):
        yield "cook_joined"
    if _PLACE.search(clause) and _LOST.search(clause):
        yield "equipment_lost"
    if _ADDED.search(clause):
        yield "add_dish"
    served = (named and _SERVES.search(clause)) or (dish and _COMES.search(clause))
    if served and _WHEN.search(clause):
        yield "serve_later"
    if _OUT.search(clause):
        yield "drop_dish" if dish else "skip_step"
    if _BEGUN.search(clause):
        yield "report_begun"
    if _MEAL.search(clause) and _WHEN.search(clause):
        yield "move_service"
    if _LONGER.search(clause):
        yield "report_longer"

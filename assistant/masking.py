"""What the intent model sees of an utterance: amounts and things become placeholders.

The same masking makes the training copy and the text to classify, so that "400 g of flour" and
"four hundred grams of rice" are one wording, whatever the amount grammar does with an odd case.
"""

import re
from collections.abc import Iterable

from assistant.amounts import BARE_UNIT_MASK, MASKS, find_amounts
from assistant.meaning import AmountHeard
from assistant.phrasebook import MASKS as MASK_OF_ENTITY
from assistant.phrasebook import mask_spans
from assistant.wording import plain

THING_ENTITY = "thing"
THING = MASK_OF_ENTITY[THING_ENTITY]
# "the rice", "my rice" and "rice" are one wording.
_DETERMINED = re.compile(rf"\b(?:(?:the|my|our|your|some|these|those)\s+)+(?={THING}\b)")
_SEVERAL = re.compile(rf"\b{THING}(?:\s+(?:and\s+)?{THING})+\b")


class Masker:
    """Masks amounts, the things named in the utterance, and the generic names of foods."""

    def __init__(self, foods: Iterable[str]) -> None:
        longest_first = sorted({plain(food) for food in foods}, key=len, reverse=True)
        words = "|".join(re.escape(food) for food in longest_first)
        self._foods = re.compile(rf"\b(?:{words})\b" if words else r"(?!)")

    def masked(
        self,
        text: str,
        amounts: tuple[AmountHeard, ...] | None = None,
        things: Iterable[tuple[int, int]] = (),
        *,
        foods: bool = True,
    ) -> str:
        """The plain wording of `text` with placeholders.

        amounts: as found already, else looked for here. things: character spans of what is named;
        those that touch an amount are left. foods: whether generic names of foods are masked.
        """
        amounts = find_amounts(text) if amounts is None else amounts
        spans = [(a.start, a.end, _mask_of(a)) for a in amounts]
        spans += [
            (start, end, THING)
            for start, end in things
            if all(end <= a.start or a.end <= start for a in amounts)
        ]
        text = plain(mask_spans(text, spans))
        if foods:
            text = self._foods.sub(THING, text)
        return _SEVERAL.sub(THING, _DETERMINED.sub("", text))


def _mask_of(amount: AmountHeard) -> str:
    return BARE_UNIT_MASK if amount.value is None else MASKS[amount.kind]

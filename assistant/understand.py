"""Words to intent, amounts and references: emergencies, stop, amounts, things, then the intent.

A wording of the phrase book is known at once; any other goes to the intent server. Below the
floor of confidence nothing is done: the best guesses are given for asking back.
"""

import re
from dataclasses import replace
from datetime import datetime
from typing import Protocol

from assistant.amounts import find_amounts
from assistant.emergencies import heeded, is_over, only_sounds_like, told
from assistant.known import known
from assistant.masking import THING_ENTITY, Masker
from assistant.meaning import AmountHeard as AmountHeard
from assistant.meaning import AmountKind as AmountKind
from assistant.meaning import Ref as Ref
from assistant.meaning import RefKind as RefKind
from assistant.meaning import Understood as Understood
from assistant.phrasebook import OUT_OF_SCOPE, PhraseBook
from assistant.resolve import NOTHING, Vocabulary, find_refs
from assistant.safety_words import safety_asked
from assistant.supposing import CHANGING, WHAT_IF, change_told, clause_of
from domain.kitchen import UnitSystem

# Chosen on tests/assistant/unseen (see domain/intents/config.yml for the figures).
FLOOR = 0.35
# An emergency that no pattern tells of is acted upon only when the model is this sure.
EMERGENCY_FLOOR = 0.6
# A question of food safety that its words tell gives way only to what is surer than this.
SURE_FLOOR = 0.6
# What answers questions of food safety rightly, whichever of them it is taken for.
KNOWLEDGE = frozenset(
    {
        *("safe_to_eat", "hygiene", "leftovers", "keeps", "reheat", "cool_down", "cook_time"),
        *("safe_temperature", "who_cannot", "allergens", "report_spoilt"),
    }
)
# A supposed change is acted upon by nobody, so it may be guessed less surely (our own choice).
CHANGE_FLOOR = 0.15
# How like a wording of the phrase book must be to need no server, and to be taken for misheard
# when the server can make nothing of it (from 0.90 and 0.85 up nearly all were right in trials).
NEAR_ENOUGH, NEAR_AT_A_PINCH = 0.9, 0.85
LONGEST = 400  # characters; nobody says more in one breath
GUESSES = 3
# Which kind of thing a question is about when a name fits several kinds.
_ABOUT_INGREDIENTS = frozenset({"how_much", "swap", "convert", "scale_amount", "shopping"})
_KINDS: tuple[RefKind, ...] = ("timer", "dish", "ingredient", "step", "equipment")
_KINDS_OF_INGREDIENTS: tuple[RefKind, ...] = ("ingredient", "dish", "step", "equipment", "timer")


# "The eggs timer" is a thing's timer, and a timer is what it is called.
_A_TIMER = re.compile(r"\btimers?\b.*$", re.I)
# What is asked of a thing, and means its timer where that alone is named.
_OF_TIMERS = {
    "time_left": "timer_left",
    "when_ready": "timer_left",
    "report_longer": "timer_change",
    "drop_dish": "timer_cancel",
    "skip_step": "timer_cancel",
}


class Parser(Protocol):
    """What tells the likely intents of a masked wording, best first; None while it is away."""

    def parse(self, wording: str) -> tuple[tuple[str, float], ...] | None: ...


class Understander:
    """Understands one utterance at a time; keeps nothing between them."""

    def __init__(self, book: PhraseBook, server: Parser) -> None:
        self._server = server
        self._known = known(book)
        self._masker = Masker(book.lookups.get(THING_ENTITY, ()))

    def understand(
        self,
        text: str,
        vocabulary: Vocabulary = NOTHING,
        measures: UnitSystem = "metric",
        now: datetime | None = None,
    ) -> Understood:
        """What `text` means.

        vocabulary: the names of the live menu. measures: how bare degrees and spoons are read.
        now: local time, from which a time of day without am or pm is the next one.
        """
        text = text[:LONGEST]
        if is_over(text):
            return Understood(text, "carry_on", 1.0, by="exact")
        emergency = told(text)
        if emergency is not None:
            return Understood(text, emergency.intent, 1.0, by="emergency")
        if self._known.intent_of(text) == "stop":
            return Understood(text, "stop", 1.0, by="exact")
        amounts = find_amounts(text, measures, now)
        refs = tuple(
            ref
            for ref in find_refs(text, vocabulary, self._known.ordinary)
            if all(ref.end <= a.start or a.end <= ref.start for a in amounts)
        )
        heard = Understood(text, None, 0.0, amounts, refs)
        return self._with_change(self._with_refs_chosen(self._with_intent(heard)))

    def silences(self, text: str, overheard: float | None = None) -> bool:
        """Whether speech falls silent at once for `text`: stop, or an emergency.

        overheard: how surely the words were heard, where nobody said them to us for certain.
        """
        heard = text[:LONGEST]
        if self._known.intent_of(heard) == "stop":
            return True
        if told(heard) is None or is_over(heard):
            return False
        return overheard is None or heeded(heard, overheard) == "at once"

    def needs_server(self, text: str, vocabulary: Vocabulary = NOTHING) -> bool:
        """Whether `text` can be understood only with the intent server."""
        if told(text[:LONGEST]) is not None or is_over(text[:LONGEST]):
            return False
        refs = find_refs(text[:LONGEST], vocabulary, self._known.ordinary)
        heard = Understood(text[:LONGEST], None, 0.0, find_amounts(text[:LONGEST]), refs)
        return self._by_the_book(heard, self._masked(heard), NEAR_ENOUGH) is None

    def _with_intent(self, heard: Understood) -> Understood:
        wording = self._masked(heard)
        by_the_book = self._by_the_book(heard, wording, NEAR_ENOUGH)
        if by_the_book is not None or not wording:
            return by_the_book or heard
        guesses = _likely(self._server.parse(wording), heard.text)
        intent, confidence = guesses[0] if guesses else (OUT_OF_SCOPE, 0.0)
        emergency = intent.startswith("emergency_")
        if intent == OUT_OF_SCOPE or confidence < (EMERGENCY_FLOOR if emergency else FLOOR):
            misheard = self._by_the_book(heard, wording, NEAR_AT_A_PINCH)
            if misheard is not None:
                return misheard
            intent = ""
        if confidence < SURE_FLOOR or not intent:
            danger = safety_asked(heard)
            if danger and (not intent or intent not in KNOWLEDGE):
                return replace(heard, intent=danger, confidence=1.0, by="exact")
        return replace(
            heard,
            intent=intent or None,
            confidence=confidence,
            guesses=tuple(guess for guess in guesses or () if guess[0] != OUT_OF_SCOPE)[:GUESSES],
            by="none" if not guesses else "emergency" if emergency and intent else "server",
        )

    def _with_change(self, heard: Understood) -> Understood:
        """What a "what if" supposes: the clause alone, understood among the changes alone."""
        if heard.intent != WHAT_IF:
            return heard
        clause = clause_of(self._masked(heard))
        change = self._known.intent_of(clause)
        if change not in CHANGING:
            change = change_told(clause, heard)
        if change is None and clause:
            guesses = self._server.parse(clause) or ()
            likely = [name for name, p in guesses if name in CHANGING and p >= CHANGE_FLOOR]
            change = next(iter(likely), None)
        return replace(heard, supposed=change)

    def _by_the_book(
        self, heard: Understood, wording: str, near_enough: float
    ) -> Understood | None:
        """What the phrase book knows of this wording, or of one near enough to it."""
        intent = self._known.intent_of(wording)
        if intent is not None:
            return replace(heard, intent=intent, confidence=1.0, by="exact")
        near = self._known.near(wording)
        if near is None or near[0] == OUT_OF_SCOPE or near[1] < near_enough:
            return None
        return replace(heard, intent=near[0], confidence=near[1], by="exact")

    def _masked(self, heard: Understood) -> str:
        """Dishes, ingredients and timers are masked; the verbs of a step's name say too much."""
        things = {
            (ref.start, ref.start + len(name) if ref.kind == "timer" else ref.end)
            for ref in heard.refs
            if ref.kind in ("dish", "ingredient", "timer")
            and (name := _A_TIMER.sub("", ref.text).strip())
        }
        return self._masker.masked(heard.text, heard.amounts, things)

    def _with_refs_chosen(self, heard: Understood) -> Understood:
        """Of the things that the same words name, those that the intent can be about."""
        about_food = heard.intent in _ABOUT_INGREDIENTS

        def rank(ref: Ref) -> tuple[int, int, float]:
            """A step that the words tell in full comes before the dish named within them."""
            length = ref.start - ref.end
            if about_food:
                return _KINDS_OF_INGREDIENTS.index(ref.kind), length, -ref.score
            return length, _KINDS.index(ref.kind), -ref.score

        chosen: list[Ref] = []
        for ref in sorted(heard.refs, key=rank):
            rivals = [r for r in chosen if ref.start < r.end and r.start < ref.end]
            if all(rank(ref) == rank(rival) for rival in rivals):
                chosen.append(ref)
        intent = heard.intent
        if intent and chosen and all(ref.kind == "timer" for ref in chosen):
            intent = _OF_TIMERS.get(intent, intent)
        refs = tuple(sorted(chosen, key=lambda ref: ref.start))
        return replace(heard, intent=intent, refs=refs)


def _likely(
    guesses: tuple[tuple[str, float], ...] | None, text: str
) -> tuple[tuple[str, float], ...] | None:
    """The guesses without emergencies that the text only sounds like; the others are as much
    likelier as those were likely."""
    if not guesses:
        return guesses
    kept = [guess for guess in guesses if not only_sounds_like(guess[0], text)]
    whole = sum(p for _, p in kept) / sum(p for _, p in guesses)
    return tuple((name, p / whole) for name, p in kept) if whole > 0 else ()

"""What a rehearsed cook says: a line for an intent, half of them worded as in no phrase book."""

import random
from dataclasses import dataclass
from pathlib import Path

import yaml

from assistant.meaning import Understood
from assistant.phrasebook import Example, PhraseBook, mask_spans
from domain.menu import Step
from scheduling.queries import left_to_do
from scheduling.view import View

WORDINGS = Path(__file__).parents[1] / "domain" / "rehearsal.yaml"
_MINUTES = {"two minutes": 2.0, "three minutes": 3.0, "five minutes": 5.0}
_MASSES = {
    "four hundred grams": 400.0,
    "two hundred and fifty grams": 250.0,
    "a hundred grams": 100.0,
    "seven hundred grams": 700.0,
    "one and a half kilos": 1.5,
}
_UNITS = {"ounces": "ounce", "pounds": "pound"}
# What a cook asks about, the frequent more often; our own guess.
_QUESTIONS = ("plain", "plain", "plain", "thing", "thing", "ingredient", "ingredient", "convert")
# Questions that need nothing named; those that name a thing are drawn as often.
_PLAIN = ("what_next", "what_now", "when_eat", "pace", "whats_on_heat")
# Either tells the plan the same of a step that ends by being seen.
_SAME = {
    "report_gate": {"report_gate", "report_done"},
    "report_done": {"report_gate", "report_done"},
}


@dataclass(frozen=True)
class Line:
    """A line to say. slots: entity to words; names: what its thing may be resolved to.

    from_book: worded as in the phrase book; typed: words sure to be understood, for when the
    ear fails three times.
    """

    intent: str
    text: str
    from_book: bool
    slots: tuple[tuple[str, str], ...] = ()
    names: frozenset[str] = frozenset()
    values: tuple[float, ...] = ()
    typed: str = ""

    def meant_by(self, understood: Understood | None) -> bool:
        """Whether this is what was understood: the intent, the thing and the amounts."""
        if understood is None:
            return False
        wanted = _SAME.get(self.intent, {self.intent})
        named = {ref.name for ref in understood.refs}
        values = {amount.value for amount in understood.amounts}
        return (
            understood.intent in wanted
            and (not self.names or bool(self.names & named))
            and set(self.values) <= values
        )


class Lines:
    """Draws lines, by turns from the phrase book and from the other wordings."""

    def __init__(self, book: PhraseBook, seed: int, wordings: Path = WORDINGS) -> None:
        self._book = book
        self._other: dict[str, list[str]] = yaml.safe_load(wordings.read_text(encoding="utf-8"))
        self._random = random.Random(seed)
        self._from_book = False

    def report(self, step: Step, view: View) -> Line:
        """That a step is over, in the words of its gate if it has one."""
        if step.gate and step.gate.moment == "end":
            says = step.gate.says or (step.gate.shown,)
            slots = {"gate": self._random.choice(says)}
            return self._line("report_gate", slots, self._names(step), typed=slots["gate"])
        return self._line("report_done", {}, frozenset(), typed="done")

    def question(self, view: View) -> Line | None:
        """Something a cook might ask now."""
        kind = self._random.choice(_QUESTIONS)
        if kind == "convert":
            mass, unit = self._pick(_MASSES), self._pick(_UNITS)
            slots = {"mass": mass, "unit": unit}
            typed = f"convert {mass} to {unit}"
            return self._line("convert", slots, frozenset(), (_MASSES[mass],), typed)
        if kind == "thing" and (left := left_to_do(view)):
            step = self._random.choice(left)
            dish = next((d for d in view.menu.dishes if d.name == step.dish), None)
            called = [name for name in (dish.also if dish else ()) if name.startswith("the ")]
            if dish and called:
                intent = self._random.choice(("time_left", "when_ready"))
                slots = {"thing": self._random.choice(called)}
                return self._line(
                    intent, slots, self._names(step), typed=f"how long left on {slots['thing']}"
                )
        if kind == "ingredient" and (left := [s for s in left_to_do(view) if s.ingredients]):
            name = self._random.choice(self._random.choice(left).ingredients)
            typed = f"how much {name}"
            return self._line("how_much", {"ingredient": name}, frozenset({name}), (), typed)
        return self._line(self._random.choice(_PLAIN), {}, frozenset(), typed="what's next")

    def reworded(self, line: Line) -> Line:
        """The same said in other words."""
        return self._line(line.intent, dict(line.slots), line.names, line.values, line.typed)

    def _line(
        self,
        intent: str,
        slots: dict[str, str],
        names: frozenset[str],
        values: tuple[float, ...] = (),
        typed: str = "",
    ) -> Line:
        self._from_book = not self._from_book
        text = self._booked(intent, slots) if self._from_book else None
        from_book = text is not None
        if text is None:
            text = self._random.choice(self._other[intent]).format(**slots)
        return Line(intent, text, from_book, tuple(slots.items()), names, values, typed)

    def _booked(self, intent: str, slots: dict[str, str]) -> str | None:
        """An example of the phrase book with just these slots, filled; None when it has none."""
        if "gate" in slots:
            return slots["gate"]
        filled = {"thing" if name == "ingredient" else name: said for name, said in slots.items()}
        fitting = [
            example
            for example in self._book.intents[intent].examples
            if sorted(span.entity for span in example.spans) == sorted(filled)
            and not any(character.isdigit() for character in example.text)
        ]
        return _filled(self._random.choice(fitting), filled) if fitting else None

    def _pick(self, options: dict[str, float] | dict[str, str]) -> str:
        return self._random.choice(list(options))

    @staticmethod
    def _names(step: Step) -> frozenset[str]:
        """What a resolver may take a step's names for: its dish, or any step of the dish."""
        return frozenset({step.dish, step.key, *step.ingredients})


def _filled(example: Example, slots: dict[str, str]) -> str:
    """The example with its entities replaced, keeping a "the" that stands in the annotation."""
    spans = [(span.start, span.end, slots[span.entity]) for span in example.spans]
    return mask_spans(example.text, spans).replace("the the ", "the ")

"""The steps of a dish, guessed from a recipe's instructions: their order, and what is ahead."""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from assistant.recipe_clauses import Clause, Remark, clauses_of, oven_in, overnight, sets_oven
from assistant.recipe_page import Direction
from assistant.recipe_stove import Guessed, Stove, step_of
from domain.names import Index, canonical
from domain.recipe_words import recipe_words

LONG_WAIT_S = 4 * 3600  # off the heat; longer waits are for the day before
_ON_HEAT_GAP = "within 3 min"
_ALONGSIDE = "any time after its start"
_OVER = re.compile(r"\bover\b", re.IGNORECASE)


@dataclass(frozen=True)
class Steps:
    """The steps of a recipe; ahead: what is done the day before, in its words, and why.

    ahead_foods: the ingredients that only that needs. unplaced: what is said before any step.
    """

    steps: tuple[Guessed, ...]
    ahead: tuple[str, ...] = ()
    ahead_why: str = ""
    ahead_foods: frozenset[str] = frozenset()
    unplaced: tuple[str, ...] = ()


def steps_of(directions: Sequence[Direction], ingredients: Iterable[str]) -> Steps:
    """The steps of the instructions, one after the other but where they say "meanwhile"."""
    reader = _Reader(_Named(ingredients))
    for direction in directions:
        reader.paragraph(direction)
    reader.end()
    return _without_ahead(reader)


class _Reader:
    """Reads paragraph by paragraph; `steps` grows."""

    def __init__(self, named: "_Named") -> None:
        self.steps: list[Guessed] = []
        self.unplaced: list[str] = []
        self._named = named
        self._stove = Stove()
        self._before: list[str] = []  # what the next step waits for
        self._main: tuple[list[str], Stove] | None = None  # what goes on beside a branch
        self._section = ""

    def paragraph(self, direction: Direction) -> None:
        heading = direction.section if direction.section != self._section else ""
        self._section = direction.section
        for part in clauses_of(direction.text):
            if isinstance(part, Remark):
                self._remark(part)
            elif sets_oven(part.text):
                self._oven(part.text)
            else:
                self._beside(part)
                self._add(part, heading)
                heading = ""
        self._join()

    def end(self) -> None:
        """What set an oven that no step needs is told all the same."""
        self.unplaced += self._stove.untold

    def _beside(self, clause: Clause) -> None:
        """ "Meanwhile ..." opens a branch; what needs the dish itself closes it."""
        if self._main is None:
            if clause.parallel and self.steps and self.steps[-1].attention != "hands-on":
                self._main = self._before, self._stove
                self._stove = Stove(
                    oven=self._stove.oven,
                    oven_said=self._stove.oven_said,
                    untold=self._stove.untold,
                )
                self._before = []
        elif not clause.parallel and clause.verb:
            alone = clause.verb.place == "same" and not self._stove.heat
            if alone or clause.verb.place == "off" or _OVER.search(clause.text):
                self._join()

    def _join(self) -> None:
        if self._main is not None:
            oven, said = self._stove.oven, self._stove.oven_said
            before, self._stove = self._main
            # There is one oven: what a branch set it to holds for the dish as well.
            self._stove.oven, self._stove.oven_said = oven, said
            self._before = [*before, *self._before]
            self._main = None

    def _oven(self, text: str) -> None:
        self._stove.untold.append(text)
        if found := oven_in(text):
            self._stove.oven, self._stove.oven_said = found[0], text

    def _remark(self, remark: Remark) -> None:
        if not self.steps:
            self.unplaced.append(remark.text)
            return
        last = self.steps[-1]
        if remark.danger:
            self.steps[-1] = replace(last, cautions=(*last.cautions, remark.text))
        else:
            self.steps[-1] = replace(last, more=(*last.more, remark.text))

    def _add(self, clause: Clause, heading: str) -> None:
        step = step_of(clause, self._stove, self._named.within(clause.text))
        if step is None:
            self._add_words(clause.text)
            return
        opens = self._main is not None and not self._before
        after = (
            dict.fromkeys(self._main[0], _ALONGSIDE)
            if opens and self._main
            else {name: self._gap(name, step) for name in self._before}
        )
        more = (f"{heading}.", *step.more) if heading else step.more
        name = _unlike(step.name, [one.name for one in self.steps])
        self.steps.append(replace(step, name=name, after=after, more=more))
        self._before = [name]

    def _add_words(self, text: str) -> None:
        """What takes no time of its own is said with the step before."""
        if self.steps:
            last = self.steps[-1]
            self.steps[-1] = replace(last, say=f"{last.say} {text}")
        else:
            self.unplaced.append(text)

    def _gap(self, name: str, step: Guessed) -> str:
        """What cooks does not wait long, but for what goes on beside it."""
        if len(self._before) > 1:
            return "any time"
        before = next(one for one in self.steps if one.name == name)
        same = before.heated and before.vessel == step.vessel
        return _ON_HEAT_GAP if same and (step.heated or step.place == "off") else "any time"


def _unlike(name: str, others: Sequence[str]) -> str:
    """The name, or with "again" or a number where a step has it already."""
    if name not in others:
        return name
    if f"{name} again" not in others:
        return f"{name} again"
    number = 3
    while f"{name} {number}" in others:
        number += 1
    return f"{name} {number}"


def _without_ahead(reader: _Reader) -> Steps:
    """What ends with a wait overnight is done the day before: it goes out of the steps."""
    steps, last, why = reader.steps, -1, ""
    for at, step in enumerate(steps):
        waits = step.place == "off" and step.high_s >= LONG_WAIT_S and step.attention != "hands-on"
        if (waits or overnight(step.say)) and at < len(steps) - 1:
            last, why = at, step.say
    ahead, rest = steps[: last + 1], steps[last + 1 :]
    gone = {step.name for step in ahead}
    rest = [
        replace(one, after={name: gap for name, gap in one.after.items() if name not in gone})
        for one in rest
    ]
    return Steps(
        tuple(rest),
        tuple(dict.fromkeys(" ".join((one.say, *one.more, *one.cautions)) for one in ahead)),
        f"“{why}” takes longer than an evening" if why else "",
        _foods(ahead) - _foods(rest),
        tuple(reader.unplaced),
    )


def _foods(steps: Iterable[Guessed]) -> frozenset[str]:
    return frozenset(food for step in steps for food in step.ingredients)


class _Named:
    """The ingredients by their names, and by each word that only one of them has."""

    def __init__(self, names: Iterable[str]) -> None:
        names = tuple(names)
        words = {name: self._words(name) for name in names}
        said = [word for own in words.values() for word in own]
        pairs = [(name, name) for name in names]
        pairs += [(w, name) for name, own in words.items() for w in own if said.count(w) == 1]
        self._index = Index(pair for pair in pairs if canonical(pair[0]))

    def _words(self, name: str) -> frozenset[str]:
        """ "Chicken stock" is the stock; the chicken is another."""
        words = canonical(name)
        made = words and words[-1] in recipe_words().made_of
        return frozenset(words[-1:] if made else words)

    def within(self, text: str) -> tuple[str, ...]:
        found = (match.rows[0] for match in self._index.within(text))
        return tuple(dict.fromkeys(found))


def in_order(steps: Sequence[Guessed]) -> Iterator[tuple[Guessed, int, int]]:
    """Each step with its start and end in seconds, were each begun as soon as it may."""
    ends: dict[str, tuple[int, int]] = {}
    for step in steps:
        begin = 0
        for name, gap in step.after.items():
            start, end = ends[name]
            begin = max(begin, start if gap == _ALONGSIDE else end)
        ends[step.name] = begin, begin + (step.low_s + step.high_s) // 2
        yield step, *ends[step.name]

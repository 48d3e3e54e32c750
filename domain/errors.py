"""Every error the product raises on purpose, under one root."""

from dataclasses import dataclass


class KitchenError(Exception):
    """Root of the product's own errors. `str()` is a sentence fit to show a cook."""


@dataclass
class FileProblem(KitchenError):
    """A data file that cannot be used.

    path: the file as the user named it; line: 1-based, 0 when unknown;
    field: dotted path of the field, "" for the whole file;
    wrong: what is wrong; remedy: what would be right.
    """

    path: str
    line: int
    field: str
    wrong: str
    remedy: str

    def __str__(self) -> str:
        where = f"{self.path}:{self.line}" if self.line else self.path
        field = f": {self.field}" if self.field else ""
        return f"{where}{field}: {self.wrong}; {self.remedy}"


@dataclass
class UnknownUnit(KitchenError):
    """A unit that the unit engine does not know. `nearest` may be empty."""

    unit: str
    nearest: tuple[str, ...] = ()

    def __str__(self) -> str:
        hint = f"; did you mean {' or '.join(self.nearest)}?" if self.nearest else ""
        return f"I do not know the unit “{self.unit}”{hint}"


@dataclass
class NeedsDensity(KitchenError):
    """A conversion between volume and mass of an ingredient with no density on file.

    lacks: what is missing, "weight per cup" unless said.
    """

    ingredient: str
    nearest: tuple[str, ...] = ()
    lacks: str = "weight per cup"

    def __str__(self) -> str:
        what = self.ingredient or "what"
        hint = f". I do know {', '.join(self.nearest)}" if self.nearest else ""
        return f"I have no {self.lacks} for {what}{hint}"


@dataclass
class ImpossibleAmount(KitchenError):
    """An amount outside what any kitchen can hold. `why` completes the sentence."""

    amount: str
    why: str

    def __str__(self) -> str:
        return f"{self.amount} cannot be right: {self.why}"


@dataclass
class MissingModel(KitchenError):
    """A model file that is needed and absent or altered."""

    name: str
    remedy: str

    def __str__(self) -> str:
        return f"the model {self.name} is missing; {self.remedy}"


@dataclass
class IncompatibleUnits(KitchenError):
    """A conversion between units that measure different kinds of thing."""

    unit: str
    target: str

    def __str__(self) -> str:
        here, there = self.unit.replace("_", " "), self.target.replace("_", " ")
        return f"{here} and {there} measure different things; one cannot be told from the other"

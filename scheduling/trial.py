"""Which demands on a problem can be kept together: one model, asked again and again.

Knows no kitchen, as `scheduling.problem` does not.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Generic, TypeVar

from scheduling.conflict import Answer
from scheduling.model import Model, Stop
from scheduling.problem import Problem
from scheduling.tasks import Lag

Name = TypeVar("Name")


@dataclass(frozen=True)
class Demand:
    """What keeping a limit asks for: by task, so many of its first modes are not to be used; and
    lags that hold."""

    shut: tuple[tuple[str, int], ...] = ()
    lags: tuple[Lag, ...] = ()


class Trial(Generic[Name]):
    """A problem that has all it must, and demands on it that may be let go. Time is in seconds."""

    def __init__(self, problem: Problem, demands: Mapping[Name, Demand]) -> None:
        lags = [lag for demand in demands.values() for lag in demand.lags]
        self._model = Model(problem, 1, 0, Stop(), lags)
        self._kept = {}
        for name, demand in demands.items():
            self._kept[name] = kept = self._model.cp.new_bool_var("")
            for task, count in demand.shut:
                for choice in self._model.choices[task][:count]:
                    self._model.cp.add_implication(kept, choice.negated())
            for lag in demand.lags:
                self._model.keep_lag(lag, [kept])
        # Such a problem is solved in less time than it takes to be made simpler.
        self._model.solver.parameters.cp_model_presolve = False
        self._model.solver.parameters.linearization_level = 0

    def ask(self, names: frozenset[Name], limit_s: float, *, most: bool) -> Answer[Name] | None:
        """Whether these demands can be kept together; None when that cannot be told in time.

        most: the others are kept with them where the solver has the choice.
        """
        cp, solver = self._model.cp, self._model.solver
        cp.clear_assumptions()
        # In their order: of several that collide, the first ones are then named.
        cp.add_assumptions([kept for name, kept in self._kept.items() if name in names])
        cp.clear_hints()  # type: ignore[no-untyped-call]
        for name in self._kept if most else ():
            cp.add_hint(self._kept[name], True)
        solver.parameters.max_time_in_seconds = limit_s
        status = solver.status_name(solver.solve(cp))
        if status == "INFEASIBLE":
            core = set(solver.sufficient_assumptions_for_infeasibility())
            return Answer(False, frozenset(n for n in names if self._kept[n].index in core))
        if status not in ("OPTIMAL", "FEASIBLE"):
            return None
        there = (name for name, kept in self._kept.items() if solver.boolean_value(kept))
        return Answer(True, names.union(there))

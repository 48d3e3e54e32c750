"""What makes no sense in a scheduling problem, whatever its plan."""

from typing import TYPE_CHECKING

from scheduling.tasks import ContradictoryLags, DemandTooBig, Mode, ProblemError, Task

if TYPE_CHECKING:
    from scheduling.problem import Problem


def check(problem: "Problem") -> None:
    """Raises ProblemError for names that are missing, doubled or unknown, and for amounts that no
    plan could have."""
    _check_names(problem)
    _check_tasks(problem)
    _check_references(problem)


def _check_names(problem: "Problem") -> None:
    for kind, names in (
        ("task", [task.name for task in problem.tasks]),
        ("resource", [resource.name for resource in problem.resources]),
    ):
        seen: set[str] = set()
        for name in names:
            if not name:
                raise ProblemError(f"a {kind} has no name", "give it one")
            if name in seen:
                raise ProblemError(
                    f"two {kind}s are called “{name}”", "rename one of them", (name,)
                )
            seen.add(name)


def _check_tasks(problem: "Problem") -> None:
    capacity = {resource.name: resource.capacity for resource in problem.resources}
    for task in problem.tasks:
        if not task.modes:
            raise ProblemError(f"“{task.name}” has no mode", "give it a duration", (task.name,))
        if task.deadline_s is not None and task.release_s + task.shortest_s > task.deadline_s:
            raise ProblemError(
                f"“{task.name}” is due {task.deadline_s} s after the origin but cannot end before "
                f"{task.release_s + task.shortest_s} s",
                "allow it more time",
                (task.name,),
            )
        if task.latest_of and (len(task.modes) > 1 or task.longest_s > 0):
            raise ProblemError(
                f"the milestone “{task.name}” has a duration", "make it 0 s", (task.name,)
            )
        for mode in task.modes:
            _check_mode(task, mode, capacity)
    for hammock in problem.hammocks:
        _check_demands(hammock.name, hammock.demands, capacity)


def _check_mode(task: Task, mode: Mode, capacity: dict[str, int]) -> None:
    if mode.duration_s < 0:
        raise ProblemError(
            f"“{task.name}” lasts {mode.duration_s} s", "use 0 s or more", (task.name,)
        )
    _check_demands(task.name, mode.demands, capacity)


def _check_demands(by: str, demands: tuple[tuple[str, int], ...], capacity: dict[str, int]) -> None:
    for name, demand in demands:
        if name not in capacity:
            raise ProblemError(
                f"“{by}” needs “{name}”, which there is none of",
                "add that resource or take the demand out",
                (by,),
            )
        if demand < 0:
            raise ProblemError(f"“{by}” needs {demand} of “{name}”", "use 0 or more", (by,))
        if demand > capacity[name]:
            raise DemandTooBig(
                f"“{by}” needs {demand} of “{name}”, and there are {capacity[name]}",
                "raise the capacity or lower the demand",
                (by,),
            )


def _check_references(problem: "Problem") -> None:
    names = problem.by_name.keys()
    resources = {resource.name for resource in problem.resources}
    mentioned: list[tuple[str, str]] = []
    for lag in problem.lags:
        mentioned += [("a lag", lag.before or lag.after), ("a lag", lag.after)]
        if lag.least_s is not None and lag.most_s is not None and lag.least_s > lag.most_s:
            raise ContradictoryLags(
                f"from “{lag.before}” to “{lag.after}” at least {lag.least_s} s and at most "
                f"{lag.most_s} s are asked for",
                "let the most be no less than the least",
                (lag.before, lag.after),
            )
    for hammock in problem.hammocks:
        what = f"the hammock “{hammock.name}”"
        mentioned += [(what, hammock.first or hammock.last), (what, hammock.last)]
    for apart in problem.aparts:
        mentioned += [("an apart", apart.first), ("an apart", apart.second)]
        if apart.resource not in resources:
            raise ProblemError(
                f"an apart names the unknown resource “{apart.resource}”", "add it or correct it"
            )
    for level in problem.levels:
        for term in level.terms:
            what = f"the level “{level.name}”"
            mentioned += [(what, term.task or term.since), (what, term.since or term.task)]
            if term.weight < 0:
                raise ProblemError(f"{what} has a negative weight", "use 0 or more", (term.task,))
    mentioned += [(f"“{task.name}”", other) for task in problem.tasks for other in task.latest_of]
    mentioned += [("a group of tasks alike", name) for group in problem.alike for name in group]
    for what, name in mentioned:
        if name not in names:
            raise ProblemError(
                f"{what} names the unknown task “{name}”", "add it or correct it", (name,)
            )
    for group in problem.alike:
        if len({len(problem.task(name).modes) for name in group}) > 1:
            raise ProblemError(
                f"{' and '.join(f'“{name}”' for name in group)} have not as many modes each",
                "give them as many, or do not have them alike",
                group,
            )

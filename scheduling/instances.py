"""Published project-scheduling instances as problems: PSPLIB `.sm` and ProGen/max `.sch` files."""

from pathlib import Path

from psplib import ProjectInstance, parse  # type: ignore[import-untyped]

from domain.errors import FileProblem
from scheduling.problem import Problem
from scheduling.tasks import Excess, Lag, Level, Mode, Resource, Task

FORMATS = {".sm": "psplib", ".sch": "rcpsp_max"}


def read_instance(path: Path) -> Problem:
    """The problem in a file, its makespan the one level.

    Raises FileProblem when the file is not of either format, and ProblemError when what it asks
    for contradicts itself (the instance is infeasible).
    """
    if path.suffix not in FORMATS:
        raise FileProblem(
            str(path), 0, "", f"is not one of {', '.join(FORMATS)}", "give a file of these kinds"
        )
    try:
        return _problem(parse(path, FORMATS[path.suffix]), delays=path.suffix == ".sch")
    except OSError as error:
        raise FileProblem(str(path), 0, "", "cannot be read", "check the name") from error
    except (ValueError, IndexError, StopIteration) as error:
        remedy = f"use a whole {path.suffix} file as published"
        raise FileProblem(str(path), 0, "", "does not follow its format", remedy) from error


def _problem(instance: ProjectInstance, *, delays: bool) -> Problem:
    names = [f"activity {index}" for index in range(instance.num_activities)]
    resources = [f"resource {index}" for index in range(instance.num_resources)]
    tasks, lags = [], []
    for name, activity in zip(names, instance.activities, strict=True):
        modes = []
        for mode in activity.modes:
            taken = [(r, n) for r, n in zip(resources, mode.demands, strict=True) if n]
            modes.append(Mode(mode.duration, tuple(taken)))
        tasks.append(Task(name, tuple(modes)))
        for index, successor in enumerate(activity.successors):
            if not delays:
                lags.append(Lag(name, names[successor]))
            else:  # start to start; below 0 it is a most-lag the other way
                least = activity.delays[index] if activity.delays else 0
                lags.append(Lag(name, names[successor], least, before_moment="start"))
    return Problem(
        tuple(tasks),
        tuple(
            Resource(name, resource.capacity)
            for name, resource in zip(resources, instance.resources, strict=True)
        ),
        tuple(lags),
        levels=(Level("makespan", (Excess(names[-1]),)),),
    )

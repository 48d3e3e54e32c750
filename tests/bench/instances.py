"""`hobside solve` beside a plain CP-SAT model and `pyjobshop`, on every instance in the folders.

    python -m tests.bench.instances FOLDER... [--seconds 10]

Where a folder has an `optimum.csv` (instance, optimum or range or `unsat`), each answer is held
against it. All take turns on each instance, in order and then the other way round; times are wall
and processor seconds, reading the file included. Each may use two cores.
"""

import argparse
import csv
import re
import statistics
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

from assistant.solve_command import solve_line
from domain.errors import KitchenError
from scheduling.instances import FORMATS, read_instance
from scheduling.problem import Problem
from scheduling.tasks import ContradictoryLags
from tests.bench import library
from tests.bench.plain_cpsat import plain

PROVEN = ("optimal", "infeasible")
Answer = tuple[str, int | None]  # status and makespan


@dataclass
class Run:
    """What one of them said of one instance, and the seconds it took."""

    answer: Answer
    wall_s: float
    cpu_s: float


def main() -> None:
    """Print a row for each folder and solver."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("folders", nargs="+", type=Path)
    options.add_argument("--seconds", type=float, default=10.0)
    given = options.parse_args()
    compare(given.folders, given.seconds)


def compare(folders: Iterable[Path], seconds: float) -> None:
    """The same, at most so many seconds for each instance."""
    solvers = {"hobside": ours, "plain": plains, "pyjobshop": librarys}
    head = ("folder", "solver", "files", "proven", "agree", "wall s", "cpu s", "median ms")
    print("{:16} {:9} {:>5} {:>6} {:>7} {:>8} {:>8} {:>9}".format(*head))
    for folder in folders:
        files = sorted(path for path in folder.iterdir() if path.suffix in FORMATS)
        published = read_published(folder)
        runs: dict[str, list[Run]] = {name: [] for name in solvers}
        for turn, path in enumerate(files):
            for name in list(solvers)[:: 1 if turn % 2 else -1]:
                runs[name].append(timed(solvers[name], path, seconds))
        for name, made in runs.items():
            report(folder, name, files, made, published)


def ours(path: Path, seconds: float) -> Answer:
    line = solve_line(path, seconds)
    makespan = line["makespan"]
    return str(line["status"]), makespan if isinstance(makespan, int) else None


def plains(path: Path, seconds: float) -> Answer:
    return read_and(lambda problem: plain(problem, seconds), path)


def librarys(path: Path, seconds: float) -> Answer:
    return read_and(lambda problem: library_answer(problem, seconds), path)


def library_answer(problem: Problem, seconds: float) -> Answer:
    found = library.librarys(problem, seconds, workers=2)
    if found.makespan is None:
        return "infeasible" if found.proven else "unknown", None
    return "optimal" if found.proven else "feasible", found.makespan


def read_and(solved: Callable[[Problem], Answer], path: Path) -> Answer:
    try:
        return solved(read_instance(path))
    except ContradictoryLags:  # our reader's own find, here to the others' credit
        return "infeasible", None
    except KitchenError:
        return "error", None


def timed(solver: Callable[[Path, float], Answer], path: Path, seconds: float) -> Run:
    wall, cpu = time.perf_counter(), time.process_time()
    answer = solver(path, seconds)
    return Run(answer, time.perf_counter() - wall, time.process_time() - cpu)


def read_published(folder: Path) -> dict[str, tuple[int, int] | None]:
    """The least and most that the optimum may be, by instance; None where there is no schedule."""
    found: dict[str, tuple[int, int] | None] = {}
    if (folder / "optimum.csv").exists():
        with (folder / "optimum.csv").open(encoding="utf-8", newline="") as file:
            for name, value, *_ in csv.reader(file):
                numbers = [int(number) for number in re.findall(r"\d+", value)]
                if numbers or value == "unsat":
                    stem = Path(name).stem
                    found[stem] = (numbers[0], numbers[-1]) if numbers else None
    return found


def agrees(answer: Answer, published: tuple[int, int] | None) -> bool:
    status, makespan = answer
    if published is None:
        return status == "infeasible"
    return makespan is not None and published[0] <= makespan <= published[1]


def report(
    folder: Path,
    name: str,
    files: list[Path],
    runs: list[Run],
    published: dict[str, tuple[int, int] | None],
) -> None:
    known = [(p, r) for p, r in zip(files, runs, strict=True) if p.stem in published]
    agree = sum(agrees(run.answer, published[path.stem]) for path, run in known)
    for path, run in known:
        if not agrees(run.answer, published[path.stem]):
            print(f"  {name} {path.name}: {run.answer}, published {published[path.stem]}")
    proven = sum(run.answer[0] in PROVEN for run in runs)
    wall, cpu = sum(run.wall_s for run in runs), sum(run.cpu_s for run in runs)
    median = 1000 * statistics.median(run.wall_s for run in runs)
    row = (folder.name, name, len(files), proven, f"{agree}/{len(known)}", wall, cpu, median)
    print("{:16} {:9} {:5} {:6} {:>7} {:8.1f} {:8.1f} {:9.0f}".format(*row), flush=True)


if __name__ == "__main__":
    main()

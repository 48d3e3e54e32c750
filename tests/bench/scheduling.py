"""How fast and how well the planner plans: made menus of 10 to 300 steps.

    python -m tests.bench.scheduling [--chart FILE]
    python -m tests.bench.scheduling FOLDER...   # published instances instead, see `instances`

Prints three tables: whole menus planned; the same beside a priority rule and a general scheduling
library, as far as that can express them; and cooks disturbed half-way. One worker throughout.
"""

import argparse
import math
import statistics
import time
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from random import Random

from domain.kitchen import Kitchen
from domain.menu import Menu
from scheduling.arrange import serial_plan
from scheduling.case import SERVICE
from scheduling.checker import timetable_violations
from scheduling.compose import plan_menu
from scheduling.plan import violations
from scheduling.timetable import Timetable
from tests.bench import instances
from tests.bench.disturbed import Disturbed, disturbed
from tests.bench.library import Found, librarys, ours, reduced
from tests.bench.made_menus import made_menu, roomy_service_s
from tests.bench.times_chart import Aim, Line, chart

NOW = 1_700_000_000.0
LIMIT_S = 10.0
REPLAN_LIMIT_S = 5.0  # as in a kitchen
# By size: how many menus, and how many disturbances in all; fewer where each takes long.
SIZES = {10: (3, 12), 30: (3, 12), 60: (3, 12), 150: (3, 6), 300: (2, 3)}
CHART = Path("build") / "schedule-times.svg"
AIMS = (Aim(60, 1.0, "plan: 1 s"), Aim(60, 0.3, "re-plan: 0.3 s"), Aim(60, 0.05, "reply: 50 ms"))
WHEN = {False: "fixed service", True: "as soon as possible"}


@dataclass(frozen=True)
class Planned:
    """A made menu planned. made: None when no timetable was found in time."""

    menu: Menu
    kitchen: Kitchen
    soon: bool
    took_s: float
    made: Timetable | None


def main() -> None:
    """Measure, print the tables and draw the chart."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("folders", nargs="*", type=Path)
    options.add_argument("--chart", type=Path, default=CHART)
    given = options.parse_args()
    if given.folders:
        instances.compare(given.folders, LIMIT_S)
    else:
        report(given.chart)


def report(drawn: Path) -> None:
    """Every table on standard output, and the chart in the file drawn."""
    runs = {steps: list(all_planned(steps)) for steps in SIZES}
    print(f"Made menus, at most {LIMIT_S:.0f} s each; times in seconds")
    print_table(PLANNED, (row for made in runs.values() for row in planned_rows(made)))
    print("\nService in minutes from now, as soon as possible; no oven temperatures, no other aims")
    print_table(BESIDE, (row for steps in runs for row in beside_rows(steps)))
    told = {steps: list(all_disturbed(steps, made)) for steps, made in runs.items()}
    print("\nOne disturbance half-way; moved: share of unstarted steps that move over two minutes,")
    print("but where service itself is moved; broken: rules of the menu or the kitchen, untold")
    print_table(DISTURBED, (disturbed_row(steps, made) for steps, made in told.items()))
    drawn.parent.mkdir(parents=True, exist_ok=True)
    drawn.write_text(chart(lines(runs, told), AIMS), encoding="utf-8")
    print(f"\nChart: {drawn}")


# --- whole menus --------------------------------------------------------------------------------

PLANNED = ("steps", "service", "median", "most", "proven", "levels not proven: share above bound")


def all_planned(steps: int) -> Iterator[Planned]:
    """The made menus of a size, each before a roomy service and as soon as possible."""
    for seed in range(SIZES[steps][0]):
        menu, kitchen = made_menu(steps, seed)
        for soon in WHEN:
            wanted_at = None if soon else NOW + roomy_service_s(menu, kitchen)
            began = time.perf_counter()
            made = plan_menu(menu, kitchen, now=NOW, wanted_at=wanted_at, limit_s=LIMIT_S)
            took_s = time.perf_counter() - began
            found = made if isinstance(made, Timetable) else None
            assert not found or not timetable_violations(menu, kitchen, found)
            yield Planned(menu, kitchen, soon, took_s, found)


def planned_rows(runs: Sequence[Planned]) -> Iterator[Sequence[str]]:
    """A row for each kind of service."""
    for soon, words in WHEN.items():
        kind = [run for run in runs if run.soon == soon]
        took = [run.took_s for run in kind]
        proven = sum(run.made is not None and run.made.proven for run in kind)
        yield (
            str(len(kind[0].menu.steps)),
            words,
            f"{statistics.median(took):.2f}",
            f"{max(took):.2f}",
            f"{proven} of {len(kind)}",
            ", ".join(open_levels(kind)),
        )


def open_levels(runs: Sequence[Planned]) -> Iterator[str]:
    """Each level that some run left unproven, with the largest share of it above the bound."""
    lost = sum(run.made is None for run in runs)
    if lost:
        yield f"{lost} without a timetable"
    gaps: dict[str, float] = {}
    for run in runs:
        for level in run.made.levels if run.made else ():
            if not level.proven:
                gap = (level.cost - level.bound) / level.cost
                gaps[level.name] = max(gaps.get(level.name, 0.0), gap)
    yield from (f"{name} {gap:.1%}" for name, gap in gaps.items())


# --- beside others ------------------------------------------------------------------------------

BESIDE = ("steps", "seed", "ours", "s", "pyjobshop", "s", "priority rule", "s", "breaks")


def beside_rows(steps: int) -> Iterator[Sequence[str]]:
    """A row for each made menu of a size."""
    for seed in range(SIZES[steps][0]):
        problem = reduced(*made_menu(steps, seed))
        mine = ours(problem, LIMIT_S, workers=1)
        others = librarys(problem, LIMIT_S, workers=1)
        began = time.perf_counter()
        rule = serial_plan(problem)
        rule_s = time.perf_counter() - began
        yield (
            str(steps),
            str(seed),
            *found_cells(mine),
            *found_cells(others),
            f"{rule.at(SERVICE, 'end') / 60:.1f}",
            f"{rule_s:.3f}",
            str(len(violations(problem, rule))),
        )


def found_cells(found: Found) -> tuple[str, str]:
    """The service, with a star when it is not proven the best, and the seconds."""
    if found.makespan is None:
        return "none" + "*" * (not found.proven), f"{found.took_s:.3f}"
    return f"{found.makespan / 60:.1f}" + "*" * (not found.proven), f"{found.took_s:.3f}"


# --- disturbances -------------------------------------------------------------------------------

DISTURBED = (
    "steps", "times", "reply ms: median", "p95", "broken", "moved",
    "re-plan ms: median", "p95", "proven", "broken", "moved",
)  # fmt: skip


def all_disturbed(steps: int, runs: Sequence[Planned]) -> Iterator[Disturbed]:
    """So many disturbances of the plans before a fixed service, each at a random moment."""
    plans = [run for run in runs if run.made and not run.soon]
    chance, (_, left) = Random(f"disturb {steps}"), SIZES[steps]
    for turn in range(10 * left if plans else 0):
        run = plans[turn % len(plans)]
        assert run.made is not None
        seen = disturbed(run.menu, run.kitchen, run.made, turn, chance, REPLAN_LIMIT_S)
        if seen is not None:
            yield seen
            left -= 1
        if not left:
            return


def disturbed_row(steps: int, seen: Sequence[Disturbed]) -> Sequence[str]:
    """The reply beside the full re-plan."""
    if not seen:
        return (str(steps), "none planned", *[""] * 9)
    replanned = [one for one in seen if one.replan_s is not None]
    return (
        str(steps),
        str(len(seen)),
        *milliseconds([one.reply_s for one in seen]),
        str(sum(one.broken_by_reply for one in seen)),
        share([one.moved_by_reply for one in seen if one.kind != "service moved"]),
        *milliseconds([one.replan_s for one in seen if one.replan_s is not None]),
        f"{sum(one.proven for one in replanned)} of {len(replanned)}",
        str(sum(one.broken_in_all for one in seen)),
        share([one.moved_in_all for one in seen if one.kind != "service moved"]),
    )


def share(shares: Sequence[float]) -> str:
    """The mean."""
    return f"{statistics.mean(shares):.0%}" if shares else ""


def milliseconds(seconds: Sequence[float]) -> tuple[str, str]:
    """The median and the 95th percentile."""
    if not seconds:
        return "", ""
    return f"{1000 * statistics.median(seconds):.0f}", f"{1000 * p95(seconds):.0f}"


def p95(values: Sequence[float]) -> float:
    """The least value that at least 95 in a hundred do not exceed (nearest rank)."""
    return sorted(values)[math.ceil(0.95 * len(values)) - 1]


# --- how it is shown ----------------------------------------------------------------------------


def print_table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> None:
    """Columns as wide as need be; words to the left, numbers to the right."""
    table = [head, *rows]
    widths = [max(map(len, column)) for column in zip(*table, strict=True)]
    numbers = [any(cell[:1].isdigit() for cell in cells[1:]) for cells in zip(*table, strict=True)]
    for row in table:
        cells = (
            cell.rjust(width) if number else cell.ljust(width)
            for cell, width, number in zip(row, widths, numbers, strict=True)
        )
        print("  ".join(cells).rstrip(), flush=True)


def lines(runs: dict[int, list[Planned]], told: dict[int, list[Disturbed]]) -> tuple[Line, ...]:
    """The curves of the chart: seconds by steps."""
    planned = [
        Line(
            f"plan, {words}",
            tuple(
                (steps, statistics.median(run.took_s for run in made if run.soon == soon))
                for steps, made in runs.items()
            ),
        )
        for soon, words in WHEN.items()
    ]
    replans = {n: [one.replan_s for one in seen if one.replan_s] for n, seen in told.items()}
    replies = {n: [one.reply_s for one in seen] for n, seen in told.items()}
    return (
        *planned,
        *(
            Line(name, tuple((steps, p95(times)) for steps, times in by_size.items() if times))
            for name, by_size in (("re-plan, p95", replans), ("reply, p95", replies))
        ),
    )


if __name__ == "__main__":
    main()

"""How the live schedule asks for timetables: the state told as progress to the planner."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Protocol

from domain.kitchen import Kitchen
from domain.menu import Duration, Menu, Step
from scheduling.compose import NoTimetable, Progress, Timetable, all_steps, plan_menu, repair
from scheduling.events import State, expected_end, planned_end
from scheduling.hands import in_hand
from scheduling.timetable import is_heating


class Planner(Protocol):
    """Makes timetables. now: POSIX seconds; last: the timetable so far, to be kept close to."""

    def steps(self, menu: Menu, kitchen: Kitchen) -> Mapping[str, Step]:
        """Every step by key, those that heat ovens included."""
        ...

    def plan(
        self, menu: Menu, kitchen: Kitchen, state: State, now: float, last: Timetable | None
    ) -> Timetable | NoTimetable:
        """The best timetable of what is left, begun steps kept."""
        ...

    def repair(
        self, menu: Menu, kitchen: Kitchen, state: State, now: float, last: Timetable
    ) -> Timetable | NoTimetable:
        """A timetable at once, close to the last."""
        ...


class SolvingPlanner:
    """Plans with the solver and repairs without it. limit_s: seconds for one plan."""

    def __init__(self, limit_s: float = 5.0) -> None:
        self.limit_s = limit_s

    def steps(self, menu: Menu, kitchen: Kitchen) -> Mapping[str, Step]:
        return {step.key: step for step in all_steps(menu, kitchen)}

    def plan(
        self, menu: Menu, kitchen: Kitchen, state: State, now: float, last: Timetable | None
    ) -> Timetable | NoTimetable:
        return plan_menu(
            with_extras(menu, state),
            kitchen,
            now=now,
            wanted_at=state.wanted_at,
            progress=progress(self.steps(menu, kitchen), state, now, last),
            hint=last,
            limit_s=self.limit_s,
        )

    def repair(
        self, menu: Menu, kitchen: Kitchen, state: State, now: float, last: Timetable
    ) -> Timetable | NoTimetable:
        return repair(
            with_extras(menu, state),
            kitchen,
            last,
            now=now,
            wanted_at=state.wanted_at,
            progress=progress(self.steps(menu, kitchen), state, now, last),
        )


def with_extras(menu: Menu, state: State) -> Menu:
    """The menu with the extra time that was asked for steps before they began."""

    def longer(step: Step) -> Step:
        extra_s = round(state.steps[step.key].extra_s)
        if not extra_s or state.steps[step.key].status != "waiting":
            return step
        ways = (replace(way, duration=_longer(way.duration, extra_s)) for way in step.ways)
        return replace(step, duration=_longer(step.duration, extra_s), ways=tuple(ways))

    dishes = (replace(dish, steps=tuple(map(longer, dish.steps))) for dish in menu.dishes)
    return replace(menu, dishes=tuple(dishes))


def _longer(duration: Duration, extra_s: int) -> Duration:
    likely_s = duration.likely_s + extra_s
    return replace(duration, likely_s=likely_s, high_s=max(likely_s, duration.high_s + extra_s))


def progress(
    steps: Mapping[str, Step], state: State, now: float, last: Timetable | None
) -> Progress:
    """How far the cook has got, as the planner takes it. last tells each oven and way."""
    steps = last.as_done(steps) if last else steps
    done, running, skipped = {}, {}, set()
    for key, standing in state.steps.items():
        if standing.status == "done":
            end = now if standing.ended_at is None else standing.ended_at
            done[key] = (end if standing.began_at is None else standing.began_at, end)
        elif standing.status == "running":
            began = now if standing.began_at is None else standing.began_at
            running[key] = (began, _will_end(steps, state, key, now))
        elif standing.status == "skipped":
            skipped.add(key)
    extra_s = {
        key: round(standing.extra_s)
        for key, standing in state.steps.items()
        if standing.status == "waiting" and standing.extra_s and is_heating(steps[key])
    }
    slots = last.slots if last else {}
    return Progress(
        done=done,
        running=running,
        skipped=frozenset(skipped),
        dropped=state.dropped,
        cooks=state.cooks,
        equipment=state.equipment,
        started_at=state.started_at,
        ovens={key: slot.oven for key, slot in slots.items() if slot.oven},
        ways={key: slot.way for key, slot in slots.items() if slot.way},
        courses=state.courses,
        aside={
            key: standing.put_down_at
            for key, standing in state.steps.items()
            if standing.aside and standing.put_down_at is not None
        },
        put_down=frozenset(k for k, s in state.steps.items() if s.put_down_at is not None),
        extra_s=extra_s,
        seen=frozenset(k for k, s in state.steps.items() if s.gate_seen_at is not None),
    )


def _will_end(steps: Mapping[str, Step], state: State, key: str, now: float) -> float:
    """When a step under way will end; one put down goes on once the hands are free again, and one
    that the cook put down could go on now."""
    standing = state.steps[key]
    if standing.put_down_at is None:
        return expected_end(steps[key], standing, now)
    if standing.aside:
        return now + planned_end(steps[key], standing) - standing.put_down_at
    busy = [k for k in in_hand(steps, state) if state.steps[k].moves]
    ends = [expected_end(steps[k], state.steps[k], now) for k in busy]
    return max(ends, default=now) + planned_end(steps[key], standing) - standing.put_down_at

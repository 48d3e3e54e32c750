"""The live schedule: one cook's events, the plan kept up with them, and views of both."""

import math
import threading
from collections.abc import Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import Literal

from domain.errors import KitchenError
from domain.kitchen import Kitchen, KitchenLacks, check
from domain.menu import Menu, Step
from scheduling.clock import Clock
from scheduling.dispatch import due_endings, due_events
from scheduling.event_store import EventStore, MemoryStore
from scheduling.events import Event
from scheduling.keeping_up import STALE_S, Basis, basis_of, keeps_up, kitchen_now
from scheduling.kept_plan import KeptPlan, read_plan
from scheduling.live import Told, tell
from scheduling.menu_now import added_dish
from scheduling.outcome import Outcome
from scheduling.refusals import refuse
from scheduling.replanning import Planner, SolvingPlanner
from scheduling.timetable import NoTimetable, Timetable
from scheduling.view import View, cook_of, length_s

__all__ = ["EventStore", "LiveSchedule", "MemoryStore", "NoPlanAtAll", "Outcome"]

AHEAD_S = 1.0  # an event this little in the future is a rounding of the clock, not a mistake


class LiveSchedule:
    """One cook of one menu in one kitchen, safe to use from several threads.

    replan "now" solves before `apply` and `tick` return (tests, simulated time); "background"
    repairs the plan at once, solves in a thread, and puts the better plan in its place whole, at
    the next call, if it still fits what has happened since. wanted_at: POSIX seconds of the
    service to plan for until the cook starts. Raises KitchenError when there is no plan at all.
    """

    def __init__(
        self,
        menu: Menu,
        kitchen: Kitchen,
        clock: Clock,
        store: EventStore,
        planner: Planner | None = None,
        replan: Literal["now", "background"] = "now",
        wanted_at: float | None = None,
    ) -> None:
        self._loaded, self._kitchen, self._clock = menu, kitchen, clock
        self._store, self._planner = store, planner or SolvingPlanner()
        self._lock = threading.RLock()
        self._thread = ThreadPoolExecutor(1, "replan") if replan == "background" else None
        self._solving: tuple[Future[Timetable | NoTimetable], Basis] | None = None
        self._events = store.read()
        self._planned_wanted = wanted_at
        self._told = self._tell(self._events)
        self._why_not: tuple[str, ...] = ()
        self._tried_at = 0.0
        # While paused plans are only repaired; and a plan made for what is taken back is no plan.
        self._unsolved = False
        self._timetable, self._first_service_at, self._basis = self._first_plan()
        if self._events:
            self._catch_up()

    # --- what others ask ------------------------------------------------------------------------

    def snapshot(self) -> View:
        """The schedule as it stands now."""
        with self._lock:
            self._collect()
            return self._view(self._clock.now())

    def events(self) -> list[Event]:
        """Every event of this cook, in order."""
        with self._lock:
            return list(self._events)

    def apply(self, event: Event) -> Outcome:
        """Take an event: refused, or stored and then acted upon.

        What the clock owes up to now is taken first. A store that fails raises its
        KitchenError, and nothing has happened.
        """
        with self._lock:
            self.tick()
            now = self._clock.now()
            before = self._view(now)
            refused = self._why_refused(self._told, event, now)
            if refused:
                return Outcome(before, before, refused)
            if event.kind == "began" and event.value is None:
                length, cook = length_s(before, event.subject), cook_of(before, event.subject)
                event = replace(event, value=length, note=event.note or cook)
            (stored,) = self._keep([event])
            self._keep_up(now)
            also = self.tick()
            return Outcome(before, self._view(now), event=stored, also=also)

    def tick(self) -> tuple[Event, ...]:
        """Take what the clock has ended and begun by now, and keep the plan up with it."""
        with self._lock:
            self._collect()
            now = self._clock.now()
            due = due_events(self._view(now))
            stored = self._keep(due) if due else ()
            self._keep_up(now)
            return stored

    def what_if(self, *events: Event, solve: bool = False) -> Outcome:
        """What would come of these events, on a copy: nothing is stored or changed.

        The answer comes from a quick repair, or with `solve` from a full plan.
        """
        with self._lock:
            now, before, told = self._clock.now(), self.snapshot(), self._told
        for event in events:
            refused = self._why_refused(told, event, now)
            if refused:
                return Outcome(before, before, refused)
            told = told.after(event)
        made = self._made("plan" if solve else "repair", told, now)
        changed = replace(
            before,
            menu=told.menu,
            kitchen=kitchen_now(self._kitchen, told.state),
            steps=before.timetable.as_done(told.steps),
            state=told.state,
        )
        if isinstance(made, NoTimetable):
            return Outcome(before, replace(changed, why_not=made.reasons or (_NO_PLAN,)))
        steps = made.as_done(told.steps)
        return Outcome(before, replace(changed, steps=steps, timetable=made, why_not=()))

    def close(self) -> None:
        """End the re-planning thread."""
        if self._thread:
            self._thread.shutdown(cancel_futures=True)

    # --- how it is kept -------------------------------------------------------------------------

    def _view(self, now: float) -> View:
        return View(
            self._told.menu,
            kitchen_now(self._kitchen, self._told.state),
            self._timetable.as_done(self._told.steps),
            self._told.state,
            self._timetable,
            now,
            self._first_service_at,
            self._why_not,
        )

    def _steps_of(self, menu: Menu) -> Mapping[str, Step]:
        return self._planner.steps(menu, self._kitchen)

    def _tell(self, events: Sequence[Event]) -> Told:
        cooks = len(self._kitchen.cooks)
        return tell(self._loaded, events, self._steps_of, cooks, self._planned_wanted)

    def _why_refused(self, told: Told, event: Event, now: float) -> str | None:
        """Why the event cannot be taken, as a sentence for the cook; None when it can."""
        if not math.isfinite(event.at) or event.at > now + AHEAD_S:
            return "That has not happened yet."
        if event.value is not None and not math.isfinite(event.value):
            return "That is not a number I can use."
        refused = refuse(told.steps, told.state, event)
        if refused or event.kind != "dish_added":
            return refused
        dish = added_dish(event)
        assert dish is not None
        try:
            check(replace(self._loaded, dishes=(dish,)), kitchen_now(self._kitchen, told.state))
        except KitchenLacks as error:
            return f"“{dish.title}” cannot be cooked here: {'; '.join(error.lacks)}."
        return None

    def _keep(self, events: Sequence[Event]) -> tuple[Event, ...]:
        """Store first, then fold."""
        stored = self._store.append(events)
        self._events += stored
        for event in stored:
            self._told = self._told.after(event)
            if event.kind == "undone":
                self._told = self._tell(self._events)
                self._unsolved = True
        return stored

    def _first_plan(self) -> tuple[Timetable, float, Basis]:
        """The plan kept by an earlier run, or a new one."""
        kept = read_plan(self._store.plan())
        if kept and self._events:
            known = [event for event in self._events if event.seq <= kept.seq]
            basis = basis_of(self._tell(known).state)
            return kept.timetable, kept.first_service_at, basis
        told = self._told
        made = self._planner.plan(told.menu, self._kitchen, told.state, self._clock.now(), None)
        if isinstance(made, NoTimetable):
            if made.earliest is None:
                raise NoPlanAtAll(made.reasons)
            self._why_not = made.reasons
            made = made.earliest
        basis = basis_of(self._told.state)
        self._keep_plan(made, made.service_at)
        return made, made.service_at, basis

    def _catch_up(self) -> None:
        """After a restart: what ran has ended meanwhile, but nobody was told to begin anything."""
        now = self._clock.now()
        due = due_endings(self._view(now))
        if due:
            self._keep(due)
        self._keep_up(now)

    def _keep_plan(self, timetable: Timetable, first_service_at: float) -> None:
        kept = KeptPlan(timetable, first_service_at, self._told.state.last_seq)
        # The events are safe already and a plan can be made anew; the next event to be kept
        # tells of a store in trouble.
        with suppress(KitchenError):
            self._store.keep_plan(kept.text())

    def _keep_up(self, now: float) -> None:
        """Repair the plan at once when it no longer fits, then have it solved anew."""
        view = self._view(now)
        told, state = self._told, self._told.state
        waiting = self._unsolved and state.paused_at is None
        if keeps_up(view, self._basis) and not waiting:
            return
        basis = basis_of(told.state)
        hopeless = bool(self._why_not) and basis == self._basis
        if hopeless and now < self._tried_at + STALE_S:
            return
        self._tried_at = now
        self._swap(self._made("repair", told, now), basis)
        self._unsolved = state.paused_at is not None
        if self._unsolved:
            return
        if self._thread is None:
            self._swap(self._made("plan", told, now), basis)
        elif self._solving is None:
            job = self._thread.submit(self._made, "plan", told, now)
            self._solving = job, basis

    def _made(
        self, how: Literal["plan", "repair"], told: Told, now: float
    ) -> Timetable | NoTimetable:
        make = self._planner.plan if how == "plan" else self._planner.repair
        try:
            return make(told.menu, self._kitchen, told.state, now, self._timetable)
        except KitchenError as error:  # an oven that is gone, say: the cook goes on and is told
            return NoTimetable((str(error),))

    def _swap(self, made: Timetable | NoTimetable, basis: Basis) -> None:
        self._basis = basis
        if isinstance(made, NoTimetable):
            self._why_not = made.reasons or (_NO_PLAN,)
            return
        self._why_not = ()
        self._timetable = made
        self._keep_plan(made, self._first_service_at)

    def _collect(self) -> None:
        """Put a plan finished in the background in place if it still fits, else ask again."""
        if self._solving is None or not self._solving[0].done():
            return
        (job, basis), self._solving = self._solving, None
        made = job.result()
        now = self._clock.now()
        if isinstance(made, Timetable) and keeps_up(
            replace(self._view(now), timetable=made), basis
        ):
            self._swap(made, basis)
        elif basis != basis_of(self._told.state) and not self._told.state.paused_at:
            assert self._thread is not None
            job = self._thread.submit(self._made, "plan", self._told, now)
            self._solving = job, basis_of(self._told.state)


_NO_PLAN = "what is left can no longer be done with what there is"


@dataclass
class NoPlanAtAll(KitchenError):
    """A menu that this kitchen cannot cook at any time. why: the limits that collide."""

    why: tuple[str, ...]

    def __str__(self) -> str:
        return f"this menu cannot be cooked here: {'; '.join(self.why) or _NO_PLAN}"

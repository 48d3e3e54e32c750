"""A small menu, a kitchen and a simple planner to try the live schedule on."""

from collections.abc import Mapping
from dataclasses import replace

from domain.kitchen import Kitchen, Oven
from domain.menu import Dish, Duration, Follow, Gate, Menu, Step, Use
from scheduling.events import Event, State, expected_end
from scheduling.keeping_up import kitchen_now
from scheduling.live_schedule import LiveSchedule
from scheduling.log import effective
from scheduling.outcome import Outcome
from scheduling.timetable import NoTimetable, Slot, Timetable

NOON = 1_700_000_000.0


def step(dish: str, name: str, minutes: float, attention="hands-on", **more) -> Step:
    likely = int(minutes * 60)
    say = more.pop("say", f"{name.capitalize()} the {dish}.")
    return Step(name, dish, say, Duration(likely, likely, likely), attention, **more)


BARLEY = Dish(
    "barley",
    "Herbed barley",
    4,
    900,
    (),
    (
        step("barley", "rinse", 2),
        step(
            "barley",
            "boil",
            5,
            "unattended",
            uses=(Use("ring"),),
            follows=(Follow("barley/rinse"),),
            gate=Gate("end", "the water boils", ("it boils",)),
        ),
        step(
            "barley",
            "simmer",
            20,
            "unattended",
            uses=(Use("ring"),),
            follows=(Follow("barley/boil", 0, 60),),
        ),
        step("barley", "fluff", 1, follows=(Follow("barley/simmer", 0, 300),)),
    ),
)
PEARS = Dish(
    "pears",
    "Baked pears",
    4,
    1200,
    (),
    (
        step("pears", "halve", 4),
        step(
            "pears",
            "bake",
            15,
            "unattended",
            uses=(Use("oven", 1, 180.0),),
            follows=(Follow("pears/halve"),),
        ),
        step("pears", "plate", 2, follows=(Follow("pears/bake", 0, 600),)),
    ),
)
LEAVES = Dish(
    "leaves",
    "Bitter leaves",
    4,
    300,
    (),
    (
        step("leaves", "wash", 3),
        step("leaves", "dress", 2, follows=(Follow("leaves/wash"),), uses=(Use("bowl"),)),
    ),
)
MENU = Menu("supper", "A small supper", 4, (BARLEY, PEARS, LEAVES))
KITCHEN = Kitchen("hut", "The hut", 2, (Oven("oven", 2, 600, 60),), {"bowl": 1}, ("cook",))


class GreedyPlanner:
    """Places each step as early as it fits, in the menu's order. Counts how often it is asked."""

    def __init__(self) -> None:
        self.plans = 0
        self.repairs = 0

    def steps(self, menu: Menu, kitchen: Kitchen) -> Mapping[str, Step]:
        return {s.key: s for s in menu.steps}

    def plan(self, menu, kitchen, state, now, last):
        self.plans += 1
        return self._place(menu, kitchen, state, now)

    def repair(self, menu, kitchen, state, now, last):
        self.repairs += 1
        return self._place(menu, kitchen, state, now)

    def _place(self, menu: Menu, kitchen: Kitchen, state: State, now: float):
        kitchen = kitchen_now(kitchen, state)
        if kitchen.rings == 0 or not kitchen.ovens:
            return NoTimetable(("there is nothing to cook on",))
        slots: dict[str, Slot] = {}
        hands_free = now
        for s in menu.steps:
            standing = state.steps[s.key]
            if standing.status == "running":
                end = expected_end(s, standing, now)
                slots[s.key] = Slot(s.key, standing.began_at, end, "cook")
                if s.attention == "hands-on":
                    hands_free = max(hands_free, end)
        for s in menu.steps:
            if state.steps[s.key].status != "waiting":
                continue
            start = max(
                [now]
                + [slots[f.step].end_at + f.least_s for f in s.follows if f.step in slots]
                + ([hands_free] if s.attention == "hands-on" else [])
            )
            end = start + s.duration.likely_s + state.steps[s.key].extra_s
            slots[s.key] = Slot(s.key, start, end, "cook", "oven")
            if s.attention == "hands-on":
                hands_free = end
        ready = {
            d.name: max([slots[s.key].end_at for s in d.steps if s.key in slots], default=now)
            for d in menu.dishes
        }
        ordered = dict(sorted(slots.items(), key=lambda item: item[1].start_at))
        service = max([*ready.values(), state.wanted_at or 0.0])
        return Timetable(ordered, service, state.wanted_at, ready)


def with_gate_at_start() -> Menu:
    """The same supper, whose pears go in once the oven is seen to be hot."""
    bake = replace(PEARS.steps[1], gate=Gate("start", "the oven is hot", ("it is hot",)))
    pears = replace(PEARS, steps=(PEARS.steps[0], bake, PEARS.steps[2]))
    return replace(MENU, dishes=(BARLEY, pears, LEAVES))


def take_back(live: LiveSchedule) -> Outcome | None:
    """The cook takes back what they told last, but not that they started; None where nothing is."""
    told = [event for event in effective(live.events()) if event.by == "cook"]
    told = [event for event in told if event.kind != "cook_started"]
    undone = Event(live.snapshot().now, "undone", value=float(told[-1].seq)) if told else None
    return live.apply(undone) if undone else None

"""Answers to changes of the whole: service, guests, what there is to cook with, dishes."""

import math
import re
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace

from assistant.answer_before import can_we
from assistant.answer_time import clock_moment, duration_s
from assistant.meaning import Understood
from assistant.measures import clock, span
from assistant.reply import Question, Reply
from assistant.resolve import Vocabulary, find_refs
from assistant.scene import Scene
from assistant.subject import steps_meant
from assistant.wording import plain
from domain.cookbook import load_dish, names
from domain.errors import FileProblem
from domain.menu import Dish, Menu
from scheduling.events import Event
from scheduling.menu_now import added
from scheduling.queries import service_at, starts_at
from scheduling.view import View, oven_of

_IDLE_S = 20 * 60.0  # an oven hot for nothing so long is better off; our own choice
_RING_WORDS = ("burner", "burners", "hob", "hotplate")
_HAVE_IT = "Check that you have everything for it."
_SAME_S = 60.0  # within a minute service is where it was asked for; our own choice
_ASKS = re.compile(r"^(?:(?:and|but|so|ok|okay|well|hey) )*(?:why|can|could|might|is|would)\b")
_CHANGED = re.compile(
    r"\b(?:instead|later|earlier|sooner|please|back|forward|off|mov\w+|move|push|put|bring|make"
    r"|change|delay|postpone|shift|set|now)\b"
)
_EARLIER = ("earlier", "sooner", "forward", "before")
# What tells of people beside their number, and of a thing that cannot be used.
_PEOPLE = frozenset(
    """people persons guests guest friends kids children adults of us we for coming come eat eating
    eaters diners heads mouths portions servings serve serves covers more extra another fewer less
    table they them cook everyone there""".split()  # noqa: SIM905
)
_LOST = re.compile(
    r"\b(?:no|not|cannot|never|without|less|fewer|lost|lose|losing|gone|missing|broken?|breaks|"
    r"bust\w*|dead|die[sd]?|dying|out|off|fail\w*|fault\w*|stopped|crack\w*|kaput|shut|useless|"
    r"dropped|only|just|took|taken|tripped|cold|conked|packed|down|defect\w*|smashed|ruined|"
    r"unusable|burnt|given|gave|quit|lack\w*|short)\b"
)
_BACK = frozenset({"back", "returned"})
_THERE_AGAIN = frozenset("again back works working fixed repaired mended".split())  # noqa: SIM905
_FEWER = ("fewer", "less", "not coming", "cancelled")


def move_service(ask: Understood, scene: Scene) -> Reply:
    """Another service time: a clock time, or so much later or earlier."""
    at = next((t for a in ask.amounts if (t := clock_moment(a, scene.now)) is not None), None)
    length = duration_s(ask)
    if at is None and length is not None:
        base = scene.live.state.wanted_at or service_at(scene.live)
        earlier = any(word in plain(ask.text).split() for word in _EARLIER)
        at = base - length if earlier else base + length
    if at is None:
        return Reply("To what time?", question=Question((), amount_for=ask))
    if ask.by != "confirmed" and length is None and _only_asks(ask.text):
        return can_we(ask, scene)
    moved = Event(scene.now, "service_moved", value=at)
    told = f"Service moves to {clock(at)}"
    # Solved, as it is told what the plan will do then; and only where it can matter.
    hot = any(_hot(scene.live, key) for key in scene.live.steps)
    if not hot and at > service_at(scene.live) - _SAME_S:
        return Reply(f"{told}.", events=(moved,))
    outcome = scene.what_if(moved, solve=True)
    earliest = service_at(outcome.after)
    if not outcome.refused and not outcome.after.why_not and earliest > at + _SAME_S:
        told = f"{told}, but the earliest is {clock(earliest)}"
    return Reply(f"{told}.", more=" ".join(ovens_to_turn_off(outcome.after)), events=(moved,))


def _only_asks(text: str) -> bool:
    """Whether a time is asked about ("could we eat at eight?") and nothing is to be changed."""
    words = plain(text)
    return bool(_ASKS.search(words)) and not _CHANGED.search(words)


def ovens_to_turn_off(view: View) -> Iterator[str]:
    """Of every oven that is hot, or heats, for nothing: that it can go off, and when it goes on."""
    for oven in view.kitchen.ovens:
        mine = [key for key in view.steps if _takes_oven(view, key, oven.name)]
        states = {key: view.state.steps[key].status for key in mine}
        hot = any(_hot(view, key) for key in mine)
        full = any(states[key] == "running" for key in mine if not view.heats(key))
        due = [
            starts_at(view, key)
            for key in mine
            if states[key] == "waiting" and not view.heats(key) and key in view.timetable.slots
        ]
        next_at = min(due, default=math.inf)
        if hot and not full and math.isfinite(next_at) and next_at - view.now > _IDLE_S:
            on_again = clock(max(view.now, next_at - oven.heat_s))
            yield (
                f"Nothing is due in the {plain(oven.name)} until {clock(next_at)}: "
                f"you can turn it off, and on again at {on_again}."
            )


def _hot(view: View, key: str) -> bool:
    """Whether this is the heating of an oven that is under way or done."""
    return view.heats(key) and view.state.steps[key].status in ("running", "done")


def _takes_oven(view: View, key: str, oven: str) -> bool:
    used = any(use.what == "oven" and use.count for use in view.steps[key].uses)
    return (used or view.heats(key)) and oven_of(view, key) == oven


def change_servings(ask: Understood, scene: Scene) -> Reply:
    """So many people, or so many more or fewer."""
    count = next((a.value for a in ask.amounts if a.kind == "count"), None)
    if not isinstance(count, float | int) or count != int(count):
        return Reply("For how many people?", question=Question((), amount_for=ask))
    words, now = plain(ask.text), scene.live.state.servings
    people = int(count)
    if any(word in words for word in _FEWER):
        people = now - people
    elif any(word in words.split() for word in ("more", "extra", "another")):
        people = now + people
    if ask.by != "confirmed" and not _PEOPLE & set(words.split()):
        sure = replace(ask, by="confirmed")
        return Reply(f"For {people} people from now on?", question=Question((("yes", sure),)))
    if not 1 <= people <= 100:
        return Reply(f"{people} people is more or fewer than I can plan for.")
    event = Event(scene.now, "servings_changed", value=float(people))
    return Reply(
        f"Now for {people}. Amounts are scaled; times stay as they are.",
        more="Bigger pans and fuller trays can take longer: check before you trust the time.",
        events=(event,),
    )


def equipment_lost(ask: Understood, scene: Scene) -> Reply:
    """One ring, oven or tool fewer than there was."""
    words = plain(ask.text).split()
    what = next((ref.name for ref in ask.refs if ref.kind == "equipment"), None)
    if what is None:
        what = next((w for w in ("oven", "ring") if w in words or f"{w}s" in words), None)
    if what is None and any(word in words for word in _RING_WORDS):
        what = "ring"
    if what is None:
        return Reply("What is missing: a ring, the oven, or a pan?")
    have = {"ring": scene.kitchen.rings, "oven": len(scene.kitchen.ovens)}
    now = have.get(what, scene.kitchen.equipment.get(what, 0))
    lost = bool(_LOST.search(" ".join(words)))
    if not lost and _THERE_AGAIN & set(words):
        return _found_again(what, now, scene)
    if not lost and ask.by != "confirmed":
        sure = replace(ask, by="confirmed")
        return Reply(f"Can we no longer use the {what}?", question=Question((("yes", sure),)))
    left = max(0, now - 1)
    event = Event(scene.now, "equipment_changed", what, float(left))
    return Reply(f"One {what} fewer. I am planning again.", events=(event,))


def _found_again(what: str, now: int, scene: Scene) -> Reply:
    """What was lost can be used again, as far as the cook told that it was lost."""
    told = [event for event in scene.log if event.kind == "equipment_changed"]
    if not any(event.subject == what for event in told):
        return Reply(f"Good. The plan counts on the {what} as it is.")
    event = Event(scene.now, "equipment_changed", what, float(now + 1))
    return Reply(f"One {what} more again. I am planning again.", events=(event,))


def cook_joined(_: Understood, scene: Scene) -> Reply:
    """One cook more."""
    return _cooks(scene, len(scene.kitchen.cooks) + 1)


def cook_left(ask: Understood, scene: Scene) -> Reply:
    """One cook fewer, never none; one who is back is one more."""
    if _BACK & set(plain(ask.text).split()):
        return cook_joined(ask, scene)
    if len(scene.kitchen.cooks) <= 1:
        return Reply("Then it is you alone. That is how it was planned.")
    return _cooks(scene, len(scene.kitchen.cooks) - 1)


def add_dish(ask: Understood, scene: Scene) -> Reply:
    """One more dish of the shelf, or one that was left out, once that is confirmed."""
    dish = _dish_to_add(ask, scene)
    if dish is None:
        there = dish_meant(ask, scene)
        if there is not None:
            return Reply(f"That is in this menu already: {scene.menu.dish(there).title}.")
        return Reply("Which dish shall I add? Say it by the name of its file or title.")
    event = added(scene.now, dish)
    if ask.by == "confirmed":
        return Reply(f"Added: {dish.title}.", more=_HAVE_IT, events=(event,))
    outcome = scene.what_if(event, solve=True)
    if outcome.refused:
        return Reply(f"{dish.title} cannot be cooked here.", more=outcome.refused)
    meant = replace(ask, intent="add_dish", confidence=1.0, by="confirmed")
    at = clock(service_at(outcome.after))
    return Reply(
        f"Add {dish.title}? We would eat at {at}.",
        question=Question(((f"add {dish.title}", meant),)),
    )


def _dish_to_add(ask: Understood, scene: Scene) -> Dish | None:
    """A dish that is not cooked now, named in the words: one left out, or one of the shelf."""
    cooked = {dish.name for dish in scene.menu.dishes} - scene.live.state.dropped
    for ref in ask.refs:
        if ref.kind == "dish" and ref.name in scene.live.state.dropped:
            return scene.menu.dish(ref.name)
    shelf = {dish.name: dish for dish in _shelf() if dish.name not in cooked}
    called = _names_of(tuple(shelf.values()))
    found = [ref for ref in find_refs(ask.text, called) if ref.kind == "dish"]
    best = max(found, key=lambda ref: (ref.score, ref.end - ref.start), default=None)
    return shelf[best.name] if best else None


def _shelf() -> Iterator[Dish]:
    """Every dish that can be read; one that cannot is told when it is asked for by name."""
    for name in names("dishes"):
        with suppress(FileProblem):
            yield load_dish(name)


def _names_of(dishes: tuple[Dish, ...]) -> Vocabulary:
    """What the dishes are called, without what is in them and how they are made."""
    bare = tuple(replace(dish, ingredients=(), steps=()) for dish in dishes)
    return Vocabulary.of(Menu("shelf", "Shelf", 1, bare))


def serve_later(ask: Understood, scene: Scene) -> Reply:
    """One dish served so much after the others, or before, or at a time, or with them."""
    dish = dish_meant(ask, scene)
    if dish is None:
        return Reply("Which dish shall be served apart?")
    words = plain(ask.text).split()
    at = next((t for a in ask.amounts if (t := clock_moment(a, scene.now)) is not None), None)
    length = duration_s(ask)
    if at is not None:
        after_s = at - service_at(scene.live)
    elif length is not None:
        before = any(word in words for word in (*_EARLIER, "early", "starter"))
        fixed = any(word in words for word in ("after", "before", "starter", "first"))
        now_s = scene.live.state.courses.get(dish, scene.menu.courses.get(dish, 0))
        after_s = (0 if fixed else now_s) + (-length if before else length)
    elif any(word in words for word in ("with", "together", "same")):
        after_s = 0.0
    else:
        return Reply("How long before or after the others?")
    side = f"{span(abs(after_s))} {'after' if after_s > 0 else 'before'}" if after_s else "with"
    event = Event(scene.now, "course_moved", dish, float(round(after_s)))
    return Reply(f"Served {side} the rest: {scene.menu.dish(dish).title}.", events=(event,))


def dish_meant(ask: Understood, scene: Scene) -> str | None:
    """The dish of this menu that is named, or of which a step or an ingredient is."""
    known = {dish.name for dish in scene.menu.dishes}
    named = [ref.name for ref in ask.refs if ref.kind == "dish"]
    named += [step.dish for ref in ask.refs for step in steps_meant(ref, scene)]
    return next((name for name in named if name in known), None)


def _cooks(scene: Scene, count: int) -> Reply:
    event = Event(scene.now, "cooks_changed", value=float(count))
    return Reply(
        f"{count} cooks now. I am planning again."
        if count > 1
        else "One cook now. I am planning again.",
        events=(event,),
    )

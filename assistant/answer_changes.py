"""Answers to changes of the whole: service, guests, what there is to cook with, dishes."""

from assistant.answer_time import clock_moment, duration_s
from assistant.meaning import Understood
from assistant.measures import clock
from assistant.reply import Question, Reply
from assistant.scene import Scene
from assistant.subject import steps_meant
from assistant.wording import plain
from scheduling.events import Event
from scheduling.queries import service_at

_EARLIER = ("earlier", "sooner", "forward", "before")
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
        return Reply("To what time?")
    return Reply(
        f"Service moves to {clock(at)}.", events=(Event(scene.now, "service_moved", value=at),)
    )


def change_servings(ask: Understood, scene: Scene) -> Reply:
    """So many people, or so many more or fewer."""
    count = next((a.value for a in ask.amounts if a.kind == "count"), None)
    if not isinstance(count, float | int):
        return Reply("For how many people?")
    words, now = plain(ask.text), scene.live.state.servings
    people = int(count)
    if any(word in words for word in _FEWER):
        people = now - people
    elif any(word in words.split() for word in ("more", "extra", "another")):
        people = now + people
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
    if what is None:
        return Reply("What is missing: a ring, the oven, or a pan?")
    have = {"ring": scene.kitchen.rings, "oven": len(scene.kitchen.ovens)}
    left = max(0, have.get(what, scene.kitchen.equipment.get(what, 0)) - 1)
    event = Event(scene.now, "equipment_changed", what, float(left))
    return Reply(f"One {what} fewer. I am planning again.", events=(event,))


def cook_joined(_: Understood, scene: Scene) -> Reply:
    """One cook more."""
    return _cooks(scene, len(scene.kitchen.cooks) + 1)


def cook_left(_: Understood, scene: Scene) -> Reply:
    """One cook fewer, never none."""
    if len(scene.kitchen.cooks) <= 1:
        return Reply("Then it is you alone. That is how it was planned.")
    return _cooks(scene, len(scene.kitchen.cooks) - 1)


def drop_dish(ask: Understood, scene: Scene) -> Reply:
    """Leave a whole dish out, once that is confirmed."""
    dish = next((ref.name for ref in ask.refs if ref.kind == "dish"), None)
    if dish is None:
        steps = [step for ref in ask.refs for step in steps_meant(ref, scene)]
        dish = steps[0].dish if steps else None
    if dish is None or dish not in {known.name for known in scene.menu.dishes}:
        return Reply("Which dish shall I leave out?")
    title = scene.menu.dish(dish).title
    if ask.by != "confirmed":
        label = f"leave out {title}"
        meant = Understood(ask.text, "drop_dish", 1.0, refs=ask.refs, by="confirmed")
        return Reply(f"Leave out {title} altogether?", question=Question(((label, meant),)))
    return Reply(f"Left out: {title}.", events=(Event(scene.now, "dish_dropped", dish),))


def _cooks(scene: Scene, count: int) -> Reply:
    event = Event(scene.now, "cooks_changed", value=float(count))
    return Reply(
        f"{count} cooks now. I am planning again."
        if count > 1
        else "One cook now. I am planning again.",
        events=(event,),
    )

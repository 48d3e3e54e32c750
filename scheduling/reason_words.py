"""Limits that collide, and changes that help, in kitchen words."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime

from domain.menu import Follow, Step
from domain.phrasing import clock_shown, duration_shown, number_spoken, shown
from scheduling.case import Case
from scheduling.changes import Change
from scheduling.collision import Collision
from scheduling.heating import dialled, heating_dish
from scheduling.limits import Limit, heating_s, length_s, ways

_NAMED = 4  # steps and rests that are named one by one; shorter ones are only counted
_HISSES = ("s", "x", "sh", "ch")
_ASKED = {
    "shelf": "use one more oven shelf",
    "help": "have somebody to help",
    "ring": "use one more ring",
    "oven": "use another oven",
}
_ORDINALS = {0: "a", 1: "a second", 2: "a third", 3: "a fourth"}


def _clock_shown(at: float) -> str:
    return clock_shown(datetime.fromtimestamp(at))


@dataclass(frozen=True)
class Manner:
    """How values stand in a sentence: lengths of time, moments (both in seconds), and oven
    temperatures with their unit."""

    span: Callable[[float], str] = duration_shown
    clock: Callable[[float], str] = _clock_shown
    degrees: Callable[[float, str], str] = shown


SHOWN = Manner()


def collision_told(found: Collision, manner: Manner = SHOWN) -> str:
    """One sentence that names what collides, for a service; without one, a clause of it."""
    case = found.case
    parts = _parts(found, manner)
    though = "" if found.smallest else ", though some may not matter"
    if found.by_s is None:
        return f"these collide{though}: {'; '.join(parts)}"
    at = manner.clock(case.now + found.by_s - case.since_service_s)
    if not found.in_a_row:
        return f"These collide{though}: service at {at}; {'; '.join(parts)}."
    if len(parts) == 1:
        return f"{_capital(parts[0])} alone takes too long for service at {at}."
    return f"One after the other, {_listed(parts)} take too long for service at {at}{though}."


def changes_told(case: Case, made: Sequence[Change], manner: Manner = SHOWN) -> str:
    """What the cook could do: "get a second large pan and have somebody to help"."""
    return _listed([_change(case, change, manner) for change in made])


def called(case: Case, key: str) -> str:
    """A step as cooks know it: its name, with the dish where two dishes have such a step."""
    step = case.steps[key]
    alike = [other for other in case.menu.steps if other.name == step.name]
    of = f" of “{case.menu.dish(step.dish).title}”" if len(alike) > 1 else ""
    return f"“{step.name}”{of}"


# --- limits -------------------------------------------------------------------------------------


def _parts(found: Collision, manner: Manner) -> list[str]:
    """Each limit in words; of many steps and rests the shorter ones together."""
    case = found.case
    long = sorted(
        (limit for limit in found.limits if limit.kind in ("length", "rest")),
        key=lambda limit: -_length_s(case, limit),
    )
    short = long[_NAMED:] if len(long) > _NAMED + 1 else []
    named = [limit for limit in found.limits if limit not in short]
    if found.in_a_row:  # as they are written, heating first
        keys = [step.key for step in case.menu.steps]
        named.sort(key=lambda limit: keys.index(limit.name) if limit.name in keys else -1)
    parts = [_limit(case, limit, manner) for limit in named]
    if short:
        total = manner.span(sum(_length_s(case, limit) for limit in short))
        parts.append(f"{number_spoken(len(short))} shorter steps ({total} in all)")
    return parts


def _limit(case: Case, limit: Limit, manner: Manner) -> str:
    if limit.kind == "hands":
        return f"the hands of {count(case.cooks, 'cook')}"
    if limit.kind == "piece":
        return count(case.capacities.get(limit.name, 0), limit.name)
    if limit.kind == "washing":
        return f"washing the {limit.name} for another dish"
    if limit.kind in ("shelves", "temperature", "heating"):
        return _oven_limit(case, limit, manner)
    if limit.kind == "course":
        course_s = case.progress.course_s(case.menu, limit.name)
        when = "after" if course_s > 0 else "before"
        title = case.menu.dish(limit.name).title
        return f"“{title}” {manner.span(abs(course_s))} {when} service"
    if limit.kind == "length":
        return f"{called(case, limit.name)} ({_lasting(case, case.steps[limit.name], manner)})"
    step, span = called(case, limit.name), manner.span(_length_s(case, limit))
    if limit.kind == "mark":
        return f"the mark of {step} at {span}"
    before = called(case, limit.after)
    whose = f"the start of {before}" if limit.since == "start" else before
    if limit.kind == "rest":
        to = f"the end of {step}" if limit.until == "end" else step
        return f"the {span} between {whose} and {to}"
    most_s, what = _follow(case, limit).most_s, f"{step} done" if limit.until == "end" else step
    return f"{what} {f'within {manner.span(most_s)} of' if most_s else 'at once after'} {whose}"


def _lasting(case: Case, step: Step, manner: Manner) -> str:
    """How long a step takes in each way it can be done; while cooking, with the gate it ends or
    waits at."""
    if step.key in case.progress.running:
        left = manner.span(length_s(case, step))
        gate = step.gate if step.gate and step.gate.moment == "end" else None
        return f"{left}, until {gate.shown}" if gate else left
    able = [way for way in ways(case, step) if case.fits(way)] or [step]
    told = ", or ".join(f"{manner.span(w.duration.likely_s)} {w.way}".rstrip() for w in able)
    gates = _waited_for(case, step) if case.progress.begun else []
    return f"{told}, once {_listed(gates)}" if gates else told


def _waited_for(case: Case, step: Step) -> list[str]:
    """The gates that hold a step now: its own, or of steps before it that should be over."""
    before = [case.steps[f.step] for f in step.follows if f.step in case.progress.running]
    held = [one.gate for one in before if not length_s(case, one)]
    if step.gate and step.gate.moment == "start" and step.key not in case.progress.seen:
        held.append(step.gate)
    return [gate.shown for gate in held if gate]


def _oven_limit(case: Case, limit: Limit, manner: Manner) -> str:
    oven = next(oven for oven in case.ovens if oven.name == limit.name)
    called = heating_dish(case.kitchen, oven).replace("-", " ")
    if limit.kind == "shelves":
        return f"{count(oven.shelves, 'shelf')} in the {called}"
    if limit.kind == "heating":
        return f"heating the {called} ({manner.span(heating_s(case, oven))})"
    at = dict.fromkeys(
        manner.degrees(degrees, scale.lower())
        for degrees, scale in (dialled(case.kitchen, setting) for setting in case.settings)
    )
    return f"one temperature at a time in the {called}, with {_listed(list(at))} asked for"


def _length_s(case: Case, limit: Limit) -> float:
    """What a step takes from now on, how long a rest is, or when a mark is, in seconds."""
    if limit.kind == "rest":
        return _follow(case, limit).least_s
    if limit.kind == "mark":
        return next(mark.at_s for mark in case.menu.marks if mark.step == limit.name)
    return length_s(case, case.steps[limit.name])


def _follow(case: Case, limit: Limit) -> Follow:
    return next(filter(limit.of, case.menu.step(limit.name).follows))


# --- changes ------------------------------------------------------------------------------------


def _change(case: Case, change: Change, manner: Manner) -> str:
    if change.kind == "piece":
        (name,) = change.names
        return f"get {_ORDINALS.get(case.capacities.get(name, 0), 'one more')} {name}"
    if change.kind == "beforehand":
        return f"{_listed([case.menu.step(key).name for key in change.names])} beforehand"
    if change.kind == "later":
        return f"serve “{_title(case, change)}” {manner.span(change.later_s)} later"
    if change.kind == "left out":
        return f"leave out “{_title(case, change)}”"
    return _ASKED[change.kind]


def _title(case: Case, change: Change) -> str:
    return case.menu.dish(change.names[0]).title


# --- words --------------------------------------------------------------------------------------


def count(number: int, name: str) -> str:
    """ "one large pan", "two baking dishes", "no sieve"."""
    if number == 0:
        return f"no {name}"
    if number > 1 and name.endswith("shelf"):
        name = name.removesuffix("f") + "ve"
    ends = name + ("es" if name.endswith(_HISSES) else "s")
    return f"{number_spoken(number)} {name if number == 1 else ends}"


def _listed(parts: Sequence[str]) -> str:
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"


def _capital(text: str) -> str:
    """The first letter, also after a quotation mark."""
    at = next(place for place, sign in enumerate(text) if sign.isalnum())
    return text[:at] + text[at].upper() + text[at + 1 :]

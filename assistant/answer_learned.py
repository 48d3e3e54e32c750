"""Answers about the cook's own times: what was learned, and whether to plan with it."""

from collections.abc import Iterator, Sequence

from assistant.learning import Learned, Offer
from assistant.meaning import Understood
from assistant.measures import capital, listed, span
from assistant.reply import Reply
from assistant.scene import Scene
from assistant.subject import steps_meant
from assistant.two_forms import to_show
from domain.errors import KitchenError
from domain.menu import Menu

_NEXT_PLAN = "from the next plan on"


def use_learned(ask: Understood, scene: Scene) -> Reply:
    """Take the times that are offered, of the thing named or of all."""
    chosen = _meant(ask, scene, scene.learned.offered)
    if not chosen:
        known = _meant(ask, scene, scene.learned.in_use)
        return Reply("I plan with your own times already." if known else _nothing(ask))
    return Reply(
        f"Your own times hold {_NEXT_PLAN}.",
        more=" ".join(f"{capital(told(offer, scene.menu))}." for offer in chosen),
        learned=taken(scene.learned, chosen),
    )


def written_times(ask: Understood, scene: Scene) -> Reply:
    """Back to the written times, of the thing named or of all."""
    gone = _meant(ask, scene, scene.learned.in_use)
    if not gone:
        return Reply("I plan with the written times.")
    return Reply(
        f"The written times hold again {_NEXT_PLAN}.",
        more=" ".join(f"{capital(told(offer, scene.menu))}: let go." for offer in gone),
        learned=let_go(scene.learned, gone),
    )


def learned(ask: Understood, scene: Scene) -> Reply:
    """What past evenings taught: what is planned with, and what is offered."""
    in_use = _meant(ask, scene, scene.learned.in_use)
    offered = _meant(ask, scene, scene.learned.offered)
    if not in_use and not offered:
        return Reply(_nothing(ask))
    parts = [f"{told(offer, scene.menu)}, in use" for offer in in_use]
    parts += [told(offer, scene.menu) for offer in offered]
    reply = listed("Your own times", parts)
    if not offered:
        return reply
    how = "To plan with what is not in use yet, say: use my times."
    return Reply(f"{reply.spoken} {how}", shown=f"{reply.shown} {how}", more=reply.more)


def offered_line(own: Learned, menu: Menu) -> str:
    """One line that offers what was learned; "" when nothing is offered."""
    if not own.offered:
        return ""
    times = "; ".join(told(offer, menu) for offer in own.offered)
    return to_show(f"Learned from your evenings: {times}. To plan with it, say: use my times.")


def in_use_line(own: Learned, menu: Menu) -> str:
    """One line of the own times that are planned with; "" when there are none."""
    if not own.in_use:
        return ""
    times = "; ".join(told(offer, menu) for offer in own.in_use)
    return to_show(f"Planned with your own times: {times}.")


def lines(own: Learned, menu: Menu) -> Iterator[str]:
    """What is known, a line for each step, with its key as it is accepted and forgotten by."""
    for offers, state in ((own.in_use, "in use"), (own.offered, "offered")):
        for offer in offers:
            yield to_show(f"{state:8} {offer.key}: {told(offer, menu)}")
    if not own.in_use and not own.offered:
        yield "Nothing is known of your own times for this menu yet."


def changed(own: Learned, accept: str | None, forget: str | None) -> Learned:
    """With the times of a step, or of "all", accepted or forgotten. Raises KitchenError."""
    key, among = (accept, own.offered) if accept else (forget, own.in_use)
    chosen = tuple(offer for offer in among if key in (offer.key, "all"))
    if not chosen and key != "all":
        known = ", ".join(sorted({offer.key for offer in among})) or "none"
        raise KitchenError(f"there is no time to change for “{key}”; there are: {known}")
    return taken(own, chosen) if accept else let_go(own, chosen)


def taken(own: Learned, chosen: Sequence[Offer]) -> Learned:
    """With these offers in use, instead of earlier ones of the same step and cook."""
    places = {(offer.key, offer.cook) for offer in chosen}
    kept = (offer for offer in own.in_use if (offer.key, offer.cook) not in places)
    left = (offer for offer in own.offered if offer not in chosen)
    return Learned(tuple(left), (*kept, *chosen))


def let_go(own: Learned, chosen: Sequence[Offer]) -> Learned:
    """Without these in use; they are offered again."""
    places = {(offer.key, offer.cook) for offer in chosen}
    newer = (offer for offer in own.offered if (offer.key, offer.cook) not in places)
    kept = (offer for offer in own.in_use if offer not in chosen)
    return Learned((*newer, *chosen), tuple(kept))


def told(offer: Offer, menu: Menu) -> str:
    """A time with what it rests on: "cut the roots, 8 min, written 5 min, from 3 evenings"."""
    step = next((step for step in menu.steps if step.key == offer.key), None)
    name = step.name.replace("-", " ") if step else offer.key
    whose = f" by {offer.cook}" if offer.cook else ""
    return (
        f"{name}{whose}, {span(offer.learned_s)}, written {span(offer.written_s)}, "
        f"from {offer.count} evenings"
    )


def _meant(ask: Understood, scene: Scene, of: Sequence[Offer]) -> tuple[Offer, ...]:
    """Those of the things named; all when nothing is named."""
    keys = {step.key for ref in ask.refs for step in steps_meant(ref, scene)}
    return tuple(offer for offer in of if not ask.refs or offer.key in keys)


def _nothing(ask: Understood) -> str:
    of = f" for {ask.refs[0].text}" if ask.refs else ""
    return f"I have learned no times of yours{of} yet."

"""What past cooks teach: read from their journals, offered, and kept once the cook accepts it.

Actual times are nowhere but in the journals; deleting those forgets them. What was accepted is
kept in the cook's own folder, and nothing is ever planned with that was not.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from pydantic import TypeAdapter, ValidationError

from assistant.journal import Journal
from domain.errors import FileProblem
from domain.menu import Menu
from domain.settings import own_folder
from domain.whole_file import write_whole
from scheduling.learned import Cooked, Offer, cooked, with_learned
from scheduling.learned import offers as offers_from

__all__ = [
    "NOTHING_LEARNED",
    "Learned",
    "Offer",
    "accept",
    "accepted",
    "forget",
    "keep",
    "offers",
    "with_learned",
]

_OFFERS = TypeAdapter(tuple[Offer, ...])


@dataclass(frozen=True)
class Learned:
    """The cook's own times for one menu: offered: not accepted yet; in_use: planned with."""

    offered: tuple[Offer, ...] = ()
    in_use: tuple[Offer, ...] = ()


NOTHING_LEARNED = Learned()


def offers(
    menu: Menu, folder: Path, in_use: tuple[Offer, ...] = (), cooks: Sequence[str] = ()
) -> tuple[Offer, ...]:
    """The times that the finished cooks in this folder suggest for a menu, as it is written.

    in_use: what was accepted before; cooks: of the kitchen. See `scheduling.learned.offers` for
    what counts.
    """
    return tuple(offers_from(menu, list(_finished_cooks(folder, menu)), in_use, cooks))


def fitting(menu: Menu, kept: tuple[Offer, ...], cooks: Sequence[str]) -> tuple[Offer, ...]:
    """The accepted times that hold for a menu as it is written, in a kitchen of these cooks."""
    written = {step.key: step.duration.likely_s for step in menu.steps}
    return tuple(
        offer
        for offer in kept
        if offer.servings == menu.servings
        and written.get(offer.key) == offer.written_s
        and (not offer.cook or offer.cook in cooks)
    )


def _finished_cooks(folder: Path, menu: Menu) -> Iterator[Cooked]:
    """The cooks that were ended for good and share a dish with the menu, the latest last.

    One that is going on or cannot be read teaches nothing; whoever resumes it is told.
    """
    dishes = {dish.name for dish in menu.dishes}
    for path in sorted(folder.glob("*.sqlite")):
        try:
            journal = Journal(path)
        except FileProblem:
            continue
        try:
            if journal.ended and any(dish.name in dishes for dish in journal.menu.dishes):
                yield cooked(journal.menu, journal.read())
        except FileProblem:
            continue
        finally:
            journal.close()


def accepted_file() -> Path:
    """Where accepted times are kept: JSON in the cook's own folder."""
    return own_folder() / "learned.json"


def accepted(path: Path | None = None) -> tuple[Offer, ...]:
    """The times that were accepted; none when there is no such file. Raises FileProblem."""
    path = path or accepted_file()
    remedy = "delete it to plan with the written times again"
    try:
        kept = _OFFERS.validate_json(path.read_bytes())
    except FileNotFoundError:
        return ()
    except (OSError, ValidationError) as error:
        raise FileProblem(str(path), 0, "", "does not hold learned times", remedy) from error
    for offer in kept:
        if not 0 < offer.low_s <= offer.learned_s <= offer.high_s:
            wrong = f"has no times that can be for “{offer.key}”"
            raise FileProblem(str(path), 0, offer.key, wrong, remedy)
    return kept


def accept(offer: Offer, path: Path | None = None) -> None:
    """Plan with this time from now on, instead of any accepted before. Raises FileProblem."""
    _keep((*_others(offer, path), offer), path)


def forget(offer: Offer, path: Path | None = None) -> None:
    """Plan with a step's written time again. Raises FileProblem."""
    _keep(_others(offer, path), path)


def keep(before: Learned, after: Learned, path: Path | None = None) -> None:
    """Accept and forget what makes `after` of `before`. Raises FileProblem."""
    for offer in before.in_use:
        if offer not in after.in_use:
            forget(offer, path)
    for offer in after.in_use:
        if offer not in before.in_use:
            accept(offer, path)


def _others(offer: Offer, path: Path | None) -> tuple[Offer, ...]:
    """What is accepted of other steps, for other numbers of people or of other cooks."""
    return tuple(other for other in accepted(path) if _place(other) != _place(offer))


def _place(offer: Offer) -> tuple[str, int, str]:
    return offer.key, offer.servings, offer.cook


def _keep(kept: tuple[Offer, ...], path: Path | None) -> None:
    """Write the file whole or not at all."""
    path = path or accepted_file()
    try:
        write_whole(path, _OFFERS.dump_json(kept, indent=2))
    except OSError as error:
        raise FileProblem(str(path), 0, "", "cannot be written", "see to the disk") from error

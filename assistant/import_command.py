"""`hobside import`: recipes of web pages as drafts of dish files."""

import argparse
import re
import sys
import unicodedata
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from domain.errors import FileProblem, KitchenError
from domain.kitchen import UnitSystem
from domain.settings import load_settings
from domain.whole_file import write_whole

if TYPE_CHECKING:
    from assistant.draft import Draft
    from assistant.recipe_page import Recipe


def add_options(parser: argparse.ArgumentParser) -> None:
    """The command's own options."""
    parser.add_argument(
        "files", nargs="+", type=Path, metavar="FILE", help="an HTML page, .json or .jsonld"
    )
    parser.add_argument(
        "-o", "--output", required=True, metavar="DISH",
        help="the dish file to write, or a folder for several",
    )  # fmt: skip
    parser.add_argument("--overwrite", action="store_true", help="write over a file that is there")


def run(options: argparse.Namespace) -> int:
    """Import what can be imported and tell what cannot; 1 when nothing could."""
    folder = options.output.endswith("/") or Path(options.output).is_dir()
    target = Path(options.output)
    if len(options.files) > 1 and not folder:
        raise KitchenError(
            f"{len(options.files)} files do not go into one dish; name a folder, “-o {target}/”"
        )
    measures = load_settings().units or "metric"
    taken: set[Path] = set()
    written = 0
    for path in options.files:
        try:
            recipes = _recipes(path, target, folder)
        except KitchenError as error:
            print(f"hobside: {error}", file=sys.stderr)
            continue
        for recipe in recipes:
            place = _free(target, recipe.title, taken) if folder else target
            taken.add(place)
            try:
                for line in _imported(recipe, place, measures, options.overwrite):
                    print(line)
                written += 1
            except KitchenError as error:
                print(f"hobside: {error}", file=sys.stderr)
    return int(not written)


def _recipes(path: Path, target: Path, folder: bool) -> Sequence["Recipe"]:
    """The recipes of one file. Raises KitchenError.

    target: the file to write, or with `folder` where to put files named after their recipes.
    """
    # These need libraries that no other command loads.
    from assistant.draft import titles
    from assistant.recipe_page import recipes_in

    recipes = recipes_in(path)
    if len(recipes) > 1 and not folder:
        remedy = f"name a folder for them, “-o {target.parent}/”"
        wrong = f"holds {len(recipes)} recipes: {titles(recipes)}"
        raise FileProblem(str(path), 0, "", wrong, remedy)
    return recipes


def _imported(
    recipe: "Recipe", place: Path, measures: UnitSystem, overwrite: bool
) -> Iterator[str]:
    """Write the dish of one recipe, and tell what was made of it. Raises KitchenError."""
    from assistant.draft import draft_of

    if place.exists() and not overwrite:
        remedy = "name another, or say --overwrite"
        raise FileProblem(str(place), 0, "", "is there already", remedy)
    draft = draft_of(recipe, place.stem, measures)
    _write(place, draft.text)
    yield from _told(place, draft)


def _free(folder: Path, title: str, taken: set[Path]) -> Path:
    """A file named after the recipe, unlike those of the same run."""
    plain = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode().lower()
    name = "-".join(re.findall(r"[a-z0-9]+", plain)[:8])[:60].strip("-") or "dish"
    place, number = folder / f"{name}.yaml", 2
    while place in taken:
        place, number = folder / f"{name}-{number}.yaml", number + 1
    return place


def _write(place: Path, text: str) -> None:
    try:
        write_whole(place, text.encode())
    except OSError as error:
        why = error.strerror or "unknown"
        raise FileProblem(
            str(place), 0, "", f"cannot be written ({why})", "name another place"
        ) from error


def _told(place: Path, draft: "Draft") -> Iterator[str]:
    dish = draft.dish
    yield (
        f"{place}: {dish.title}, for {dish.serves}: {len(dish.ingredients)} ingredients,"
        f" {len(dish.steps)} steps, {len(dish.guesses)} guesses to check"
    )
    if draft.disagrees:
        yield f"  {draft.disagrees}"
    yield from (f"  not read: {line}" for line in dish.unread)

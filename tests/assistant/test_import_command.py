"""`hobside import`, as a cook uses it: files in, dish drafts out, and a plan of them."""

import json
from pathlib import Path

import pytest

from assistant.cli import main
from domain.dish_file import read_dish

EGGS = {
    "@type": "Recipe",
    "name": "Ropewalk eggs",
    "recipeYield": "2 servings",
    "recipeIngredient": ["4 eggs", "salt, to taste", "For the toast:"],
    "recipeInstructions": ["Boil the eggs in a small pan for 8 minutes.", "Peel and serve."],
}
TOAST = EGGS | {"name": "Crème & toast!", "recipeInstructions": "Toast the bread for 3 minutes."}


@pytest.fixture
def eggs(tmp_path: Path) -> Path:
    return written(tmp_path / "eggs.json", EGGS)


def written(path: Path, *blocks: object) -> Path:
    path.write_text(json.dumps(blocks))
    return path


def test_a_page_becomes_a_dish_that_is_planned(own_folders, eggs, tmp_path, capsys):
    dish = tmp_path / "dishes" / "eggs.yaml"
    assert main(["import", str(eggs), "-o", str(dish)]) == 0
    told = capsys.readouterr().out
    guesses = read_dish(dish).guesses
    assert f"{dish}: Ropewalk eggs, for 2: 2 ingredients, 2 steps" in told
    assert f"{len(guesses)} guesses to check" in told
    assert "not read: For the toast:" in told

    assert main(["plan", str(dish), "--clock", "18:00"]) == 0
    plan = capsys.readouterr().out
    assert "boil the eggs" in plan
    assert f"“Ropewalk eggs” is a draft: {len(guesses)} values are guesses to check" in plan
    assert "1 line of its recipe could not be read" in plan

    assert main(["plan", str(dish), "white-rice", "--clock", "18:00", "--json"]) == 0
    assert len(json.loads(capsys.readouterr().out)["guesses"]["eggs"]) == len(guesses)


def test_a_drawing_of_a_draft_comes_with_the_word(own_folders, eggs, tmp_path, capsys):
    dish = tmp_path / "eggs.yaml"
    main(["import", str(eggs), "-o", str(dish)])
    sheet = tmp_path / "eggs.svg"
    assert (
        main(["plan", str(dish), "--clock", "18:00", "--run-sheet", "svg", "-o", str(sheet)]) == 0
    )
    assert "“Ropewalk eggs” is a draft" in capsys.readouterr().err
    assert sheet.read_text().startswith("<")


def test_a_checked_dish_is_a_draft_no_more(own_folders, eggs, tmp_path, capsys):
    dish = tmp_path / "eggs.yaml"
    main(["import", str(eggs), "-o", str(dish)])
    lines = iter(dish.read_text().splitlines())
    kept = []
    for line in lines:
        if line.strip() == "guessed:":
            depth = len(line) - len(line.lstrip())
            line = next(lines, "")
            while line and len(line) - len(line.lstrip()) > depth:
                line = next(lines, "")
        kept.append(line)
    dish.write_text("\n".join(kept).partition("\nunread:")[0])
    assert read_dish(dish).guesses == ()
    main(["plan", str(dish), "--clock", "18:00"])
    assert "is a draft" not in capsys.readouterr().out


def test_it_is_found_by_name_in_the_cooks_own_folder(own_folders, eggs, capsys):
    shelf = own_folders / "config" / "hobside" / "dishes"
    assert main(["import", str(eggs), "-o", f"{shelf}/"]) == 0
    assert main(["plan", "ropewalk-eggs", "green-beans", "--clock", "18:00"]) == 0
    assert "Ropewalk eggs" in capsys.readouterr().out


def test_nothing_is_written_over_unasked(own_folders, eggs, tmp_path, capsys):
    dish = tmp_path / "eggs.yaml"
    dish.write_text("mine")
    assert main(["import", str(eggs), "-o", str(dish)]) == 1
    assert "is there already; name another, or say --overwrite" in capsys.readouterr().err
    assert dish.read_text() == "mine"
    assert main(["import", str(eggs), "-o", str(dish), "--overwrite"]) == 0
    assert read_dish(dish).title == "Ropewalk eggs"


def test_two_recipes_want_a_folder(own_folders, tmp_path, capsys):
    both = written(tmp_path / "both.json", EGGS, TOAST)
    assert main(["import", str(both), "-o", str(tmp_path / "one.yaml")]) == 1
    told = capsys.readouterr().err
    assert "holds 2 recipes: “Ropewalk eggs”, “Crème & toast!”; name a folder for them" in told
    assert not (tmp_path / "one.yaml").exists()
    assert main(["import", str(both), "-o", f"{tmp_path}/out/"]) == 0
    assert {path.name for path in (tmp_path / "out").iterdir()} == {
        "ropewalk-eggs.yaml", "creme-toast.yaml",
    }  # fmt: skip


def test_one_bad_file_does_not_stop_the_others(own_folders, eggs, tmp_path, capsys):
    bad = tmp_path / "bad.html"
    bad.write_text("<p>Hello")
    out = tmp_path / "out"
    out.mkdir()
    assert main(["import", str(bad), str(eggs), "-o", str(out)]) == 0
    assert "bad.html: holds no JSON-LD" in capsys.readouterr().err
    assert (out / "ropewalk-eggs.yaml").exists()
    assert main(["import", str(bad), "-o", str(out)]) == 1
    assert main(["import", str(bad), str(eggs), "-o", str(tmp_path / "one.yaml")]) == 1
    assert "2 files do not go into one dish; name a folder" in capsys.readouterr().err


def test_recipes_of_one_name_do_not_take_each_others_place(own_folders, tmp_path):
    alike = written(tmp_path / "a.json", EGGS, EGGS | {"recipeIngredient": ["6 eggs"]})
    assert main(["import", str(alike), "-o", f"{tmp_path}/out/"]) == 0
    found = {path.name: read_dish(path) for path in (tmp_path / "out").iterdir()}
    assert found.keys() == {"ropewalk-eggs.yaml", "ropewalk-eggs-2.yaml"}
    assert found["ropewalk-eggs-2.yaml"].ingredients[0].value == 6


def test_a_place_that_cannot_be_written_is_told(own_folders, eggs, tmp_path, capsys):
    (tmp_path / "file").write_text("")
    assert main(["import", str(eggs), "-o", str(tmp_path / "file" / "eggs.yaml")]) == 1
    assert "cannot be written" in capsys.readouterr().err


def test_a_recipe_that_fails_does_not_lose_those_after_it(own_folders, tmp_path, capsys):
    none = EGGS | {"name": "Nothing at all", "recipeInstructions": []}
    three = written(tmp_path / "three.json", EGGS, none, TOAST)
    out = tmp_path / "out"
    assert main(["import", str(three), "-o", f"{out}/"]) == 0
    assert "Nothing at all" in capsys.readouterr().err
    assert {path.name for path in out.iterdir()} == {"ropewalk-eggs.yaml", "creme-toast.yaml"}


def test_recipes_named_alike_in_two_files_do_not_share_a_dish(own_folders, eggs, tmp_path):
    other = written(tmp_path / "other.json", EGGS | {"recipeYield": "6 servings"})
    out = tmp_path / "out"
    for _ in range(2):
        assert main(["import", str(eggs), str(other), "-o", f"{out}/", "--overwrite"]) == 0
        assert read_dish(out / "ropewalk-eggs.yaml").serves == 2
        assert read_dish(out / "ropewalk-eggs-2.yaml").serves == 6

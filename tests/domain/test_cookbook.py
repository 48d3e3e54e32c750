"""Finding dishes, menus and kitchens, and putting dishes together; the samples that come along."""

from pathlib import Path

import pytest

from domain import cookbook
from domain.cookbook import NotOnShelf, load_dish, load_kitchen, load_menu, menu_of, names
from domain.errors import FileProblem
from domain.ingredients import shows
from domain.kitchen import check
from domain.menu import Mark

STEP = "{say: Boil it., takes: 5 min, attention: watched"


def dish_text(steps: str) -> str:
    return f"title: Soup\nserves: 4\ningredients: {{}}\nsteps:\n{steps}\n"


@pytest.fixture
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The cook's own folder, empty."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    return tmp_path / "hobside"


def shelve(own: Path, shelf: str, name: str, text: str) -> Path:
    path = own / shelf / f"{name}.yaml"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return path


# --- by name -----------------------------------------------------------------------------


def test_the_cooks_own_come_first(own: Path) -> None:
    shelve(own, "dishes", "white-rice", dish_text(f"  boil: {STEP}}}"))
    shelve(own, "dishes", "leek-soup", dish_text(f"  boil: {STEP}}}"))
    assert load_dish("white-rice").title == "Soup"
    assert {"leek-soup", "white-rice", "green-beans"} <= set(names("dishes"))
    assert names("dishes").count("white-rice") == 1


@pytest.mark.parametrize("name", ["../white-rice", "/etc/passwd", "White-Rice", "", "a/b", "a..b"])
def test_a_name_never_reaches_elsewhere(name: str, own: Path) -> None:
    with pytest.raises(NotOnShelf):
        load_dish(name)
    with pytest.raises(NotOnShelf):
        load_menu(name)
    with pytest.raises(NotOnShelf):
        load_kitchen(name)


def test_an_unknown_name_offers_the_nearest(own: Path) -> None:
    with pytest.raises(NotOnShelf) as caught:
        load_dish("white-ric")
    assert str(caught.value) == "there is no dish called “white-ric”; did you mean “white-rice”?"


def test_a_file_by_path_brings_its_own_dishes(own: Path, tmp_path: Path) -> None:
    folder = tmp_path / "elsewhere"
    folder.mkdir()
    (folder / "soup.yaml").write_text(dish_text(f"  boil: {STEP}}}"), encoding="utf-8")
    menu = folder / "lunch.yaml"
    menu.write_text("title: Lunch\nservings: 2\ndishes: [soup, white-rice]\n", encoding="utf-8")
    assert [dish.title for dish in load_menu(menu).dishes] == ["Soup", "Plain white rice"]


# --- menus -------------------------------------------------------------------------------

LUNCH = "title: Lunch\nservings: 2\ndishes: [soup]\n"
BROKEN = {
    "no dishes": (
        "title: Lunch\nservings: 2\ndishes: []\n",
        "3: dishes: has no dishes; name at least one",
    ),
    "unknown dish": (
        "title: Lunch\nservings: 2\ndishes:\n- soup\n- sop\n",
        "5: dishes[2]: there is no dish called “sop”; did you mean “soup”?",
    ),
    "a dish twice": (
        "title: Lunch\nservings: 2\ndishes: [soup, soup]\n",
        "3: dishes: “soup” is there 2 times; name it once and raise servings",
    ),
    "a hundred dishes": (
        f"title: Lunch\nservings: 2\ndishes: [{', '.join(f'd{n}' for n in range(100))}]\n",
        "3: dishes: has 100 dishes; cook at most 20 at once",
    ),
    "nobody": (
        LUNCH.replace("2", "0"),
        "2: servings: 0 is out of range; write a whole number from 1 to 100",
    ),
    "too many people": (
        LUNCH.replace("2", "101"),
        "2: servings: 101 is out of range; write a whole number from 1 to 100",
    ),
    "no such time": (
        LUNCH + "service: 7pm\n",
        "4: service: “7pm” is not a time of service; "
        "write it like “19:30” or “30 min after the start”, or leave it out",
    ),
    "no such hour": (
        LUNCH + "service: 25:00\n",
        "4: service: “25:00” is not a time of service; "
        "write it like “19:30” or “30 min after the start”, or leave it out",
    ),
    "unknown kitchen": (
        LUNCH + "kitchen: hom\n",
        "4: kitchen: there is no kitchen called “hom”; did you mean “home”?",
    ),
    "mark on no step": (
        LUNCH + "marks:\n- {step: soup/bol, at: 5 min}\n",
        "5: marks[1].step: there is no step “soup/bol”; did you mean “soup/boil”?",
    ),
    "course of no dish": (
        LUNCH + "courses: {sop: 5 min after}\n",
        "4: courses.sop: there is no dish “sop” here; did you mean “soup”?",
    ),
    "course at no moment": (
        LUNCH + "courses: {soup: 5 min}\n",
        "4: courses.soup: “5 min” is not before or after; "
        "write it like “20 min after” or “15 min before”",
    ),
    "course of no length": (
        LUNCH + "courses:\n  soup: soon after\n",
        "5: courses.soup: “soon” is not a length of time; "
        "write it like “12 min”, “1 h 10 min”, “90 s” or “8-12 min”",
    ),
    "washing what nobody uses": (
        LUNCH + "wash up: {bowl: 2 min}\n",
        "4: wash up.bowl: no step here uses “bowl”; did you mean “big bowl”?",
    ),
    "washing a ring": (
        LUNCH + "wash up: {ring: 2 min}\n",
        "4: wash up.ring: no step here uses “ring”; known here: big bowl",
    ),
    "washed in no time": (
        LUNCH + "wash up: {big bowl: 0 s}\n",
        "4: wash up.big bowl: is washed in no time at all; give it some seconds, or leave it out",
    ),
    "step marked twice": (
        LUNCH + "marks:\n- {step: soup/boil, at: 5 min}\n- {step: soup/boil, at: 6 min}\n",
        "6: marks[2].step: “soup/boil” is marked twice; mark it once",
    ),
}


@pytest.mark.parametrize("case", BROKEN)
def test_a_broken_menu_says_where_what_and_how(case: str, own: Path) -> None:
    text, message = BROKEN[case]
    shelve(own, "dishes", "soup", dish_text(f"  boil: {STEP}, uses: [ring, big bowl]}}"))
    path = shelve(own, "menus", "lunch", text)
    with pytest.raises(FileProblem) as caught:
        load_menu("lunch")
    assert str(caught.value) == f"{path}:{message}"


def test_a_dish_that_waits_for_one_that_is_not_there(own: Path) -> None:
    with pytest.raises(FileProblem) as caught:
        menu_of(["pan-gravy"], 4)
    assert str(caught.value) == (
        "this menu: dishes: “pan-gravy/pour off the fat” waits for "
        "“flat-roast-chicken/check the chicken”, which is in no dish here; "
        "add the dish “flat-roast-chicken”"
    )


def test_a_cycle_across_dishes(own: Path) -> None:
    shelve(own, "dishes", "broth", dish_text(f"  strain: {STEP}, after: noodles/cook}}"))
    shelve(own, "dishes", "noodles", dish_text(f"  cook: {STEP}, after: broth/strain}}"))
    with pytest.raises(FileProblem) as caught:
        menu_of(["broth", "noodles"], 2)
    assert caught.value.wrong in (
        "strain waits for cook, cook waits for strain",
        "cook waits for strain, strain waits for cook",
    )


def test_service_and_marks(own: Path) -> None:
    shelve(own, "dishes", "soup", dish_text(f"  boil: {STEP}}}"))
    shelve(own, "menus", "a", LUNCH + "service: 7:05\nmarks:\n- {step: soup/boil, at: 90 s}\n")
    shelve(own, "menus", "b", LUNCH + "service: 30 min after the start\n")
    first, second = load_menu("a"), load_menu("b")
    assert (first.service, first.service_after_s) == ("07:05", None)
    assert first.marks == (Mark("soup/boil", 90, ""),)
    assert (second.service, second.service_after_s) == (None, 1800)


def test_courses_and_wash_up(own: Path) -> None:
    shelve(own, "dishes", "soup", dish_text(f"  boil: {STEP}, uses: [ring, big bowl]}}"))
    courses = "courses: {soup: 15 min before, white-rice: 1 h 5 min after}\n"
    text = "title: Lunch\nservings: 2\ndishes: [soup, white-rice]\n" + courses
    shelve(own, "menus", "lunch", text + "wash up: {big bowl: 90 s}\n")
    menu = load_menu("lunch")
    assert menu.courses == {"soup": -900, "white-rice": 3900}
    assert menu.wash_up == {"big bowl": 90}
    shelve(own, "menus", "supper", text.replace("15 min before", "0 min after"))
    assert (load_menu("supper").courses["soup"], load_menu("supper").wash_up) == (0, {})


def test_dishes_combine_without_a_menu_file(own: Path) -> None:
    menu = menu_of(["white-rice", "green-beans"], 3, "19:10")
    assert (menu.name, menu.servings, menu.service) == ("white-rice-green-beans", 3, "19:10")
    assert {step.dish for step in menu.steps} == {"white-rice", "green-beans"}


@pytest.mark.parametrize(
    ("dishes", "servings", "service", "field"),
    [
        (["white-rice"], 0, None, "servings"),
        (["white-rice"], 101, None, "servings"),
        (["white-rice"], 2, "noon", "service"),
        ([], 2, None, "dishes"),
        (["white-rice"] * 2, 2, None, "dishes"),
        (["white-rice"] * 100, 2, None, "dishes"),
    ],
)
def test_no_menu_of_nothing_or_for_nobody(
    dishes: list[str], servings: int, service: str | None, field: str, own: Path
) -> None:
    with pytest.raises(FileProblem) as caught:
        menu_of(dishes, servings, service)
    assert caught.value.field == field


# --- the samples -------------------------------------------------------------------------

SUPPLIED = Path(cookbook.__file__).parent
MENUS = sorted(path.stem for path in (SUPPLIED / "menus").glob("*.yaml"))
DISHES = sorted(path.stem for path in (SUPPLIED / "dishes").glob("*.yaml"))
LONGEST_SAYING = 20  # words; more is hard to keep in mind by ear (common practice)


@pytest.mark.parametrize("name", MENUS)
def test_a_sample_menu_is_of_the_promised_size_and_fits_its_kitchen(name: str, own: Path) -> None:
    menu = load_menu(name)
    assert menu.kitchen
    kitchen = load_kitchen(menu.kitchen)
    check(menu, kitchen)
    assert 4 <= len(menu.dishes) <= 6
    assert 25 <= len(menu.steps) <= 45
    assert len(kitchen.cooks) == 1


@pytest.mark.parametrize("name", DISHES)
def test_a_sample_dish_can_be_spoken_and_judged_without_looking(name: str, own: Path) -> None:
    dish = load_dish(name)
    for step in dish.steps:
        lines = (step.say, *step.cautions)
        assert all(len(line.split()) <= LONGEST_SAYING for line in lines), step.key
        if step.on_heat and step.attention == "unattended" and step.duration.likely_s > 600:
            assert step.cues.sound or step.cues.smell or step.cues.feel, step.key
    assert {item for step in dish.steps for item in step.ingredients} == {
        ingredient.name for ingredient in dish.ingredients
    }, "every ingredient is used in a step"
    assert dish.keeps
    assert all(shows(ingredient.name).known for ingredient in dish.ingredients)


def test_samples_carry_the_figures_that_keep_people_safe(own: Path) -> None:
    beans = load_dish("bean-pot")
    hard = beans.step("boil the beans hard")
    assert hard.duration.low_s >= 30 * 60  # FDA, Bad Bug Book, 2nd ed., natural toxins
    assert "five hours" in beans.ahead[0]  # the same
    for dish in ("chicken-and-fennel", "flat-roast-chicken"):
        check_step = load_dish(dish).step("check the chicken")
        assert check_step.gate
        assert "74 °C" in check_step.gate.shown  # USDA FSIS: 165 °F for all poultry
        assert "165 °F" in check_step.cautions[0]
    salmon = load_dish("salmon-brown-butter").step("finish the salmon")
    assert salmon.gate
    assert "145 °F" in salmon.gate.shown  # USDA FSIS: fish
    patties = load_dish("lamb-patties").step("check the patties")
    assert patties.gate
    assert "71 °C" in patties.gate.shown  # USDA FSIS: 160 °F for minced lamb
    assert "160 °F" in patties.cautions[0]
    assert "one hour" in load_dish("white-rice").keeps  # FSA rice advice
    for leaves in ("radish-leaves", "cucumber-dill"):
        assert load_dish(leaves).hold_s == 5 * 60

"""The cook's settings: read, refused, written and kept documented."""

from dataclasses import fields, replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain import settings
from domain.errors import FileProblem
from domain.settings import Settings, documented, load_settings, own_folder, save_settings
from domain.yamlfile import parse

EXAMPLE = Path(settings.__file__).with_name("settings.yaml")


def test_the_documented_example_holds_the_usual_settings() -> None:
    assert load_settings(EXAMPLE) == Settings()


def test_the_example_names_every_setting() -> None:
    said = {"cook_name": "Ann", "microphone": "USB", "loudspeaker": "1"}
    text = documented(replace(Settings(), units="us", altitude_m=1.0, **said))
    # None is commented out.
    assert set(parse(text, "s").pairs()) == {field.name for field in fields(Settings)}


def test_no_file_means_the_usual_settings(tmp_path: Path) -> None:
    assert load_settings(tmp_path / "settings.yaml") == Settings()


def test_the_cooks_own_folder_is_used(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    save_settings(Settings(kitchen="bench"))
    assert (own_folder() / "settings.yaml").is_file()
    assert load_settings().kitchen == "bench"


WORDS = st.from_regex(r"[A-Za-zé“”'\"#:{}\[\]\\ -]*[a-z]", fullmatch=True)


@given(
    emergency_number=WORDS.map(lambda text: " ".join(text.split())),
    allergies=st.lists(st.sampled_from(["milk", "tree nuts", "nuts", "kiwi"]), unique=True),
    by_ear=st.booleans(),
    speed=st.sampled_from([0.5, 1.0, 1.25, 2.0]),
    altitude_m=st.none() | st.integers(-400, 6000).map(float),
)
def test_what_is_written_is_read_back(
    emergency_number: str,
    allergies: list[str],
    by_ear: bool,
    speed: float,
    altitude_m: float | None,
) -> None:
    mine = Settings(
        emergency_number=emergency_number,
        allergies=tuple(allergies),
        by_ear=by_ear,
        speed=speed,
        altitude_m=altitude_m,
    )
    assert settings.settings_of(parse(documented(mine), "s")) == mine


def test_a_saved_file_stays_documented_and_leaves_nothing_beside_it(tmp_path: Path) -> None:
    path = tmp_path / "new" / "settings.yaml"
    save_settings(replace(Settings(), answers="full"), path)
    save_settings(replace(Settings(), answers="brief", called="Mistress Ladle"), path)
    text = path.read_text(encoding="utf-8")
    assert load_settings(path).called == "Mistress Ladle"
    assert text.count("#") == EXAMPLE.read_text(encoding="utf-8").count("#")
    assert list(path.parent.iterdir()) == [path]


def test_what_could_not_be_read_back_is_not_written(tmp_path: Path) -> None:
    path = tmp_path / "settings.yaml"
    save_settings(Settings(), path)
    before = path.read_bytes()
    with pytest.raises(FileProblem):
        save_settings(replace(Settings(), speed=9.0), path)
    assert path.read_bytes() == before
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ("unts: us", "1: unts: is not a field known here; did you mean “units”?"),
        ("units: imperial", "1: units: “imperial” is not known; known here: au, metric, uk, us"),
        ("foods: french", "1: foods: “french” is not known; known here: uk, us"),
        ("altitude_m: 15 m", "1: altitude_m: “15 m” is not a number; "),
        ("altitude_m: 9000", "1: altitude_m: 9000 is out of range; "),
        ("allergies: {milk: yes}", "1: allergies: is a group of fields; write a list"),
        (
            "allergies: [milk, peanutz]",
            "1: allergies[2]: “peanutz” is no allergen or food known here; did you mean “peanuts”?",
        ),
        ("food_rules: strict", "1: food_rules: “strict” is not known; did you mean “strictest”?"),
        ("emergency_number:", "1: emergency_number: is empty; "),
        ("answers: short", "1: answers: “short” is not known; "),
        ("by_ear: 1", "1: by_ear: “1” is neither yes nor no; write yes or no"),
        ("speed: 3", "1: speed: 3 is out of range; write a number from 0.5 to 2"),
        ("volume: loud", "1: volume: “loud” is not a number; write a number from 0 to 1"),
        ("called: a b c", "1: called: “a b c” cannot be listened for; choose one or two plain"),
        ("listening: nme", "1: listening: “nme” is not known; did you mean “name”?"),
        ("kitchen: ../home", "1: kitchen: “../home” is not a kitchen’s name; write a name"),
    ],
)
def test_a_wrong_setting_is_refused(line: str, message: str, tmp_path: Path) -> None:
    path = tmp_path / "settings.yaml"
    path.write_text(f"{line}\n", encoding="utf-8")
    with pytest.raises(FileProblem) as caught:
        load_settings(path)
    assert str(caught.value).startswith(f"{path}:{message}")

"""The cook's own settings: one frozen value, one documented YAML file."""

import json
import re
from collections.abc import Callable
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any, Literal

import platformdirs

from domain.ingredients import allergen_index, allergens, shows
from domain.kitchen import UnitSystem
from domain.whole_file import write_whole
from domain.written import UNIT_SYSTEMS
from domain.yamlfile import Entry, parse, read, suggestion

_DOCUMENTED = Path(__file__).with_name("settings.yaml")
_LINE = re.compile(r"(?:# )?([a-z_]+): .*")  # a setting, in use or commented out
_CALLED = re.compile(r"[A-Za-z]{2,}( [A-Za-z]{2,})?")
_NAME = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


@dataclass(frozen=True)
class Settings:
    """What `settings.yaml` documents, field by field.

    units and altitude_m (metres above the sea): None for the kitchen's own. speed: times the usual
    speed of speech. volume: 0 silent, 0.5 as usual, 1 as loud as can be. sounds: short sounds
    besides speech. microphone, loudspeaker: part of a device's name, or its number; None for the
    system's default.
    """

    units: UnitSystem | None = None
    foods: Literal["uk", "us"] = "uk"
    altitude_m: float | None = None
    allergies: tuple[str, ...] = ()
    food_rules: Literal["uk", "us", "strictest"] = "strictest"
    emergency_number: str = "your local emergency number"
    answers: Literal["brief", "full"] = "brief"
    by_ear: bool = False
    voice: str = "default"
    speed: float = 1.0
    volume: float = 0.5
    sounds: bool = True
    microphone: str | None = None
    loudspeaker: str | None = None
    called: str = "hobside"
    listening: Literal["open", "name", "key"] = "open"
    kitchen: str = "home"
    cook_name: str | None = None


def own_folder() -> Path:
    """The cook's own folder, which may hold settings.yaml, dishes/, menus/ and kitchens/."""
    return platformdirs.user_config_path("hobside")


def load_settings(path: Path | None = None) -> Settings:
    """The settings in a file, by default the cook's own; the usual ones when it is not there.

    Raises FileProblem for a file that cannot be used, never falling back in silence.
    """
    path = path or own_folder() / "settings.yaml"
    return settings_of(read(path)) if path.exists() else Settings()


def save_settings(settings: Settings, path: Path | None = None) -> None:
    """Write the documented file whole or not at all. Raises FileProblem, OSError."""
    path = path or own_folder() / "settings.yaml"
    text = documented(settings)
    settings_of(parse(text, str(path)))  # what could not be read back is not written
    write_whole(path, text.encode())


def documented(settings: Settings) -> str:
    """The settings as a file that explains each of them."""
    names = {field.name for field in fields(Settings)}
    lines: list[str] = []
    for line in _DOCUMENTED.read_text(encoding="utf-8").splitlines():
        found = _LINE.fullmatch(line)
        if found and found[1] in names:
            value = getattr(settings, found[1])
            line = line if value is None else f"{found[1]}: {_written(value)}"
        lines.append(line)
    return "\n".join(lines) + "\n"


def _written(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:g}"
    return json.dumps(value, ensure_ascii=False)


def settings_of(entry: Entry) -> Settings:
    """The settings written in `entry`. Raises FileProblem."""
    found = entry.fields(optional=tuple(_READERS))
    values: dict[str, Any] = {name: _READERS[name](one) for name, one in found.items()}
    return Settings(**values)


def _one_of(*known: str) -> Callable[[Entry], str]:
    return lambda entry: entry.choice(known)


def _between(low: float, high: float) -> Callable[[Entry], float]:
    return lambda entry: entry.number(low, high)


def _allergies(entry: Entry) -> tuple[str, ...]:
    """Allergens and foods that the tables know: a misspelt one would warn of nothing."""
    for item in entry.items():
        word = item.text()
        if not (allergen_index().within(word) or shows(word).known):
            remedy = suggestion(word, [allergen.name for allergen in allergens()])
            raise item.problem(f"“{word}” is no allergen or food known here", remedy)
    return entry.texts()


def _called(entry: Entry) -> str:
    name = entry.text()
    if not _CALLED.fullmatch(name):
        raise entry.problem(f"“{name}” cannot be listened for", "choose one or two plain words")
    return name


def _kitchen(entry: Entry) -> str:
    name = entry.text()
    if not _NAME.fullmatch(name):
        raise entry.problem(f"“{name}” is not a kitchen’s name", "write a name such as “home”")
    return name


_READERS: dict[str, Callable[[Entry], object]] = {
    "units": _one_of(*UNIT_SYSTEMS),
    "foods": _one_of("uk", "us"),
    "altitude_m": _between(-450, 6000),
    "allergies": _allergies,
    "food_rules": _one_of("uk", "us", "strictest"),
    "emergency_number": Entry.text,
    "answers": _one_of("brief", "full"),
    "by_ear": Entry.yes,
    "voice": Entry.text,
    "speed": _between(0.5, 2),
    "volume": _between(0, 1),
    "sounds": Entry.yes,
    "microphone": Entry.text,
    "loudspeaker": Entry.text,
    "called": _called,
    "listening": _one_of("open", "name", "key"),
    "kitchen": _kitchen,
    "cook_name": Entry.text,
}

"""A kitchen file read into a `Kitchen`, with every rule of kitchens checked."""

from pathlib import Path

from domain import written
from domain.kitchen import Kitchen, Oven
from domain.yamlfile import Entry, read


def read_kitchen(path: Path) -> Kitchen:
    """The kitchen in a file; its name is the file's. Raises FileProblem."""
    entry = read(path)
    found = entry.fields(
        required=("title", "rings", "cooks"),
        optional=("ovens", "equipment", "units", "altitude"),
    )
    equipment = found["equipment"].pairs() if "equipment" in found else {}
    for name, piece in equipment.items():
        if name in ("ring", "oven"):
            raise piece.problem("is not equipment", f"count it under “{name}s”")
    return Kitchen(
        name=path.stem,
        title=found["title"].text(),
        rings=found["rings"].whole(0, 20),
        ovens=tuple(
            _oven(name, oven)
            for name, oven in (found["ovens"].pairs() if "ovens" in found else {}).items()
        ),
        equipment={name: piece.whole(1, 100) for name, piece in equipment.items()},
        cooks=_cooks(found["cooks"]),
        units=written.unit_system(found["units"]) if "units" in found else "metric",
        altitude_m=written.altitude_m(found["altitude"]) if "altitude" in found else 0.0,
    )


def _oven(name: str, entry: Entry) -> Oven:
    found = entry.fields(required=("shelves", "heats", "changes"), optional=("fan",))
    return Oven(
        name=name,
        shelves=found["shelves"].whole(1, 10),
        heat_s=written.seconds(found["heats"]),
        change_s=written.seconds(found["changes"]),
        fan=found["fan"].yes() if "fan" in found else False,
    )


def _cooks(entry: Entry) -> tuple[str, ...]:
    cooks = entry.texts()
    if not cooks:
        raise entry.problem("names no cook", "name at least one, such as “[cook]”")
    return cooks

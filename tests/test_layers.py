"""Imports go one way: assistant -> scheduling -> domain."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
MAY_IMPORT = {
    "domain": {"domain"},
    "scheduling": {"scheduling", "domain"},
    "assistant": {"assistant", "scheduling", "domain"},
}
SOURCES = sorted(path for package in MAY_IMPORT for path in (ROOT / package).glob("*.py"))


def imported(path: Path) -> set[str]:
    """The first part of every module name that the file imports."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path.name}: relative import"
            found.add((node.module or "").split(".")[0])
    return found


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_imports_only_downwards(path):
    upward = (imported(path) & set(MAY_IMPORT)) - MAY_IMPORT[path.parent.name]
    assert not upward


def test_only_the_model_imports_or_tools():
    users = {f"{path.parent.name}/{path.name}" for path in SOURCES if "ortools" in imported(path)}
    assert users == {"scheduling/model.py"}


def test_every_module_says_what_it_is_for():
    silent = [path for path in SOURCES if not ast.get_docstring(ast.parse(path.read_text()))]
    assert not silent

"""The set-up's decisions, in folders of the test's own; nothing is installed."""

import stat
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest

from assistant import install
from assistant.install import KITCHEN, RASA, RUNTIME, TESTS, CannotSetUp, Environment

_ANY = Environment(".venv", ("3.11", "3.10"), "get Python 3.11")


def _fake_python(path: Path, says: str, status: int = 0) -> Path:
    """A program that answers the probe as a Python would."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(f"#!/bin/sh\necho '{says}'\nexit {status}\n")
    path.chmod(path.stat().st_mode | stat.S_IXUSR)
    return path


@pytest.fixture
def machine(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A machine with nothing on it but a shell, whose running Python is a 3.9."""
    old = _fake_python(tmp_path / "old" / "python3", f"3.9 {tmp_path}/old/python3")
    monkeypatch.setattr(sys, "executable", str(old))
    monkeypatch.setenv("PATH", f"{tmp_path}/shims:{tmp_path}/bin")
    monkeypatch.setenv("PYENV_ROOT", str(tmp_path / "pyenv"))
    return tmp_path


@pytest.fixture
def checkout(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty checkout with its locks."""
    monkeypatch.setattr(install, "ROOT", tmp_path)
    for file in (RUNTIME.lock, TESTS.lock, RASA.lock, "pyproject.toml"):
        (tmp_path / file).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / file).write_text("numpy==2.4.6\n")
    return tmp_path


def test_a_python_on_the_path_is_found_by_its_real_place(machine: Path) -> None:
    _fake_python(machine / "bin" / "python3", "3.11 /opt/python/bin/python3.11")
    assert install.find_python(_ANY) == Path("/opt/python/bin/python3.11")


def test_a_shim_that_fails_is_passed_over_for_a_pyenv_version(machine: Path) -> None:
    _fake_python(machine / "shims" / "python3.10", "pyenv: command not found", status=127)
    real = _fake_python(machine / "pyenv" / "versions" / "3.10.13" / "bin" / "python", "")
    _fake_python(real, f"3.10 {real}")
    assert install.find_python(_ANY) == real


def test_a_python_that_cannot_make_environments_is_passed_over(machine: Path) -> None:
    _fake_python(machine / "bin" / "python3.11", "No module named ensurepip", status=1)
    with pytest.raises(CannotSetUp, match=r"get Python 3\.11"):
        install.find_python(_ANY)


def test_the_better_version_is_taken_wherever_it_is(machine: Path) -> None:
    _fake_python(machine / "shims" / "python3.10", f"3.10 {machine}/shims/python3.10")
    _fake_python(machine / "bin" / "python3.11", f"3.11 {machine}/bin/python3.11")
    assert install.find_python(_ANY) == machine / "bin" / "python3.11"


def test_uv_is_asked_last(machine: Path) -> None:
    real = _fake_python(machine / "uv" / "python3.11", f"3.11 {machine}/uv/python3.11")
    _fake_python(machine / "bin" / "uv", str(real))
    assert install.find_python(_ANY) == real


def test_this_python_is_probed_rightly() -> None:
    version, python = install.probe(Path(sys.executable)) or ("", Path())
    assert version == f"{sys.version_info[0]}.{sys.version_info[1]}"
    assert python.is_file()


def test_too_little_space_is_told_before_anything_is_done(
    checkout: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("shutil.disk_usage", lambda path: SimpleNamespace(free=10**9))
    assert install.main(["cook"]) == 1
    told = capsys.readouterr()
    assert "1.0 GB free" in told.err
    assert told.out == ""
    assert not (checkout / ".venv").exists()


def test_a_stamp_holds_until_lock_project_or_place_changes(checkout: Path) -> None:
    stamp, value = install.stamp_of(RUNTIME)
    assert not install.is_stamped(stamp, value)
    stamp.parent.mkdir()
    stamp.write_text(value)
    assert install.is_stamped(*install.stamp_of(RUNTIME))
    for file in (RUNTIME.lock, "pyproject.toml"):
        before = (checkout / file).read_text()
        (checkout / file).write_text(before + "pint==0.25.3\n")
        assert not install.is_stamped(*install.stamp_of(RUNTIME))
        (checkout / file).write_text(before)
    assert install.is_stamped(*install.stamp_of(RUNTIME))


def test_a_half_made_environment_is_removed_and_a_whole_one_kept(checkout: Path) -> None:
    folder = checkout / KITCHEN.folder
    _fake_python(folder / "bin" / "python", "")
    install.discard_half_made(KITCHEN)
    assert not folder.exists()

    _fake_python(folder / "bin" / "python", "")
    (folder / install.MADE).write_text(str(checkout))
    install.discard_half_made(KITCHEN)
    assert folder.exists()

    (folder / install.FILLING).touch()
    install.discard_half_made(KITCHEN)
    assert not folder.exists()


def test_an_environment_whose_python_is_gone_or_whose_checkout_moved_is_removed(
    checkout: Path,
) -> None:
    folder = checkout / KITCHEN.folder
    (folder / "bin").mkdir(parents=True)
    (folder / "bin" / "python").symlink_to(checkout / "removed")
    (folder / install.MADE).write_text(str(checkout))
    install.discard_half_made(KITCHEN)
    assert not folder.exists()

    _fake_python(folder / "bin" / "python", "")
    (folder / install.MADE).write_text("/somewhere/else")
    install.discard_half_made(KITCHEN)
    assert not folder.exists()


def test_a_command_that_fails_gives_its_error_line(checkout: Path) -> None:
    code = (
        "print('fine so far'); print('ERROR: no such package'); print('bye'); raise SystemExit(1)"
    )
    with pytest.raises(CannotSetUp, match="it failed: ERROR: no such package"):
        install.run([sys.executable, "-c", code], "it failed")


def test_commands_cannot_read_what_is_typed(checkout: Path) -> None:
    code = "import sys; print(repr(sys.stdin.read()))"
    assert list(install.follow([sys.executable, "-c", code], "")) == ["''\n"]


def test_it_runs_as_a_script_and_tells_how_it_is_used() -> None:
    script = Path(install.__file__)
    ran = subprocess.run(
        [sys.executable, str(script), "bake"], capture_output=True, text=True, check=False
    )
    assert ran.returncode == 2
    assert ran.stdout == ""
    assert ran.stderr.startswith("usage:")

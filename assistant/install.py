"""Sets up everything, once: `python3 assistant/install.py [cook|test]`.

Runs on any Python from 3.8 on, with nothing but its library, before there is anything else.
Prints to standard error, reads nothing, and does again only what has changed: each environment
keeps a stamp, written last, of what went into it.
"""

from __future__ import annotations

import ctypes.util
import hashlib
import os
import shutil
import subprocess
import sys
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent


class CannotSetUp(Exception):
    """What is missing and how to get it, in one line."""


@dataclass(frozen=True)
class Environment:
    """A folder of installed packages. versions: Pythons that will do, the best first."""

    folder: str
    versions: tuple[str, ...]
    how_to_get: str


@dataclass(frozen=True)
class Part:
    """A list of packages that goes into an environment. gigabytes: measured, once installed."""

    name: str
    environment: Environment
    lock: str
    gigabytes: float


KITCHEN = Environment(
    ".venv",
    ("3.11", "3.12", "3.13"),
    "the assistant needs Python 3.11, 3.12 or 3.13: type “uv python install 3.11” or"
    " “pyenv install 3.11”, or on Debian “apt-get install python3 python3-venv”",
)
INTENTS = Environment(
    ".venv-rasa",
    ("3.10",),
    "the intent server needs Python 3.10: type “uv python install 3.10” or “pyenv install 3.10”",
)
RUNTIME = Part("the assistant", KITCHEN, "assistant/requirements.txt", 0.7)
TESTS = Part("the tests' own packages", KITCHEN, "tests/requirements.txt", 0.4)
RASA = Part("the intent server", INTENTS, "domain/intents/requirements.txt", 2.7)
SPARE_GIGABYTES = 0.5  # for what is unpacked on the way
MADE = "made-by-install"  # written when the environment is made
FILLING = "being-filled"  # there while packages are put in place; left behind when that is cut off


def say(line: str) -> None:
    """Print for the cook; standard output belongs to the program that is set up."""
    print(line, file=sys.stderr, flush=True)


def probe(python: Path) -> tuple[str, Path] | None:
    """Return ("3.11", its real path) for a Python that runs and can make environments, else None.

    A version manager's shim can be on the PATH and fail; a Debian Python can lack ensurepip.
    """
    code = "import sys, ssl, venv, ensurepip\nprint('%d.%d' % sys.version_info[:2], sys.executable)"
    try:
        ran = subprocess.run(
            [str(python), "-c", code],
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            timeout=20,
        )
    except (OSError, subprocess.TimeoutExpired):
        return None
    version, _, real = ran.stdout.strip().partition(" ")
    return (version, Path(real)) if ran.returncode == 0 and real else None


def pythons(version: str) -> Iterator[Path]:
    """Yield where a Python of that version may be: this one, PATH, pyenv's versions, uv's."""
    yield Path(sys.executable)
    for folder in os.environ.get("PATH", "").split(os.pathsep):
        for name in (f"python{version}", "python3"):
            yield Path(folder) / name
    pyenv = Path(os.environ.get("PYENV_ROOT") or Path.home() / ".pyenv")
    for folder_of_version in sorted((pyenv / "versions").glob(f"{version}*"), reverse=True):
        yield folder_of_version / "bin" / "python"
    if shutil.which("uv"):
        found = subprocess.run(
            ["uv", "python", "find", version],
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
        )
        yield Path(found.stdout.strip() or "uv-found-none")


def find_python(environment: Environment) -> Path:
    """Return a Python for the environment. Raises CannotSetUp when there is none."""
    known: dict[Path, tuple[str, Path] | None] = {}
    for version in environment.versions:
        for python in pythons(version):
            if python not in known:
                known[python] = probe(python) if python.is_file() else None
            found = known[python]
            if found and found[0] == version:
                return found[1]
    raise CannotSetUp(environment.how_to_get)


def fingerprint(files: Iterable[Path]) -> str:
    """Return a hash of where this checkout is and what is in the files."""
    content = hashlib.sha256(str(ROOT).encode())
    for file in files:
        content.update(hashlib.sha256(file.read_bytes()).digest())
    return content.hexdigest()


def is_stamped(stamp: Path, value: str) -> bool:
    """Return whether the work that the stamp stands for was finished for this value."""
    return stamp.is_file() and stamp.read_text() == value


def check_space(parts: list[Part]) -> None:
    """Raise CannotSetUp when the parts do not fit on the disk; else say how much they take."""
    needed = sum(part.gigabytes for part in parts)
    free = shutil.disk_usage(ROOT).free / 1e9
    if free < needed + SPARE_GIGABYTES:
        raise CannotSetUp(
            f"setting up takes {needed + SPARE_GIGABYTES:.1f} GB and {ROOT} has"
            f" {free:.1f} GB free: make room, then type the same again"
        )
    say(f"Setting up, once: about {needed:.1f} GB of {free:.0f} GB free. This takes some minutes.")


def run(command: list[str], failed: str) -> None:
    """Run a command without a word. Raises CannotSetUp with its error."""
    for _ in follow(command, failed):
        pass


def follow(command: list[str], failed: str) -> Iterator[str]:
    """Run a command and yield its lines as they come. Raises CannotSetUp with its error."""
    process = subprocess.Popen(
        command,
        cwd=ROOT,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        env={**os.environ, "PIP_NO_INPUT": "1", "PIP_DISABLE_PIP_VERSION_CHECK": "1"},
    )
    assert process.stdout is not None
    lines = []
    try:
        for line in process.stdout:
            lines.append(line.rstrip())
            yield line
    except BaseException:
        process.kill()
        raise
    if process.wait() != 0:
        troubles = [line for line in lines if "error" in line.lower()] or lines
        raise CannotSetUp(f"{failed}: {troubles[-1] if troubles else 'no reason given'}")


def discard_half_made(environment: Environment) -> None:
    """Remove an environment that was left half made, that is broken, or whose checkout moved."""
    folder = ROOT / environment.folder
    whole = is_stamped(folder / MADE, str(ROOT)) and (folder / "bin" / "python").is_file()
    if folder.exists() and (not whole or (folder / FILLING).exists()):
        say(f"{environment.folder} is not whole: making it anew.")
        shutil.rmtree(folder)


def ensure_environment(environment: Environment) -> Path:
    """Return the environment's Python, making the folder when there is none."""
    folder = ROOT / environment.folder
    python = folder / "bin" / "python"
    if not folder.exists():
        base = find_python(environment)
        say(f"Making {environment.folder} with {base}.")
        run([str(base), "-m", "venv", str(folder)], f"{environment.folder} could not be made")
        (folder / MADE).write_text(str(ROOT))
    return python


def stamp_of(part: Part) -> tuple[Path, str]:
    """Return where the part's stamp is and what it says when the part is installed."""
    files = [ROOT / part.lock]
    if part is RUNTIME:
        files.append(ROOT / "pyproject.toml")
    name = "installed-" + Path(part.lock).parent.name
    return ROOT / part.environment.folder / name, fingerprint(files)


def locked(lock: Path) -> int:
    """Return how many packages a lock names: each begins a line, what belongs to it does not."""
    return sum(line[:1].isalnum() for line in lock.read_text().splitlines())


def install(part: Part) -> None:
    """Install exactly the part's locked packages, checked by hash. Raises CannotSetUp."""
    python = ensure_environment(part.environment)
    stamp, value = stamp_of(part)
    stamp.unlink(missing_ok=True)
    pip = [str(python), "-m", "pip", "install", "--no-deps"]
    say(f"Installing {part.name}, about {part.gigabytes} GB.")
    filling = ROOT / part.environment.folder / FILLING
    count, packages = 0, locked(ROOT / part.lock)
    for line in follow(
        [*pip, "--require-hashes", "-r", part.lock],
        f"{part.name} could not be installed (is there a network?); type the same to try again",
    ):
        if line.startswith("Collecting "):
            count += 1
            say(f"  {count} of {packages}: {line.split()[1]}")
        elif line.startswith("Installing collected"):
            say("  putting them in place")
            filling.touch()
    if part is RUNTIME:
        run([*pip, "--no-build-isolation", "-e", "."], "hobside itself could not be installed")
    filling.unlink(missing_ok=True)
    if part is RUNTIME:
        say("Making the networks that hear and speak ready (170 MB in your cache folder).")
        prepare = [str(python), "-m", "assistant.prepare"]
        for line in follow(prepare, "the networks could not be made ready"):
            say(f"  {line.rstrip()}")
    stamp.write_text(value)


def lacking(for_tests: bool) -> list[str]:
    """The Debian packages for sound that are not there.

    PortAudio is for microphone and loudspeaker; espeak-ng and flite are voices for trying the
    hearing (the assistant's own come with its packages); the tests have a virtual sound card.
    """
    packages = [] if ctypes.util.find_library("portaudio") else ["libportaudio2"]
    programs = ("espeak-ng", "flite", "pulseaudio") if for_tests else ("espeak-ng", "flite")
    packages += [name for name in programs if not shutil.which(name)]
    card = "*/alsa-lib/libasound_module_pcm_pulse.so"
    if for_tests and not any(Path("/usr/lib").glob(card)):
        packages.append("libasound2-plugins")
    return packages


def sound_packages(for_tests: bool) -> None:
    """See to what Linux keeps as system packages. Without them all goes on, typed at worst."""
    packages = lacking(for_tests) if sys.platform.startswith("linux") else []
    if not packages:
        return
    tried = ROOT / ".venv" / "tried-apt"
    apt = shutil.which("apt-get")
    if apt and os.geteuid() == 0 and not is_stamped(tried, " ".join(packages)):
        say(f"Installing system packages for sound (20 to 60 MB): {' '.join(packages)}.")
        tried.write_text(" ".join(packages))
        get = [apt, "-y", "-q", "install", *packages]
        for step in (get, [apt, "-q", "update"], get):
            quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
            ran = subprocess.run(
                step, stdin=subprocess.DEVNULL, capture_output=True, env=quiet, check=False
            )
            if step is get and ran.returncode == 0:
                return
    how = f"sudo apt-get install {' '.join(packages)}" if apt else "install them with your system"
    say(f"Not installed: {', '.join(packages)} (microphone, loudspeaker, trial voices): {how}")


def train() -> None:
    """Train the intent model when anything has changed that its training copy is made from."""
    files = [*ROOT.glob("assistant/*.py"), *ROOT.glob("domain/**/*.*"), ROOT / RASA.lock]
    stamp = ROOT / "models" / "trained-from"
    value = fingerprint(sorted(file for file in files if file.suffix != ".pyc"))
    if is_stamped(stamp, value) and any(ROOT.glob("models/intents/*.tar.gz")):
        return
    say("Seeing to the intent model, which is trained on the phrase book: two to five minutes.")
    python = str(ROOT / KITCHEN.folder / "bin" / "python")
    run([python, "-m", "assistant.intent_server"], "the intent model could not be trained")
    stamp.write_text(value)


def set_up(for_tests: bool) -> None:
    """Do all that is not done yet. Raises CannotSetUp when the assistant could not start after."""
    for environment in (KITCHEN, INTENTS):
        discard_half_made(environment)
    wanted = [RUNTIME, TESTS, RASA] if for_tests else [RUNTIME, RASA]
    missing = [part for part in wanted if not is_stamped(*stamp_of(part))]
    if missing:
        check_space(missing)
    for part in missing:
        if part is not RASA:
            install(part)
    sound_packages(for_tests)
    try:
        if RASA in missing:
            install(RASA)
        train()
    except CannotSetUp as trouble:
        say(f"{trouble}\nUntil then only the phrase book's own wordings are understood.")
    if missing:
        say("Set up.")


def main(words: list[str]) -> int:
    """Set up for cooking, or with "test" for the tests too; 0 when all that must work does."""
    if words not in ([], ["cook"], ["test"]):
        say("usage: python3 assistant/install.py [cook|test]")
        return 2
    try:
        set_up(for_tests=words == ["test"])
    except CannotSetUp as trouble:
        say(str(trouble))
        return 1
    except KeyboardInterrupt:
        say("Stopped half way; type the same again to go on.")
        return 130
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

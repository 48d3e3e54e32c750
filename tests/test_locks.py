"""What the locks name: for which platforms, and under which licences."""

import importlib.metadata
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from packaging.requirements import Requirement

from assistant.install import locked

ROOT = Path(__file__).parents[1]
LOCK, TEST_LOCK = ROOT / "assistant" / "requirements.txt", ROOT / "tests" / "requirements.txt"

# What may be used and handed on; the GPL only in the parts that speak, as the README tells.
ALLOWED = re.compile(
    r"\b(?:MIT|MIT-0|0?BSD|BSD-[23]-Clause|Apache|ISC|Zlib|CC0-1\.0|PSF-2\.0|PSFL|MPL-2\.0"
    r"|LGPL-2\.1-or-later|3-Clause BSD)\b"
)
SPEAKS = {"piper-tts": "GPL-3.0-or-later"}
# What a field for the licence says that names none.
SAYS = SPEAKS | {"textblob-aptagger": "Copyright 2013 Matthew Honnibal"}
# Wheels that state none, and where theirs was found.
FOUND = {
    # eSpeak NG, which is all that it carries: COPYING in eSpeak NG's repository.
    "espeakng-loader": "GPL-3.0-or-later",
    # Cargo.toml of its repository (thewh1teagle/aec), for the library that the wheel carries;
    # SpeexDSP in it: COPYING in Xiph.Org's repository, BSD-3-Clause.
    "pyaec": "MIT",
    # The licence file in its wheel's metadata.
    "pyrnnoise": "Apache-2.0",
    # The text below that line of its metadata, which also says “MIT licensed”.
    "textblob-aptagger": "MIT",
}


def requirements(lock: Path) -> Iterator[Requirement]:
    for line in lock.read_text().splitlines():
        if line[:1].isalnum():
            yield Requirement(line.removesuffix("\\"))


def stated(name: str) -> str:
    """The licence by a package's own metadata: its expression, field or classifiers."""
    told = importlib.metadata.metadata(name)
    classifiers = [c for c in told.get_all("Classifier") or [] if c.startswith("License ::")]
    field = told.get("License-Expression") or (told.get("License") or "").split("\n")[0]
    return " ".join([field if field != "UNKNOWN" else "", *classifiers]).strip()


HERE = sorted({r.name for r in requirements(LOCK) if r.marker is None or r.marker.evaluate()})


@pytest.mark.parametrize("name", HERE)
def test_every_package_has_a_licence_that_allows_its_use(name):
    licence = stated(name)
    if name in SPEAKS or name in FOUND:
        assert licence == SAYS.get(name, ""), "it states another now: change the list"
    else:
        assert ALLOWED.search(licence), licence or "none stated"


@pytest.mark.parametrize(
    ("system", "machine", "here"),
    [
        ("linux", "x86_64", {"moonshine-cpp", "pyaec"}),
        ("linux", "aarch64", set()),
        ("darwin", "arm64", {"pyaec"}),
    ],
)
def test_what_has_wheels_for_some_platforms_only_is_asked_for_there_alone(system, machine, here):
    platform = {"sys_platform": system, "platform_machine": machine}
    named = {
        each.name
        for each in requirements(LOCK)
        if each.marker is None or each.marker.evaluate(platform)
    }
    assert named & {"moonshine-cpp", "pyaec"} == here
    assert "pocketsphinx" in named


@pytest.mark.parametrize("lock", [LOCK, TEST_LOCK])
def test_the_set_up_counts_each_package_once_whatever_its_platforms(lock):
    assert locked(lock) == len(list(requirements(lock)))

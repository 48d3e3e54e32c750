"""Fetching a model from a server that the test holds: whole, broken off, altered, or not at all."""

import hashlib
import io
import os
import threading
import zipfile
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest

from assistant import download
from assistant.models import state_of
from domain.errors import KitchenError

NAME = "small-model"
ARCHIVE = f"{NAME}.zip"


def packed() -> bytes:
    """A model of half a megabyte that does not compress."""
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as archive:
        archive.writestr(f"{NAME}/am/final.mdl", os.urandom(500_000))
    return file.getvalue()


class Publisher:
    """Serves one archive at /model.zip. cut: bytes after which it hangs up, once."""

    def __init__(self) -> None:
        self.content = packed()
        self.heeds_ranges = True
        self.cut: int | None = None
        self.asked: list[str] = []
        outer = self

        class Handler(BaseHTTPRequestHandler):
            def do_GET(self) -> None:
                outer.answer(self)

            def log_message(self, *_: object) -> None:
                pass

        self.server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self.address = f"http://127.0.0.1:{self.server.server_port}/model.zip"

    def answer(self, request: BaseHTTPRequestHandler) -> None:
        asked = request.headers.get("Range", "")
        self.asked.append(asked)
        if request.path == "/moved.zip":
            request.send_response(302)
            request.send_header("Location", self.address)
            request.end_headers()
            return
        if request.path != "/model.zip":
            request.send_error(404)
            return
        start = int(asked[6:-1]) if self.heeds_ranges else 0
        if start >= len(self.content):
            request.send_error(416)
            return
        body = self.content[start:]
        request.send_response(206 if self.heeds_ranges else 200)
        request.send_header("Content-Length", str(len(body)))
        if self.heeds_ranges:
            end = len(self.content)
            request.send_header("Content-Range", f"bytes {start}-{end - 1}/{end}")
        request.end_headers()
        request.wfile.write(body[: self.cut])
        self.cut = None


@pytest.fixture
def publisher():
    one = Publisher()
    thread = threading.Thread(target=one.server.serve_forever, daemon=True)
    thread.start()
    yield one
    one.server.shutdown()
    one.server.server_close()
    thread.join()


@pytest.fixture
def get(publisher, tmp_path: Path):
    """Fetches into a folder of the test's; `get.folder` is that folder."""
    sha256 = hashlib.sha256(publisher.content).hexdigest()

    def run(address: str = publisher.address, given: str = sha256):
        (tmp_path / "manifest.yaml").write_text(
            f"{NAME}: {{for: hearing, version: '1', publisher: The test, licence: Apache-2.0,"
            f" comes: download, address: '{address}', archive: {ARCHIVE}, gigabytes: 0.001}}"
        )
        return download.get(NAME, given, tmp_path, tmp_path / "manifest.yaml")

    run.folder = tmp_path
    return run


def left(folder: Path) -> list[str]:
    return sorted(file.name for file in folder.iterdir() if file.name != "manifest.yaml")


def test_a_model_is_fetched_checked_and_unpacked_with_its_progress_told(get, capfd):
    model = get()
    assert state_of(model, get.folder) == "installed"
    assert left(get.folder) == [NAME, f"{NAME}.sha256"]
    told = capfd.readouterr().err
    assert f"{ARCHIVE}: 100% of 0.5 MB" in told


def test_one_that_is_there_is_not_fetched_again(get, publisher):
    get()
    get()
    assert publisher.asked == ["bytes=0-"]


def test_a_broken_download_is_carried_on_where_it_ended(get, publisher):
    publisher.cut = 300_000
    with pytest.raises(KitchenError, match=r"0\.3 MB are kept: type the same to go on"):
        get()
    assert left(get.folder) == [ARCHIVE + ".part"]
    assert state_of(get(), get.folder) == "installed"
    # What came is written a quarter of a MiB at a time; the rest of it is asked for again.
    assert publisher.asked == ["bytes=0-", "bytes=262144-"]


def test_a_server_that_knows_no_ranges_sends_it_whole_again(get, publisher):
    publisher.cut, publisher.heeds_ranges = 300_000, False
    with pytest.raises(KitchenError, match="type the same to go on"):
        get()
    assert state_of(get(), get.folder) == "installed"


def test_a_part_longer_than_the_whole_is_given_up(get, publisher):
    (get.folder / (ARCHIVE + ".part")).write_bytes(bytes(len(publisher.content) + 1))
    with pytest.raises(KitchenError, match="type the same again"):
        get()
    assert state_of(get(), get.folder) == "installed"


def test_a_redirection_is_followed(get, publisher):
    assert state_of(get(publisher.address.replace("model.zip", "moved.zip")), get.folder)
    assert left(get.folder) == [NAME, f"{NAME}.sha256"]


def test_an_altered_archive_is_refused_and_not_kept(get, publisher):
    publisher.content = publisher.content[:-30] + bytes(30)
    with pytest.raises(KitchenError, match="does not have the checksum"):
        get()
    assert left(get.folder) == []


@pytest.mark.parametrize("address", ["http://127.0.0.1:9/model.zip", "nowhere", "PUBLISHER/none"])
def test_without_a_network_it_tells_where_to_place_the_file(get, publisher, address):
    address = address.replace("PUBLISHER", publisher.address.removesuffix("/model.zip"))
    with pytest.raises(KitchenError) as told:
        get(address)
    assert f"fetch {address} on any machine" in str(told.value)
    assert f"place the file at {get.folder / ARCHIVE}, and type the same again" in str(told.value)
    assert left(get.folder) == []


def test_a_file_placed_by_hand_needs_no_network(get, publisher):
    (get.folder / ARCHIVE).write_bytes(publisher.content)
    assert state_of(get(), get.folder) == "installed"
    assert publisher.asked == []
    assert left(get.folder) == [NAME, f"{NAME}.sha256"]


def test_a_wrong_file_placed_by_hand_is_told_and_left_alone(get):
    (get.folder / ARCHIVE).write_bytes(b"the cook's own")
    with pytest.raises(KitchenError, match="does not have the checksum"):
        get()
    assert left(get.folder) == [ARCHIVE]


def test_without_any_checksum_nothing_is_fetched(get, publisher):
    with pytest.raises(KitchenError, match="--sha256"):
        get(given="")
    assert publisher.asked == []


def test_a_disk_too_small_is_told_before_anything_is_fetched(get, publisher, monkeypatch):
    usage = type("Usage", (), {"free": 2_000_000})  # three times one thousandth of a GB is 3 MB
    monkeypatch.setattr(download.shutil, "disk_usage", lambda _: usage)
    with pytest.raises(KitchenError, match=r"needs 3\.0 MB .* has 2\.0 MB"):
        get()
    assert publisher.asked == []


def test_what_the_set_up_brings_is_not_fetched():
    with pytest.raises(KitchenError, match="make setup"):
        download.get("rnnoise")


def test_the_command_lists_and_refuses_what_it_does_not_know():
    told: list[str] = []
    assert download.command([], "", told.append) == 0
    assert any(line.startswith("en_US-joe-medium: installed") for line in told)
    assert any(line.startswith("vosk-model-en-us-0.22: ") for line in told)
    for words in (["fetch"], ["add"], ["get"], ["add", "a", "b"]):
        with pytest.raises(KitchenError, match="models get NAME"):
            download.command(words, "", told.append)

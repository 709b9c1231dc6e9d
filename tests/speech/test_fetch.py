"""Fetching a model, from a server on this machine that misbehaves in every way we know."""

from __future__ import annotations

import hashlib
import io
import stat
import threading
import zipfile
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest

from fieldlog.errors import DownloadFailed, InputError, ModelDamaged
from fieldlog.paths import Places
from fieldlog.speech import fetch
from fieldlog.speech.fetch import fetch_model
from fieldlog.speech.models import SpeechModel


class Shop(ThreadingHTTPServer):
    """Serves one file, ranges included, and counts what was asked."""

    daemon_threads = True

    def __init__(self) -> None:
        super().__init__(("127.0.0.1", 0), Counter)
        self.content = b""
        self.asked: list[str] = []
        self.break_after: int | None = None
        self.ranges = True
        self.length = ""
        """What is said to be the length, if it is not the true one."""

    @property
    def base(self) -> str:
        return f"http://127.0.0.1:{self.server_address[1]}/models/"


class Counter(BaseHTTPRequestHandler):
    server: Shop

    def do_GET(self) -> None:
        wanted = self.headers.get("Range", "")
        self.server.asked.append(wanted)
        if not self.path.startswith("/models/mini"):
            self.send_error(404, "Not Found")
            return
        content, start = self.server.content, 0
        if wanted and self.server.ranges:
            start = int(wanted.removeprefix("bytes=").rstrip("-"))
            if start >= len(content):
                self.send_response(416)
                self.send_header("Content-Range", f"bytes */{len(content)}")
                self.end_headers()
                return
            self.send_response(206)
        else:
            self.send_response(200)
        rest = content[start:]
        self.send_header("Content-Length", self.server.length or str(len(rest)))
        self.end_headers()
        if self.server.break_after is not None:
            self.wfile.write(rest[: self.server.break_after])
            self.wfile.flush()
            self.connection.close()
        else:
            self.wfile.write(rest)

    def log_message(self, format: str, *args: object) -> None:
        pass


@pytest.fixture
def shop() -> Iterator[Shop]:
    server = Shop()
    thread = threading.Thread(target=server.serve_forever, args=(0.02,))
    thread.start()
    yield server
    server.shutdown()
    thread.join()
    server.server_close()


@pytest.fixture(scope="session")
def real_zip(shipped: SpeechModel) -> bytes:
    """The shipped model, packed as Vosk's authors pack theirs: one folder in a zip file."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as pack:
        for path in sorted(shipped.path.rglob("*")):
            if path.is_file():
                pack.write(path, f"mini-en/{path.relative_to(shipped.path)}")
    return out.getvalue()


def packed(*files: tuple[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as pack:
        for name, content in files:
            pack.writestr(name, content)
    return out.getvalue()


def left(home: Places) -> list[str]:
    return sorted(p.name for p in home.models.iterdir())


def test_a_model_is_fetched_checked_and_put_in_place(
    home: Places, shop: Shop, real_zip: bytes
) -> None:
    shop.content = real_zip
    seen: list[tuple[int, int]] = []
    digest = hashlib.sha256(real_zip).hexdigest()
    fetched = fetch_model("mini-en", home, digest, lambda n, of: seen.append((n, of)), shop.base)
    assert fetched.model.path == home.models / "mini-en"
    assert (fetched.sha256, fetched.checked) == (digest, True)
    assert seen[-1] == (len(real_zip), len(real_zip))
    assert left(home) == ["mini-en"]
    assert list((home.cache / "downloads").iterdir()) == []
    with pytest.raises(InputError, match="already"):
        fetch_model("mini-en", home, base=shop.base)


def test_a_broken_download_goes_on_where_it_broke(
    home: Places, shop: Shop, real_zip: bytes
) -> None:
    shop.content = real_zip
    shop.break_after = 1_000_000
    with pytest.raises(DownloadFailed, match=r"broke off|could not be fetched") as caught:
        fetch_model("mini-en", home, base=shop.base)
    assert "again" in caught.value.remedy
    assert left(home) == []
    shop.break_after = None
    fetched = fetch_model(f"{shop.base}mini-en.zip", home)
    assert shop.asked == ["", "bytes=1000000-"]
    assert fetched.sha256 == hashlib.sha256(real_zip).hexdigest()
    assert not fetched.checked


def test_a_server_without_ranges_starts_over(home: Places, shop: Shop) -> None:
    shop.content = packed(("mini/am/x", b"1" * 50_000))
    shop.break_after = 100
    with pytest.raises(DownloadFailed):
        fetch_model("mini", home, base=shop.base)
    shop.break_after, shop.ranges = None, False
    with pytest.raises(ModelDamaged, match="incomplete"):
        fetch_model("mini", home, base=shop.base)


def test_all_there_but_not_unpacked_yet(home: Places, shop: Shop) -> None:
    shop.content = packed(("mini/am/x", b"1"))
    part = next(iter([home.cache / "downloads" / _part_name(f"{shop.base.rstrip('/')}/mini.zip")]))
    part.parent.mkdir(parents=True)
    part.write_bytes(shop.content)
    with pytest.raises(ModelDamaged):
        fetch_model("mini", home, base=shop.base)
    assert shop.asked == [f"bytes={len(shop.content)}-"]


def _part_name(url: str) -> str:
    return f"{hashlib.sha256(url.encode()).hexdigest()[:16]}-mini.zip.part"


def test_a_wrong_checksum_throws_the_file_away(home: Places, shop: Shop) -> None:
    shop.content = packed(("mini/am/x", b"1"))
    with pytest.raises(DownloadFailed, match="checksum of mini differs"):
        fetch_model("mini", home, "0" * 64, base=shop.base)
    assert list((home.cache / "downloads").iterdir()) == []
    with pytest.raises(InputError, match="64 hexadecimal"):
        fetch_model("mini", home, "123", base=shop.base)


def test_offline(home: Places) -> None:
    with pytest.raises(DownloadFailed, match="could not be fetched") as caught:
        fetch_model("mini", home, base="http://127.0.0.1:9/models")
    assert "Go online" in caught.value.remedy
    with pytest.raises(DownloadFailed):
        fetch_model("mini", home, base="http://no-such-host.invalid/models")


def test_refused(home: Places, shop: Shop) -> None:
    with pytest.raises(DownloadFailed, match="The server refused: 404"):
        fetch_model("other", home, base=shop.base)


@pytest.mark.parametrize("name", ["../x", "a/b", "", "file:///etc/passwd", "x y", ".hidden", "ä"])
def test_names_that_are_none(home: Places, name: str) -> None:
    with pytest.raises(InputError, match="neither the name"):
        fetch_model(name, home)


def _link() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as pack:
        info = zipfile.ZipInfo("mini/am")
        info.external_attr = (stat.S_IFLNK | 0o777) << 16
        pack.writestr(info, "/etc")
    return out.getvalue()


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (packed(("../../evil", b"x")), "odd name"),
        (packed(("/etc/evil", b"x")), "odd name"),
        (packed(("mini\\..\\evil", b"x")), "odd name"),
        (packed(("C:evil", b"x")), "odd name"),
        (packed(("mini/\x07", b"x")), "odd name"),
        (_link(), "is a link"),
        (packed(("mini/bomb", bytes(60_000_000))), "far more than a model"),
        (packed(*((f"mini/{n}", b"") for n in range(2_001))), "too many files"),
        (packed(("mini/a", b"x"), ("mini/a/b", b"y")), "occurs twice"),
        (b"<html>Sign in to the campsite Wi-Fi</html>", "not a whole zip file"),
        (packed(("mini/a", b"x" * 1000))[:-30], "not a whole zip file"),
        (b"", "not a whole zip file"),
    ],
    ids=lambda value: value if isinstance(value, str) else "archive",
)
def test_archives_that_are_not_safe(
    home: Places, shop: Shop, content: bytes, says: str, tmp_path: Path
) -> None:
    shop.content = content
    before = sorted(p.name for p in tmp_path.rglob("evil"))
    with pytest.raises(DownloadFailed, match=says):
        fetch_model("mini", home, base=shop.base)
    assert left(home) == []
    assert sorted(p.name for p in tmp_path.rglob("evil")) == before


def test_a_damaged_file_in_the_archive(home: Places, shop: Shop) -> None:
    content = bytearray(packed(("mini/a", bytes(range(256)) * 40)))
    content[60] ^= 0xFF
    shop.content = bytes(content)
    with pytest.raises(DownloadFailed, match="not a whole zip file"):
        fetch_model("mini", home, base=shop.base)


def test_an_archive_without_a_model(home: Places, shop: Shop) -> None:
    shop.content = packed(("README", b"hello"), ("mini/x", b"y"))
    with pytest.raises(ModelDamaged, match="incomplete"):
        fetch_model("mini", home, base=shop.base)
    assert left(home) == []


@pytest.mark.parametrize("top", ["", "whatever/"])
def test_an_archive_may_hold_its_model_with_or_without_a_folder(
    home: Places, shop: Shop, monkeypatch: pytest.MonkeyPatch, top: str
) -> None:
    files = ("am/final.mdl", "conf/model.conf", "conf/mfcc.conf", "graph/HCLG.fst")
    shop.content = packed(*((f"{top}{name}", b"x") for name in files))
    monkeypatch.setattr(fetch, "prove", lambda model, places: None)  # it is no model that loads
    fetched = fetch_model("mini", home, base=shop.base)
    assert fetched.model.path == home.models / "mini"
    inside = sorted(str(p.relative_to(fetched.model.path)) for p in fetched.model.path.rglob("*.*"))
    assert inside == sorted(files)
    assert left(home) == ["mini"]


def test_a_download_without_end_is_thrown_away(
    home: Places, shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Kept for the next try it would fill the disk and be of no use."""
    shop.content = packed(("mini/am/x", bytes(range(256)) * 2_000))
    monkeypatch.setattr(fetch, "_MOST_BYTES", 500)
    with pytest.raises(DownloadFailed, match="far too large"):
        fetch_model("mini", home, base=shop.base)
    assert list((home.cache / "downloads").iterdir()) == []


def test_a_server_that_says_no_length_is_read_to_its_end(home: Places, shop: Shop) -> None:
    shop.content = packed(("mini/am/x", b"1"))
    shop.length = "many"
    seen: list[tuple[int, int]] = []
    with pytest.raises(ModelDamaged, match="incomplete"):
        fetch_model("mini", home, "", lambda n, of: seen.append((n, of)), shop.base)
    assert seen == [(len(shop.content), 0)], "how much it will be is not known"


def test_half_of_another_file_is_thrown_away(home: Places, shop: Shop) -> None:
    shop.content = packed(("mini/am/x", b"1"))
    part = home.cache / "downloads" / _part_name(f"{shop.base.rstrip('/')}/mini.zip")
    part.parent.mkdir(parents=True)
    part.write_bytes(bytes(len(shop.content) + 100))
    with pytest.raises(DownloadFailed, match="no longer fits"):
        fetch_model("mini", home, base=shop.base)
    assert not part.exists()


def test_offers_are_addresses_of_vosks_own_site() -> None:
    """Names as on https://alphacephei.com/vosk/models (its page lists these three)."""
    assert fetch.OFFICIAL == "https://alphacephei.com/vosk/models/"
    assert fetch.OFFERS[0].name == "vosk-model-small-en-us-0.15"
    for offer in fetch.OFFERS:
        assert (
            fetch.address_of(offer.name, fetch.OFFICIAL)[0] == f"{fetch.OFFICIAL}{offer.name}.zip"
        )

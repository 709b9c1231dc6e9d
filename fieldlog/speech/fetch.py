"""Fetching an official Vosk model, only when the user asks for it and is online.

The one place in fieldlog that uses the network. The download goes on where it broke off, is
checked, unpacked beside its place with every name in the archive mistrusted, proven to load, and
only then moved into the models folder. Nothing half-fetched is ever found by ``find_model``.
"""

from __future__ import annotations

import hashlib
import http.client
import shutil
import stat
import urllib.error
import urllib.parse
import urllib.request
import uuid
import zipfile
import zlib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from fieldlog.errors import DownloadFailed, InputError, ModelDamaged
from fieldlog.paths import Places
from fieldlog.sound.keep import disk_errors, sha256_of, sync_folder
from fieldlog.speech.models import Origin, SpeechModel, examine, prove

OFFICIAL = "https://alphacephei.com/vosk/models/"
"""Where Vosk's authors publish their models."""


@dataclass(frozen=True, slots=True)
class Offer:
    """An official English model."""

    name: str
    megabytes: int
    """Size of the download as its authors give it."""
    about: str


OFFERS = (
    Offer("vosk-model-small-en-us-0.15", 40, "small and quick; takes a word list at run time"),
    Offer("vosk-model-en-us-0.22-lgraph", 128, "more accurate; takes a word list at run time"),
    Offer("vosk-model-en-us-0.22", 1800, "most accurate; needs a desktop with 16 GB of memory"),
)
"""Names and sizes from Vosk's models page. Its authors publish no SHA-256, so none is claimed:
give one you trust, or compare the one that is reported with a second download."""

_BLOCK = 1 << 16
"""Bytes fetched or unpacked at once."""
_TIMEOUT = 30.0
"""Seconds without an answer after which the server counts as gone."""
_MOST_FILES = 2_000
_MOST_BYTES = 8 << 30
"""Of a download, and of what it unpacks to."""
_MOST_RATIO = 200
"""What an archive may unpack to, in its own size."""

Progress = Callable[[int, int], None]
"""Called with the bytes fetched so far and in all (0: unknown)."""


@dataclass(frozen=True, slots=True)
class Fetched:
    """A model that was fetched, checked and put in place."""

    model: SpeechModel
    sha256: str
    """Hex SHA-256 of the archive."""
    checked: bool
    """True if it was compared with a checksum that the user gave."""


def fetch_model(
    name_or_url: str,
    places: Places,
    sha256: str = "",
    progress: Progress | None = None,
    base: str = OFFICIAL,
) -> Fetched:
    """Fetch a model by official name or full address and put it into the models folder.

    Args:
        name_or_url: e.g. ``vosk-model-small-en-us-0.15``, or an address ending in ``.zip``.
        places: whose models folder.
        sha256: expected hex SHA-256 of the archive; empty: it is only reported.
        progress: see ``Progress``.
        base: address that a bare name is added to.

    Raises:
        InputError: neither a plain name nor an http(s) address, or a malformed checksum.
        DownloadFailed: offline, refused, broken off, wrong checksum, or not a safe archive.
            What was fetched so far is kept and the next try goes on from there.
        ModelDamaged: the archive holds no model that loads.
        DiskFull, NotAllowed: the models folder cannot take it.
    """
    url, name = address_of(name_or_url, base)
    sha256 = sha256.strip().lower()
    if sha256 and (len(sha256) != 64 or set(sha256) - set("0123456789abcdef")):
        raise InputError("A SHA-256 checksum has 64 hexadecimal digits.", "Copy it again, whole.")
    downloads = places.cache / "downloads"
    with disk_errors("the download"):
        downloads.mkdir(parents=True, exist_ok=True, mode=0o700)
        places.models.mkdir(parents=True, exist_ok=True, mode=0o700)
    archive = downloads / f"{hashlib.sha256(url.encode()).hexdigest()[:16]}-{name}.zip.part"
    _download(url, archive, progress)
    digest = sha256_of(archive)
    if sha256 and digest != sha256:
        archive.unlink()
        raise DownloadFailed(
            f"The checksum of {name} differs: expected {sha256}, got {digest}.",
            "The file was thrown away. Try again; if it differs again, do not use it.",
        )
    try:
        model = unpack_model(archive, name, places)
    except (DownloadFailed, ModelDamaged):
        archive.unlink(missing_ok=True)
        raise
    archive.unlink(missing_ok=True)
    return Fetched(model, digest, bool(sha256))


def unpack_model(archive: Path, name: str, places: Places) -> SpeechModel:
    """Unpack a model archive into the models folder, after examining and proving it.

    Raises:
        DownloadFailed: not a zip file, or one that is not safe to unpack.
        ModelDamaged: no model in it, or it does not load.
        InputError: a model of that name is there already.
        DiskFull, NotAllowed: the models folder cannot take it.
    """
    final = places.models / name
    if final.exists():
        raise InputError(f"There is a model {name} already.", f"Move {final} away first.")
    unpacked = places.models / f".unpacking-{uuid.uuid4().hex}"
    try:
        with disk_errors("the model"):
            unpacked.mkdir(mode=0o700)
            _unpack(archive, unpacked)
        inside = _model_root(unpacked)
        named = unpacked / name
        if inside != named:
            if named.exists():
                named = unpacked / f"{name}-{uuid.uuid4().hex[:6]}"
            inside.rename(named)
        prove(examine(named), places)
        with disk_errors("the model"):
            named.rename(final)
            sync_folder(places.models)
    finally:
        shutil.rmtree(unpacked, ignore_errors=True)
    return examine(final, Origin.YOURS)


def address_of(name_or_url: str, base: str) -> tuple[str, str]:
    """Where a model is fetched from, and its name.

    Raises:
        InputError: the name is none.
    """
    parts = urllib.parse.urlsplit(name_or_url)
    if parts.scheme in ("http", "https"):
        name = PurePosixPath(urllib.parse.unquote(parts.path)).name.removesuffix(".zip")
        url = name_or_url
    else:
        name, url = name_or_url, f"{base.rstrip('/')}/{name_or_url}.zip"
    plain = name.replace("-", "").replace(".", "").replace("_", "")
    if not plain.isascii() or not plain.isalnum() or name.startswith("."):
        raise InputError(
            f"“{name_or_url}” is neither the name of a model nor the address of one.",
            "Known names: " + ", ".join(o.name for o in OFFERS) + ".",
        )
    return url, name


def _download(url: str, target: Path, progress: Progress | None) -> None:
    """Fetch ``url`` into ``target``, going on after what is there already."""
    have = target.stat().st_size if target.exists() else 0
    answer = _answer(url, target, have)
    if answer is None:
        return
    with answer:
        if have and answer.status != 206:
            have = 0  # the server starts over
        told = answer.headers.get("Content-Length") or ""
        length = int(told) if told.isdigit() else 0
        total = have + length if length else 0
        with disk_errors("the download"), target.open("ab" if have else "wb") as file:
            while block := _block(answer, file.tell()):
                file.write(block)
                if progress is not None:
                    progress(file.tell(), total)
                if file.tell() > _MOST_BYTES:
                    break
            size = file.tell()
    if size > _MOST_BYTES:
        target.unlink()
        raise DownloadFailed("The file is far too large for a model.", "It was thrown away.")
    if total and size < total:
        raise DownloadFailed(
            f"The connection broke off after {size / 1e6:.1f} of {total / 1e6:.1f} MB.",
            "Run the same command again: it goes on from there.",
        )


def _answer(url: str, target: Path, have: int) -> http.client.HTTPResponse | None:
    """The server's answer from byte ``have`` on; none if ``target`` is whole already."""
    request = urllib.request.Request(url, headers={"User-Agent": "fieldlog"})
    if have:
        request.add_header("Range", f"bytes={have}-")
    try:
        answer: http.client.HTTPResponse = urllib.request.urlopen(request, timeout=_TIMEOUT)
    except urllib.error.HTTPError as problem:
        if problem.code == 416 and have and _whole_size(problem) == have:
            return None
        if problem.code == 416:
            target.unlink(missing_ok=True)
            raise DownloadFailed(
                "The half-fetched file no longer fits the one on offer.",
                "It was thrown away; try again.",
            ) from problem
        raise DownloadFailed(
            f"The server refused: {problem.code} {problem.reason}.",
            "Check the name of the model, or try again later.",
        ) from problem
    except (urllib.error.URLError, OSError, http.client.HTTPException, ValueError) as problem:
        raise _offline(problem, have) from problem
    return answer


def _block(answer: http.client.HTTPResponse, have: int) -> bytes:
    try:
        return answer.read(_BLOCK)
    except (OSError, http.client.HTTPException) as problem:
        raise _offline(problem, have) from problem


def _whole_size(problem: urllib.error.HTTPError) -> int:
    """Size from ``Content-Range: bytes */SIZE`` (RFC 9110, 14.4), or -1."""
    text = problem.headers.get("Content-Range", "") if problem.headers else ""
    size = text.rpartition("/")[2]
    return int(size) if size.isdigit() else -1


def _offline(problem: BaseException, have: int) -> DownloadFailed:
    reason = getattr(problem, "reason", None) or problem
    kept = f" {have / 1e6:.1f} MB are kept for the next try." if have else ""
    return DownloadFailed(
        f"The model could not be fetched ({reason}).{kept}",
        "Go online and run the same command again; until then the shipped model is used.",
    )


def _unpack(archive: Path, into: Path) -> None:
    """Unpack, refusing names that lead elsewhere, links, and bombs."""
    try:
        with zipfile.ZipFile(archive) as pack:
            entries = pack.infolist()
            if len(entries) > _MOST_FILES:
                raise _unsafe("it holds far too many files")
            budget = min(_MOST_BYTES, max(1 << 20, archive.stat().st_size * _MOST_RATIO))
            for entry in entries:
                place = into / _safe_name(entry)
                if entry.is_dir():
                    place.mkdir(parents=True, exist_ok=True)
                    continue
                place.parent.mkdir(parents=True, exist_ok=True)
                with pack.open(entry) as source, place.open("xb") as target:
                    while block := source.read(_BLOCK):
                        budget -= len(block)
                        if budget < 0:
                            raise _unsafe("it unpacks to far more than a model")
                        target.write(block)
    except (zipfile.BadZipFile, zlib.error, NotImplementedError, RuntimeError, EOFError) as problem:
        raise DownloadFailed(
            f"What was fetched is not a whole zip file ({problem}).",
            "It was thrown away; try again.",
        ) from problem
    except (FileExistsError, NotADirectoryError, IsADirectoryError) as problem:
        raise _unsafe("one name occurs twice") from problem


def _safe_name(entry: zipfile.ZipInfo) -> PurePosixPath:
    path = PurePosixPath(entry.filename)
    odd = set(entry.filename) & set('\\:*?"<>|') or any(ord(c) < 32 for c in entry.filename)
    if path.is_absolute() or ".." in path.parts or not path.parts or odd:
        raise _unsafe(f"it holds the odd name {entry.filename!r}")
    if stat.S_ISLNK(entry.external_attr >> 16):
        raise _unsafe(f"{entry.filename!r} is a link")
    return path


def _unsafe(why: str) -> DownloadFailed:
    return DownloadFailed(f"The archive is not safe to unpack: {why}.", "Do not use it.")


def _model_root(unpacked: Path) -> Path:
    """The folder that holds ``am``: the archive's own single folder, or all of it."""
    inside = [f for f in unpacked.iterdir() if f.is_dir()]
    if (unpacked / "am").is_dir() or len(inside) != 1:
        whole = unpacked / "whole"
        whole.mkdir()
        for part in list(unpacked.iterdir()):
            if part != whole:
                part.rename(whole / part.name)
        return whole
    return inside[0]

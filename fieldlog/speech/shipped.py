"""The model that comes with fieldlog: a small packed folder, made into a Vosk folder on first use.

Packed (``models/farrier-en``): ``model.json`` with the hashes and the facts of the model,
``am/network.npz`` (weights as scaled bytes or half floats), ``graph/phones.bin`` (the packed phone
graph), ``graph/words.txt``, ``graph/names.txt`` (who fills the name class), ``conf/``, and
``recurrent/network.npz`` if there is a second look. Expanded (in the user's cache): what libvosk
reads. Only numpy and the standard library are needed.
"""

from __future__ import annotations

import hashlib
import io
import json
import math
import os
import shutil
import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fieldlog.errors import ModelDamaged, ModelMissing, SpeechError
from fieldlog.paths import Places, project_folder

if TYPE_CHECKING:
    from fieldlog.speech.kaldi import Network, Topology
    from fieldlog.speech.own_voice import OwnVoice
    from fieldlog.speech.slots import Spelling

SHIPPED = "farrier-en"
"""Folder under ``models`` that comes with fieldlog."""
FORMAT = 1
"""Version of the packed folder that this code reads."""
NETWORK = "am/network.npz"
"""The acoustic network's file in the packed folder."""
WITH_VOICE = "-own-voice"
"""Ends the name of a model that has learnt the farrier's voice."""
DONE = "expanded.json"
"""Written last into an expanded folder; without it the folder is not used."""
SHARE_OF_THE_DAY = 0.7
"""Probability, within the name class, of all the day's names together."""

Names = Mapping[str, Sequence[Sequence[str]]]


def is_packed(folder: Path) -> bool:
    """Whether a folder is our packed form (and not one that libvosk reads as it is)."""
    return (folder / "model.json").is_file() and (folder / "graph" / "phones.bin").is_file()


def describe(shipped: Path) -> dict[str, Any]:
    """The contents of ``model.json``.

    Raises:
        ModelMissing: no such folder or file.
        ModelDamaged: not JSON, or of a format this version does not know.
    """
    path = shipped / "model.json"
    try:
        facts = json.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise ModelMissing(
            f"There is no speech model in {shipped}.", "Name a folder that holds model.json."
        ) from None
    except (OSError, ValueError) as error:
        raise _damaged(path.name, str(error)) from error
    if not isinstance(facts, dict) or facts.get("format") != FORMAT:
        raise _damaged(path.name, f"format {FORMAT} was expected")
    return facts


def ensure_expanded(
    shipped: Path, cache: Path, names: Names | None = None, voice: OwnVoice | None = None
) -> Path:
    """The folder that libvosk can read, made under ``cache`` if it is not there yet.

    Several processes may ask at once: each makes its own copy and the first to finish wins. With
    ``names`` (written name -> ways to say it, each a phone sequence per word) the name class holds
    them as well; every list of names, and every voice, is a folder of its own.

    Args:
        shipped: the packed folder.
        cache: a folder of the user's that may be cleared at any time.
        names: today's names; a way to say "copper penny" is ("K AA P ER", "P EH N IY").
        voice: what was learnt of the farrier's voice, with this very network.

    Raises:
        ModelMissing: ``shipped`` is not there.
        ModelDamaged: a file is missing or its hash differs from ``model.json``.
        SpeechError: ``voice`` belongs to another network.
        OSError: the cache cannot be written.
    """
    facts = describe(shipped)
    listed = {k: [list(way) for way in v] for k, v in sorted((names or {}).items())}
    told: list[Any] = [facts["files"], facts["version"], listed]
    if voice is not None:
        told.append(voice.digest)
    digest = hashlib.sha256(json.dumps(told, sort_keys=True).encode()).hexdigest()[:12]
    mark = "" if voice is None else WITH_VOICE
    target = cache / digest / f"{facts['name']}-{facts['version']}{mark}"
    if (target / DONE).is_file():
        return target
    _check(shipped, facts)
    target.parent.mkdir(parents=True, exist_ok=True)
    work = Path(tempfile.mkdtemp(prefix=".making-", dir=target.parent))
    try:
        _expand(shipped, work, facts, listed, voice)
        os.chmod(work, 0o755)
        if target.exists() and not (target / DONE).is_file():
            shutil.rmtree(target, ignore_errors=True)
        try:
            os.rename(work, target)
        except OSError:
            if not (target / DONE).is_file():
                raise
    finally:
        shutil.rmtree(work, ignore_errors=True)
    return target


def shipped_folder() -> Path | None:
    """The packed model that came with this installation; None if none did."""
    models = project_folder("models")
    return None if models is None or not is_packed(models / SHIPPED) else models / SHIPPED


def shipped_model(places: Places, names: Names | None = None) -> Path | None:
    """The shipped model of this installation, ready for libvosk; None if none came with it.

    It hears with the farrier's own voice in mind where that was learnt.

    Raises as ``ensure_expanded`` does.
    """
    folder = shipped_folder()
    if folder is None:
        return None
    cache = places.cache / "shipped-model"
    return ensure_expanded(folder, cache, names, voice_for(folder, places))


def voice_for(shipped: Path, places: Places) -> OwnVoice | None:
    """What was learnt of the farrier's voice with this model's network; None if nothing was.

    A file that cannot be read counts as nothing, for a note is to be heard all the same;
    ``fieldlog doctor`` and ``fieldlog voice`` tell of it.
    """
    if not places.own_voice.is_file():
        return None
    from fieldlog.speech.own_voice import load

    try:
        voice = load(places.own_voice)
    except (SpeechError, OSError):
        return None
    return voice if voice.network == network_hash(shipped) else None


def network_hash(shipped: Path) -> str:
    """The SHA-256 of the packed model's acoustic network."""
    hashes: dict[str, str] = describe(shipped)["files"]
    return hashes[NETWORK]


def _damaged(part: str, why: str) -> ModelDamaged:
    return ModelDamaged(
        f"The shipped speech model cannot be used: {part}: {why}.", "Install fieldlog again."
    )


def _check(shipped: Path, facts: dict[str, Any]) -> None:
    for part, wanted in facts["files"].items():
        path = shipped / part
        if not path.is_file():
            raise _damaged(part, "the file is missing")
        if hashlib.sha256(path.read_bytes()).hexdigest() != wanted:
            raise _damaged(part, "its content has changed")


def _expand(
    shipped: Path, out: Path, facts: dict[str, Any], names: Names, voice: OwnVoice | None
) -> None:
    """Write the folder that libvosk reads: sounds, words with today's names, graph, second look."""
    # These bring numpy with them, which the command line can do without.
    from fieldlog.speech.fst import write_const_fst
    from fieldlog.speech.kaldi import write_acoustic_model
    from fieldlog.speech.packed import read_graph
    from fieldlog.speech.phone_graph import expand_phones
    from fieldlog.speech.slots import fill

    for folder in ("am", "graph/phones", "conf"):
        (out / folder).mkdir(parents=True)
    for path in sorted((shipped / "conf").iterdir()):
        shutil.copyfile(path, out / "conf" / path.name)
    phones: list[str] = facts["phones"]
    topology = _topology(facts["topology"], len(phones))
    try:
        network = read_network(shipped, facts)
        graph = read_graph(shipped / "graph" / "phones.bin")
    except (ValueError, KeyError, OSError) as error:
        raise _damaged("network or graph", str(error)) from error
    if voice is not None:
        from fieldlog.speech.own_voice import with_voice

        network = with_voice(network, voice.changes)
    write_acoustic_model(out / "am" / "final.mdl", topology, network)
    placed = _write_boundaries(out / "graph/phones/word_boundary.int", phones)
    numbers, spellings, shares = _words(shipped, names, placed)
    listed = "".join(f"{w} {i}\n" for w, i in numbers.items())
    (out / "graph" / "words.txt").write_text(listed, encoding="utf-8")
    graph = fill(graph, 2 + 4 * len(phones), spellings)
    source, arcs, finals = expand_phones(graph, topology)
    if look := facts.get("second_look"):
        arcs["cost"] *= look["scale"]
        finals = finals * look["scale"]
        _write_second_look(shipped, out, look, numbers, shares)
    write_const_fst(out / "graph" / "HCLG.fst", source, arcs, finals, graph.start)
    (out / DONE).write_text(json.dumps({"from": facts["name"], "names": len(names)}), "utf-8")


def _topology(chances: dict[str, Any], phones: int) -> Topology:
    """How long sounds last: four outputs a phone, by its place in the word."""
    from fieldlog.speech.kaldi import Topology

    outputs = [1 + i for i in range(phones) for _ in range(4)]
    return Topology(
        outputs, tuple(chances["silence"]), tuple(chances["sound"]), tuple(chances["blank"])
    )


def _write_boundaries(path: Path, phones: list[str]) -> dict[str, int]:
    """Write where in a word each phone stands; returns the number of each phone in its place."""
    placed = {f"{p}_{x}": 2 + 4 * i + j for i, p in enumerate(phones) for j, x in enumerate("BIES")}
    boundary = {"B": "begin", "I": "internal", "E": "end", "S": "singleton"}
    lines = ["1 nonword", *(f"{i} {boundary[p[-1]]}" for p, i in placed.items())]
    path.write_text("\n".join(lines) + "\n", encoding="ascii")
    return placed


def _words(
    shipped: Path, names: Names, placed: dict[str, int]
) -> tuple[dict[str, int], list[Spelling], dict[str, float]]:
    """The words by number with those of names, how names are said, and each first word's share.

    Shares and the costs of spellings are natural logarithms.
    """
    from fieldlog.speech.slots import Spelling

    text = (shipped / "graph" / "words.txt").read_text(encoding="utf-8")
    numbers = {w: int(i) for w, i in (line.split() for line in text.splitlines())}
    spellings: list[Spelling] = []
    shares: dict[str, float] = {}
    for group, share in _groups(shipped, names):
        total = sum(len(ways) for ways in group.values())
        for name, ways in group.items():
            for word in name.split():
                numbers.setdefault(word, len(numbers))
            ids = tuple(numbers[w] for w in name.split())
            first = name.split()[0]
            here = math.log(len(ways) / total * share)
            shares[first] = max(here, shares.get(first, here))
            for way in ways:
                parts = tuple(_place(p.split(), placed) for p in way)
                spellings.append(Spelling(ids, parts, math.log(total) - math.log(share)))
    return numbers, spellings, shares


def _write_second_look(
    shipped: Path,
    out: Path,
    look: dict[str, Any],
    numbers: dict[str, int],
    shares: dict[str, float],
) -> None:
    """Write the recurrent network that looks again at what was heard."""
    from fieldlog.speech.rescoring import Added, read_recurrent, write_rescoring

    try:
        words, weights = read_recurrent(shipped / "recurrent" / "network.npz")
    except (ValueError, KeyError, OSError) as error:
        raise _damaged("recurrent network", str(error)) from error
    added = Added(look["scale"] * look["weight"], look["scale"] * look["each"])
    write_rescoring(out, numbers, words, weights, shares, added)


def _groups(shipped: Path, names: Names) -> list[tuple[Names, float]]:
    usual: dict[str, list[list[str]]] = {}
    text = (shipped / "graph" / "names.txt").read_text(encoding="utf-8")
    for line in text.splitlines():
        name, _, phones = line.partition("\t")
        usual.setdefault(name, []).append([phones])
    if not names:
        return [(usual, 1.0)]
    return [(names, SHARE_OF_THE_DAY), (usual, 1 - SHARE_OF_THE_DAY)]


def _place(phones: list[str], placed: dict[str, int]) -> tuple[int, ...]:
    if len(phones) == 1:
        return (placed[f"{phones[0]}_S"],)
    inner = [placed[f"{p}_I"] for p in phones[1:-1]]
    return (placed[f"{phones[0]}_B"], *inner, placed[f"{phones[-1]}_E"])


def read_network(shipped: Path, facts: dict[str, Any]) -> Network:
    """The acoustic network of a packed model; ``facts`` are those of ``describe``."""
    import numpy as np

    from fieldlog.speech.kaldi import Component, Network

    layout = facts["network"]
    with np.load(io.BytesIO((shipped / NETWORK).read_bytes())) as arrays:
        data = {k: arrays[k].astype(np.float32) for k in arrays.files}
    for name in [k for k in data if k.endswith(".scale")]:
        data[name.replace(".scale", ".weight")] *= data[name][:, None]
    components = [
        Component(c["name"], c["kind"], c["dim"], data.get(f"{c['name']}.weight"),
                  data.get(f"{c['name']}.bias"))
        for c in layout["components"]
    ]  # fmt: skip
    return Network(
        layout["lines"], components, layout["left"], layout["right"],
        data.get("log_priors", np.zeros(0, np.float32)),
    )  # fmt: skip

"""The model's build and measuring tools, as far as they run without the build packages."""

from __future__ import annotations

import ast
import math
import random
import subprocess
import sys
from argparse import ArgumentTypeError
from concurrent.futures import ThreadPoolExecutor
from importlib import import_module
from pathlib import Path
from typing import Any

import numpy as np
import pytest

MODELS = Path(__file__).parents[2] / "models"
if not (MODELS / "graph").is_dir():
    pytest.skip("the model's build tools come with a checkout only", allow_module_level=True)
sys.path[:0] = [str(MODELS / part) for part in ("graph", "evaluation", "recurrent")]

# They need nothing but numpy (and jiwer): one that cannot be imported is broken, not absent.
dictation: Any = import_module("dictation")
ngram: Any = import_module("ngram")
normalise: Any = import_module("normalise")
noise: Any = import_module("noise")
phones: Any = import_module("phones")
wide: Any = import_module("wide")
general_text: Any = import_module("general_text")
inputs: Any = import_module("models.inputs")
evaluate: Any = import_module("evaluate")

WORDS = [*ngram.SPECIAL, "toe", "heel", "long", "short", "is"]
LINES = [[3, 7, 5], [4, 7, 6], [3, 7, 6], [4, 7, 5], [3, 7, 5, 4, 7, 6]] * 3


def total(model: Any, a: int, b: int) -> float:
    """Sum of p(w | a b) over every word that may follow."""
    w = np.array([i for i in range(len(WORDS)) if i not in (ngram.BOS, ngram.UNK)])
    n = len(w)
    return float(np.exp(model.trigram(np.full(n, a), np.full(n, b), w)).sum())


@pytest.fixture
def model() -> Any:
    return ngram.train(LINES, WORDS)


@pytest.mark.parametrize(("a", "b"), [(3, 7), (0, 3), (5, 4), (6, 6)])
def test_kneser_ney_probabilities_sum_to_one(model: Any, a: int, b: int) -> None:
    assert total(model, a, b) == pytest.approx(1.0, abs=1e-3)


def test_mixing_and_pruning_keep_the_sum(model: Any) -> None:
    other = ngram.train([[5, 3], [6, 4], [7, 7]], WORDS)
    mixed = ngram.mix([model, other], [0.7, 0.3])
    assert total(mixed, 3, 7) == pytest.approx(1.0, abs=1e-3)
    small = ngram.prune(mixed, 1e-2)
    assert len(small.k3) < len(mixed.k3)
    assert total(small, 3, 7) == pytest.approx(1.0, abs=1e-3)


def test_a_mixture_is_the_weighted_sum(model: Any) -> None:
    other = ngram.train([[5, 3], [6, 4], [7, 7]], WORDS)
    mixed = ngram.mix([model, other], [0.7, 0.3])
    key = tuple(np.array([i]) for i in (3, 7, 5))
    expected = 0.7 * math.exp(model.trigram(*key)[0]) + 0.3 * math.exp(other.trigram(*key)[0])
    assert math.exp(mixed.trigram(*key)[0]) == pytest.approx(expected, rel=1e-6)


def test_likely_text_has_low_perplexity(model: Any) -> None:
    likely, _ = ngram.perplexity(model, ["toe is long"])
    unlikely, unknown = ngram.perplexity(model, ["long toe is frog"])
    assert likely < unlikely
    assert unknown == 0.25


def test_the_same_seed_draws_the_same_notes() -> None:
    assert list(dictation.notes(20, 4)) == list(dictation.notes(20, 4))
    assert list(dictation.notes(20, 4)) != list(dictation.notes(20, 5))


def test_an_unknown_rule_is_refused() -> None:
    with pytest.raises(ValueError, match="no rule 'frog'"):
        dictation.parse("phrase: the {frog}")
    with pytest.raises(ValueError, match="missing"):
        dictation.parse("phrase: (a|b")


@pytest.mark.parametrize(
    ("number", "said"), [(7, "seven"), (42, "forty two"), (300, "three hundred"), (16, "sixteen")]
)
def test_numbers_as_said(number: int, said: str) -> None:
    assert dictation.spoken(number) == said


def test_numbers_agree_with_text2num() -> None:
    """text2num (MIT) reads back what we say."""
    text2num: Any = pytest.importorskip("text_to_num")
    rng = random.Random(3)
    for number in rng.sample(range(1000), 40):
        assert text2num.text2num(dictation.spoken(number), "en") == number


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("Toe's 3 3/8 inches, 52°.", "toe's three and three eighths inches fifty two degrees"),
        ("under run heels, club foot", "underrun heels club foot"),
        ("1,100 lbs", "one thousand one hundred lbs"),
        ("uh, 2½", "two and a half"),
        ("53.5 millimetres", "fifty three point five millimeters"),
    ],
)
def test_one_spelling_for_both_sides(text: str, plain: str) -> None:
    assert normalise.normalise(text) == plain


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("half way down the toe", "halfway down the toe"),
        ("side bones, both fronts", "sidebones both fronts"),
        ("has any body seen him", "has anybody seen him"),
        ("4 millimeters of sole", "four millimetres of sole"),
        ("re-checked the bare foot pony", "rechecked the barefoot pony"),
        ("a clubfoot, two toeclips", "a club foot two toe clips"),
        ("his favourite grey labelled colour", "his favorite gray labeled color"),
        ("sulphate on the haematoma, realised late", "sulfate on the hematoma realized late"),
    ],
)
def test_joined_parted_and_british_words_are_one(one: str, other: str) -> None:
    assert normalise.normalise(one) == normalise.normalise(other)


@pytest.mark.parametrize(
    "text",
    [
        "it may be any way he likes to turn out",
        "four hours of our sour exercise in precise noise",
        "she bruised otherwise and the greyhound said more is acre",
        "two analyses of half a toe",
    ],
)
def test_words_that_only_look_like_variants_stay(text: str) -> None:
    assert normalise.normalise(text) == text


def test_no_counted_term_loses_its_spelling() -> None:
    lines = (MODELS / "evaluation" / "terms.txt").read_text("utf-8").splitlines()
    terms = " ".join(x for x in lines if not x.startswith("#")).split()
    assert [t for t in terms if normalise.normalise(t) != t] == []


def test_numbers_are_found_whole() -> None:
    text = "toe three and a quarter at fifty one degrees and a bar"
    words = text.split()
    assert [" ".join(words[a:b]) for a, b in normalise.numbers(words)] == [
        "three and a quarter",
        "fifty one",
    ]


def test_noise_comes_at_the_asked_loudness() -> None:
    t = np.arange(32000)
    sound = (8000 * np.sin(t / 5)).astype(np.int16)
    noisy = noise.add(sound, 10, 3).astype(float)
    scale = float(np.dot(noisy, sound) / np.dot(sound.astype(float), sound))
    rest = noisy - scale * sound
    ratio = 20 * math.log10(float(np.std(scale * sound) / np.std(rest)))
    assert ratio == pytest.approx(10, abs=1.0)


KNOWN = set("the old man said to mister it was cold on saint john's day and".split())  # noqa: SIM905


@pytest.mark.parametrize(
    ("paragraph", "sentences"),
    [
        ("The old man said it was cold. It was.", ["the old man said it was cold", "it was"]),
        ("The man said to Mr. Okoro it was cold", ["the man said to mister <name> it was cold"]),
        ("\u201cIt was\u201d, the man said", ["it was", "the man said"]),
        ("It was cold\u2014the old man said", ["it was cold the old man said"]),
        ("It was St. John\u2019s day", ["it was saint john's day"]),
        ("It was 9 on the day. It was cold", ["it was cold"]),
        ("The blivet was cold. It was OK", []),
    ],
)  # fmt: skip
def test_general_english_is_read_in_known_words(paragraph: str, sentences: list[str]) -> None:
    """An unknown capital is a name; figures and other unknown words cost their sentence."""
    assert [" ".join(s) for s in wide.spoken(paragraph, KNOWN)] == sentences


def test_texts_stand_between_empty_lines(tmp_path: Path) -> None:
    file = tmp_path / "book.txt"
    file.write_text("The old man\nsaid it.\n\n\nIt was cold.\n", encoding="utf-8")
    assert list(wide.paragraphs(file)) == ["The old man said it.", "It was cold."]
    assert wide.often_in([file], 2) == {"it"}


def test_a_book_is_read_in_sentences_of_plain_words(tmp_path: Path) -> None:
    file = tmp_path / "book.txt"
    file.write_text(
        "Mr. Okoro came\nat 9. He sat down--quietly; \u201cWell?\u201d he said.\n\nDon't go!\n",
        encoding="utf-8",
    )
    assert [" ".join(words) for words in wide.sentences(file)] == [
        "he sat down quietly",
        "he said",
        "don't go",
    ]


def test_an_edit_distance_is_levenshteins() -> None:
    """Against rapidfuzz (MIT)."""
    from rapidfuzz.distance import Levenshtein

    rng = random.Random(8)
    for _ in range(60):
        one, other = ([rng.randrange(4) for _ in range(rng.randrange(9))] for _ in range(2))
        assert phones.distance(one, other) == Levenshtein.distance(one, other)


def test_every_argument_of_every_script_is_explained() -> None:
    bare = [
        f"{path.relative_to(MODELS)}:{call.lineno}"
        for path in sorted(MODELS.rglob("*.py"))
        for call in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(call, ast.Call)
        and isinstance(call.func, ast.Attribute)
        and call.func.attr == "add_argument"
        and not any(keyword.arg == "help" for keyword in call.keywords)
    ]
    assert bare == []


def test_what_a_script_needs_is_looked_for_first(tmp_path: Path) -> None:
    bundle = tmp_path / "bundle"
    wanted = inputs.existing("make it: build.py", "words.json", "part*.npz")
    with pytest.raises(ArgumentTypeError, match=r"no .*bundle: make it: build\.py"):
        wanted(str(bundle))
    bundle.mkdir()
    (bundle / "words.json").touch()
    with pytest.raises(ArgumentTypeError, match=r"no .*part\*\.npz"):
        wanted(str(bundle))
    (bundle / "part1.npz").touch()
    assert wanted(str(bundle)) == bundle


def run(script: Path, *words: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, str(script.relative_to(MODELS.parent)), *words]
    return subprocess.run(command, cwd=MODELS.parent, capture_output=True, text=True, check=False)


def test_every_script_tells_what_it_takes_whatever_is_installed() -> None:
    scripts = [
        path
        for path in sorted(MODELS.rglob("*.py"))
        if '__name__ == "__main__"' in path.read_text(encoding="utf-8")
    ]
    assert len(scripts) > 25
    with ThreadPoolExecutor(2) as two:
        for script, ran in zip(scripts, two.map(lambda s: run(s, "--help"), scripts), strict=True):
            about = ast.get_docstring(ast.parse(script.read_text(encoding="utf-8"))) or ""
            assert ran.returncode == 0, (script, ran.stderr)
            assert about.splitlines()[0] in ran.stdout, script
            assert not ran.stderr, script


def test_a_package_that_is_not_there_is_named(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.argv", ["models/gist/draw.py", "bundle"])
    with pytest.raises(SystemExit, match=r"draw\.py needs no_such_package.*: see the README"):
        inputs.packages("About.", "the README", "math", "no_such_package")
    monkeypatch.setattr("sys.argv", ["models/gist/draw.py", "--help"])
    with pytest.raises(SystemExit) as end:
        inputs.packages("About.", "the README", "no_such_package")
    assert end.value.code == 0
    assert capsys.readouterr().out.startswith("About.\n")
    inputs.packages("About.", "the README", "math")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("packed:farrier-en", "no reader ''|not written NAME=SPEC"),
        ("ours=packed:", "no reader 'packed:'"),
        ("ours=packd:farrier-en", "no reader 'packd:farrier-en'"),
        ("ours=pocketsphinx:folder", "no reader"),
        ("ours=vosk:no-such-folder", "there is no no-such-folder"),
        ("ours=pocketsphinx,evry=2", "not written NAME=SPEC"),
        ("ours=pocketsphinx,every=two", "not written NAME=SPEC"),
        ("ours=pocketsphinx,general=no-such-folder", "there is no no-such-folder"),
    ],
)
def test_a_row_that_cannot_be_measured_is_told_before_the_hours_of_the_others(
    text: str, told: str
) -> None:
    with pytest.raises(ArgumentTypeError, match=told):
        evaluate.Row.of(text)


def test_a_row_of_the_table_is_read_as_it_is_typed() -> None:
    row = evaluate.Row.of(f"ours=packed:{MODELS / 'farrier-en'},every=3")
    assert (row.name, row.every, row.general) == ("ours", 3, None)
    assert row.packed == row.folder == MODELS / "farrier-en"
    assert evaluate.Row.of("stock=pocketsphinx").packed is None


def test_what_cannot_be_left_out_is_told() -> None:
    """A split that was written wrongly would be learnt from, and then measured on."""
    inputs.left_out([], ["dev"])
    inputs.left_out(["dev"], ["dev", "train"])
    with pytest.raises(SystemExit, match=r"no dev_zz; there are: dev, train"):
        inputs.left_out(["dev", "dev_zz"], ["train", "dev", "dev"])


def test_a_drawn_text_ends_with_its_last_whole_sentence() -> None:
    text = 'It rained. Mrs. Lund said so, "and hard." Then the'
    assert general_text.sentences(text) == ["It rained.", 'Mrs Lund said so, "and hard.']


def test_a_question_is_no_part_of_what_is_drawn() -> None:
    """Of 9 (begins and ends a text), 7 (ends a question) and the given pieces only an opening
    stays."""
    assert general_text.plain_part([9, 1, 2, 3, 4, 9], 3, (9, 7)) == [1, 2, 3, 4]
    assert general_text.plain_part([9, 1, 7, 3, 4, 9], 3, (9, 7)) == [3, 4]


def test_openings_are_filled() -> None:
    told = list(general_text.openings(300, ["gate"], ["Ida"], seed=1))
    assert len(told) == 300
    assert len(set(told)) > 60
    assert not any(mark in line for line in told for mark in ("{w}", "{n}", "{c}"))
    asked = [line for line in told if line.startswith(general_text.USER)]
    assert asked
    assert all(line.endswith(general_text.ANSWER) for line in asked)

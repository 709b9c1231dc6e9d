"""Make fieldlog/speech/data/pronounce.xz: how words are said, for names that no model has seen.

    python train_pronouncer.py [OUT]

Holds the pronunciations of CMUdict (BSD, through the pocketsphinx package)
and letter-to-sound rules learnt from all of it: letters and phones are aligned by expectation
maximisation, then an information-gain tree (Daelemans et al. 1997) over the neighbouring letters
keeps a rule only where it changes the answer of the shorter one.
"""

from __future__ import annotations

import argparse
import json
import lzma
import random
import re
from collections import Counter, defaultdict
from pathlib import Path

import numpy as np
from lexicon import Lexicon
from phones import distance

ROOT = Path(__file__).resolve().parents[2]
OUT = ROOT / "fieldlog" / "speech" / "data" / "pronounce.xz"
ORDER = (0, 1, -1, 2, -2, 3, -3)
"""Letter positions around the focus, most telling first; mirrored in fieldlog's pronounce.py."""
UNSEEN = 3000
"""Words that the rules are measured on before all words are learnt from."""
Pair = tuple[str, tuple[str, ...]]


def align(pairs: list[Pair], rounds: int = 5) -> list[list[str]]:
    """Per word, the phones ("", "K", "K S") each letter stands for."""
    cost: dict[tuple[str, str], float] = {}
    best: list[list[str]] = []
    for _ in range(rounds):
        counts: Counter[tuple[str, str]] = Counter()
        best = []
        for word, phones in pairs:
            path = _viterbi(word, phones, cost)
            best.append(path)
            counts.update(zip(word, path, strict=False))
        totals: Counter[str] = Counter()
        for (letter, _), n in counts.items():
            totals[letter] += n
        cost = {k: -float(np.log(n / totals[k[0]])) for k, n in counts.items()}
    return best


def _viterbi(word: str, phones: tuple[str, ...], cost: dict[tuple[str, str], float]) -> list[str]:
    n, m = len(word), len(phones)
    inf = 1e9
    score = [[inf] * (m + 1) for _ in range(n + 1)]
    back = [[0] * (m + 1) for _ in range(n + 1)]
    score[0][0] = 0.0
    for i in range(n):
        for j in range(m + 1):
            here = score[i][j]
            if here >= inf:
                continue
            for k in (0, 1, 2):
                if j + k > m:
                    break
                said = " ".join(phones[j : j + k])
                start = (2.0, 1.0, 3.0)[k] + 0.1 * abs(i / n - j / max(m, 1))
                step = cost.get((word[i], said), 9.0) if cost else start
                if here + step < score[i + 1][j + k]:
                    score[i + 1][j + k] = here + step
                    back[i + 1][j + k] = k
    if score[n][m] >= inf:
        return []
    path: list[str] = []
    j = m
    for i in range(n, 0, -1):
        k = back[i][j]
        path.append(" ".join(phones[j - k : j]))
        j -= k
    return path[::-1]


def rules(pairs: list[Pair], paths: list[list[str]]) -> dict[str, str]:
    """Context string -> phones; a context lists letters in ``ORDER``."""
    seen: dict[str, Counter[str]] = defaultdict(Counter)
    for (word, _), path in zip(pairs, paths, strict=True):
        padded = f"___{word}___"
        for i, said in enumerate(path):
            key = ""
            for offset in ORDER:
                key += padded[i + 3 + offset]
                seen[key][said] += 1
    kept: dict[str, str] = {}
    answer: dict[str, str] = {}
    for key in sorted(seen, key=len):
        said, n = seen[key].most_common(1)[0]
        inherited = answer.get(key[:-1])
        if len(key) == 1 or (said != inherited and (n >= 2 or len(key) <= 4)):
            kept[key] = answer[key] = said
        else:
            answer[key] = inherited if inherited is not None else said
    return kept


def say(word: str, table: dict[str, str]) -> list[str]:
    """Phones of a word by the rules alone."""
    padded = f"___{word}___"
    phones: list[str] = []
    for i in range(len(word)):
        key = answer = ""
        for offset in ORDER:
            key += padded[i + 3 + offset]
            answer = table.get(key, answer)
        phones += answer.split()
    return phones


def tell(whole: list[tuple[Pair, list[str]]]) -> None:
    """Print how well ``UNSEEN`` words are said by rules that were learnt from the others.

    Leaves the words in another order.
    """
    random.Random(5).shuffle(whole)
    test, rest = whole[:UNSEEN], whole[UNSEEN:]
    table = rules([p for p, _ in rest], [q for _, q in rest])
    right = edits = total = 0
    for (word, phones), _ in test:
        got = say(word, table)
        right += tuple(got) == phones
        edits += distance(got, list(phones))
        total += len(phones)
    print(f"{len(table)} rules; unseen words: {right / len(test):.3f} right, "
          f"phone errors {edits / total:.3f}")  # fmt: skip


def main() -> None:
    ask = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    ask.add_argument("out", type=Path, nargs="?", default=OUT, help="the packed file")
    out: Path = ask.parse_args().out
    lexicon = Lexicon()
    words = {
        w: p for w, ps in lexicon.cmu.items() for p in ps[:1] if re.fullmatch(r"[a-z]{2,}", w) and p
    }
    pairs = sorted(words.items())
    paths = align(pairs)
    whole = [(p, q) for p, q in zip(pairs, paths, strict=True) if q]
    tell(whole)
    table = rules([p for p, _ in whole], [q for _, q in whole])
    plain = [w for w in lexicon.cmu if re.fullmatch(r"[a-z]+('[a-z]+)?", w)]
    listed = {w: [" ".join(p) for p in lexicon(w)[:2]] for w in [*plain, *lexicon.own]}
    # Words the rules already get right need no entry.
    listed = {w: ps for w, ps in listed.items() if ps != [" ".join(say(w, table))]}
    data = {"source": "CMUdict, BSD", "order": ORDER, "rules": table, "words": listed}
    text = json.dumps(data, separators=(",", ":"), sort_keys=True)
    out.parent.mkdir(exist_ok=True)
    out.write_bytes(lzma.compress(text.encode(), preset=9 | lzma.PRESET_EXTREME))
    print(f"{len(listed)} words, {out.stat().st_size / 1e3:.0f} kB")


if __name__ == "__main__":
    main()

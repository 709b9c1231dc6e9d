"""Invented dictation for the language model: sentences drawn from ``dictation.grammar``.

The grammar file has rules ``name: alternative | alternative``; an indented line goes on with the
rule above. ``{name}`` stands for a rule, ``(a|b|)`` for a choice inside an alternative, a leading
``*3`` makes an alternative three times as likely. Names become the class word ``<name>``.

Run ``python dictation.py 20`` to see twenty notes.
"""

from __future__ import annotations

import argparse
import random
import re
from collections.abc import Iterator
from pathlib import Path

GRAMMAR = Path(__file__).with_name("dictation.grammar")
ONES = [
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
]
TENS = ("", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
FRACTIONS = [
    "a quarter",
    "a half",
    "three quarters",
    "an eighth",
    "three eighths",
    "five eighths",
    "seven eighths",
    "a sixteenth",
    "three sixteenths",
    "five sixteenths",
    "seven sixteenths",
    "nine sixteenths",
    "eleven sixteenths",
    "thirteen sixteenths",
    "fifteen sixteenths",
]
Tree = list[tuple[float, list["Part"]]]
Part = str | tuple[str, str] | Tree


def lines_of(path: Path) -> list[str]:
    """The lines of a text file that are neither empty nor a remark (``#``)."""
    lines = path.read_text(encoding="utf-8").splitlines()
    return [line for line in lines if line.strip() and not line.startswith("#")]


def spoken(number: int, rng: random.Random | None = None) -> str:
    """0 to 9999 as it is said; with ``rng``, sometimes in another usual way."""
    if number < 20:
        return ONES[number]
    if number < 100:
        return TENS[number // 10] + (f" {ONES[number % 10]}" if number % 10 else "")
    if number < 1000:
        if rng and number % 100 >= 10 and rng.random() < 0.35:
            return f"{ONES[number // 100]} {spoken(number % 100)}"
        hundred = "a hundred" if rng and number < 200 and rng.random() < 0.4 else None
        text = hundred or f"{ONES[number // 100]} hundred"
        rest = spoken(number % 100) if number % 100 else ""
        return " ".join(
            x for x in (text, rng.choice(["and", ""]) if rng and rest else "", rest) if x
        )
    rest = number % 1000
    hundreds = 1000 < number < 10000 and number % 100 == 0 and number % 1000 != 0
    if rng and hundreds and rng.random() < 0.7:
        return f"{spoken(number // 100)} hundred"
    text = f"{ONES[number // 1000]} thousand"
    return f"{text} {spoken(rest, rng)}" if rest else text


def _numbers(name: str, rng: random.Random) -> str | None:
    """Rules that make numbers: ``n3-15`` a whole number, ``f2-5`` inches with a fraction, ``d``."""
    hit = re.fullmatch(r"([nfdh])(\d+)-(\d+)", name)
    if not hit:
        return None
    kind, low, high = hit[1], int(hit[2]), int(hit[3])
    number = spoken(rng.randint(low, high), rng)
    if kind == "n":
        return number
    if kind == "h":  # a whole or a half
        return number + rng.choice(["", "", " and a half"])
    if kind == "d":
        digits = " ".join(rng.choice(ONES[:10]) for _ in range(rng.choice([1, 1, 1, 2])))
        return f"{number} point {digits}"
    weights = [9, 9, 6, 7, 7, 5, 5] + [2] * 8
    fraction = rng.choices(FRACTIONS, weights)[0]
    if fraction == "three quarters" and rng.random() < 0.4:
        fraction = "three quarter"
    return number if rng.random() < 0.12 else f"{number} and {fraction}"


def parse(text: str) -> dict[str, Tree]:
    """Rules of a grammar file; raises ``ValueError`` for an unknown rule name."""
    rules: dict[str, str] = {}
    name = ""
    for line in text.splitlines():
        if not line.strip() or line.startswith("#"):
            continue
        if line[0] not in " \t":
            name, _, line = line.partition(":")
            rules[name] = line
        else:
            rules[name] += " " + line
    trees = {n: _tree(t) for n, t in rules.items()}
    for n in re.findall(r"\{([^}]*)\}", " ".join(rules.values())):
        if n not in trees and not re.fullmatch(r"[nfdh]\d+-\d+", n):
            raise ValueError(f"grammar: no rule {n!r}")
    return trees


def _tree(text: str) -> Tree:
    tokens = re.findall(r"\{[^}]*\}|[()|]|[^\s{}()|]+", text)
    tree, rest = _alternatives(tokens)
    if rest:
        raise ValueError(f"grammar: stray {rest[0]!r} in {text[:60]!r}")
    return tree


def _alternatives(tokens: list[str]) -> tuple[Tree, list[str]]:
    tree: Tree = []
    weight, parts = 1.0, list[Part]()
    while tokens:
        token, *tokens = tokens
        if token == "(":
            inner, tokens = _alternatives(tokens)
            if not tokens:
                raise ValueError("grammar: missing )")
            parts.append(inner)
            tokens = tokens[1:]
        elif token == ")":
            tokens = [token, *tokens]
            break
        elif token == "|":
            tree.append((weight, parts))
            weight, parts = 1.0, []
        elif re.fullmatch(r"\*[\d.]+", token) and not parts:
            weight = float(token[1:])
        elif token.startswith("{"):
            parts.append((token[1:-1], ""))
        else:
            parts.append(token)
    tree.append((weight, parts))
    return tree, tokens


class Dictation:
    """Draws notes from a grammar; the same seed gives the same notes."""

    def __init__(self, seed: int, grammar: Path = GRAMMAR) -> None:
        self.rng = random.Random(seed)
        self.rules = parse(grammar.read_text(encoding="utf-8"))

    def draw(self, rule: str) -> str:
        """One text from a rule."""
        return " ".join(self._expand(self.rules[rule]))

    def _expand(self, tree: Tree) -> Iterator[str]:
        parts = self.rng.choices([p for _, p in tree], [w for w, _ in tree])[0]
        for part in parts:
            if isinstance(part, str):
                yield part
            elif isinstance(part, tuple):
                number = _numbers(part[0], self.rng)
                yield from [number] if number else self._expand(self.rules[part[0]])
            else:
                yield from self._expand(part)

    def note(self) -> str:
        """One stretch of dictation: some phrases, with hesitations, repeats and repairs."""
        count = self.rng.choice([1, 1, 1, 2, 2, 3, 4, 6])
        words: list[str] = []
        for _ in range(count):
            words += self._stumble(self.draw("phrase").split())
        return " ".join(words)

    def _stumble(self, words: list[str]) -> list[str]:
        rng = self.rng
        if len(words) > 2 and rng.random() < 0.07:  # a hesitation somewhere
            at = rng.randrange(len(words))
            words = [*words[:at], rng.choice(["uh", "um", "er", "ah", "uh"]), *words[at:]]
        if len(words) > 2 and rng.random() < 0.03:  # a word or two said again
            at = rng.randrange(len(words) - 1)
            run = rng.choice([1, 1, 2])
            words = [*words[: at + run], *words[at:]]
        if len(words) > 3 and rng.random() < 0.03:  # broken off, often begun anew
            cut = words[: rng.randrange(1, len(words))]
            words = cut if rng.random() < 0.4 else [*cut, *self.draw("repair").split(), *words]
        return words


def notes(count: int, seed: int) -> Iterator[str]:
    """``count`` invented notes."""
    source = Dictation(seed)
    for _ in range(count):
        yield source.note()


def main() -> None:
    ask = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    ask.add_argument("count", type=int, help="notes to print")
    ask.add_argument("seed", type=int, nargs="?", default=1, help="other notes for another one")
    args = ask.parse_args()
    for line in notes(args.count, args.seed):
        print(line)


if __name__ == "__main__":
    main()

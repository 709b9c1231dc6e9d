"""The pattern language of the data files."""

from __future__ import annotations

import pytest

from fieldlog.language.words.matcher import Matcher, verb_forms, words_of


def found(pattern: str, text: str, numbers: tuple[int, ...] = ()) -> set[str]:
    matcher = Matcher()
    matcher.add(pattern, 7)
    words = text.split()
    return {" ".join(words[h.start : h.end]) for h in matcher.find(words, numbers)}


def test_alternatives_and_options() -> None:
    assert found("(high|very tall) heel", "a very tall heel") == {"very tall heel"}
    assert found("[old] scar", "an old scar") == {"old scar", "scar"}
    assert found("[a [big]] scar", "a scar") == {"a scar", "scar"}


def test_verbs() -> None:
    assert verb_forms("trim") == ("trim", "trims", "trimmed", "trimming")
    assert verb_forms("raise") == ("raise", "raises", "raised", "raising")
    assert verb_forms("dress") == ("dress", "dresses", "dressed", "dressing")
    assert verb_forms("tidy") == ("tidy", "tidies", "tidied", "tidying")
    assert verb_forms("lower") == ("lower", "lowers", "lowered", "lowering")
    assert found("~trim up", "he trimmed up") == {"trimmed up"}


def test_gap() -> None:
    matcher = Matcher()
    matcher.add("set ... back", 1)
    words = ["set", "the", "left", "toe", "back"]
    hit = matcher.find(words)[0]
    assert (hit.start, hit.end, hit.gap, hit.size) == (0, 5, (1, 4), 2)
    assert not matcher.find(words, walls=[2])
    assert not matcher.find(["set", "one", "two", "three", "four", "five", "six", "back"])


def test_number() -> None:
    assert found("# week cycle", "a six week cycle", (1,)) == {"six week cycle"}
    assert found("# week", "fifty two week", (0, 1)) == {"fifty two week", "two week"}
    assert not found("# week", "some week")


def test_clitics_are_words_of_their_own() -> None:
    assert found("i've", "i 've left it") == {"i 've"}


@pytest.mark.parametrize("pattern", ["", "(a|b", "a)", "[a"])
def test_bad_patterns(pattern: str) -> None:
    with pytest.raises(ValueError, match=r"pattern|bracket"):
        Matcher().add(pattern, 0)


def test_words_of_a_pattern() -> None:
    assert words_of("(set|put) ... ~roll #") == {"set", "put", "roll", "rolls", "rolled", "rolling"}


def test_a_pattern_added_after_a_search_is_found() -> None:
    matcher = Matcher()
    matcher.add("(old|older) scar", 1)
    assert not matcher.find(["dry", "frog"])
    matcher.add("dry # frog", 2)
    assert [h.key for h in matcher.find(["dry", "two", "frog"], {1})] == [2]
    assert matcher.words() == {"old", "older", "scar", "dry", "frog"}


def test_verbs_in_a_choice() -> None:
    assert found("(~trim|cut [up]) frog", "trimming frog") == {"trimming frog"}
    assert found("(~trim|cut) frog", "cut frog") == {"cut frog"}
    assert "trims" in words_in("(~trim|cut) frog ... gone")


def words_in(pattern: str) -> set[str]:
    matcher = Matcher()
    matcher.add(pattern, 7)
    assert matcher.words() == words_of(pattern)
    return matcher.words()

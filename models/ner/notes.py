"""Generated notes for the name finder: text with the spans of names and unlisted findings.

The sentences are ours. Half of the shapes are used for training only, the rest for testing only,
and so are the words, so a test sentence shares neither its shape nor its names with training.
"""

from __future__ import annotations

import random
import re
import tomllib
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from fieldlog.language.lexicon import items
from fieldlog.language.words.matcher import verb_forms

HERE = Path(__file__).parent
LABELS = ("HORSE", "PERSON", "FINDING", "MEDICATION", "PLACE")
FEET = ("left front", "right front", "left hind", "right hind", "near fore", "off fore",
        "near hind", "off hind", "both fronts", "both hinds", "the hinds", "all four")  # fmt: skip

TRAIN = [
    "next one is {HORSE}",
    "new horse {HORSE}",
    "this is {HORSE} {foot} first",
    "okay {HORSE} {plain}",
    "moving on to {HORSE}",
    "starting with {HORSE} at {PLACE}",
    "next horse {HORSE} over at {PLACE}",
    "{HORSE} stood well today",
    "{HORSE} was a bit nervous",
    "trimmed {HORSE} all round {plain}",
    "reset {HORSE} in front",
    "spoke to {PERSON} about the {foot}",
    "told {PERSON} to keep him in",
    "{PERSON} says he was off last week",
    "{PERSON} held him for me",
    "call {PERSON} tomorrow",
    "text {PERSON} about {HORSE}",
    "ring {PERSON} if he gets worse",
    "{PERSON} will pick the feet out every day",
    "he has some {FINDING} on the {foot}",
    "there is {FINDING} on the {foot} {plain}",
    "bit of {FINDING} behind the pastern {foot}",
    "noticed {FINDING} up the leg",
    "{foot} has {FINDING} {plain}",
    "no {FINDING} that i could see",
    "looks like {FINDING} on the {foot}",
    "{FINDING} at the heel {foot}",
    "vet has him on {MEDICATION}",
    "he had {MEDICATION} this morning",
    "vet left {MEDICATION} for him",
    "put {MEDICATION} on it",
    "{PERSON} is giving {MEDICATION} twice a day",
    "at {PLACE} today",
    "back at {PLACE} in six weeks",
    "down at {PLACE} {HORSE} is next",
    "{plain} and {plain}",
    "so {plain} then {plain}",
    "she has got {plain}",
    "found {plain} there",
    "i {plain}",
    "and {plain} too",
    "they are {plain}",
    "he reckons {plain}",
    "asked about {plain}",
    "left a note about {plain}",
    "over to the {plain}",
    "we have {plain} this morning",
    "then we have {HORSE} {plain}",
    "that was {HORSE}",
    "did {HORSE} {plain}",
    "{PERSON} would like {plain}",
    "left it with {PERSON}",
    "asked {PERSON} about {plain}",
    "for {PERSON}",
    "thanks to {PERSON}",
    "with {PERSON} at {PLACE}",
    "{foot} got {FINDING}",
    "{foot} with {FINDING} and {plain}",
    "there was {FINDING} too",
    "they put {MEDICATION} on the {foot}",
    "over at {PLACE}",
    "next is {HORSE}",
    "now for {HORSE}",
    "then {HORSE} {foot} {plain}",
    "on to {HORSE}",
    "last one is {HORSE}",
    "second horse {HORSE} {plain}",
    "this one is called {HORSE}",
    "horse is {HORSE}",
    "that is {HORSE} done",
    "finished {HORSE}",
    "{HORSE} again {plain}",
    "still on {HORSE}",
    "{HORSE} has {plain}",
    "{HORSE} is {plain}",
    "{HORSE} looks better",
    "shod {HORSE} {plain}",
    "did not trim {HORSE}",
    "pads for {HORSE} next time",
    "{HORSE} needs x rays",
    "talked to {PERSON} {plain}",
    "message {PERSON}",
    "email {PERSON} the bill",
    "{PERSON} wants to know about the {foot}",
    "{PERSON} thinks it is better",
    "{PERSON} said he was lame",
    "{PERSON} to soak it daily",
    "{PERSON} was holding",
    "remind {PERSON} about {HORSE}",
    "let {PERSON} know",
    "show {PERSON} how to pack it",
    "ask {PERSON} for a hand",
    "{PERSON} came out",
    "some {FINDING} {foot}",
    "a bit of {FINDING} {plain}",
    "got {FINDING} as well",
    "saw {FINDING} on the inside",
    "{FINDING} on the {foot} {plain}",
    "{FINDING} again",
    "might be {FINDING}",
    "old {FINDING} on the {foot}",
    "still has {FINDING} there",
    "he has {FINDING}",
    "owner noticed {FINDING}",
    "{foot} {FINDING} {plain}",
    "also {FINDING}",
    "gave him {MEDICATION}",
    "giving {MEDICATION} for a week",
    "treated it with {MEDICATION}",
    "she is on {MEDICATION} from the vet",
    "vet said {MEDICATION}",
    "{MEDICATION} in the feed",
    "packed it with {MEDICATION}",
    "no {MEDICATION} today",
    "finished up at {PLACE}",
    "{PLACE} next week",
    "horses at {PLACE}",
    "drove out to {PLACE}",
    "from {PLACE}",
    "{plain}",
    "{foot} {plain}",
    "{plain} {plain}",
    "{plain} {foot}",
    "{foot} {plain} {plain}",
    "{plain} {plain} {plain}",
]
TEST = [
    "next up we have {HORSE}",
    "that was {HORSE} now {plain}",
    "{HORSE} {foot} {plain}",
    "did {HORSE} at {PLACE} this morning",
    "left a message for {PERSON}",
    "{PERSON} reckons he is short",
    "asked {PERSON} to send pictures of {HORSE}",
    "she has got {FINDING} on the {foot}",
    "and some {FINDING} there too",
    "{foot} showing {FINDING}",
    "found {FINDING} on the {foot} {plain}",
    "vet started him on {MEDICATION}",
    "they are using {MEDICATION} on the frog",
    "over to {PLACE} after this",
    "{plain} {foot}",
    "{foot} {plain} {plain}",
]
PLAIN = [
    "toe three and a quarter", "heel forty six", "fifty two degrees", "no thrush no cracks",
    "thrush in the central sulcus", "flare on the outside quarter", "long in the toe",
    "underrun heels", "trimmed all four", "nothing on", "pulled the shoes", "six nails each",
    "size one toe clips", "rolled the toe and set it back an eighth", "recheck in four weeks",
    "sole is thin", "white line is tight", "old abscess growing out", "better than last time",
    "about half an inch", "no heat no pulse", "might be an abscess", "not white line just dirt",
    "he stood good", "kicked out", "scratch that", "make it three and a half", "bar shoe",
    "leather pads", "cleaned it out", "packed it", "left it alone", "sore to testers at the toe",
    "condition score six", "girth seventy six", "bruise on the sole", "quarter crack",
    "doesn't reach the hairline", "same on the other side", "looks good", "fine", "frog is healthy",
]  # fmt: skip


CHATTER = [
    "the gate needs fixing", "it is raining sideways here", "hold on a minute", "where was i",
    "mind that dog", "the radio is too loud", "i need a new rasp", "running late today",
    "that is the phone again", "put the kettle on", "nice new fence they have", "cold this morning",
    "who left that wheelbarrow there", "i will clean the tools later", "lunch after this one",
    "the truck wants fuel", "so anyway", "let me see now", "what else", "right then",
    "going to have a think about it", "it has been a long day", "she wants the bill by friday",
    "we will see how that goes", "not a lot to say", "that is about it really", "hang on",
    "turn that light on", "the hay is late this year", "watch your back", "easy now", "good lad",
]  # fmt: skip


def trade_words(dice: random.Random) -> str:
    """A random reading of one pattern of the rules' own data: trade talk without names."""
    rows = [
        form
        for name in ("findings", "work", "followups", "handling", "measures", "places", "scores")
        for item in items(name)
        for form in item.forms
    ]
    text = dice.choice(rows).replace("...", "the").replace("#", dice.choice(["two", "six"]))
    text = re.sub(r"~(\w+)", lambda m: dice.choice(verb_forms(m[1])), text)
    inner = re.compile(r"\(([^()\[\]]*)\)|\[([^()\[\]]*)\]")
    while (found := inner.search(text)) is not None:
        choices = (found[1] if found[1] is not None else found[2]).split("|")
        keep = found[1] is not None or dice.random() < 0.4
        text = text[: found.start()] + (dice.choice(choices) if keep else "") + text[found.end() :]
    return " ".join(text.split()).replace(" '", "'")


def _data() -> dict[str, Any]:
    return tomllib.loads((HERE / "words.toml").read_text(encoding="utf-8"))


def words(unseen: bool) -> dict[str, list[str]]:
    """The words of each label: those for training, or those kept for testing."""
    data = _data()
    names = (HERE / data["horse"]["file"]).resolve().read_text(encoding="utf-8").split()
    names = sorted({n for n in names if n.isalpha()})
    random.Random(5).shuffle(names)
    cut = len(names) * 4 // 5
    key = "unseen" if unseen else "train"
    place = data["place"]
    first = place["unseen_adjectives"] if unseen else place["adjectives"]
    second = place["unseen_nouns"] if unseen else place["nouns"]
    return {
        "HORSE": names[cut:] if unseen else names[:cut],
        "PERSON": data["person"][key],
        "FINDING": data["finding"][key],
        "MEDICATION": data["medication"][key],
        "PLACE": [f"{a} {b}" for a in first for b in second],
    }


Span = tuple[int, int, str]
"""First character, the one after the last, and the label."""
Note = tuple[str, list[Span]]


def make(count: int, seed: int, unseen: bool = False) -> list[Note]:
    """``count`` notes with their spans.

    Args:
        count: how many.
        seed: the same seed gives the same notes.
        unseen: shapes and words that training never shows.
    """
    dice = random.Random(seed)
    lists = words(unseen)
    shapes = TEST if unseen else TRAIN
    notes = []
    for _ in range(count):
        note = _Written(lists, dice, typed=dice.random() < 0.3, learning=not unseen)
        for _ in range(dice.choice([1, 1, 2, 3])):
            note.add(dice.choice(shapes))
        notes.append((note.text + ("." if note.typed else ""), note.spans))
    return notes


_ONSETS = [
    *("b", "br", "c", "ch", "cl", "cr", "d", "dr", "f", "fl", "fr", "g", "gl", "gr", "h", "j"),
    *("k", "l", "m", "n", "p", "pl", "pr", "qu", "r", "s", "sh", "sl", "sm", "sn", "sp", "st"),
    *("t", "th", "tr", "v", "w"),
]
_MIDDLES = ["a", "e", "i", "o", "u", "ea", "oo", "ai", "ee", "ou", "ar", "er", "or"]
_CODAS = [
    "",
    "",
    "n",
    "r",
    "l",
    "t",
    "ck",
    "m",
    "s",
    "nd",
    "st",
    "ng",
    "x",
    "ble",
    "ton",
    "sy",
    "ly",
]
_INVENTED = {"HORSE": 0.6, "PERSON": 0.6, "FINDING": 0.5, "MEDICATION": 0.5, "PLACE": 0.3}
"""How often a training word is invented, so that the finder learns the words around it."""


def _invented(label: str, dice: random.Random) -> str:
    def word() -> str:
        count = dice.choice([1, 2, 2, 3])
        return "".join(
            dice.choice(_ONSETS) + dice.choice(_MIDDLES) + dice.choice(_CODAS) for _ in range(count)
        )

    if label == "FINDING":
        return dice.choice([word(), f"{word()} {word()}", f"a {word()}", f"a {word()} {word()}"])
    if label == "PLACE":
        return f"{word()} {dice.choice(['farm', 'creek', 'stables', 'hill', word()])}"
    if label == "MEDICATION":
        return word() + dice.choice(["ine", "in", "ol", "one", "ide", " powder", " cream", ""])
    return word()


@dataclass
class _Written:
    """A note as it grows, shape by shape."""

    lists: dict[str, list[str]]
    """The words of each label."""
    dice: random.Random
    typed: bool
    """With capitals and stops, as on a keyboard; else as a recogniser writes."""
    learning: bool
    """To learn from: some of its words are invented, and there is talk and more of the trade."""
    text: str = ""
    spans: list[Span] = field(default_factory=list)

    def add(self, shape: str) -> None:
        """One more sentence."""
        if self.text:
            self.text += ". " if self.typed else " "
        for at, piece in enumerate(shape.split(" ")):
            if at:
                self.text += " "
            word = self._filled(piece)
            if self.typed and (not self.text or self.text.endswith(". ")):
                word = word[:1].upper() + word[1:]
            self.text += word

    def _filled(self, piece: str) -> str:
        """What stands for a piece of a shape."""
        slot = piece.strip("{}")
        if not piece.startswith("{"):
            return piece
        if slot == "foot":
            return self.dice.choice(FEET)
        return self._talk() if slot == "plain" else self._named(slot)

    def _talk(self) -> str:
        """Talk without names."""
        pick = self.dice.random()
        word = self.dice.choice(PLAIN if pick < 0.4 or not self.learning else CHATTER)
        return trade_words(self.dice) if self.learning and pick > 0.65 else word

    def _named(self, label: str) -> str:
        """A word of a label, its span noted; an article before it is written but not part of it."""
        word = self.dice.choice(self.lists[label])
        if self.learning and self.dice.random() < _INVENTED[label]:
            word = _invented(label, self.dice)
        article = word.partition(" ")[0] + " " if word.startswith(("a ", "an ")) else ""
        self.text, word = self.text + article, word.removeprefix(article)
        if self.typed and label in ("HORSE", "PERSON", "PLACE"):
            word = word.title()
        self.spans.append((len(self.text), len(self.text) + len(word), label))
        return word

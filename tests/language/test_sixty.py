"""The sixty dictated sentences of the project's trade notes (section 9), each with its facts.

Source: the project's own reference page of the trade (common practice); the facts are shown as
the short lines of ``wording.describe``. "foot?" means that the sentence alone names no foot, so
the farrier is asked. Calls for a veterinarian raised by red flags are tested elsewhere.
"""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest

SENTENCES: list[tuple[int, str, list[str]]] = [
    # LF m toe 3.25 in, toe angle 52
    (
        1,
        "Left front toe's three and a quarter, fifty-two degrees.",
        ["left front · toe length · 3 1/4 in", "left front · toe angle · 52°"],
    ),
    # RF m toe 3.25; corr from 3.375
    (
        2,
        "Right front, uh, three and three eighths, no scratch that, three and a quarter.",
        ["right front · toe length · 3 1/4 in"],
    ),
    # LF toe 84 mm; RF 83 mm
    (
        3,
        "Near fore eighty-four mil, off fore eighty-three.",
        ["left front · toe length · 84 mm", "right front · toe length · 83 mm"],
    ),
    # RH neg thrush, neg crack
    (
        4,
        "Off hind's fine, no thrush, no cracks.",
        ["right hind · nothing wrong seen", "right hind · no thrush", "right hind · no crack"],
    ),
    # LH f thrush, mild, central sulcus
    (
        5,
        "Bit of thrush in the central sulcus on the near hind, nothing bad.",
        ["left hind · thrush, central sulcus · mild"],
    ),
    # foot unstated, inherit; heel 46, toe 52; f underrun (farrier's word)
    (
        6,
        "Heel's at forty-six against a fifty-two toe, so he's running under.",
        ["foot? · heel angle · 46°", "foot? · toe angle · 52°", "foot? · underrun heels"],
    ),
    # LF, RF f founder ?; no diagnosis
    (
        7,
        "Looks like he may be foundered, both fronts, I'm not calling it.",
        ["both fronts · suspected founder"],
    ),
    # hx abscess; m remaining 0.5 in
    (
        8,
        "That old abscess track is growing out, half inch to go.",
        ["foot? · abscess track (earlier) · growing out", "foot? · remaining to grow out · 1/2 in"],
    ),
    # LF f flare, medial quarter; cmp improved vs last
    (
        9,
        "Medial quarter flare on the left front, better than last time.",
        ["left front · flare, inside quarter · better since last visit"],
    ),
    # cmp RH better than LH
    (10, "Right hind's better than the left.", ["right hind · looks better · better than LH"]),
    # RF f crack, lateral quarter; neg reaches coronet
    (
        11,
        "Got a quarter crack, outside, off fore, doesn't reach the hairline.",
        ["right front · quarter crack, outside quarter · does not reach the hairline"],
    ),
    # RF f tester positive, toe, repeatable
    (
        12,
        "Sore to testers at the toe, right front, pulled away twice.",
        ["right front · sore to hoof testers, toe · repeatable"],
    ),
    # neg heat; neg raised pulse; foot inherit
    (13, "No heat, no pulse to speak of.", ["foot? · no heat", "foot? · no raised digital pulse"]),
    # LF f pulse bounding, heat; fu vet today, urgent
    (
        14,
        "Pulse is bounding in the left front, foot's hot, call the vet today.",
        [
            "left front · bounding pulse",
            "left front · heat",
            "veterinarian to see the horse · by vet · today (2026-11-25)",
        ],
    ),
    # RH f penetrating object; left in; vet called; red flag
    (
        15,
        "There's a nail in the sole, off hind, I've left it, vet's coming.",
        [
            "right hind · nail or other object in the foot, sole",
            "veterinarian to see the horse · by vet",
        ],
    ),
    # w trim ×4, barefoot
    (16, "Trimmed all four, nothing on.", ["all four · trim", "all four · left barefoot"]),
    # w pull LH RH; reset LF RF
    (
        17,
        "Pulled the hinds, reset the fronts, same shoes.",
        ["both hinds · pull shoes", "both fronts · reset"],
    ),
    # w shoe LF RF size 1, toe clips, city 5, 6 nails
    (
        18,
        "New set in front, size one, toe clips, five city, six nails each.",
        ["both fronts · new shoe · size 1 · toe clips · 6 city 5 nails"],
    ),
    # LH RH shoe 00 (w implied; confirm)
    (19, "Double aught behind.", ["both hinds · new shoe · size 00"]),
    # w heart bar, pour-in; left, front/hind unstated: ask
    (
        20,
        "Put a heart bar on the left with a pour-in.",
        ["left front · heart bar shoe", "left front · pour-in pad"],
    ),
    # w roll, set back 0.125 in; foot inherit
    (
        21,
        "Rolled the toe and set it back an eighth.",
        ["foot? · roll or bevel the toe", "foot? · set the toe back · 1/8 in"],
    ),
    # w roll ×4
    (22, "Mustang roll all round.", ["all four · mustang roll"]),
    # fu recheck P4W
    (23, "Recheck in four weeks.", ["recheck · in four weeks (2026-12-23)"]),
    # fu vet radiographs, before next visit; not done
    (
        24,
        "Get radiographs before the next trim.",
        ["radiographs by a veterinarian · by vet · before the next trim"],
    ),
    # fu P5W; corr from P6W
    (25, "Six weeks, make it five.", ["next trim or shoeing · in 5 weeks (2026-12-30)"]),
    # fu conditional P10D
    (
        26,
        "If he's no sounder in ten days ring the vet, otherwise leave him.",
        ["veterinarian to see the horse · by vet · in ten days (2026-12-05) · if he's no sounder"],
    ),
    # plan staged, lower heel, 2 steps
    (
        27,
        "Plan is take a little heel this time, a little more next, not all at once.",
        ["staged correction · lower the heel"],
    ),
    # hx reported by owner; f short gait on gravel
    (28, "Owner says he was short on gravel last week.", ["short strided (earlier) · owner says"]),
    # LF lameness 2, AAEP (assumed) ?
    (
        29,
        "Trotted him, maybe two out of five, left front.",
        ["trotted up", "left front · lameness grade, perhaps · about 2 of 5 (AAEP)"],
    ),
    # lameness 3, source vet, scale unsaid
    (30, "Vet called it grade three.", ["lameness grade · 3 of 5 (AAEP) · vet says"]),
    # whole horse; neg lameness
    (31, "Sound.", ["sound"]),
    # BCS 5.5 or 6 ?
    (
        32,
        "Condition score five and a half, six maybe.",
        ["body condition score, perhaps · about 5.5 to 6 of 9 (Henneke)"],
    ),
    # m girth 76 in, length 65 in; weight 1,137.7 lb
    (33, "Girth seventy-six, length sixty-five.", ["girth · 76 in", "body length · 65 in"]),
    # LF RF f stretched white line, toe, 0.25 in
    (
        34,
        "White line's stretched at the toe, about a quarter inch, both fronts.",
        ["both fronts · stretched white line, toe · about 1/4 in"],
    ),
    # f separation toe, depth 0.5 in; seedy toe ?
    (
        35,
        "Packed hollow at twelve o'clock, probes half inch, seedy toe I'd say.",
        [
            "foot? · hollow or packed cavity, 12 o'clock",
            "foot? · depth of a finding, 12 o'clock · 1/2 in",
            "foot? · suspected seedy toe",
        ],
    ),
    # neg WLD; corr/exclusion
    (36, "Not white line, just dirt.", ["foot? · no white line disease"]),
    # f sheared heel, medial, 0.25 in ?
    (
        37,
        "Sheared on the inside heel, maybe a quarter inch.",
        ["foot? · suspected sheared heel, inside heel · about 1/4 in"],
    ),
    # m frog 2 × 3.25 in
    (
        38,
        "Frog's two wide by three and a quarter.",
        ["foot? · frog width · 2 in", "foot? · frog length · 3 1/4 in"],
    ),
    # f dish mild; neg broken axis
    (
        39,
        "Dished a bit but the axis is straight.",
        ["foot? · dished wall · mild", "foot? · no broken axis"],
    ),
    # f axis broken-back left; neg right; fronts assumed, ask
    (
        40,
        "Broken back left, straight right.",
        ["left front · broken-back axis", "right front · no broken axis"],
    ),
    # f event line 1 in below coronet ×4; hx
    (
        41,
        "Old event line's about an inch down, same on all four.",
        ["all four · event line (earlier) · about 1 in"],
    ),
    # LF f bruise, medial seat of corn
    (
        42,
        "Bruise at the seat of corn, inside, near fore.",
        ["left front · bruise, inside seat of corn"],
    ),
    # f canker ?; fu vet
    (
        43,
        "Looks like canker, stinks and it's growing, wants the vet to see it.",
        [
            "foot? · suspected canker-like growth",
            "foot? · bad smell",
            "veterinarian to see the horse · by vet",
        ],
    ),
    # f thin sole; w none on sole
    (
        44,
        "Sole's thin, gives to my thumb, so I left it alone.",
        ["foot? · thin sole", "foot? · left alone on purpose"],
    ),
    # RF not trimmed, reason behaviour
    (
        45,
        "Didn't trim the off fore, he wouldn't stand.",
        ["right front · not done: trim · because would not stand", "would not stand"],
    ),
    # behaviour; fu second handler
    (
        46,
        "Kicked out on the hinds, do him with two people next time.",
        ["both hinds · kicked", "second handler · by owner · next time"],
    ),
    # f interference, LH strikes RH
    (47, "He interferes behind, left hits the right.", ["left hind · interference · strikes RH"]),
    # f forging; w shorten LF RF
    (
        48,
        "Forging, I can hear it, so I shortened the front toes.",
        ["forging", "both fronts · shorten the toe"],
    ),
    # RF f paddling
    (49, "Paddles on the right front.", ["right front · paddling"]),
    # RF f clubby ?; RF 58, LF 52; diff 6
    (
        50,
        "Clubby on the off side, fifty-eight against fifty-two.",
        [
            "right front · club-footed shape",
            "right front · toe angle · 58°",
            "left front · toe angle · 52°",
        ],
    ),
    # toe 3.1875 in, approximate; left, front/hind unsaid
    (
        51,
        "Left's a hair under three and a quarter, call it three and three sixteenths.",
        ["left front · toe length · about 3 3/16 in"],
    ),
    # w wedge 2°; right, unsaid pair
    (52, "Wedge pad, two degree, only the right.", ["right front · wedge pad · 2°"]),
    # corr reassigns last facts RH → LH
    (53, "Cancel that, it was the left hind, not the right.", []),
    # corr removes crack only
    (54, "No, no, leave the thrush bit in, I meant the crack.", []),
    # cmp unchanged LH RH; no new values
    (55, "Same as last time behind.", ["both hinds · change · unchanged since last visit"]),
    # LH RH not examined (not negative)
    (56, "Haven't looked at the back feet yet.", ["both hinds · not examined"]),
    # f abscess ?, alt shoe pressure ?
    (
        57,
        "Might be an abscess brewing, might be the shoe.",
        [
            "foot? · suspected abscess · or shoe pressure",
            "foot? · suspected shoe pressure · or abscess",
        ],
    ),
    # advice to Jen; poultice by owner; conditional contact
    (
        58,
        "Spoke to Jen, she'll poultice tonight and ring if he's worse.",
        [
            "spoke to · to Jen",
            "owner care · poultice · by owner · tonight (2026-11-25)",
            "call or message · ring · by owner · if he's worse",
        ],
    ),
    # vet instruction reported; neg drugs given by farrier
    (59, "Vet okayed bute, I've not given anything.", ["drugs given · vet says", "no drugs given"]),
    # end; new horse Tilly, bay; corr colour
    (60, "That'll do, next one's the grey mare, er, bay mare, Tilly.", []),
]

UNPUNCTUATED_MAY_DIFFER: set[int] = set()
"""Sentences whose reading needs the full stops and commas."""


@pytest.mark.parametrize(("number", "sentence", "expected"), SENTENCES)
def test_sentence(
    number: int, sentence: str, expected: list[str], lines: Callable[[str], list[str]]
) -> None:
    assert lines(sentence) == expected


@pytest.mark.parametrize(
    ("number", "sentence", "expected"),
    [row for row in SENTENCES if row[0] not in UNPUNCTUATED_MAY_DIFFER],
)
def test_sentence_as_a_recogniser_writes_it(
    number: int, sentence: str, expected: list[str], lines: Callable[[str], list[str]]
) -> None:
    heard = re.sub(r"[.,;]", "", sentence).replace("-", " ").lower()

    def plain(line: str) -> str:
        return line.lower()

    assert [plain(x) for x in lines(heard)] == [plain(x) for x in expected]

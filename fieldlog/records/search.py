"""Search over what was saved: one typed line of words and filters.

Words are looked up in the full-text index (porter stemming, trade synonyms both ways). Filters
are ``name:value`` pairs anywhere in the line::

    stretched white line foot:front since:2026-03-01
    horse:Bramble toe_length>95mm
    "old abscess" barn:"Hollow Creek" not:thrush

``foot:`` takes a foot (LF, near fore with quotes), ``front``, ``hind``, ``left``, ``right``.
``finding:`` and ``not:`` take a word of the finding (seen, or looked for and not seen).
How the line is understood: ``search_line``.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Sequence
from datetime import date
from functools import cache
from importlib.resources import files

from fieldlog.core.feet import Foot, feet_named
from fieldlog.errors import InputError, NotFound
from fieldlog.records.base import Row
from fieldlog.records.history import History
from fieldlog.records.schema import DAY_STEP
from fieldlog.records.search_line import Wanted, day_of, read_line
from fieldlog.records.types import SearchHit

FEW_HORSES = 8
"""Up to so many horses, their lines are read first and the words looked up after."""
LIMIT = 200
"""Most lines that one search gives."""


_WHOSE = {"horse": "h.name", "owner": "c.name", "barn": "h.barn"}
"""The column of each filter about a horse."""
_IS = {"horse": "h.id", "owner": "h.client_id", "barn": "h.barn"}
"""The column of what another spelling of it is one with."""


def full_text(words: Sequence[str]) -> str:
    """An FTS5 expression for words, each with its synonyms; always valid, maybe empty."""
    joined = " ".join(words).casefold()
    parts: list[str] = []
    for group in _synonyms():
        hit = next((g for g in group if re.search(rf"\b{re.escape(g)}\b", joined)), None)
        if hit is not None:
            joined = re.sub(rf"\b{re.escape(hit)}\b", " ", joined)
            parts.append("(" + " OR ".join(_quoted(g) for g in group) + ")")
    parts += [_quoted(w) for w in joined.split() if re.search(r"\w", w)]
    return " AND ".join(parts)


class Search(History):
    """Finding saved words and facts."""

    def search(
        self, line: str | Wanted, today: date | None = None, limit: int = LIMIT
    ) -> list[SearchHit]:
        """Lines that fit, the newest first; an empty line finds nothing, nor does an unclear one.

        Args:
            line: as typed, or what ``read_line`` made of it.
            today: what ``90d`` and ``yesterday`` count from.
            limit: most lines.
        """
        wanted = line if isinstance(line, Wanted) else read_line(line, today)
        if wanted.unclear:
            return []
        if not wanted.words and not wanted.filters and not wanted.compare:
            return []
        where, values = self._conditions(wanted, today or date.today())
        expression = " AND ".join(e for e in (full_text(wanted.words), _findings(wanted)) if e)
        if wanted.words and not expression:
            return []
        source = "said d"
        horses = self._horses_meant(wanted.filters)
        if horses is not None:
            where.append(f"d.horse_id IN ({', '.join('?' * len(horses))})")
            values += horses
        if expression and horses is not None and len(horses) <= FEW_HORSES:
            # A few horses have fewer lines than a common word.
            where.append("+d.id IN (SELECT rowid FROM said_fts WHERE said_fts MATCH ?)")
            values.append(expression)
        elif expression:
            source = "said_fts JOIN said d ON d.id = said_fts.rowid"
            where.insert(0, "said_fts MATCH ?")
            values.insert(0, expression)
        order = "said_fts.rowid" if source.startswith("said_fts") else "d.id"
        rows = self.query(
            f"""SELECT d.*, h.name AS horse, e.recording_id,
                  coalesce(json_extract(f.body, '$.details.moment'), '') AS moment FROM
                  (SELECT d.* FROM {source} WHERE {" AND ".join(where) or "1"}
                   ORDER BY {order} DESC LIMIT ?) d
                JOIN horses h ON h.id = d.horse_id JOIN entries e ON e.id = d.entry_id
                LEFT JOIN saved_facts f ON f.entry_id = d.entry_id AND f.id = d.fact_id
                ORDER BY d.day DESC, d.id""",
            [*values, limit],
        )
        return [_hit(row) for row in rows]

    def save_search(self, name: str, line: str) -> None:
        """Keep a search line under a name; an existing name is replaced.

        Raises:
            InputError: the name is empty.
        """
        if not name.strip():
            raise InputError("A search is kept under a name.", "Type one.")
        with self.write():
            self.run("INSERT OR REPLACE INTO saved_searches VALUES (?, ?)", [name.strip(), line])

    def saved_searches(self) -> dict[str, str]:
        """Name and line of every kept search."""
        rows = self.query("SELECT * FROM saved_searches ORDER BY name COLLATE NOCASE")
        return {r["name"]: r["line"] for r in rows}

    def saved_search(self, name: str) -> str:
        """The line that is kept under a name.

        Raises:
            NotFound: none is.
        """
        line = self.saved_searches().get(name.strip())
        if line is None:
            raise NotFound(f"No search is kept as “{name}”.", "“fieldlog search --list” shows all.")
        return line

    def forget_search(self, name: str) -> None:
        """Drop a kept search.

        Raises:
            NotFound: none is kept under this name.
        """
        self.saved_search(name)
        with self.write():
            self.run("DELETE FROM saved_searches WHERE name = ?", [name.strip()])

    def nobody_meant(self, wanted: Wanted) -> str:
        """A sentence if no horse in the records fits the filters about horses, else empty."""
        asked = {n: v for n, v in wanted.filters.items() if n in _WHOSE}
        if not asked or self._horses_meant(asked):
            return ""
        return f"No horse in your records fits {' '.join(f'{n}:{v}' for n, v in asked.items())}."

    def named_in(self, wanted: Wanted) -> str:
        """A sentence if words of a search line are the name of a horse, an owner or a barn.

        Words are looked for in the sentences of a note, of which few say the name.
        """
        words = f" {' '.join(wanted.words)} ".casefold()
        known = {
            "horse": {h.name for h in (*self.horses(), *self.spelt_otherwise())},
            "owner": {c.name for c in self.clients()},
            "barn": {h.barn for h in self.horses()},
        }
        found = [
            _told_whose(what, name)
            for what, names in known.items()
            for name in sorted(names)
            if name and what not in wanted.filters and f" {name.casefold()} " in words
        ]
        return ". ".join(found)

    def _conditions(self, wanted: Wanted, today: date) -> tuple[list[str], list[object]]:
        where: list[str] = []
        values: list[object] = []

        def add(sql: str, *given: object) -> None:
            where.append(sql)
            values.extend(given)

        for name, value in wanted.filters.items():
            if name == "foot":
                feet = feet_named(value)
                if feet:
                    add(f"({' OR '.join(['instr(d.feet, ?)'] * len(feet))})", *feet)
            elif name == "place":
                add("d.places <> '' AND instr(d.places, ?)", re.sub(r"\W+", "_", value.casefold()))
            elif name in ("finding", "not"):
                add("d.kind = 'finding' AND d.negated = ?", int(name == "not"))
            elif name == "severity":
                add("d.severity = ? AND d.severity <> ''", value.casefold())
            elif name in ("since", "until"):
                day = day_of(value, today, last=name == "until")
                if day is not None:
                    # By number, which is by day: the full-text index can skip to it.
                    edge = (day.toordinal() + (name == "until")) * DAY_STEP
                    add("d.id >= ?" if name == "since" else "d.id < ?", edge)
        for code, operator, base in wanted.compare:
            sign = "BETWEEN ? - 0.001 AND ? + 0.001" if operator == "=" else f"{operator} ?"
            add(
                f"d.base IS NOT NULL AND d.code = ? AND d.base {sign}",
                code,
                *([base] * (2 if operator == "=" else 1)),
            )
        return where, values

    def _horses_meant(self, filters: dict[str, str]) -> list[str] | None:
        """Ids of the horses that the filters about horses leave; None if there are none such."""
        where: list[str] = []
        values: list[object] = []
        for name in (n for n in filters if n in _WHOSE):
            like, start = f"{_WHOSE[name]} LIKE ? ESCAPE '~'", _start_of(filters[name])
            spelt = self._spelt_so(name, filters[name])
            where.append(f"({like} OR {_IS[name]} IN ({', '.join('?' for _ in spelt)}))")
            values += [start, *spelt]
        if "open" in filters:
            has = "NOT EXISTS" if filters["open"].casefold() == "no" else "EXISTS"
            where.append(
                f"{has} (SELECT 1 FROM follow_ups u WHERE u.horse_id = h.id AND u.state = 'open')"
            )
        if not where:
            return None
        rows = self.query(
            f"""SELECT h.id FROM horses h LEFT JOIN clients c ON c.id = h.client_id
                WHERE h.same_as IS NULL AND {" AND ".join(where)}""",
            values,
        )
        return [r["id"] for r in rows]

    def _spelt_so(self, what: str, start: str) -> list[str]:
        """Ids of horses or owners, names of barns, with another spelling which starts so."""
        if what == "horse":
            spelt = [(h.name, self.standing(h.id).id) for h in self.spelt_otherwise()]
            # As it is told from another horse of its name everywhere: Rosie of Ida Moss.
            spelt += [(full, horse_id) for horse_id, full in self.told_apart().items()]
        else:
            spelt = self.other_spellings("client" if what == "owner" else what)
        wanted = start.casefold()
        return [stays for name, stays in spelt if name.casefold().startswith(wanted)]


def _hit(row: Row) -> SearchHit:
    from fieldlog.language.in_words import with_moment

    return SearchHit(
        entry_id=row["entry_id"],
        fact_id=row["fact_id"],
        horse=row["horse"],
        day=date.fromisoformat(row["day"]),
        feet=tuple(Foot(x) for x in row["feet"].split()),
        label=with_moment(row["label"], row["moment"]) if row["label"] else "",
        sentence=row["sentence"],
        horse_id=row["horse_id"],
        recording_id=row["recording_id"],
        sound=(row["start"], row["finish"]) if row["start"] is not None else None,
    )


_NOTES_OF = {
    "horse": "is a horse; its notes",
    "owner": "is an owner; notes of their horses",
    "barn": "is a barn; notes of the horses there",
}


def _told_whose(what: str, name: str) -> str:
    filtered = f'{what}:"{name}"' if " " in name else f"{what}:{name}"
    return f"{name} {_NOTES_OF[what]}: {filtered}"


def _start_of(value: str) -> str:
    return re.sub(r"([%_~])", r"~\1", value) + "%"


def _findings(wanted: Wanted) -> str:
    """An FTS5 expression for the finding asked for, by its words and by its name in the lexicon."""
    from fieldlog.language.wording import label

    parts = []
    for name in ("finding", "not"):
        value = wanted.filters.get(name)
        if value is None:
            continue
        words = value.replace("_", " ")
        code = re.sub(r"\W+", "_", value.casefold())
        asked = {_quoted(w) for w in (words, label(code)) if re.search(r"\w", w)}
        meant = [full_text([words]), *(a for a in sorted(asked))]
        parts.append("label : (" + " OR ".join(f"({m})" for m in meant if m) + ")")
    return " AND ".join(p for p in parts if p != "label : ()")


def _quoted(word: str) -> str:
    return '"' + word.replace('"', "").strip() + '"'


@cache
def _synonyms() -> tuple[tuple[str, ...], ...]:
    text = (files("fieldlog.records") / "data" / "synonyms.toml").read_text(encoding="utf-8")
    groups = tomllib.loads(text)["groups"]
    return tuple(tuple(sorted(g, key=len, reverse=True)) for g in groups)

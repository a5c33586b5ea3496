"""The table of words on SQLite: an FTS5 table over the texts, and triggers.

A text is taken apart by ``json_each``: a folded word has no sign that JSON minds.
"""

# Our own names are put together here, and nothing else.
# ruff: noqa: S608

from shop.searching.word_names import OF_TEXTS, TEXTS, WORDS

APART = """
    json_each('["' || replace({part}, '{sign}', '","') || '"]')
"""
WHO, STORY = (
    "substr({text}, 1, instr({text}, '01'))",
    "substr({text}, instr({text}, '01') + 1)",
)
SIDES = (("0", WHO), ("1", STORY))


def words(text: str, tables: str = "") -> str:
    """The words of a text with their signs, each once; SQL."""
    return " UNION ".join(
        f"SELECT '{sign}' || value || '{sign}' FROM {tables} "
        f"{APART.format(part=part.format(text=text), sign=sign)} WHERE value <> ''"
        for sign, part in SIDES
    )


OLD, NEW = words("old.text"), words("new.text")
KEPT = (
    f"INSERT INTO {OF_TEXTS}(rowid, text) VALUES (new.ticket_id, new.text); "
    f"INSERT INTO {WORDS}(word) SELECT * FROM ({NEW}) "
    f"EXCEPT SELECT word FROM {WORDS} WHERE word IN ({NEW});"
)
LOST = (
    f"INSERT INTO {OF_TEXTS}({OF_TEXTS}, rowid, text) "
    "VALUES ('delete', old.ticket_id, old.text);"
)
GONE = (
    f"DELETE FROM {WORDS} WHERE word IN (SELECT * FROM ({OLD}) {{but}}) "
    f"AND NOT EXISTS (SELECT 1 FROM {OF_TEXTS} f "
    f"JOIN {TEXTS} t ON t.ticket_id = f.rowid WHERE f.{OF_TEXTS} "
    "MATCH '\"' || trim(word, '01') || '\"' AND instr(t.text, word) > 0);"
)
MAKE = (
    f"CREATE TABLE {WORDS} (id INTEGER PRIMARY KEY, word TEXT NOT NULL UNIQUE)",
    (
        f"CREATE VIRTUAL TABLE {OF_TEXTS} USING fts5(text, content='{TEXTS}', "
        "content_rowid='ticket_id', tokenize=\"ascii separators '01'\")"
    ),
    f"INSERT INTO {OF_TEXTS}({OF_TEXTS}) VALUES ('rebuild')",
    f"INSERT INTO {WORDS}(word) {words('t.text', f'{TEXTS} t, ')}",
    f"CREATE TRIGGER {OF_TEXTS}_in AFTER INSERT ON {TEXTS} BEGIN {KEPT} END",
    (
        f"CREATE TRIGGER {OF_TEXTS}_out AFTER DELETE ON {TEXTS} "
        f"BEGIN {LOST} {GONE.format(but='')} END"
    ),
    (
        f"CREATE TRIGGER {OF_TEXTS}_anew AFTER UPDATE ON {TEXTS} "
        f"BEGIN {LOST} {KEPT} {GONE.format(but=f'EXCEPT SELECT * FROM ({NEW})')} END"
    ),
)
DROP = (
    *(f"DROP TRIGGER IF EXISTS {OF_TEXTS}_{name}" for name in ("in", "out", "anew")),
    f"DROP TABLE IF EXISTS {OF_TEXTS}",
    f"DROP TABLE IF EXISTS {WORDS}",
)

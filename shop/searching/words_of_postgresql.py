"""The table of words on PostgreSQL: a GIN index over the texts' words, and triggers.

Two acts at once may each leave a word to the other's text, or take one away that the
other needs: by night all words are looked at (``words.keep``, ``words.sweep``).
"""

# Our own names are put together here, and nothing else.
# ruff: noqa: S608

from shop.searching.word_names import TEXTS, WORDS

INDEX = "searching_text_by_words"
NEWEST = 500  # texts: what stands in one of them need not be looked for in all


def array(text: str) -> str:
    """The words of a text without their signs, as the index has them; SQL."""
    return f"string_to_array(translate({text}, '0', '1'), '1')"


WORDS_OF = """
CREATE FUNCTION searching_words_of(story text) RETURNS SETOF text
LANGUAGE sql IMMUTABLE AS $$
    SELECT '0' || word || '0' FROM unnest(
        string_to_array(left($1, strpos($1, '01')), '0')) word WHERE word <> ''
    UNION ALL SELECT '1' || word || '1' FROM unnest(
        string_to_array(substr($1, strpos($1, '01') + 1), '1')) word WHERE word <> ''
$$
"""
FORGET = f"""
CREATE FUNCTION searching_words_forget(gone text[]) RETURNS void
LANGUAGE plpgsql SET enable_seqscan = off AS $$
BEGIN
    IF cardinality(gone) > 0 THEN
        DELETE FROM {WORDS} w WHERE w.word = ANY (gone) AND w.word NOT IN (
            SELECT searching_words_of(text) FROM (
                SELECT text FROM {TEXTS} ORDER BY ticket_id DESC LIMIT {NEWEST}) t)
        AND NOT EXISTS (SELECT 1 FROM {TEXTS} t
            WHERE {array("t.text")} @> ARRAY[btrim(w.word, '01')]
            AND strpos(t.text, w.word) > 0);
    END IF;
END $$
"""
KEEP = f"""
    INSERT INTO {WORDS} SELECT DISTINCT searching_words_of(text) FROM new_texts
    ORDER BY 1 ON CONFLICT DO NOTHING;
"""
LOSE = """
    PERFORM searching_words_forget(ARRAY(
        SELECT searching_words_of(text) FROM old_texts
        EXCEPT SELECT searching_words_of(text) FROM {new_texts}));
"""
TRUNCATED = f"DELETE FROM {WORDS};"
OLD_ROWS, NEW_ROWS = "OLD TABLE AS old_texts", "NEW TABLE AS new_texts"
NO_TEXTS = "(SELECT '' AS text) none"
TRIGGERS = {
    "in": ("INSERT", f"REFERENCING {NEW_ROWS}", KEEP),
    "out": ("DELETE", f"REFERENCING {OLD_ROWS}", LOSE.format(new_texts=NO_TEXTS)),
    "anew": (
        "UPDATE",
        f"REFERENCING {OLD_ROWS} {NEW_ROWS}",
        KEEP + LOSE.format(new_texts="new_texts"),
    ),
    "emptied": ("TRUNCATE", "", TRUNCATED),
}


def trigger(name: str) -> tuple[str, str]:
    act, rows, does = TRIGGERS[name]
    return (
        (
            f"CREATE FUNCTION searching_words_{name}() RETURNS trigger "
            f"LANGUAGE plpgsql AS $$ BEGIN {does} RETURN NULL; END $$"
        ),
        (
            f"CREATE TRIGGER searching_words_{name} AFTER {act} ON {TEXTS} {rows} "
            f"FOR EACH STATEMENT EXECUTE FUNCTION searching_words_{name}()"
        ),
    )


MAKE = (
    f"CREATE TABLE {WORDS} (word text PRIMARY KEY)",
    WORDS_OF,
    FORGET,
    f"INSERT INTO {WORDS} SELECT DISTINCT searching_words_of(text) FROM {TEXTS}",
    *(statement for name in TRIGGERS for statement in trigger(name)),
    (
        f"CREATE INDEX {INDEX} ON {TEXTS} USING gin (({array('text')})) "
        "WITH (fastupdate = off)"
    ),
)
DROP = (
    *(f"DROP FUNCTION IF EXISTS searching_words_{name}() CASCADE" for name in TRIGGERS),
    "DROP FUNCTION IF EXISTS searching_words_forget(text[])",
    "DROP FUNCTION IF EXISTS searching_words_of(text)",
    f"DROP TABLE IF EXISTS {WORDS}",
    f"DROP INDEX IF EXISTS {INDEX}",
)
MISSING = f"""
    INSERT INTO {WORDS} SELECT DISTINCT searching_words_of(text) FROM {TEXTS}
    WHERE ticket_id = ANY (%s) ORDER BY 1 ON CONFLICT DO NOTHING
"""
NEXT = f"SELECT word FROM {WORDS} WHERE word > %s ORDER BY word LIMIT %s"
SWEEP = "SELECT searching_words_forget(%s)"

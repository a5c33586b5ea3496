"""What the search's own tables and indexes are called."""

TEXTS = "searching_tickettext"
# On SQLite it has the name of a shadow of its trigrams, and is moved like one.
WORDS = "searching_trigrams_words"
TRIGRAMS = "searching_trigrams"
OF_TEXTS = "searching_texts"

"""The lexicon as data: no row contradicts another, every row is complete, any spelling finds its row."""

from harnesscheck.trade.lexicon.entries import index, lexicon, words_of
from harnesscheck.trade.tables import rows


def test_no_row_contradicts_another():
    assert lexicon().clashes == []


def test_two_meanings_of_one_spelling_are_noticed():
    table = [
        {"words": "Masse|earth", "concepts": "ground", "language": "de"},
        {"words": "MASSE", "concepts": "signal", "language": "xx"},
    ]
    assert index(table).clashes == ["'masse' is ground in one row, signal in another"]


def test_every_row_has_words_concepts_language_source_and_status():
    for row in rows("lexicon"):
        assert all(row[column].strip() for column in ("words", "concepts", "language", "source", "status")), row
        assert all(words_of(word) for word in row["words"].split("|")), row

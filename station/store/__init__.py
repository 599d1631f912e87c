"""The book: one SQLite file with everything that a recording holds."""

from station.store.book import Book, SettingsVersion, open_book
from station.store.cards import Card, Change, Typed

__all__ = ["Book", "Card", "Change", "SettingsVersion", "Typed", "open_book"]

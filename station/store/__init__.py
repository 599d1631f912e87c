"""The book: one SQLite file with everything that a recording holds."""

from station.store.book import Book, SettingsVersion, open_book
from station.store.cards import Card, Change

__all__ = ["Book", "Card", "Change", "SettingsVersion", "open_book"]

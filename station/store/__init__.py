"""The book: one SQLite file with everything that a recording holds."""

from station.store.book import Book, SettingsVersion, is_book, open_book

__all__ = ["Book", "SettingsVersion", "is_book", "open_book"]

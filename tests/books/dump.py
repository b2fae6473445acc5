"""Writes a book as SQL text, with the marks that tell a book and its version.

Usage: python3 dump.py BOOK > tests/books/NNNN.sql   (NNNN: the version of the book)
"""

import sqlite3
import sys

book = sqlite3.connect(f"file:{sys.argv[1]}?mode=ro", uri=True)
print("PRAGMA foreign_keys = OFF;")
for mark in ("application_id", "user_version"):
    (value,) = book.execute(f"PRAGMA {mark}").fetchone()
    print(f"PRAGMA {mark} = {value};")
for line in book.iterdump():
    print(line)

"""Work that takes longer than an answer may: reading an upload, making the order and the site.

A job is a row. On SQLite one thread of the one process works the rows off; on PostgreSQL all processes share
them through procrastinate. A job that a dead process left is taken up again, and after three tries it fails
and says so.
"""

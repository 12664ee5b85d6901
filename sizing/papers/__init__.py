"""Papers by role: the bench card, the surveyor's sheet, the scrutineers' sheets, the officer's list.

Read `files` first: `write_papers` makes everything. `names` says which papers a boat has, and how they are
called, before any is made.
"""

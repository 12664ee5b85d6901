"""The sea card: two sides a boat, to be laminated and used at sea in the dark.

Read `files` first: `write_cards` makes everything, and the words are in `sizing.seamanship`.
"""

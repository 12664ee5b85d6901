"""What is done with the drogue, from the lee shore to the rinsing: one register for pages and sea cards.

Read `register` first: it gives the steps of one boat, in order. The words stand in `steps.toml`; `handling`
says what of it concerns a boat, and fills in her figures; `recovery` is the gear she is got back aboard with.
No authority vouches for any of it.
"""

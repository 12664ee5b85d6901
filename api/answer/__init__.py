"""The form of a boat's skipper: a page of the server, and the same as a file that needs no network."""

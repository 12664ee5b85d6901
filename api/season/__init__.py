"""What changes a season: one function an act, the same for the command line and for the server."""

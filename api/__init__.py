"""The two doors of the program: the command line, and the HTTP interface for the dock."""

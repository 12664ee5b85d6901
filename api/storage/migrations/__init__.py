"""The steps from one form of the tables to the next, and how they are taken."""

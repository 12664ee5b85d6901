"""Whether pages, drawings and style sheets are what the standards of the web call valid."""

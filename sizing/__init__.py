"""The engine: from a fleet file to sized boats, findings and an order. Start with `sizing.story`."""

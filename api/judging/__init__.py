"""From a stored upload and what scrutineers measured to results: one boat at once, or the whole fleet.

Nothing here computes a figure: the engine does. `sheet` keeps what is needed to read one boat's cells again,
`as_found` puts measured values in their place, `boat` and `fleet` run the engine, `documents` say it in JSON.
"""

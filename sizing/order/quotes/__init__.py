"""The round of quotations: what each supplier is asked, their replies read back, and what is bought of whom.

Read `asked` first: a `Round` is all that is asked. `request` writes a workbook a supplier, `reply` reads
one back, `split` chooses the cheapest allowed purchase, `results` writes it down.
"""

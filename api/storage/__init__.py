"""What is kept: tables, connections, migrations, backups. No web framework here.

Read `schema` first. Every write goes through `Store.write`: one transaction that is whole or did not happen.
"""

"""The workshop file: tables, migrations, journal, ledger, reads, backup."""

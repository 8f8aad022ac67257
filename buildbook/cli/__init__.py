"""The command line: a thin skin over answers and actions."""

"""Plain SQL, one statement a question, returning named tuples."""

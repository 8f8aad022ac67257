"""The read side: one module a place, each answer a plain sentence and its rows."""

"""The screen: six places of one workshop in the terminal (Textual)."""

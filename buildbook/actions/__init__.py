"""The write side: one module a place; every public function is one action, written whole and undone whole."""

"""Pure computations: frozen data in, frozen data out. No SQL, no clock, no files."""

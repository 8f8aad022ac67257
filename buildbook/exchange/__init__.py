"""Reading and writing lists that other programs made: CSV and XLSX."""

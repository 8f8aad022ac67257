"""What leaves the workshop to be read: the book, sheets for the bench, labels, plots."""

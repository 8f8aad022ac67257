"""The write side: one module a place, each function one journalled transaction."""

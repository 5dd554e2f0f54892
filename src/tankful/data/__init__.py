"""Shipped tables: text, units in the header, a source id on every row."""

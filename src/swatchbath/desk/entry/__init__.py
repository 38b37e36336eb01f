"""What is put on record: swatches, pots, tables, codes, many photos."""

"""What a row of a bath is: its columns, their words and units, and the checking of a table."""

"""What a bath record holds beyond its first columns, and photos that no colour was read from."""

BATH_FIELDS = """
    ALTER TABLE step ADD COLUMN pH_read TEXT;             -- strip or meter
    ALTER TABLE step ADD COLUMN stock_days REAL;          -- age of the stock the bath was made of
    ALTER TABLE step ADD COLUMN vat TEXT;                 -- kind of vat; the next three are its own
    ALTER TABLE step ADD COLUMN dips REAL;
    ALTER TABLE step ADD COLUMN dip_minutes REAL;
    ALTER TABLE step ADD COLUMN vat_days REAL;
    ALTER TABLE step ADD COLUMN typed TEXT NOT NULL DEFAULT '';   -- the line as it was typed
    ALTER TABLE material ADD COLUMN strip TEXT;           -- test strip of a home-made liquor
    ALTER TABLE swatch ADD COLUMN pot_position TEXT;
    ALTER TABLE swatch ADD COLUMN typed TEXT NOT NULL DEFAULT '{}';  -- JSON: column -> as typed
    ALTER TABLE measurement ADD COLUMN days REAL;         -- since dyeing
    CREATE TABLE shown (                                  -- what a photo shows, measured or not
        photo TEXT NOT NULL REFERENCES photo(id),
        swatch TEXT NOT NULL REFERENCES swatch(code),
        what TEXT NOT NULL CHECK (what IN ('swatch', 'pot sheet')),
        added TEXT NOT NULL,
        PRIMARY KEY (photo, swatch, what)
    ) STRICT;
    CREATE INDEX shown_swatch ON shown(swatch);
    """

"""What made the tables of a library what they are, one statement after the other.

Text stays text (STRICT tables): a code or lot 01234 never becomes a number. A migration is only
ever added at the end.
"""

from __future__ import annotations

MIGRATIONS: tuple[str, ...] = (
    """
    CREATE TABLE photo (
        id TEXT PRIMARY KEY CHECK (length(id) = 64),      -- SHA-256 of the file
        name TEXT NOT NULL,                               -- as the file was called
        file TEXT NOT NULL,                               -- below photos/
        camera TEXT,
        added TEXT NOT NULL
    ) STRICT;
    CREATE TABLE lot (
        name TEXT PRIMARY KEY,                            -- the dyer's own name for the pot
        session TEXT,                                     -- dye day
        note TEXT NOT NULL DEFAULT '',
        added TEXT NOT NULL
    ) STRICT;
    CREATE TABLE swatch (
        code TEXT PRIMARY KEY,
        number INTEGER NOT NULL UNIQUE,                   -- running number the code is made of
        name TEXT,                                        -- what the dyer calls it, if anything
        lot TEXT REFERENCES lot(name),
        part TEXT,                                        -- a, b, c of a lot split among baths
        fibre TEXT,
        fibre_form TEXT,
        base_L REAL, base_a REAL, base_b REAL,            -- colour of the undyed fibre
        fibre_g REAL,
        extra TEXT NOT NULL DEFAULT '{}',                 -- columns kept but not used, JSON
        added TEXT NOT NULL
    ) STRICT;
    CREATE INDEX swatch_name ON swatch(name);
    CREATE INDEX swatch_lot ON swatch(lot);
    CREATE TABLE step (
        id INTEGER PRIMARY KEY,
        lot TEXT REFERENCES lot(name),                    -- a step of the whole pot, or
        swatch TEXT REFERENCES swatch(code),              -- of this swatch alone
        position INTEGER NOT NULL,
        kind TEXT NOT NULL,
        pH REAL, temperature_C REAL, minutes REAL, liquor_ratio REAL, bath_number REAL,
        water TEXT, vessel TEXT,
        note TEXT NOT NULL DEFAULT '',
        CHECK ((lot IS NULL) <> (swatch IS NULL))
    ) STRICT;
    CREATE INDEX step_lot ON step(lot);
    CREATE INDEX step_swatch ON step(swatch);
    CREATE TABLE material (
        step INTEGER NOT NULL REFERENCES step(id) ON DELETE CASCADE,
        position INTEGER NOT NULL,
        role TEXT NOT NULL,
        name TEXT NOT NULL,
        owf REAL,
        form TEXT,
        dyestuff_lot TEXT,
        PRIMARY KEY (step, position)
    ) STRICT;
    CREATE TABLE measurement (
        id INTEGER PRIMARY KEY,
        swatch TEXT NOT NULL REFERENCES swatch(code),
        photo TEXT REFERENCES photo(id),
        state TEXT NOT NULL CHECK (state IN ('dry', 'dry washed', 'dry unwashed', 'wet')),
        rung TEXT NOT NULL,
        light TEXT NOT NULL,
        observer TEXT NOT NULL,
        L REAL NOT NULL, a REAL NOT NULL, b REAL NOT NULL,
        repeatability TEXT NOT NULL,                      -- JSON (3, 3)
        trueness TEXT NOT NULL,                           -- JSON (3, 3)
        shared TEXT NOT NULL,      -- JSON source -> base64 of (3, K) float32, little end first
        checks TEXT NOT NULL,                             -- JSON
        notes TEXT NOT NULL,                              -- JSON
        mark TEXT,                                        -- JSON: where in the photo
        added TEXT NOT NULL
    ) STRICT;
    CREATE INDEX measurement_swatch ON measurement(swatch);
    CREATE INDEX measurement_photo ON measurement(photo);
    """,
    """
    ALTER TABLE swatch ADD COLUMN session TEXT;           -- dye day of a swatch without a lot
    -- 0: not known whether this dyestuff went in together with the one before it or over it
    ALTER TABLE material ADD COLUMN how_known INTEGER NOT NULL DEFAULT 1;
    """,
    # What a bath record holds beyond its first columns, and photos that no colour was read from.
    """
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
    """,
    # What was there before: changes, the bin, codes that are not given again, and what finding
    # reads. A change is what one write did; its values hold what was there before and after, as
    # JSON. `said` is what words and colours may find of a swatch; triggers empty it whenever
    # something it tells of is changed, so that a stale one is never read.
    """
    CREATE TABLE change (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        at TEXT NOT NULL,
        kind TEXT NOT NULL CHECK (kind IN ('record', 'edit', 'bin', 'undo')),
        why TEXT NOT NULL DEFAULT '',
        undone INTEGER REFERENCES change(id)              -- the change that took it back
    ) STRICT;
    CREATE INDEX change_undone ON change(undone);
    CREATE TABLE change_value (
        change INTEGER NOT NULL REFERENCES change(id),
        position INTEGER NOT NULL,
        target TEXT NOT NULL CHECK (target IN ('swatch', 'lot', 'reading')),
        key TEXT NOT NULL,                                -- code, lot name, id of the measurement
        field TEXT NOT NULL,                              -- a column of its table, or steps
        old TEXT NOT NULL,                                -- JSON
        new TEXT NOT NULL,                                -- JSON
        told TEXT NOT NULL DEFAULT '{}',  -- JSON: condition column -> [before, after] of steps
        PRIMARY KEY (change, position)
    ) STRICT;
    CREATE INDEX change_value_key ON change_value(target, key);
    CREATE TABLE spent_code (                             -- swatches gone for good
        code TEXT PRIMARY KEY,
        number INTEGER NOT NULL UNIQUE,
        at TEXT NOT NULL
    ) STRICT;
    CREATE TABLE setting (
        name TEXT PRIMARY KEY,
        value TEXT NOT NULL
    ) STRICT;
    ALTER TABLE swatch ADD COLUMN binned TEXT;            -- when it was put in the bin
    ALTER TABLE measurement ADD COLUMN binned TEXT;
    CREATE INDEX swatch_binned ON swatch(binned) WHERE binned IS NOT NULL;
    CREATE TABLE said (
        swatch TEXT PRIMARY KEY REFERENCES swatch(code) ON DELETE CASCADE,
        made INTEGER NOT NULL,                            -- by which way of telling
        L REAL, a REAL, b REAL,                           -- latest dry reading as D65/2
        words TEXT NOT NULL
    ) STRICT;
    CREATE TRIGGER said_swatch AFTER UPDATE ON swatch BEGIN
        DELETE FROM said WHERE swatch = new.code;
    END;
    CREATE TRIGGER said_lot AFTER UPDATE ON lot BEGIN
        DELETE FROM said WHERE swatch IN (SELECT code FROM swatch WHERE lot = new.name);
    END;
    CREATE TRIGGER said_step_in AFTER INSERT ON step BEGIN
        DELETE FROM said WHERE swatch = new.swatch
            OR swatch IN (SELECT code FROM swatch WHERE lot = new.lot);
    END;
    CREATE TRIGGER said_step AFTER UPDATE ON step BEGIN
        DELETE FROM said WHERE swatch = new.swatch
            OR swatch IN (SELECT code FROM swatch WHERE lot = new.lot);
    END;
    CREATE TRIGGER said_step_out AFTER DELETE ON step BEGIN
        DELETE FROM said WHERE swatch = old.swatch
            OR swatch IN (SELECT code FROM swatch WHERE lot = old.lot);
    END;
    CREATE TRIGGER said_material_in AFTER INSERT ON material BEGIN
        DELETE FROM said WHERE swatch IN (
            SELECT swatch FROM step WHERE id = new.step UNION SELECT swatch.code FROM step
            JOIN swatch ON swatch.lot = step.lot WHERE step.id = new.step);
    END;
    CREATE TRIGGER said_material AFTER UPDATE ON material BEGIN
        DELETE FROM said WHERE swatch IN (
            SELECT swatch FROM step WHERE id = new.step UNION SELECT swatch.code FROM step
            JOIN swatch ON swatch.lot = step.lot WHERE step.id = new.step);
    END;
    CREATE TRIGGER said_reading_in AFTER INSERT ON measurement BEGIN
        DELETE FROM said WHERE swatch = new.swatch;
    END;
    CREATE TRIGGER said_reading AFTER UPDATE ON measurement BEGIN
        DELETE FROM said WHERE swatch IN (old.swatch, new.swatch);
    END;
    CREATE TRIGGER said_reading_out AFTER DELETE ON measurement BEGIN
        DELETE FROM said WHERE swatch = old.swatch;
    END;
    """,
    # Whose camera a photo is by, when it was taken, and what of known colour lies in it, so that it
    # can be read anew; what is changed of a photo; a doubt wider than a Gaussian's. Photos that do
    # not say which camera took them are by one camera, the library's own.
    """
    ALTER TABLE measurement ADD COLUMN degrees REAL;      -- of its Student's t; NULL: Gaussian
    ALTER TABLE photo ADD COLUMN camera_name TEXT;  -- hers, where the file does not say (`camera`)
    ALTER TABLE photo ADD COLUMN sitting TEXT;            -- as she called it
    ALTER TABLE photo ADD COLUMN taken TEXT;              -- by the camera's clock
    ALTER TABLE photo ADD COLUMN frame TEXT;              -- JSON: what of known colour lies in it
    CREATE TABLE change_value_ (
        change INTEGER NOT NULL REFERENCES change(id),
        position INTEGER NOT NULL,
        target TEXT NOT NULL CHECK (target IN ('swatch', 'lot', 'reading', 'photo')),
        key TEXT NOT NULL,                                -- code, lot name, id of the others
        field TEXT NOT NULL,                              -- a column of its table, or a telling one
        old TEXT NOT NULL,                                -- JSON
        new TEXT NOT NULL,                                -- JSON
        told TEXT NOT NULL DEFAULT '{}',
        PRIMARY KEY (change, position)
    ) STRICT;
    INSERT INTO change_value_ SELECT * FROM change_value;
    DROP TABLE change_value;
    ALTER TABLE change_value_ RENAME TO change_value;
    CREATE INDEX change_value_key ON change_value(target, key);
    INSERT OR IGNORE INTO setting VALUES
        ('unnamed camera', 'unnamed (' || lower(hex(randomblob(2))) || ')');
    """,
    # What a diary line tells besides, in its own words.
    """
    ALTER TABLE step ADD COLUMN heat TEXT;                -- as told where it was no number: simmer
    ALTER TABLE step ADD COLUMN duration TEXT;            -- the same of the time: overnight
    ALTER TABLE step ADD COLUMN litres REAL;              -- of water
    ALTER TABLE step ADD COLUMN pH_end REAL;              -- when the fibre came out
    ALTER TABLE step ADD COLUMN pot TEXT;                 -- whose liquor it is, of a second bath
    ALTER TABLE step ADD COLUMN vat_with TEXT;            -- what else was in a vat: lime, soda
    ALTER TABLE material ADD COLUMN told TEXT;            -- an amount that was no percentage
    -- What is kept beside: notes and columns of her own on lots and on deliveries of dyestuffs,
    -- as swatches have them; and rows of tables that were taken in.
    ALTER TABLE lot ADD COLUMN extra TEXT NOT NULL DEFAULT '{}';   -- JSON, as a swatch's
    ALTER TABLE swatch ADD COLUMN pot_g REAL;             -- dry weight of all fibre in the pot
    CREATE TABLE dyestuff_lot (
        name TEXT PRIMARY KEY,                            -- as the materials of steps name it
        extra TEXT NOT NULL DEFAULT '{}',                 -- JSON
        added TEXT NOT NULL
    ) STRICT;
    CREATE TABLE taken (
        digest TEXT PRIMARY KEY,                          -- of what stood in the row
        swatch TEXT NOT NULL REFERENCES swatch(code) ON DELETE CASCADE,
        "table" TEXT NOT NULL,                            -- the file's name
        "row" INTEGER NOT NULL,
        added TEXT NOT NULL
    ) STRICT;
    CREATE INDEX taken_swatch ON taken(swatch);
    CREATE TABLE change_value_ (
        change INTEGER NOT NULL REFERENCES change(id),
        position INTEGER NOT NULL,
        target TEXT NOT NULL CHECK (
            target IN ('swatch', 'lot', 'dyestuff lot', 'reading', 'photo')),
        key TEXT NOT NULL,                                -- code, lot name, id of the others
        field TEXT NOT NULL,                              -- a column of its table, or a telling one
        old TEXT NOT NULL,                                -- JSON
        new TEXT NOT NULL,                                -- JSON
        told TEXT NOT NULL DEFAULT '{}',
        PRIMARY KEY (change, position)
    ) STRICT;
    INSERT INTO change_value_ SELECT * FROM change_value;
    DROP TABLE change_value;
    ALTER TABLE change_value_ RENAME TO change_value;
    CREATE INDEX change_value_key ON change_value(target, key);
    CREATE TRIGGER said_dyestuff_lot AFTER UPDATE ON dyestuff_lot BEGIN
        DELETE FROM said WHERE swatch IN (
            SELECT step.swatch FROM material JOIN step ON step.id = material.step
            WHERE material.dyestuff_lot = new.name AND step.swatch IS NOT NULL
            UNION SELECT swatch.code FROM material JOIN step ON step.id = material.step
            JOIN swatch ON swatch.lot = step.lot WHERE material.dyestuff_lot = new.name);
    END;
    -- Trust: the mark by which a library is known for one (`APPLICATION_ID`), where a new library
    -- begins with its codes, and what finds a swatch made again as this version tells it.
    PRAGMA application_id = 1937203809;
    INSERT OR IGNORE INTO setting SELECT 'code start', CAST(abs(random() % 130321) AS TEXT)
        WHERE NOT EXISTS (SELECT 1 FROM swatch) AND NOT EXISTS (SELECT 1 FROM spent_code);
    INSERT OR IGNORE INTO setting SELECT 'rule of the columns', '2'
        WHERE NOT EXISTS (SELECT 1 FROM swatch);
    DELETE FROM said;
    """,
    # Suggestions that a code was given out for: what was asked, expected and said of its chance.
    """
    CREATE TABLE suggested (
        swatch TEXT PRIMARY KEY REFERENCES swatch(code) ON DELETE CASCADE,
        told TEXT NOT NULL,                               -- JSON
        added TEXT NOT NULL
    ) STRICT;
    """,
    # Kept pieces: the shades that other lots are judged against, and the lots that were.
    """
    CREATE TABLE kept_piece (
        id INTEGER PRIMARY KEY,
        name TEXT NOT NULL,                               -- what she calls the shade
        of_swatches TEXT NOT NULL,                        -- JSON: codes it was read from
        L REAL NOT NULL, a REAL NOT NULL, b REAL NOT NULL,   -- D65/2, when it was kept
        covariance TEXT NOT NULL,                         -- JSON (3, 3)
        within REAL NOT NULL,                             -- how close it must be, CIEDE2000
        lies TEXT NOT NULL DEFAULT '',                    -- where the piece of yarn lies
        judged TEXT NOT NULL DEFAULT '[]',                -- JSON: codes judged by it, in order
        binned TEXT,                                      -- when it was let go
        added TEXT NOT NULL
    ) STRICT;
    CREATE TABLE change_value_ (
        change INTEGER NOT NULL REFERENCES change(id),
        position INTEGER NOT NULL,
        target TEXT NOT NULL CHECK (
            target IN ('swatch', 'lot', 'dyestuff lot', 'reading', 'photo', 'kept piece')),
        key TEXT NOT NULL,                                -- code, lot name, id of the others
        field TEXT NOT NULL,                              -- a column of its table, or a telling one
        old TEXT NOT NULL,                                -- JSON
        new TEXT NOT NULL,                                -- JSON
        told TEXT NOT NULL DEFAULT '{}',
        PRIMARY KEY (change, position)
    ) STRICT;
    INSERT INTO change_value_ SELECT * FROM change_value;
    DROP TABLE change_value;
    ALTER TABLE change_value_ RENAME TO change_value;
    CREATE INDEX change_value_key ON change_value(target, key);
    """,
    # A pair judged by eye can be taken back.
    """
    CREATE TABLE change_value_ (
        change INTEGER NOT NULL REFERENCES change(id),
        position INTEGER NOT NULL,
        target TEXT NOT NULL CHECK (target IN (
            'swatch', 'lot', 'dyestuff lot', 'reading', 'photo', 'kept piece', 'judgement')),
        key TEXT NOT NULL,                                -- code, lot name, id of the others
        field TEXT NOT NULL,                              -- a column of its table, or a telling one
        old TEXT NOT NULL,                                -- JSON
        new TEXT NOT NULL,                                -- JSON
        told TEXT NOT NULL DEFAULT '{}',
        PRIMARY KEY (change, position)
    ) STRICT;
    INSERT INTO change_value_ SELECT * FROM change_value;
    DROP TABLE change_value;
    ALTER TABLE change_value_ RENAME TO change_value;
    CREATE INDEX change_value_key ON change_value(target, key);
    """,
    # What an instrument read, where it told more than three numbers.
    """
    ALTER TABLE measurement ADD COLUMN spectrum TEXT;   -- JSON: first nm, step, fractions of white
    """,
)

"""Tables for what was there before: changes, the bin, codes that are not given again, and what
finding reads.

A change is what one write did; its values hold what was there before and after, as JSON. `said`
is what words and colours may find of a swatch; triggers empty it whenever something it tells of
is changed, so that a stale one is never read.
"""

MEMORY = """
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
    """

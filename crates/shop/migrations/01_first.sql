-- The first shape of the shop file. Never edited: what changes later is a further file.
--
-- Every drawer has the same columns: what somebody calls the thing, its text as typed, and a revision that only grows.
-- Ids are never used twice, so that undoing a removal finds its old number free.

CREATE TABLE build (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    name TEXT NOT NULL COLLATE NOCASE UNIQUE,
    text TEXT NOT NULL,
    revision INTEGER NOT NULL,
    changed_at TEXT NOT NULL
) STRICT;

CREATE TABLE swap (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    name TEXT NOT NULL COLLATE NOCASE UNIQUE,
    text TEXT NOT NULL,
    revision INTEGER NOT NULL,
    changed_at TEXT NOT NULL,
    build_id INTEGER NOT NULL REFERENCES build (id) ON DELETE RESTRICT
) STRICT;
CREATE INDEX swap_of_build ON swap (build_id);

CREATE TABLE pull (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    name TEXT NOT NULL COLLATE NOCASE UNIQUE,
    text TEXT NOT NULL,
    revision INTEGER NOT NULL,
    changed_at TEXT NOT NULL,
    build_id INTEGER REFERENCES build (id) ON DELETE RESTRICT
) STRICT;
CREATE INDEX pull_of_build ON pull (build_id);

CREATE TABLE part (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    name TEXT NOT NULL COLLATE NOCASE UNIQUE,
    text TEXT NOT NULL,
    revision INTEGER NOT NULL,
    changed_at TEXT NOT NULL,
    kind TEXT NOT NULL CHECK (kind IN ('block', 'gasket', 'head', 'piston', 'cam', 'train', 'spring'))
) STRICT;

-- Readings are only ever added; the latest of a path is the one in force.
CREATE TABLE reading (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    build_id INTEGER REFERENCES build (id) ON DELETE CASCADE,
    part_id INTEGER REFERENCES part (id) ON DELETE CASCADE,
    path TEXT NOT NULL,
    text TEXT NOT NULL,
    taken_at TEXT NOT NULL,
    taken_by TEXT NOT NULL,
    instrument TEXT NOT NULL,
    note TEXT NOT NULL,
    CHECK ((build_id IS NULL) <> (part_id IS NULL))
) STRICT;
CREATE INDEX reading_of_build ON reading (build_id, path);
CREATE INDEX reading_of_part ON reading (part_id, path);

-- Answers that take long, by the digest of everything they were made from.
CREATE TABLE result (
    digest BLOB PRIMARY KEY,
    kind TEXT NOT NULL,
    body TEXT NOT NULL,
    made_at TEXT NOT NULL
) STRICT;
CREATE INDEX result_by_age ON result (made_at);

-- What was changed, and how each row looked before; NULL where there was none.
CREATE TABLE change (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    at TEXT NOT NULL,
    what TEXT NOT NULL,
    undone INTEGER NOT NULL DEFAULT 0
) STRICT;

CREATE TABLE image (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    change_id INTEGER NOT NULL REFERENCES change (id) ON DELETE CASCADE,
    drawer TEXT NOT NULL,
    row_id INTEGER NOT NULL,
    before TEXT
) STRICT;
CREATE INDEX image_of_change ON image (change_id);

CREATE TRIGGER build_added AFTER INSERT ON build BEGIN
    INSERT INTO image (change_id, drawer, row_id, before) VALUES ((SELECT max(id) FROM change), 'build', new.id, NULL);
END;
CREATE TRIGGER build_changed BEFORE UPDATE ON build BEGIN
    INSERT INTO image (change_id, drawer, row_id, before) VALUES ((SELECT max(id) FROM change), 'build', old.id,
        json_object('id', old.id, 'name', old.name, 'text', old.text, 'revision', old.revision,
            'changed_at', old.changed_at));
END;
CREATE TRIGGER build_removed BEFORE DELETE ON build BEGIN
    INSERT INTO image (change_id, drawer, row_id, before) VALUES ((SELECT max(id) FROM change), 'build', old.id,
        json_object('id', old.id, 'name', old.name, 'text', old.text, 'revision', old.revision,
            'changed_at', old.changed_at));
END;

CREATE TRIGGER swap_added AFTER INSERT ON swap BEGIN
    INSERT INTO image (change_id, drawer, row_id, before) VALUES ((SELECT max(id) FROM change), 'swap', new.id, NULL);
END;
CREATE TRIGGER swap_changed BEFORE UPDATE ON swap BEGIN
    INSERT INTO image (change_id, drawer, row_id, before) VALUES ((SELECT max(id) FROM change), 'swap', old.id,
        json_object('id', old.id, 'name', old.name, 'text', old.text, 'revision', old.revision,
            'changed_at', old.changed_at, 'build_id', old.build_id));
END;
CREATE TRIGGER swap_removed BEFORE DELETE ON swap BEGIN
    INSERT INTO image (change_id, drawer, row_id, before) VALUES ((SELECT max(id) FROM change), 'swap', old.id,
        json_object('id', old.id, 'name', old.name, 'text', old.text, 'revision', old.revision,
            'changed_at', old.changed_at, 'build_id', old.build_id));
END;

CREATE TRIGGER pull_added AFTER INSERT ON pull BEGIN
    INSERT INTO image (change_id, drawer, row_id, before) VALUES ((SELECT max(id) FROM change), 'pull', new.id, NULL);
END;
CREATE TRIGGER pull_changed BEFORE UPDATE ON pull BEGIN
    INSERT INTO image (change_id, drawer, row_id, before) VALUES ((SELECT max(id) FROM change), 'pull', old.id,
        json_object('id', old.id, 'name', old.name, 'text', old.text, 'revision', old.revision,
            'changed_at', old.changed_at, 'build_id', old.build_id));
END;
CREATE TRIGGER pull_removed BEFORE DELETE ON pull BEGIN
    INSERT INTO image (change_id, drawer, row_id, before) VALUES ((SELECT max(id) FROM change), 'pull', old.id,
        json_object('id', old.id, 'name', old.name, 'text', old.text, 'revision', old.revision,
            'changed_at', old.changed_at, 'build_id', old.build_id));
END;

CREATE TRIGGER part_added AFTER INSERT ON part BEGIN
    INSERT INTO image (change_id, drawer, row_id, before) VALUES ((SELECT max(id) FROM change), 'part', new.id, NULL);
END;
CREATE TRIGGER part_changed BEFORE UPDATE ON part BEGIN
    INSERT INTO image (change_id, drawer, row_id, before) VALUES ((SELECT max(id) FROM change), 'part', old.id,
        json_object('id', old.id, 'name', old.name, 'text', old.text, 'revision', old.revision,
            'changed_at', old.changed_at, 'kind', old.kind));
END;
CREATE TRIGGER part_removed BEFORE DELETE ON part BEGIN
    INSERT INTO image (change_id, drawer, row_id, before) VALUES ((SELECT max(id) FROM change), 'part', old.id,
        json_object('id', old.id, 'name', old.name, 'text', old.text, 'revision', old.revision,
            'changed_at', old.changed_at, 'kind', old.kind));
END;

CREATE TRIGGER reading_added AFTER INSERT ON reading BEGIN
    INSERT INTO image (change_id, drawer, row_id, before)
        VALUES ((SELECT max(id) FROM change), 'reading', new.id, NULL);
END;
CREATE TRIGGER reading_removed BEFORE DELETE ON reading BEGIN
    INSERT INTO image (change_id, drawer, row_id, before) VALUES ((SELECT max(id) FROM change), 'reading', old.id,
        json_object('id', old.id, 'build_id', old.build_id, 'part_id', old.part_id, 'path', old.path,
            'text', old.text, 'taken_at', old.taken_at, 'taken_by', old.taken_by, 'instrument', old.instrument,
            'note', old.note));
END;

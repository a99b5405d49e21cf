-- Every section that a swap can replace can lie on the shelf. A check of a table cannot be widened, so the table is made anew;
-- foreign keys are not enforced meanwhile, so that readings of parts stay where they are.

CREATE TABLE part_made_anew (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    name TEXT NOT NULL COLLATE NOCASE UNIQUE,
    text TEXT NOT NULL,
    revision INTEGER NOT NULL,
    changed_at TEXT NOT NULL,
    kind TEXT NOT NULL CHECK (kind IN ('block', 'gasket', 'head', 'piston', 'cam', 'train', 'spring', 'port', 'flow',
        'induction', 'exhaust', 'boost', 'fuel', 'spark', 'burning', 'walls', 'friction'))
) STRICT;
INSERT INTO part_made_anew (id, name, text, revision, changed_at, kind)
    SELECT id, name, text, revision, changed_at, kind FROM part;

-- An id is never used twice: numbers of parts that are gone are not given again.
DELETE FROM sqlite_sequence WHERE name = 'part_made_anew';
INSERT INTO sqlite_sequence (name, seq) SELECT 'part_made_anew', seq FROM sqlite_sequence WHERE name = 'part';

DROP TABLE part;
ALTER TABLE part_made_anew RENAME TO part;

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

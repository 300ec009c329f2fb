package sqlite

import (
	"context"
	"database/sql"
	"fmt"

	"brinebell/internal/fail"
)

// migrations lead from one schema to the next: migrations[n] takes a file from user_version n to n+1. A released one is
// never edited.
var migrations = []string{`
CREATE TABLE entries (
	seq    INTEGER PRIMARY KEY,
	id     BLOB    NOT NULL UNIQUE,
	at     INTEGER NOT NULL,
	count  INTEGER NOT NULL,
	device TEXT    NOT NULL,
	record BLOB    NOT NULL,
	hash   BLOB    NOT NULL
) STRICT;
CREATE INDEX entries_in_order ON entries (at, count);
CREATE TABLE checkpoints (
	at     INTEGER NOT NULL,
	count  INTEGER NOT NULL,
	device TEXT    NOT NULL,
	id     BLOB    NOT NULL,
	state  BLOB    NOT NULL,
	sum    BLOB    NOT NULL,
	PRIMARY KEY (at, count, device, id)
) STRICT;
CREATE TABLE set_aside (
	n      INTEGER PRIMARY KEY,
	sum    BLOB    NOT NULL UNIQUE,
	device TEXT    NOT NULL,
	reason TEXT    NOT NULL,
	record BLOB    NOT NULL
) STRICT;
CREATE TABLE devices (
	device  TEXT    PRIMARY KEY,
	name    TEXT    NOT NULL,
	wall    INTEGER NOT NULL,
	key     BLOB    NOT NULL,
	paired  INTEGER NOT NULL,
	revoked INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE TABLE codes (
	hash  BLOB    PRIMARY KEY,
	made  INTEGER NOT NULL,
	until INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE TABLE meta (
	name  TEXT PRIMARY KEY,
	value BLOB NOT NULL
) STRICT, WITHOUT ROWID;
`, `
CREATE TABLE feeds (
	feed   INTEGER PRIMARY KEY,
	source TEXT    NOT NULL,
	place  TEXT    NOT NULL,
	UNIQUE (source, place)
) STRICT;
CREATE TABLE readings (
	feed INTEGER NOT NULL,
	at   INTEGER NOT NULL,
	mc   INTEGER NOT NULL,
	PRIMARY KEY (feed, at)
) STRICT, WITHOUT ROWID;
CREATE TABLE sensors (
	sensor  TEXT    PRIMARY KEY,
	key     BLOB    NOT NULL,
	made    INTEGER NOT NULL,
	revoked INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
`}

// SchemaVersion is the schema that this build reads and writes.
const SchemaVersion = 2

// migrate brings the file to SchemaVersion, each step in a transaction of its own.
func migrate(ctx context.Context, db *sql.DB) error {
	const op = "sqlite.migrate"
	var version int
	if err := db.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil {
		return explain(op, err)
	}
	if version > len(migrations) {
		return fail.E(op, fail.Newer, fmt.Sprintf(
			"The kitchen's data was written by a newer Brinebell (layout %d; this one reads up to %d). Start the newer version. Nothing was changed.",
			version, len(migrations)), nil)
	}
	for ; version < len(migrations); version++ {
		if err := step(ctx, db, version); err != nil {
			return explain(op, err)
		}
	}
	return nil
}

func step(ctx context.Context, db *sql.DB, version int) error {
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer func() { _ = tx.Rollback() }() // no-op once committed
	if _, err := tx.ExecContext(ctx, migrations[version]); err != nil {
		return err
	}
	// user_version takes no parameters; the number is our own.
	if _, err := tx.ExecContext(ctx, fmt.Sprintf("PRAGMA user_version = %d", version+1)); err != nil {
		return err
	}
	return tx.Commit()
}

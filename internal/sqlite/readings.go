package sqlite

import (
	"database/sql"
	"errors"

	"brinebell/internal/core/entry"
	"brinebell/internal/pairing"
)

// indexReadings notes which instants an entry of readings tells of, in the transaction that keeps it, so that a reading
// that comes again is known for as long as the journal lasts.
func (s *Store) indexReadings(e *entry.Entry) error {
	if e.Kind != entry.SensorRead {
		return nil
	}
	body, err := e.Open()
	if err != nil {
		return nil // of a newer build, or unreadable: it stays in the journal as it is
	}
	b := body.(*entry.Sensing)
	if _, err := s.conn.ExecContext(background, "INSERT INTO feeds (source, place) VALUES (?, ?) ON CONFLICT DO NOTHING", b.Source, b.Place); err != nil {
		return err
	}
	var feed int64
	if err := s.conn.QueryRowContext(background, "SELECT feed FROM feeds WHERE source = ? AND place = ?", b.Source, b.Place).Scan(&feed); err != nil {
		return err
	}
	insert, err := s.conn.PrepareContext(background, "INSERT INTO readings (feed, at, mc) VALUES (?, ?, ?) ON CONFLICT DO NOTHING")
	if err != nil {
		return err
	}
	defer func() { _ = insert.Close() }()
	for _, r := range b.List {
		if _, err := insert.ExecContext(background, feed, int64(b.From.Add(r.After)), r.MilliC); err != nil {
			return err
		}
	}
	return nil
}

// Readings returns what a source is known to have read at a place from one instant to another, both included: thousandths
// of a degree Celsius by milliseconds since 1970.
func (s *Store) Readings(source, place string, from, until int64) (map[int64]int64, error) {
	const op = "sqlite.Readings"
	rows, err := s.read.QueryContext(background, "SELECT at, mc FROM readings JOIN feeds USING (feed) WHERE source = ? AND place = ? AND at BETWEEN ? AND ?",
		source, place, from, until)
	if err != nil {
		return nil, explain(op, err)
	}
	defer func() { _ = rows.Close() }()
	known := map[int64]int64{}
	for rows.Next() {
		var at, mC int64
		if err := rows.Scan(&at, &mC); err != nil {
			return nil, explain(op, err)
		}
		known[at] = mC
	}
	return known, explain(op, rows.Err())
}

var _ pairing.SensorBook = (*Store)(nil)

// AddSensor implements pairing.SensorBook.
func (s *Store) AddSensor(x pairing.Sensor) error {
	return s.changeBook("sqlite.AddSensor", func() error {
		_, err := s.conn.ExecContext(background, "INSERT INTO sensors (sensor, key, made, revoked) VALUES (?, ?, ?, 0)", x.ID, x.KeyHash[:], x.Made)
		return err
	})
}

// Sensor implements pairing.SensorBook.
func (s *Store) Sensor(id string) (pairing.Sensor, error) {
	x := pairing.Sensor{ID: id}
	var key []byte
	err := s.read.QueryRowContext(background, "SELECT key, made, revoked FROM sensors WHERE sensor = ?", id).Scan(&key, &x.Made, &x.Revoked)
	copy(x.KeyHash[:], key)
	if errors.Is(err, sql.ErrNoRows) {
		return x, pairing.ErrUnknown
	}
	return x, explain("sqlite.Sensor", err)
}

// RevokeSensor implements pairing.SensorBook.
func (s *Store) RevokeSensor(id string, now int64) error {
	return s.changeBook("sqlite.RevokeSensor", func() error {
		_, err := s.conn.ExecContext(background, "UPDATE sensors SET revoked = ? WHERE sensor = ? AND revoked = 0", now, id)
		return err
	})
}

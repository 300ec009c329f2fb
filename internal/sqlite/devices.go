package sqlite

import (
	"database/sql"
	"errors"

	"brinebell/internal/pairing"
)

var _ pairing.Book = (*Store)(nil)

// KeepCode implements pairing.Book.
func (s *Store) KeepCode(hash [32]byte, made, until int64, keep int) error {
	return s.changeBook("sqlite.KeepCode", func() error {
		if _, err := s.conn.ExecContext(background, "DELETE FROM codes WHERE until <= ?", made); err != nil {
			return err
		}
		_, err := s.conn.ExecContext(background, "INSERT INTO codes (hash, made, until) VALUES (?, ?, ?) ON CONFLICT DO NOTHING", hash[:], made, until)
		if err != nil {
			return err
		}
		_, err = s.conn.ExecContext(background,
			"DELETE FROM codes WHERE hash NOT IN (SELECT hash FROM codes ORDER BY made DESC, hash LIMIT ?)", keep)
		return err
	})
}

// Admit implements pairing.Book.
func (s *Store) Admit(hash *[32]byte, now int64, d pairing.Device) (bool, error) {
	admitted := true
	err := s.changeBook("sqlite.Admit", func() error {
		if hash != nil {
			// A code from the future is one from before the clock was set right: it may be of any age.
			r, err := s.conn.ExecContext(background, "DELETE FROM codes WHERE hash = ? AND made <= ? AND until > ?", hash[:], now, now)
			if err != nil {
				return err
			}
			n, err := r.RowsAffected()
			if admitted = n == 1; err != nil || !admitted {
				return err
			}
		}
		_, err := s.conn.ExecContext(background, "INSERT INTO devices (device, name, wall, key, paired, revoked) VALUES (?, ?, ?, ?, ?, 0)",
			d.ID, d.Name, d.Wall, d.KeyHash[:], d.Paired)
		return err
	})
	return admitted && err == nil, err
}

// Revoke implements pairing.Book.
func (s *Store) Revoke(id string, now int64) error {
	return s.changeBook("sqlite.Revoke", func() error {
		_, err := s.conn.ExecContext(background, "UPDATE devices SET revoked = ? WHERE device = ? AND revoked = 0", now, id)
		return err
	})
}

func (s *Store) changeBook(op string, f func() error) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.conn == nil {
		return explain(op, sql.ErrConnDone)
	}
	return explain(op, s.inTransaction(f))
}

const deviceColumns = "SELECT device, name, wall, key, paired, revoked FROM devices "

// Device implements pairing.Book.
func (s *Store) Device(id string) (pairing.Device, error) {
	d, err := scanDevice(s.read.QueryRowContext(background, deviceColumns+"WHERE device = ?", id))
	if errors.Is(err, sql.ErrNoRows) {
		return d, pairing.ErrUnknown
	}
	return d, explain("sqlite.Device", err)
}

// Devices implements pairing.Book.
func (s *Store) Devices() ([]pairing.Device, error) {
	const op = "sqlite.Devices"
	rows, err := s.read.QueryContext(background, deviceColumns+"ORDER BY paired, device")
	if err != nil {
		return nil, explain(op, err)
	}
	defer func() { _ = rows.Close() }()
	var list []pairing.Device
	for rows.Next() {
		d, err := scanDevice(rows)
		if err != nil {
			return nil, explain(op, err)
		}
		list = append(list, d)
	}
	return list, explain(op, rows.Err())
}

func scanDevice(row interface{ Scan(dest ...any) error }) (pairing.Device, error) {
	var d pairing.Device
	var key []byte
	err := row.Scan(&d.ID, &d.Name, &d.Wall, &key, &d.Paired, &d.Revoked)
	copy(d.KeyHash[:], key)
	return d, err
}

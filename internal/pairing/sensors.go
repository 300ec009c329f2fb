package pairing

import (
	"crypto/sha256"
	"crypto/subtle"
	"encoding/hex"
	"errors"
	"io"
	"strings"

	"brinebell/internal/fail"
)

// Sensor is something that posts readings by itself. What it is called and which places it reads stands in the journal;
// here is only how it is known.
type Sensor struct {
	ID      string
	KeyHash [32]byte // SHA-256 of its key
	Made    int64    // when
	Revoked int64    // when it was shut out; 0: it belongs
}

// SensorBook is where sensors are kept. All of it is durable when a method returns.
type SensorBook interface {
	// AddSensor adds a sensor.
	AddSensor(Sensor) error
	// Sensor finds a sensor; ErrUnknown if there is none.
	Sensor(id string) (Sensor, error)
	// RevokeSensor marks a sensor as shut out. Doing it twice keeps the first time.
	RevokeSensor(id string, now int64) error
}

// NewSensor makes a sensor and its token. Nobody can tell the token again.
func (d *Desk) NewSensor(book SensorBook, now int64) (id, token string, err error) {
	word, err := d.word(deviceLen)
	if err != nil {
		return "", "", err
	}
	key := make([]byte, KeyBytes)
	if _, err := io.ReadFull(d.chance, key); err != nil {
		return "", "", err
	}
	id = strings.ToLower(word)
	return id, id + "." + hex.EncodeToString(key), book.AddSensor(Sensor{ID: id, KeyHash: sha256.Sum256(key), Made: now})
}

// SensorOf returns the sensor whose token it is, or says why it may not post.
func SensorOf(book SensorBook, token string) (string, error) {
	const op = "pairing.SensorOf"
	strange := fail.E(op, fail.Refused, "No sensor of this kitchen has this token. A lead pairs the sensor anew, under Sensors.", nil)
	id, key, ok := strings.Cut(token, ".")
	secret, err := hex.DecodeString(key)
	if !ok || err != nil {
		return "", strange
	}
	x, err := book.Sensor(id)
	if errors.Is(err, ErrUnknown) {
		return "", strange
	}
	if err != nil {
		return "", err
	}
	hash := sha256.Sum256(secret)
	switch {
	case subtle.ConstantTimeCompare(hash[:], x.KeyHash[:]) != 1:
		return "", strange
	case x.Revoked != 0:
		return "", fail.E(op, fail.Refused, "This sensor was taken off the kitchen. A lead pairs it anew, under Sensors.", nil)
	}
	return id, nil
}

// CleanName tidies the name of a sensor, or says what is wrong with it.
func CleanName(s string) (string, error) { return cleanName(s) }

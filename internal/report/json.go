package report

import (
	"bytes"
	"encoding/json"
)

// jsonFormat is the number of the shape that FORMAT.md describes. It changes when a program that reads it must change.
const jsonFormat = 1

// JSON writes a book for programs, in the shape that FORMAT.md describes.
func JSON(b *Book) ([]byte, error) {
	var out bytes.Buffer
	e := json.NewEncoder(&out)
	e.SetEscapeHTML(false)
	e.SetIndent("", " ")
	err := e.Encode(struct {
		Format int `json:"format"`
		*Book
	}{jsonFormat, b})
	return out.Bytes(), err
}

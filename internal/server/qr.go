package server

import (
	"strings"

	"github.com/boombuler/barcode/qr"
)

// quiet is how many light modules a QR code needs around it to be found by cameras.
const quiet = 4

// TerminalQR draws a QR code of text with half blocks, two modules in a character, dark on light whatever the
// terminal's colours are.
func TerminalQR(text string) (string, error) {
	code, err := qr.Encode(text, qr.M, qr.Auto)
	if err != nil {
		return "", err
	}
	size := code.Bounds().Dx()
	dark := func(x, y int) bool {
		if x < 0 || y < 0 || x >= size || y >= size {
			return false
		}
		r, _, _, _ := code.At(x, y).RGBA()
		return r == 0
	}
	var out strings.Builder
	for y := -quiet; y < size+quiet; y += 2 {
		out.WriteString("\x1b[30;107m") // black on bright white
		for x := -quiet; x < size+quiet; x++ {
			out.WriteString(half(dark(x, y), dark(x, y+1)))
		}
		out.WriteString("\x1b[0m\n")
	}
	return out.String(), nil
}

func half(top, bottom bool) string {
	switch {
	case top && bottom:
		return "█"
	case top:
		return "▀"
	case bottom:
		return "▄"
	}
	return " "
}

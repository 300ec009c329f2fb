package server

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// What the terminal shows is read back block by block and compared with what was to be drawn.
func TestTheTerminalShowsTheCodeWithItsQuietZone(t *testing.T) {
	picture, err := TerminalQR("http://192.0.2.7:8080/join?code=K7M4QP")
	require.NoError(t, err)
	rows := strings.Split(strings.TrimSuffix(picture, "\n"), "\n")
	var dark [][]bool
	for _, row := range rows {
		row = strings.TrimSuffix(strings.TrimPrefix(row, "\x1b[30;107m"), "\x1b[0m")
		var top, bottom []bool
		for _, r := range row {
			require.Contains(t, " ▀▄█", string(r))
			top, bottom = append(top, r == '▀' || r == '█'), append(bottom, r == '▄' || r == '█')
		}
		dark = append(dark, top, bottom)
	}
	width := len(dark[0])
	for i := range quiet {
		for x := range width {
			require.False(t, dark[i][x] || dark[x%width][i] || dark[x%width][width-1-i], "the quiet zone is light")
		}
	}
	// A finder pattern: seven dark, and the eye within (ISO/IEC 18004; from memory).
	for i := range 7 {
		require.True(t, dark[quiet][quiet+i] && dark[quiet+6][quiet+i] && dark[quiet+i][quiet] && dark[quiet+i][width-quiet-1])
	}
	require.False(t, dark[quiet+1][quiet+1])
	require.True(t, dark[quiet+3][quiet+3])
}

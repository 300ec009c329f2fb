package server

import (
	"os"
	"runtime"
	"strconv"
	"strings"
)

// residentBytes is how much memory the program holds: as the system counts it where it tells, else as Go does.
func residentBytes() float64 {
	if b, err := os.ReadFile("/proc/self/statm"); err == nil {
		if f := strings.Fields(string(b)); len(f) > 1 {
			if pages, err := strconv.ParseInt(f[1], 10, 64); err == nil {
				return float64(pages) * float64(os.Getpagesize())
			}
		}
	}
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return float64(m.Sys - m.HeapReleased)
}

func goroutines() float64 { return float64(runtime.NumGoroutine()) }

package server

import (
	"syscall"
	"time"
	"unsafe"
)

// bootTime is CLOCK_BOOTTIME of clock_gettime(2): as steady as the monotonic clock, and it counts sleep.
const bootTime = 7

// steady is a clock that nobody can set, and that goes on while the machine sleeps: a laptop that was shut for an hour
// must not think that the tubs waited an hour less.
func steady(began time.Time) time.Duration {
	var t syscall.Timespec
	if _, _, errno := syscall.Syscall(syscall.SYS_CLOCK_GETTIME, bootTime, uintptr(unsafe.Pointer(&t)), 0); errno != 0 {
		return time.Since(began)
	}
	return time.Duration(t.Nano())
}

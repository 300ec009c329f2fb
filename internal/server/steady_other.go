//go:build !linux

package server

import "time"

// steady is a clock that nobody can set. On Windows it goes on while the machine sleeps; on a Mac it stands still then,
// so a Mac that serves a kitchen must be kept awake.
func steady(began time.Time) time.Duration { return time.Since(began) }

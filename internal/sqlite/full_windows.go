//go:build windows

package sqlite

import (
	"errors"
	"syscall"
)

func isFull(err error) bool {
	const diskFull, handleDiskFull = syscall.Errno(112), syscall.Errno(39)
	return errors.Is(err, diskFull) || errors.Is(err, handleDiskFull)
}

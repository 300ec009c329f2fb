//go:build unix

package sqlite

import (
	"os"
	"syscall"
)

// grab takes the lock file for this process alone. The system lets go of it when the process ends, however it ends.
func grab(path string) (*os.File, error) {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, err
	}
	if err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB); err != nil {
		_ = f.Close()
		if err == syscall.EWOULDBLOCK {
			return nil, errHeld
		}
		return nil, err
	}
	return f, nil
}

//go:build windows

package sqlite

import (
	"os"
	"syscall"
)

// grab takes the lock file for this process alone: opened with no sharing, nobody else can open it until this process
// ends, however it ends.
func grab(path string) (*os.File, error) {
	name, err := syscall.UTF16PtrFromString(path)
	if err != nil {
		return nil, err
	}
	const sharingViolation = syscall.Errno(32)
	h, err := syscall.CreateFile(name, syscall.GENERIC_READ|syscall.GENERIC_WRITE, 0, nil,
		syscall.OPEN_ALWAYS, syscall.FILE_ATTRIBUTE_NORMAL, 0)
	if err == sharingViolation {
		return nil, errHeld
	}
	if err != nil {
		return nil, err
	}
	return os.NewFile(uintptr(h), path), nil
}

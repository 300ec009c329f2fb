package sqlite

import "syscall"

// freeBytes is how much this user may still write on the disk of a folder.
func freeBytes(dir string) (free uint64, known bool) {
	var s syscall.Statfs_t
	if syscall.Statfs(dir, &s) != nil {
		return 0, false
	}
	return uint64(s.Bavail) * uint64(s.Bsize), true
}

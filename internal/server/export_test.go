package server

import "time"

// BackUp makes today's backup if there is none, as the chore does every ten minutes.
func (s *Server) BackUp() error { return s.backUp() }

// BackupDay is the day that a backup made now belongs to.
func BackupDay(now time.Time) string { return backupDay(now).Format(time.DateOnly) }

// Spent lists those of some daily backups, newest first, that may go.
func Spent(names []string) []string { return spent(names) }

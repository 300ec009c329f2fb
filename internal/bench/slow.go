package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"syscall"
	"time"
)

// turn is how long slowed processes run before they are stopped again.
const turn = 2 * time.Millisecond

// credit is how much longer than owed a stop may have been and still be made good by shorter stops after it.
const credit = 20 * time.Millisecond

// slowDown makes processes as slow as a cheaper device: it lets them run for a turn, then stops them until they have
// stood still (factor-1) times as long as their busiest thread has computed, again and again, until stdin ends. So a
// slowed process takes factor times as long for the same work, whatever else runs on this machine. The time that the
// looking itself takes, and a sleep that lasts too long, count as standing still. The browser's own throttle does not
// reach workers, which is where the core runs.
func slowDown(pids []string, factor int) error {
	var all []int
	for _, text := range pids {
		pid, err := strconv.Atoi(text)
		if err != nil {
			return fmt.Errorf("no such process: %q", text)
		}
		all = append(all, pid)
	}
	ended := make(chan struct{})
	go func() {
		_, _ = io.Copy(io.Discard, os.Stdin)
		close(ended)
	}()
	runtime.LockOSThread()
	defer signalAll(all, syscall.SIGCONT)
	fmt.Println("slow")
	var owed time.Duration
	for before := computed(all); ; {
		select {
		case <-ended:
			return nil
		case <-time.After(turn):
		}
		stopped := time.Now()
		signalAll(all, syscall.SIGSTOP)
		now := computed(all)
		owed += time.Duration(factor-1) * busiest(before, now)
		if rest := owed - time.Since(stopped); rest > 0 {
			time.Sleep(rest)
		}
		signalAll(all, syscall.SIGCONT)
		owed = max(owed-time.Since(stopped), -credit)
		before = now
	}
}

// computed returns the time that each thread of the processes has computed so far.
func computed(pids []int) map[string]time.Duration {
	list := map[string]time.Duration{}
	for _, pid := range pids {
		threads, _ := filepath.Glob("/proc/" + strconv.Itoa(pid) + "/task/*/schedstat")
		for _, path := range threads {
			text, err := os.ReadFile(path)
			if err != nil {
				continue // it has just ended
			}
			first, _, _ := strings.Cut(string(text), " ")
			if ns, err := strconv.ParseInt(first, 10, 64); err == nil {
				list[path] = time.Duration(ns)
			}
		}
	}
	return list
}

func busiest(before, now map[string]time.Duration) time.Duration {
	var most time.Duration
	for thread, ns := range now {
		if old, known := before[thread]; known {
			most = max(most, ns-old)
		}
	}
	return most
}

func signalAll(pids []int, sig syscall.Signal) {
	for _, pid := range pids {
		_ = syscall.Kill(pid, sig)
	}
}

package main

import (
	"fmt"
	"io"
	"os"
	"runtime"
	"strconv"
	"syscall"
	"time"
)

// slowDown makes processes as slow as a cheaper device: it lets them run for 2 ms and stops them for 2 x (factor-1) ms,
// again and again, until stdin ends. The browser's own throttle does not reach workers, which is where the core runs.
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
	for {
		select {
		case <-ended:
			return nil
		default:
		}
		signalAll(all, syscall.SIGSTOP)
		time.Sleep(time.Duration(2*(factor-1)) * time.Millisecond)
		signalAll(all, syscall.SIGCONT)
		time.Sleep(2 * time.Millisecond)
	}
}

func signalAll(pids []int, sig syscall.Signal) {
	for _, pid := range pids {
		_ = syscall.Kill(pid, sig)
	}
}

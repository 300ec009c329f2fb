package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"syscall"
	"time"
)

// process is a server under measurement, in a process of its own so that its memory is its own.
type process struct {
	cmd        *exec.Cmd
	address    string
	data       string
	log        *tail
	started    time.Time
	readyAfter time.Duration
}

// tail keeps the end of what a process says, for when it fails.
type tail struct{ text []byte }

func (t *tail) Write(p []byte) (int, error) {
	t.text = append(t.text, p...)
	if over := len(t.text) - 8<<10; over > 0 {
		t.text = t.text[over:]
	}
	return len(p), nil
}

// freePort finds a port that nobody listens on.
func freePort() (string, error) {
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return "", err
	}
	defer ln.Close()
	return ln.Addr().String(), nil
}

func startKitchen(binary, data string, more ...string) (*process, error) {
	address, err := freePort()
	if err != nil {
		return nil, err
	}
	args := append([]string{"serve", "--listen", address, "--data", data}, more...)
	return start(exec.Command(binary, args...), address, data)
}

func startFloor(data string) (*process, error) {
	self, err := os.Executable()
	if err != nil {
		return nil, err
	}
	address, err := freePort()
	if err != nil {
		return nil, err
	}
	return start(exec.Command(self, "-floor", address, "-data", data), address, data)
}

// start starts a server and waits until it answers that it is ready.
func start(cmd *exec.Cmd, address, data string) (*process, error) {
	p := &process{cmd: cmd, address: address, data: data, log: &tail{}}
	cmd.Stdout, cmd.Stderr = p.log, p.log
	p.started = time.Now()
	if err := cmd.Start(); err != nil {
		return nil, err
	}
	for time.Since(p.started) < 60*time.Second {
		if ready(address) {
			p.readyAfter = time.Since(p.started)
			return p, nil
		}
		time.Sleep(2 * time.Millisecond)
	}
	p.kill()
	return nil, fmt.Errorf("%s did not get ready in a minute:\n%s", cmd.Path, p.log.text)
}

func ready(address string) bool {
	ctx, cancel := context.WithTimeout(context.Background(), 2*time.Second)
	defer cancel()
	ask, err := http.NewRequestWithContext(ctx, http.MethodGet, "http://"+address+"/readyz", nil)
	if err != nil {
		return false
	}
	answer, err := http.DefaultClient.Do(ask)
	if err != nil {
		return false
	}
	defer answer.Body.Close()
	_, err = io.Copy(io.Discard, answer.Body)
	return err == nil && answer.StatusCode == http.StatusOK
}

func (p *process) kill() {
	_ = p.cmd.Process.Kill()
	_ = p.cmd.Wait()
}

// stop ends the process as its owner would.
func (p *process) stop() error {
	if err := p.cmd.Process.Signal(syscall.SIGTERM); err != nil {
		return err
	}
	err := p.cmd.Wait()
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		return fmt.Errorf("%w:\n%s", err, p.log.text)
	}
	return err
}

// resident returns the memory that the process holds, in megabytes.
func (p *process) resident() (float64, error) { return memoryOf(p.cmd.Process.Pid, "VmRSS:") }

// memoryOf returns what the kernel tells of a process's memory, in megabytes: VmRSS: now, VmHWM: at its most.
func memoryOf(pid int, what string) (float64, error) {
	f, err := os.Open("/proc/" + strconv.Itoa(pid) + "/status")
	if err != nil {
		return 0, err
	}
	defer f.Close()
	for lines := bufio.NewScanner(f); lines.Scan(); {
		if kb, ok := strings.CutPrefix(lines.Text(), what); ok {
			n, err := strconv.ParseFloat(strings.TrimSuffix(strings.TrimSpace(kb), " kB"), 64)
			return n / 1024, err
		}
	}
	return 0, errors.New("no " + what)
}

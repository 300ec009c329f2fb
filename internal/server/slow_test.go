package server_test

import (
	"io"
	"net"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/server"
)

// Whoever sends a byte now and then does not hold a connection for ever, and nobody waits for them meanwhile.
func TestWhoSendsByteByByteIsCutOff(t *testing.T) {
	s := start(t, server.Config{})
	address := strings.TrimPrefix(s.LocalURL(), "http://")
	began := time.Now()
	var slow []net.Conn
	for range 20 {
		conn, err := net.Dial("tcp", address)
		require.NoError(t, err)
		defer func() { _ = conn.Close() }()
		_, err = conn.Write([]byte("GET /hello HTTP/1.1\r\nHost: " + address + "\r\nX-Slow: "))
		require.NoError(t, err)
		slow = append(slow, conn)
	}
	drip := time.NewTicker(500 * time.Millisecond)
	defer drip.Stop()
	for len(slow) > 0 {
		<-drip.C
		status, _ := get(t, s.LocalURL()+"/healthz")
		require.Equal(t, 200, status)
		require.Less(t, time.Since(began), 30*time.Second, "%d of them are still let in", len(slow))
		var open []net.Conn
		for _, conn := range slow {
			if _, err := conn.Write([]byte("x")); err != nil {
				continue // cut off
			}
			require.NoError(t, conn.SetReadDeadline(time.Now().Add(time.Millisecond)))
			if _, err := conn.Read(make([]byte, 1)); err == io.EOF || err != nil && !isTimeout(err) {
				continue
			}
			open = append(open, conn)
		}
		slow = open
	}
}

func isTimeout(err error) bool {
	timeout, ok := err.(net.Error)
	return ok && timeout.Timeout()
}

package server_test

import (
	"crypto/rand"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/protocol"
	"brinebell/internal/core/stamp"
	"brinebell/internal/hub/hubtest"
	"brinebell/internal/server"
)

// soon is how long tests wait for what should come at once.
const soon = 5 * time.Second

func note(device, text string) []byte {
	var chance [10]byte
	_, _ = rand.Read(chance[:])
	return hubtest.Note(device, stamp.Milli(time.Now().UnixMilli()), 0, text, chance)
}

// joined lets a device in with a code.
func joined(t *testing.T, s *server.Server, name string) hubtest.Ticket {
	t.Helper()
	code, _, err := s.Code()
	require.NoError(t, err)
	ticket, err := hubtest.Join(s.LocalURL(), code, name)
	require.NoError(t, err)
	return ticket
}

// onLine opens a line for a device that holds nothing yet and waits until it is live.
func onLine(t *testing.T, s *server.Server, ticket hubtest.Ticket) *hubtest.Line {
	t.Helper()
	l, _, err := hubtest.Hello(s.LocalURL(), ticket, "", 0, 0)
	require.NoError(t, err)
	t.Cleanup(func() { _ = l.Close() })
	_, err = hubtest.Until[*protocol.Base](l, soon)
	require.NoError(t, err)
	return l
}

func TestWhatOneDeviceTellsReachesTheOthersOnceItIsKept(t *testing.T) {
	s := start(t, server.Config{Zone: "Europe/Berlin"})
	anna, bea := onLine(t, s, joined(t, s, "Anna's phone")), onLine(t, s, joined(t, s, "Bea's phone"))
	r := note(anna.Ticket.Device, "new oil in fryer 2")
	require.NoError(t, anna.Send(&protocol.Push{Last: true, Records: [][]byte{r}}))
	own, err := anna.Kept([][]byte{r}, soon)
	require.NoError(t, err)
	others, err := bea.Kept([][]byte{r}, soon)
	require.NoError(t, err)
	require.Equal(t, own, others)
	require.NotZero(t, own[entry.ID(r[1:17])])
}

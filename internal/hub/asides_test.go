package hub

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/protocol"
	"brinebell/internal/hub/hubtest"
)

// flood pushes notes of a device until the line is cut, and returns how many were told to be set aside and why it ended.
func flood(t *testing.T, l *hubtest.Line, frames, records, size int) (told int, why *protocol.Bye) {
	t.Helper()
	for i := range frames {
		var list [][]byte
		for k := range records {
			list = append(list, note(l.Ticket.Device, fmt.Sprintf("%0*d", size, i*records+k)))
		}
		if l.Send(&protocol.Push{Records: list}) != nil {
			break
		}
		for {
			f, err := l.Next(soon)
			require.NoError(t, err)
			if bye, ok := f.(*protocol.Bye); ok {
				return told, bye
			}
			if aside, ok := f.(*protocol.SetAside); ok {
				told += len(aside.IDs)
				break
			}
		}
	}
	return told, nil
}

// A device that was taken off cannot fill the disk with what is set aside, be it by many records or by large ones. It is
// told the limit and what to do, nothing that was said to be set aside is missing, and the others go on.
func TestWhatIsSetAsideOfADeviceIsBounded(t *testing.T) {
	for name, c := range map[string]struct{ frames, records, size, most int }{
		"many":  {60, 256, 8, asideMost + 256},
		"large": {200, 1, 200_000, asideBytes/200_000 + 1},
	} {
		t.Run(name, func(t *testing.T) {
			r := newRig(t)
			other := r.line(t, r.ticket(t))
			ticket := r.ticket(t)
			require.NoError(t, r.desk.Revoke(ticket.Device, 1))
			l, welcome, err := hubtest.Hello(r.url, ticket, "", 0, 1)
			require.NoError(t, err)
			require.True(t, welcome.Revoked)
			told, why := flood(t, l, c.frames, c.records, c.size)
			require.NotNil(t, why)
			require.Equal(t, protocol.ByeFull, why.Reason, "not that it was all handed over")
			require.Contains(t, why.Text, "10000 entries or 16 MiB")
			require.Contains(t, why.Text, "A lead should")
			n, _, err := r.keeper.AsideOf(ticket.Device)
			require.NoError(t, err)
			require.Equal(t, told, n)
			require.LessOrEqual(t, n, c.most)
			require.GreaterOrEqual(t, n, min(asideMost, c.most-1))
			require.NoError(t, l.Close())

			l, _, err = hubtest.Hello(r.url, ticket, "", 0, 1)
			require.NoError(t, err)
			told, why = flood(t, l, 1, 1, 8)
			require.Zero(t, told)
			require.NotNil(t, why)
			require.NoError(t, l.Close())
			push(t, other, note(other.Ticket.Device, "we go on"))
			require.Equal(t, []string{ticket.Device}, r.toldFull(t), "the lead is told, once")
		})
	}
}

// toldFull lists the devices of which deviations in the journal say that no more of them is set aside.
func (r *rig) toldFull(t *testing.T) (devices []string) {
	t.Helper()
	for n, err := range r.keeper.Since(0) {
		require.NoError(t, err)
		e, err := entry.ReadRecord(n.Record)
		require.NoError(t, err)
		if e.Kind != entry.DeviationOpened {
			continue
		}
		body, err := e.Open()
		require.NoError(t, err)
		text := body.(*entry.Deviation).Text
		require.Contains(t, text, "brings more than is set aside, 10000 entries")
		require.Contains(t, text, "trae más de lo que se aparta")
		devices = append(devices, strings.Fields(text)[1])
	}
	return devices
}

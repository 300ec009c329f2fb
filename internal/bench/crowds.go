package main

import (
	"fmt"
	"os"
	"time"

	"brinebell/internal/core/entry"
)

// openCrowds starts both contenders, each with room for so many clients.
func openCrowds(binary, data string, clients int) (floor, ours *crowd, err error) {
	for _, name := range []string{"/floor", "/kitchen"} {
		if err := os.MkdirAll(data+name, 0o755); err != nil {
			return nil, nil, err
		}
	}
	passes, err := seed(data+"/kitchen", clients, nil)
	if err != nil {
		return nil, nil, err
	}
	floor, ours = &crowd{name: "floor"}, &crowd{name: "kitchen"}
	if floor.server, err = startFloor(data + "/floor"); err != nil {
		return nil, nil, err
	}
	if ours.server, err = startKitchen(binary, data+"/kitchen"); err != nil {
		floor.server.kill()
		return nil, nil, err
	}
	floor.device = func(i int) string { return passes[i].Device }
	ours.device = floor.device
	floor.dial = func(i int, tell seen) (seat, error) {
		return dialFloor(floor.server.address, 1<<30, tell) // only what is new: both begin with nothing to catch up on
	}
	ours.dial = func(i int, tell seen) (seat, error) {
		return dialSeat(ours.server.address, passes[i], tell)
	}
	return floor, ours, nil
}

// residentWith returns the server's memory, in megabytes, while so many clients are connected and have been idle for
// a few seconds.
func (c *crowd) residentWith(clients int) (float64, error) {
	for i := range clients {
		s, err := c.dial(i, func([]entry.ID, time.Time) {})
		if err != nil {
			return 0, fmt.Errorf("client %d: %w", i, err)
		}
		defer s.close()
	}
	time.Sleep(3 * time.Second)
	return c.server.resident()
}

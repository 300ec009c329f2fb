package core

import (
	"slices"
	"strconv"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/kitchen"
)

// How much of one device is set aside at most: many times what an honest phone that was shut out can have to tell. What
// is beyond stays on the device.
const (
	AsideMost  = 10_000
	AsideBytes = 16 << 20
)

// tellFull has the lead told, on every screen, that no more of what a device brings is set aside: once, until a lead has
// closed it.
func (c *Core) tellFull(device string) {
	name := device
	if d := c.log.State().Device(device); d != nil && d.Name != "" {
		name = d.Name + " (" + device + ")"
	}
	most := strconv.Itoa(AsideMost)
	text := "Device " + name + " no longer belongs to the kitchen and brings more than is set aside, " + most +
		" entries. The rest stays on it. Look at the device: join it anew with a code, or wipe it. / " +
		name + " ya no es de la cocina y trae más de lo que se aparta, " + most + " entradas. El resto queda en él. Mira el dispositivo: únelo otra vez con un código o bórralo."
	told := func(d kitchen.Deviation) bool { return d.Code == kitchen.DevNoted && !d.Closed && d.Text == text }
	if !slices.ContainsFunc(c.log.State().Deviations, told) {
		c.make("", "", []entry.Body{&entry.Deviation{Text: text}})
	}
}

package core

import (
	"hash/fnv"
	"math/bits"

	"brinebell/internal/core/entry"
	"brinebell/internal/core/stamp"
	"brinebell/internal/core/wire"
)

// chance turns the fresh randomness of an input into as many ids as it takes: xoshiro256** (Blackman and Vigna 2018).
type chance [4]uint64

// newChance mixes the device and a count into what the shell gave, so that even a shell that gave nothing makes no id
// twice.
func newChance(fresh [32]byte, device string, count uint64) chance {
	h := fnv.New64a()
	h.Write([]byte(device))
	h.Write(wire.Fixed64(count))
	var c chance
	for i := range c {
		c[i] = wire.TakeFixed64(fresh[8*i:])
	}
	c[0] ^= h.Sum64()
	c[3] ^= count + 1
	for range 8 {
		c.next()
	}
	return c
}

func (c *chance) next() uint64 {
	out := bits.RotateLeft64(c[1]*5, 7) * 9
	t := c[1] << 17
	c[2] ^= c[0]
	c[3] ^= c[1]
	c[1] ^= c[2]
	c[0] ^= c[3]
	c[2] ^= t
	c[3] = bits.RotateLeft64(c[3], 45)
	return out
}

// id makes an id for something that happens at the instant.
func (c *chance) id(at stamp.Milli) entry.ID {
	var ten [10]byte
	copy(ten[:8], wire.Fixed64(c.next()))
	copy(ten[8:], wire.Fixed64(c.next()))
	return entry.NewID(at, ten)
}

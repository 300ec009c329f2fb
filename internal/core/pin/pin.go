// Package pin keeps and checks the PIN of a crew member: salted, iterated, and the same on every device, with no server in
// reach.
//
// It is PBKDF2 with HMAC-SHA-256 (RFC 8018, RFC 2104, FIPS 180-4), written here because the ring takes nothing from crypto.
// A PIN of four digits has ten thousand values: whoever copies a device's store can try them all. It tells one
// honest hand from another beside a fryer, and keeps nobody out who means harm.
package pin

// Rounds is how often a new PIN's digest is iterated. A cheap phone takes about a fifth of a second for it.
const Rounds = 10_000

// roundsMost bounds what a device will do to check one, since the number comes from an entry.
const roundsMost = 200_000

// Digest returns PBKDF2-HMAC-SHA-256 of a PIN, 32 bytes long.
func Digest(pin string, salt []byte, rounds uint32) []byte {
	inner, outer := keyed(pin, 0x36), keyed(pin, 0x5c)
	mac := func(msg []byte) [Size]byte {
		d := after(inner, block, msg)
		return after(outer, block, d[:])
	}
	u := mac(append(append([]byte(nil), salt...), 0, 0, 0, 1))
	out := u
	for range max(rounds, 1) - 1 {
		u = mac(u[:])
		for i := range out {
			out[i] ^= u[i]
		}
	}
	return out[:]
}

// keyed returns the state after the block of HMAC's key.
func keyed(key string, with byte) [8]uint32 {
	k := []byte(key)
	if len(k) > block {
		d := Sum(k)
		k = d[:]
	}
	var p [block]byte
	copy(p[:], k)
	for i := range p {
		p[i] ^= with
	}
	h := start
	mix(&h, p[:])
	return h
}

// Is tells whether it is the PIN of which the digest was kept. It looks at every byte, however early they differ.
func Is(pin string, salt []byte, rounds uint32, digest []byte) bool {
	if !Form(pin) || len(digest) != Size || rounds == 0 || rounds > roundsMost {
		return false
	}
	var diff byte
	for i, b := range Digest(pin, salt, rounds) {
		diff |= b ^ digest[i]
	}
	return diff == 0
}

// Form tells whether a text has the form of a PIN: 4 to 8 digits.
func Form(pin string) bool {
	for i := range len(pin) {
		if pin[i] < '0' || pin[i] > '9' {
			return false
		}
	}
	return len(pin) >= 4 && len(pin) <= 8
}

// Plain tells whether a PIN is among those that anybody tries first: one digit over and over, or digits that count up or
// down.
func Plain(pin string) bool {
	for _, step := range []byte{0, 1, 0xff} {
		same := true
		for i := 1; i < len(pin); i++ {
			same = same && pin[i] == pin[i-1]+step
		}
		if same {
			return true
		}
	}
	return false
}

package wire

// Fixed64 returns v as eight bytes, little-endian.
func Fixed64(v uint64) []byte {
	b := make([]byte, 8)
	for i := range b {
		b[i] = byte(v >> (8 * i))
	}
	return b
}

// TakeFixed64 reads what Fixed64 wrote; src must have eight bytes.
func TakeFixed64(src []byte) uint64 {
	var v uint64
	for i := range 8 {
		v |= uint64(src[i]) << (8 * i)
	}
	return v
}

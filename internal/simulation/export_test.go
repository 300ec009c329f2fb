package simulation

// Mangle has what a phone's core orders to ring changed before its page hears it: a core that is wrong.
func (k *Kitchen) Mangle(f func(phone string, ring []byte) []byte) { k.mangle = f }

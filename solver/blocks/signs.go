package blocks

// Signs returns a fixed sequence of signs without pattern (xorshift64; G. Marsaglia, Journal of Statistical Software 8,
// no. 14, 2003), by which rows are disturbed: the same problem gives the same digits.
func Signs(seed uint64) func() float64 {
	return func() float64 {
		seed ^= seed << 13
		seed ^= seed >> 7
		seed ^= seed << 17
		if seed&1 == 0 {
			return -1
		}
		return 1
	}
}

package main

// encode writes bytes as printable ASCII that may stand in a script element: two characters hold thirteen bits,
// the lowest bits first. The digits are "!" to "}" without "<", 92 of them, of which 92² ≥ 2¹³. A quarter of
// the text is overhead, where base64 has a third; start.js decodes it in some hundredths of a second.
func encode(data []byte) string {
	out := make([]byte, 0, len(data)*16/13+4)
	digit := func(v uint32) byte {
		if c := byte(v) + '!'; c < '<' {
			return c
		}
		return byte(v) + '"'
	}
	held, bits := uint32(0), 0
	put := func() {
		v := held & (1<<13 - 1)
		out = append(out, digit(v%92), digit(v/92))
		held >>= 13
		bits -= 13
	}
	for _, b := range data {
		held |= uint32(b) << bits
		if bits += 8; bits >= 13 {
			put()
		}
	}
	if bits > 0 {
		put()
	}
	return string(out)
}

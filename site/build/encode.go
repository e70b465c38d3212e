package main

// encode writes bytes as text that may stand in a script element of a UTF-8 page: a character for every seven bits, the
// lowest bits first. The characters are those of ASCII, control characters included, but for three that HTML changes or ends the
// element at; two-byte characters stand for these. About a sixth of the text is overhead, where base64
// has a third; the page decodes it in some hundredths of a second.
func encode(data []byte) string {
	out := make([]byte, 0, len(data)*6/5)
	put := func(v byte) {
		switch v {
		case 0:
			out = append(out, "¡"...)
		case '\r':
			out = append(out, "¢"...)
		case '<':
			out = append(out, "£"...)
		default:
			out = append(out, v)
		}
	}
	held, bits := uint32(0), 0
	for _, b := range data {
		held |= uint32(b) << bits
		for bits += 8; bits >= 7; bits -= 7 {
			put(byte(held & 0x7f))
			held >>= 7
		}
	}
	if bits > 0 {
		put(byte(held))
	}
	return string(out)
}

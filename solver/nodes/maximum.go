package nodes

// Maximum finds the place of the maximum of f in [a, b], where it has one hump, by golden sections (J. Kiefer, Proc.
// Amer. Math. Soc. 4, 1953, 502–506). About 40 sections go as far as values near a maximum can tell, half the digits.
func Maximum(f func(float64) float64, a, b float64, sections int) float64 {
	const golden = 0.6180339887498949
	c, d := b-golden*(b-a), a+golden*(b-a)
	fc, fd := f(c), f(d)
	for range sections {
		if fc > fd {
			b, d, fd = d, c, fc
			c = b - golden*(b-a)
			fc = f(c)
		} else {
			a, c, fc = c, d, fd
			d = a + golden*(b-a)
			fd = f(d)
		}
		if !(b > a) || c >= d {
			break
		}
	}
	return (a + b) / 2
}

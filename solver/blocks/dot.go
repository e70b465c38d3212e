package blocks

// Dot returns the sum of products, added in their order: the same digits on every machine.
func Dot(a, b []float64) float64 {
	b = b[:len(a)]
	sum := 0.0
	for i, v := range a {
		sum += v * b[i]
	}
	return sum
}

// DotRows writes to dst the Dot of x with each row of a, whose rows are w numbers apart. Four rows are summed side by
// side: a sum alone waits for each of its additions.
func DotRows(dst, a []float64, w int, x []float64) {
	n := len(x)
	i := 0
	for ; i+4 <= len(dst); i += 4 {
		a0, a1, a2, a3 := a[i*w:][:n], a[(i+1)*w:][:n], a[(i+2)*w:][:n], a[(i+3)*w:][:n]
		var s0, s1, s2, s3 float64
		for j, v := range x {
			s0 += a0[j] * v
			s1 += a1[j] * v
			s2 += a2[j] * v
			s3 += a3[j] * v
		}
		dst[i], dst[i+1], dst[i+2], dst[i+3] = s0, s1, s2, s3
	}
	for ; i < len(dst); i++ {
		dst[i] = Dot(a[i*w:][:n], x)
	}
}

package bvp

// Match pairs equations with unknowns, of which can[equation][unknown] says whether the two may go together: as many
// as possible, by augmenting paths (H. W. Kuhn, Naval Research Logistics Quarterly 2, 1955, 83). It returns the
// equation of each unknown, -1 where none is left for it. An equation that finds a partner keeps one, whatever comes
// later.
func Match(can [][]bool) (of []int) {
	n := len(can)
	of = make([]int, n)
	for i := range of {
		of[i] = -1
	}
	var try func(r int, seen []bool) bool
	try = func(r int, seen []bool) bool {
		for i := range n {
			if !can[r][i] || seen[i] {
				continue
			}
			seen[i] = true
			if of[i] < 0 || try(of[i], seen) {
				of[i] = r
				return true
			}
		}
		return false
	}
	for r := range n {
		try(r, make([]bool, n))
	}
	return of
}

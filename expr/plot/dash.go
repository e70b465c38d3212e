package plot

import "math"

// Dashes cuts the line through the points xy = x0, y0, x1, y1, … into its dashes; pattern holds the lengths of dashes
// and gaps in turn, an even number of them. The points of xy are not kept.
func Dashes(xy, pattern []float64) [][]float64 {
	var out [][]float64
	k, left := 0, pattern[0]
	cur := []float64{xy[0], xy[1]}
	end := func() {
		if n := len(cur); n >= 4 && !(n == 4 && cur[0] == cur[2] && cur[1] == cur[3]) {
			out = append(out, cur)
		}
		cur = nil
	}
	for i := 0; i+3 < len(xy); i += 2 {
		x, y := xy[i], xy[i+1]
		length := math.Hypot(xy[i+2]-x, xy[i+3]-y)
		if length == 0 {
			continue
		}
		ux, uy := (xy[i+2]-x)/length, (xy[i+3]-y)/length
		at := 0.0
		for length-at >= left {
			at += left
			hereX, hereY := x+ux*at, y+uy*at
			if k%2 == 0 {
				cur = append(cur, hereX, hereY)
				end()
			} else {
				cur = []float64{hereX, hereY}
			}
			k = (k + 1) % len(pattern)
			left = pattern[k]
		}
		left -= length - at
		if k%2 == 0 {
			cur = append(cur, xy[i+2], xy[i+3])
		}
	}
	if k%2 == 0 {
		end()
	}
	return out
}

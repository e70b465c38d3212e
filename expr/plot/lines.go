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

// Clipped returns the parts of the line through the points xy = x0, y0, x1, y1, … that lie within a box: left, top,
// right, bottom.
func Clipped(xy []float64, box [4]float64) [][]float64 {
	var out [][]float64
	var cur []float64
	for i := 0; i+3 < len(xy); i += 2 {
		// A. Liang and B. Barsky, ACM Trans. Graphics 3, 1984, 1–22.
		x0, y0, x1, y1 := xy[i], xy[i+1], xy[i+2], xy[i+3]
		t0, t1, inside := 0.0, 1.0, true
		for _, e := range [4][2]float64{
			{x0 - x1, x0 - box[0]}, {x1 - x0, box[2] - x0}, {y0 - y1, y0 - box[1]}, {y1 - y0, box[3] - y0},
		} {
			switch r := e[1] / e[0]; {
			case e[0] == 0:
				inside = inside && e[1] >= 0
			case e[0] < 0:
				t0 = math.Max(t0, r)
			default:
				t1 = math.Min(t1, r)
			}
		}
		if !inside || t0 > t1 {
			if len(cur) > 0 {
				out, cur = append(out, cur), nil
			}
			continue
		}
		if len(cur) == 0 {
			cur = append(cur, x0+t0*(x1-x0), y0+t0*(y1-y0))
		}
		if t1 == 1 {
			cur = append(cur, x1, y1)
			continue
		}
		cur = append(cur, x0+t1*(x1-x0), y0+t1*(y1-y0))
		out, cur = append(out, cur), nil
	}
	if len(cur) > 0 {
		out = append(out, cur)
	}
	return out
}

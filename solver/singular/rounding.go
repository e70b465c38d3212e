package singular

import (
	"math"
	"slices"

	"nodespan/solver/bvp"
)

// halfUnit is the largest relative error of a rounded number.
const halfUnit = 1.0 / (1 << 53)

// rounding bounds what rounding does to the stretched equations: to the sums that make derivatives by x from those by
// s, whose terms cancel near the end, and then to the equations themselves.
func (s *Stretch) rounding(p *bvp.Problem) bvp.Rounding {
	w := s.first.width
	J, extra := p.Jet(), len(p.Parameters)
	rows, size := make([]float64, w*w), make([]float64, J)
	jet, away := make([]float64, J+extra+1), make([]float64, J+extra+1)
	inner := p.Rounding
	if inner == nil {
		inner = byTerms(p)
	}
	return func(in, off, own []float64, shared [][]float64) {
		v := in[J+extra]
		h, _, _ := s.at(v)
		x, _, _ := s.neighbours(v, s.distance(v))
		s.matrix(v, math.Abs(x-h.end), rows)
		s.apply(rows, in, jet[:J])
		for i, c := range rows {
			rows[i] = math.Abs(c)
		}
		for i := range size {
			size[i] = off[i] + 2*halfUnit*math.Abs(in[i])
		}
		s.apply(rows, size, away[:J])
		copy(jet[J:], in[J:J+extra])
		copy(away[J:], off[J:J+extra])
		jet[J+extra], away[J+extra] = x, 0 // x is a number exactly, and its distance from the end is
		inner(jet, away, own, shared)
		// Constants are taken as they are rounded: that of the end stands in the formulas and in the interval alike.
		for _, row := range shared {
			clear(row)
		}
	}
}

// byTerms bounds the rounding of equations by the sizes of their terms.
func byTerms(p *bvp.Problem) bvp.Rounding {
	n, J := len(p.Unknowns), p.Jet()+len(p.Parameters)
	f, df := make([]float64, n), make([]float64, n*J)
	return func(in, off, own []float64, shared [][]float64) {
		p.Equations(in[J], in[:J], f, df)
		for r := range f {
			own[r] = halfUnit * math.Abs(f[r])
			for i := range J {
				own[r] += math.Abs(df[r*J+i]) * (off[i] + halfUnit*math.Abs(in[i]))
			}
		}
		for _, row := range shared {
			clear(row)
		}
	}
}

// rounding is that of the problem, and of the links.
func (s *split) rounding(length int) bvp.Rounding {
	if s.p.Rounding == nil {
		return nil
	}
	n, J, extra := len(s.p.Unknowns), s.p.Jet(), len(s.p.Parameters)
	in0, off0 := make([]float64, J+extra+1), make([]float64, J+extra+1)
	links := s.links()
	return func(in, off, own []float64, shared [][]float64) {
		for i, k := range s.place {
			in0[i], off0[i] = in[k], off[k]
		}
		copy(in0[J:], in[length:])
		copy(off0[J:], off[length:])
		first := slices.Clone(shared)
		for i, row := range shared {
			first[i] = row[:n]
			clear(row)
		}
		s.p.Rounding(in0, off0, own[:n], first)
		for i, link := range links {
			own[n+i] = off[link[0]] + off[link[1]] + halfUnit*math.Abs(in[link[0]])
		}
	}
}

package slips

import (
	"fmt"
	"slices"
	"strings"

	"nodespan/solver/bvp"
)

// lowOrder is a right method of low order on one mesh.
type lowOrder struct {
	name  string
	order int
	solve func() curve
}

// mostEliminated bounds the unknowns of a mesh.
const mostEliminated = 420

// schemes returns the methods that are taught beside collocation and plain differences, on a mesh of so many steps, the
// likelier ones first. Of those that are one for this problem only one is listed.
func (j *judge) schemes(steps int) []lowOrder {
	var out []lowOrder
	p := j.p
	if even(p) && steps*len(p.Unknowns) <= mostEliminated {
		out = append(out, j.stenciled(steps)...)
		for _, e := range elementSchemes {
			cells := steps
			if e.centred {
				if cells = steps / 2; steps%2 == 1 || cells < 2 {
					continue
				}
			}
			out = append(out, lowOrder{fmt.Sprintf("%s with %d steps", e.name, cells), 2,
				func() curve { return j.volumes(p, cells, e) }})
		}
	}
	for _, m := range oneSteps {
		out = append(out, lowOrder{fmt.Sprintf("%s with %d steps", m.name, steps), m.order,
			func() curve { return j.shoot(p, steps, m) }})
	}
	return out
}

// stenciled are the schemes of differences with other formulas at the ends, or for first derivatives within.
func (j *judge) stenciled(steps int) []lowOrder {
	p := j.p
	sloped := slices.Contains(j.u.conditions[1:], true)
	ends := []struct {
		what  string
		order int
		stencils
	}{
		{"mirrored slopes at the ends", 2, stencils{fictitious: true, extra: 2}},
		{"two-point slopes at the ends", 1, stencils{extra: 1}},
		{"three-point slopes at the ends", 2, stencils{extra: 2}},
		{"four-point slopes at the ends", 2, stencils{extra: 3}},
	}
	if len(j.u.equation) > 3 {
		ends[0].what, ends[1].what = "fictitious points beyond the ends", "first-order formulas at the ends"
		ends[2].what, ends[3].what = "second-order formulas at the ends", "third-order formulas at the ends"
	}
	first := slices.ContainsFunc(p.Unknowns, func(u bvp.Unknown) bool { return u.Order == 2 }) && j.u.equation[1]
	var out []lowOrder
	for _, within := range []struct {
		what   string
		upwind int
	}{{"", 0}, {"backward first derivatives", -1}, {"forward first derivatives", 1}} {
		if within.upwind != 0 && !first { // there is none
			continue
		}
		for _, e := range ends {
			if !sloped && e.extra != 2 || !sloped && e.fictitious {
				continue
			}
			s := e.stencils
			s.upwind = within.upwind
			name, order := fmt.Sprintf("second-order differences with %d steps", steps), e.order
			var with []string
			if within.upwind != 0 {
				name, order = fmt.Sprintf("differences with %d steps", steps), 1
				with = append(with, within.what)
			}
			if sloped {
				with = append(with, e.what)
			}
			if len(with) > 0 {
				name += ", " + strings.Join(with, " and ")
			}
			out = append(out, lowOrder{name, order, func() curve { return j.mesh(p, steps, s) }})
		}
	}
	return out
}

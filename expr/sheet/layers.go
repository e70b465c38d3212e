package sheet

import (
	"math"
	"slices"
	"sort"

	"nodespan/expr/notation"
	"nodespan/solver/bvp"
)

// layers finds the interval of each unknown where the sheet has layers side by side, with unknowns of its own in each,
// as T1 from 0 to a and T2 from a to L: n.own, and breaks where one ends. Unknowns that share an equation belong to one
// layer, and a layer reaches from the first to the last point of the conditions on its unknowns. These must follow one
// upon another and fill the interval, and the sheet must say so or give no interval at all.
func (m *model) layers(n *numbers) {
	if !m.layered && m.domain != nil || len(m.unknowns) < 2 {
		return
	}
	layer := m.coupled()
	var found []int
	own := make([][2]float64, len(m.unknowns))
	for i := range own {
		own[i] = [2]float64{math.Inf(1), math.Inf(-1)}
	}
	for i, c := range m.conditions {
		for k, j := range c.jets {
			u := m.unknownIndex(j.Name)
			if u < 0 {
				return
			}
			at := &own[layer[u]]
			at[0], at[1] = min(at[0], n.points[i][k]), max(at[1], n.points[i][k])
		}
	}
	for i, l := range layer {
		if own[i] = own[l]; l == i {
			found = append(found, i)
		}
	}
	sort.Slice(found, func(i, j int) bool { return own[found[i]][0] < own[found[j]][0] })
	from := n.a
	for _, l := range found {
		if own[l][0] != from || !(own[l][1] > from) {
			return
		}
		from = own[l][1]
	}
	if from != n.b || len(found) < 2 {
		return
	}
	n.own = own
	for _, l := range found[1:] {
		n.breaks = append(n.breaks, own[l][0])
	}
}

// coupled returns, for each unknown, the first of those that it shares equations with.
func (m *model) coupled() []int {
	layer := make([]int, len(m.unknowns))
	for i := range layer {
		layer[i] = i
	}
	for _, e := range m.equations {
		first := -1
		notation.Walk(e.residual, func(node notation.Node) bool {
			j, ok := node.(*notation.Jet)
			if !ok {
				return true
			}
			u := m.unknownIndex(j.Name)
			if first < 0 || u < 0 {
				first = u
				return true
			}
			a, b := min(layer[first], layer[u]), max(layer[first], layer[u])
			for i, l := range layer {
				if l == b {
					layer[i] = a
				}
			}
			return true
		})
	}
	return layer
}

// unknownIndex returns the number of an unknown, or -1.
func (m *model) unknownIndex(name string) int {
	return slices.IndexFunc(m.unknowns, func(u bvp.Unknown) bool { return u.Name == name })
}

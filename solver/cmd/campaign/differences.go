package main

import (
	"math"

	"nodespan/solver"
	"nodespan/solver/nodes"
)

// byDifferences solves another family's cases by finite differences of every order, on meshes that are chosen and on
// some that are given. On chosen meshes they are held to be solved at loose tolerances, from the order that must says;
// never with 0.
func byDifferences(make func(*draw) *Case, must int) func(*draw) *Case {
	return func(d *draw) *Case {
		c := make(d)
		o := &c.Options
		o.Method, o.Family, o.Elements, o.Nodes = solver.Differences, nodes.Legendre, 0, 0
		o.Order = pick(d, 2, 4, 6, 8)
		o.Tol = d.tolerance(1e-3, 1e-10)
		if d.chance(0.25) {
			o.Nodes = int(pow(10, 600, d.Float64()))
		}
		c.Must = must > 0 && o.Order >= must && o.Nodes == 0 && o.Tol >= math.Max(1e-4, c.reach)
		return c
	}
}

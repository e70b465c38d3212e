package plot

import (
	"math"
	"sort"
)

// X returns the value of the variable at px, clamped to the view.
func (l *Layout) X(px float64) float64 {
	return math.Min(math.Max(l.x.value(px), l.View.X0), l.View.X1)
}

// PX returns where x is drawn.
//
//go:noinline
func (l *Layout) PX(x float64) float64 { return l.x.px(x) }

// Inside reports whether the point of the whole picture is on a panel or on the strip, where a reading makes sense.
//
//go:noinline
func (l *Layout) Inside(px, py float64) bool {
	if px < l.Left || px > l.Right {
		return false
	}
	for _, p := range l.panels {
		if py >= p.top && py <= p.bottom {
			return true
		}
	}
	return l.strip != nil && py >= l.strip.top && py <= l.strip.bottom
}

// A Reading is what the figure shows at one value of the variable, to the precision of the picture.
type Reading struct {
	X float64
	// Node is the index of the node at X in the first series that has nodes, and -1 elsewhere.
	Node int
	// Values has one entry for each series of the figure.
	Values []Value
	// Residual is that of the strip; NaN where there is none.
	Residual float64
}

// Value is one curve's value in a reading.
type Value struct {
	Y float64 // exact at a node, else from the drawn line; NaN in a gap
	// Exact is the exact solution's value, NaN where there is none.
	Exact float64
	// Step is the height of a device-independent pixel: digits far below it are not worth showing. 0 at a node.
	Step float64
}

// Read returns the reading at x, clamped to the view. It snaps to nothing: see NearestNode.
func (l *Layout) Read(x float64) Reading {
	x = math.Min(math.Max(x, l.View.X0), l.View.X1)
	r := Reading{X: x, Node: -1, Values: make([]Value, len(l.fig.Series)), Residual: math.NaN()}
	if i := sort.SearchFloat64s(l.nodes(), x); i < len(l.nodes()) && l.nodes()[i] == x {
		r.Node = i
	}
	for i, s := range l.fig.Series {
		v := Value{Y: interpolate(s.Line, x), Exact: interpolate(s.Exact, x)}
		if k := sort.SearchFloat64s(s.Nodes.X, x); k < len(s.Nodes.X) && s.Nodes.X[k] == x {
			v.Y = s.Nodes.Y[k]
		} else if p := l.panelOf(i); p != nil {
			v.Step = (p.y.hi - p.y.lo) / (p.bottom - p.top)
		}
		r.Values[i] = v
	}
	if l.fig.Residual != nil {
		r.Residual = interpolate(l.fig.Residual.Line, x)
	}
	return r
}

func (l *Layout) panelOf(series int) *panel {
	for i := range l.panels {
		for _, s := range l.panels[i].series {
			if s == series {
				return &l.panels[i]
			}
		}
	}
	return nil
}

// nodes returns the places of the nodes of the first series that has any.
func (l *Layout) nodes() []float64 {
	for _, s := range l.fig.Series {
		if len(s.Nodes.X) > 0 {
			return s.Nodes.X
		}
	}
	return nil
}

// NearestNode returns the index and the place of the node nearest to px if there is one within reach CSS pixels.
func (l *Layout) NearestNode(px, reach float64) (node int, x float64, ok bool) {
	xs := l.nodes()
	at := l.x.value(px)
	i := sort.SearchFloat64s(xs, at)
	node = -1
	for k := max(i-1, 0); k <= i && k < len(xs); k++ {
		if d := math.Abs(l.PX(xs[k]) - px); d <= reach && xs[k] >= l.View.X0 && xs[k] <= l.View.X1 {
			node, x, reach, ok = k, xs[k], d, true
		}
	}
	return node, x, ok
}

// NextNode returns the next node's index and place from x in direction dir (below or above 0), and ok false when there
// is none left in the interval. The node may lie outside the view: pan there with Follow.
func (l *Layout) NextNode(x float64, dir int) (node int, next float64, ok bool) {
	xs := l.nodes()
	i := sort.SearchFloat64s(xs, x)
	if dir < 0 {
		i--
	} else if i < len(xs) && xs[i] == x {
		i++
	}
	if i < 0 || i >= len(xs) {
		return -1, x, false
	}
	return i, xs[i], true
}

// Step returns x moved by n CSS pixels and clamped to the interval, for the arrow keys.
func (l *Layout) Step(x float64, n float64) float64 {
	x += n * (l.View.X1 - l.View.X0) / (l.Right - l.Left)
	return math.Min(math.Max(x, l.fig.A), l.fig.B)
}

// Follow returns the view panned as little as possible so that x is visible.
func (l *Layout) Follow(x float64) View {
	switch v := l.View; {
	case x < v.X0:
		return v.Pan(x - v.X0)
	case x > v.X1:
		return v.Pan(x - v.X1)
	default:
		return v
	}
}

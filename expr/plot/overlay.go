package plot

import "math"

// Overlay is what is drawn over the cached picture while someone reads it.
type Overlay struct {
	// Reading draws a hairline through the figure and the strip, and a dot on every curve; nil for none.
	Reading *Reading
	// Select tints p … q, the part being dragged over for zooming; nil for none.
	Select *[2]float64
	// Lit lights up a node without a hairline (the row of the node table that is pointed at); nil for none.
	Lit *int
}

// DrawOverlay draws the overlay of figure and strip; nothing else is touched, not even the background.
func (l *Layout) DrawOverlay(p Painter, o Overlay) {
	n := l.pen(p, 0)
	n.overlay(l.panels, o)
	n.stripOverlay(o)
}

// DrawFigureOverlay draws the overlay of the upper part as DrawFigure places it.
func (l *Layout) DrawFigureOverlay(p Painter, o Overlay) { l.pen(p, 0).overlay(l.panels, o) }

// DrawStripOverlay draws the overlay of the strip as DrawStrip places it.
func (l *Layout) DrawStripOverlay(p Painter, o Overlay) {
	l.pen(p, -l.FigureHeight).stripOverlay(o)
}

func (n *pen) overlay(panels []panel, o Overlay) {
	for i := range panels {
		p := &panels[i]
		n.lines(p, o)
		for k, s := range p.series {
			if o.Reading != nil && s < len(o.Reading.Values) {
				n.dot(n.l.PX(o.Reading.X), p, k, o.Reading.Values[s].Y, 3.6)
			}
			if o.Lit == nil {
				continue
			}
			if c := n.l.fig.Series[s].Nodes; *o.Lit >= 0 && *o.Lit < len(c.X) {
				if x := c.X[*o.Lit]; x >= n.l.View.X0 && x <= n.l.View.X1 {
					n.dot(n.l.PX(x), p, k, c.Y[*o.Lit], 4.6)
				}
			}
		}
	}
}

func (n *pen) stripOverlay(o Overlay) {
	p := n.l.strip
	if p == nil {
		return
	}
	n.lines(p, o)
	if o.Reading == nil {
		return
	}
	if v := logOf(o.Reading.Residual, p.y.lo); v >= p.y.lo {
		n.Circle(n.l.PX(o.Reading.X), p.y.px(v)+n.dy, 3.2, Fill{n.l.pal.Ink, n.alpha}, n.halo())
	}
}

// lines draws the hairline and the selection in one panel.
func (n *pen) lines(p *panel, o Overlay) {
	l := n.l
	if o.Select != nil && finite(o.Select[0]) && finite(o.Select[1]) {
		x0, x1 := l.PX(math.Min(o.Select[0], o.Select[1])), l.PX(math.Max(o.Select[0], o.Select[1]))
		x0, x1 = math.Max(x0, l.Left), math.Min(x1, l.Right)
		if x0 < x1 {
			n.rect(x0, p.top, x1-x0, p.bottom-p.top, Fill{l.pal.Accent, 0.14})
			n.vertical(x0, p.top, p.bottom, l.pal.Accent, 1)
			n.vertical(x1, p.top, p.bottom, l.pal.Accent, 1)
		}
	}
	if o.Reading != nil && o.Reading.X >= l.View.X0 && o.Reading.X <= l.View.X1 {
		n.vertical(l.PX(o.Reading.X), p.top, p.bottom, l.pal.Accent, 1)
	}
}

func (n *pen) halo() Stroke { return Stroke{Color: n.l.pal.Paper, Width: 1.5, Alpha: 1} }

func (n *pen) dot(px float64, p *panel, rank int, y, r float64) {
	if finite(y) && finite(px) && px >= n.l.Left-1 && px <= n.l.Right+1 {
		n.Circle(px, p.y.px(y)+n.dy, r, Fill{n.color(rank), n.alpha}, n.halo())
	}
}

package plot

import "math"

// dashes tells the curves of a panel apart without colour, as markers do.
var dashes = [5][]float64{nil, {9, 4}, {2, 3}, {11, 3, 2, 3}, {16, 4}}

var (
	exactDash = []float64{5, 4}
	bandAlpha = 0.18
)

const (
	curveWidth = 2.0
	exactWidth = 1.1
	dimmed     = 0.32 // opacity of the last good figure
)

// pen draws on a painter, moved down by dy and thinned out by alpha, rules on whole device pixels.
type pen struct {
	Painter
	l     *Layout
	dy    float64
	alpha float64
	scale float64
	buf   []float64
}

func (l *Layout) pen(p Painter, dy float64) *pen {
	n := &pen{Painter: p, l: l, dy: dy, alpha: 1, scale: p.Scale()}
	if l.fig.Dimmed {
		n.alpha = dimmed
	}
	return n
}

// Draw draws figure and strip on a surface of Width × Height, background included.
func (l *Layout) Draw(p Painter) {
	n := l.pen(p, 0)
	n.background(l.Height)
	n.figure()
	n.strip()
}

// DrawFigure draws the upper part alone, on a surface of Width × FigureHeight.
func (l *Layout) DrawFigure(p Painter) {
	n := l.pen(p, 0)
	n.background(l.FigureHeight)
	n.figure()
}

// DrawStrip draws the strip alone, on a surface of Width × (Height - FigureHeight), starting at its own top.
func (l *Layout) DrawStrip(p Painter) {
	n := l.pen(p, -l.FigureHeight)
	n.background(l.Height - l.FigureHeight)
	n.strip()
}

//go:noinline
func (n *pen) background(height float64) {
	n.rect(0, -n.dy, n.l.Width, height, Fill{n.l.pal.Paper, 1})
}

func (n *pen) rect(x, y, w, h float64, f Fill) {
	y += n.dy
	n.Polygon([]float64{x, y, x + w, y, x + w, y + h, x, y + h}, f, Stroke{})
}

// crisp moves the middle of a rule of one CSS pixel to where its edges fall on device pixels.
func (n *pen) crisp(v float64) float64 {
	w := n.rule()*n.scale/2 - math.Floor(n.rule()*n.scale/2) // 1/2 for an odd width in device pixels
	return (math.Floor(v*n.scale+0.5-w) + w) / n.scale
}

// rule is the width in CSS pixels of a rule, a whole number of device pixels.
//
//go:noinline
func (n *pen) rule() float64 { return math.Max(1, math.Floor(n.scale+0.25)) / n.scale }

func (n *pen) stroke(color string, alpha float64) Stroke {
	return Stroke{Color: color, Width: n.rule(), Alpha: alpha * n.alpha}
}

func (n *pen) horizontal(x0, x1, y float64, color string, alpha float64) {
	y = n.crisp(y + n.dy)
	n.Line(x0, y, x1, y, n.stroke(color, alpha))
}

func (n *pen) vertical(x, y0, y1 float64, color string, alpha float64) {
	x = n.crisp(x)
	n.Line(x, y0+n.dy, x, y1+n.dy, n.stroke(color, alpha))
}

//go:noinline
func (n *pen) runs(x, y float64, r []run, size float64, color string) {
	drawRuns(n.Painter, x, y+n.dy, r, 0, Start, size, color, n.alpha)
}

//go:noinline
func (n *pen) tickLabel(x, y float64, t tick, align Align) {
	drawRuns(n.Painter, x, y+n.dy, t.label, t.width, align, n.l.font, n.l.pal.Muted, n.alpha)
}

// middle is how far below the middle of a line of digits its baseline is, in type sizes.
const middle = 0.36

func (n *pen) figure() {
	l := n.l
	for i := range l.panels {
		p := &l.panels[i]
		n.ground(p)
		n.yAxis(p)
		n.xAxis(p, i == len(l.panels)-1)
		n.key(p)
		n.clip(p)
		for _, s := range p.series {
			n.band(p, s)
		}
		for k, s := range p.series {
			n.curve(l.fig.Series[s].Line, &p.y, n.style(p, k))
		}
		for k, s := range p.series {
			n.curve(l.fig.Series[s].Exact, &p.y, n.exactStyle(p, k))
		}
		n.Unclip()
		for k, s := range p.series {
			n.markers(p, k, s)
		}
		for k, s := range p.series {
			n.crosses(p, k, s)
		}
		for k, s := range p.series {
			for _, d := range p.direct {
				if d.series == s {
					n.runs(l.Right+10, d.y+middle*l.name*0.8, d.runs, l.name, n.color(k))
				}
			}
		}
	}
	if l.strip == nil {
		n.mesh()
	}
}

// ground draws what lies behind the curves: shaded intervals and the grid.
func (n *pen) ground(p *panel) {
	l := n.l
	for _, s := range l.fig.Shades {
		x0, x1 := math.Max(s[0], l.View.X0), math.Min(s[1], l.View.X1)
		if x0 < x1 {
			n.rect(l.PX(x0), p.top, l.PX(x1)-l.PX(x0), p.bottom-p.top, Fill{l.pal.Dim, 0.6 * n.alpha})
		}
	}
	for _, t := range p.y.major {
		n.horizontal(l.Left, l.Right, p.y.px(t.at), l.pal.Dim, 1)
	}
	for _, t := range l.x.major {
		n.vertical(l.PX(t.at), p.top, p.bottom, l.pal.Dim, 1)
	}
	if !p.y.log && p.y.lo < 0 && p.y.hi > 0 {
		n.horizontal(l.Left, l.Right, p.y.px(0), l.pal.Rule, 1)
	}
	if l.View.X0 < 0 && l.View.X1 > 0 {
		n.vertical(l.PX(0), p.top, p.bottom, l.pal.Rule, 1)
	}
}

func (n *pen) yAxis(p *panel) {
	l := n.l
	for _, t := range p.y.major {
		n.tickLabel(l.Left-8, p.y.px(t.at)+middle*l.font, t, End)
	}
	for _, v := range p.y.minor {
		n.horizontal(l.Left-4, l.Left, p.y.px(v), l.pal.Rule, 0.8)
	}
	if p.y.log {
		n.vertical(l.Left, p.top, p.bottom, l.pal.Rule, 1)
	}
	if p.y.factor != nil {
		w := runsWidth(n.Painter, p.y.factor, l.font)
		n.runs(math.Max(2, l.Left-8-w), p.top-keyGap-5-keyRow*float64(p.rows-1), p.y.factor, l.font, l.pal.Muted)
	}
}

// xAxis draws the rule with its ticks, and labels and name under the last panel.
func (n *pen) xAxis(p *panel, labels bool) {
	l := n.l
	n.horizontal(l.Left, l.Right, p.bottom, l.pal.Rule, 1)
	for _, t := range l.x.major {
		x := l.PX(t.at)
		n.vertical(x, p.bottom, p.bottom+5, l.pal.Rule, 1)
		if labels && t.label != nil {
			n.tickLabel(x, p.bottom+8+l.font*0.85, t, Middle)
		}
	}
	if !labels {
		return
	}
	name := labelled(l.fig.Variable, l.fig.Unit)
	if !l.nameRow {
		n.runs(l.Right+10, p.bottom+0.3*l.name, name, l.name, l.pal.Ink)
		return
	}
	y := p.bottom + 8 + l.font + l.name + 2
	w := runsWidth(n.Painter, name, l.name)
	if l.x.factor != nil {
		f := runsWidth(n.Painter, l.x.factor, l.font)
		n.runs(l.Right-f, y, l.x.factor, l.font, l.pal.Muted)
		n.runs(math.Max(l.Left, l.Right-f-14-w), y, name, l.name, l.pal.Ink)
		return
	}
	n.runs(math.Max(2, l.Right-w), y, name, l.name, l.pal.Ink)
}

// key draws the names of a panel's curves above it.
func (n *pen) key(p *panel) {
	l := n.l
	for _, e := range p.key {
		base := p.top - keyGap - 5 - keyRow*float64(p.rows-1-e.row)
		y := base - 0.3*l.font + n.dy
		color, size := l.pal.Muted, l.font
		x := e.x
		rank := 0
		for k, s := range p.series {
			if s == e.series {
				rank = k
			}
		}
		switch e.kind {
		case keyCurve:
			color, size = n.color(rank), l.name
			n.Line(x, y, x+swatch, y, n.style(p, rank))
			if len(l.fig.Series[e.series].Nodes.X) > 0 {
				n.marker(x+swatch/2, y, 3.4, rank)
			}
		case keyExact:
			if p.same[rank] {
				n.Line(x, y, x+swatch, y, Stroke{Color: n.color(rank), Width: curveWidth, Alpha: n.alpha})
			}
			n.Line(x, y, x+swatch, y, n.exactStyle(p, rank))
		case keyOwn:
			c := l.pal.Accent
			if len(p.series) > 1 {
				c = l.pal.Muted
			}
			n.cross(x+swatch/2, y, c)
		}
		if e.kind != keyNote {
			x += swatch + 6
		}
		n.runs(x, base, e.runs, size, color)
	}
}

func (n *pen) color(rank int) string { return n.l.pal.Curves[rank%len(dashes)] }

func (n *pen) style(p *panel, rank int) Stroke {
	return Stroke{Color: n.color(rank), Width: curveWidth, Dash: dashes[rank%len(dashes)], Alpha: n.alpha}
}

// exactStyle is a thin dashed line over the curve: light where the two cannot be told apart, so that both are
// seen, and dark where they part.
func (n *pen) exactStyle(p *panel, rank int) Stroke {
	s := Stroke{Color: n.l.pal.Ink, Width: exactWidth, Dash: exactDash, Alpha: n.alpha}
	switch {
	case p.same[rank]:
		s.Color, s.Alpha = n.l.pal.Paper, 1
	case len(p.series) > 1:
		s.Color = n.color(rank)
	}
	return s
}

// clip limits drawing to the panel, with room for the width of a line at its edges.
func (n *pen) clip(p *panel) {
	n.Clip(n.l.Left-1, p.top-2+n.dy, n.l.Right-n.l.Left+2, p.bottom-p.top+4)
}

// curve draws the visible part of c, gap by gap.
func (n *pen) curve(c Curve, y *axis, s Stroke) {
	l := n.l
	if len(c.X) == 0 {
		return
	}
	from, to := between(c.X, l.View.X0, l.View.X1)
	from, to = max(from-1, 0), min(to+1, len(c.X))
	// With many more points than pixels, a column needs its first, lowest, highest and last point only.
	dense := float64(to-from) > 6*(l.Right-l.Left)*n.scale
	var col column
	n.buf = n.buf[:0]
	flush := func() {
		n.buf = col.appendTo(n.buf)
		col = column{}
		switch len(n.buf) {
		case 0:
		case 2: // alone between two gaps
			n.Circle(n.buf[0], n.buf[1], s.Width/2, Fill{s.Color, s.Alpha}, Stroke{})
		default:
			n.Polyline(n.buf, s)
		}
		n.buf = n.buf[:0]
	}
	for i := from; i < to; i++ {
		v := c.Y[i]
		if y.log {
			v = logOf(v, y.lo)
		}
		if !finite(v) || !finite(c.X[i]) {
			flush()
			continue
		}
		px, py := l.PX(c.X[i]), y.px(v)+n.dy
		if !dense {
			n.buf = append(n.buf, px, py)
			continue
		}
		if at := math.Floor(px * n.scale); col.n == 0 || at != col.at {
			n.buf = col.appendTo(n.buf)
			col = column{at: at}
		}
		col.add(px, py)
	}
	flush()
}

// column holds the points of a curve that fall into one column of device pixels, as far as they matter.
type column struct {
	at                     float64
	n                      int
	first, low, high, last [2]float64
	lowFirst               bool // the lowest point comes before the highest
}

func (c *column) add(px, py float64) {
	p := [2]float64{px, py}
	if c.n == 0 {
		c.first, c.low, c.high = p, p, p
	}
	if py < c.low[1] {
		c.low, c.lowFirst = p, false
	}
	if py > c.high[1] {
		c.high, c.lowFirst = p, true
	}
	c.last = p
	c.n++
}

// appendTo appends the points that matter in the order of the curve.
func (c *column) appendTo(xy []float64) []float64 {
	if c.n == 0 {
		return xy
	}
	a, b := c.low, c.high
	if !c.lowFirst {
		a, b = b, a
	}
	xy = append(xy, c.first[0], c.first[1])
	prev := c.first
	for _, p := range [][2]float64{a, b, c.last} {
		if p != prev {
			xy = append(xy, p[0], p[1])
			prev = p
		}
	}
	return xy
}

// logOf returns log10 v; zero and what lies far below is put just below the axis.
func logOf(v, lo float64) float64 {
	if v < 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return math.NaN()
	}
	return math.Max(math.Log10(v), lo-1)
}

func (n *pen) band(p *panel, series int) {
	l := n.l
	b := l.fig.Series[series].Band
	rank := 0
	for k, s := range p.series {
		if s == series {
			rank = k
		}
	}
	from, to := between(b.X, l.View.X0, l.View.X1)
	from, to = max(from-1, 0), min(to+1, len(b.X))
	for from < to {
		end := from
		for end < to && finite(b.Lo[end]) && finite(b.Hi[end]) {
			end++
		}
		if end-from > 1 {
			xy := n.buf[:0]
			for i := from; i < end; i++ {
				xy = append(xy, l.PX(b.X[i]), p.y.px(b.Hi[i])+n.dy)
			}
			for i := end - 1; i >= from; i-- {
				xy = append(xy, l.PX(b.X[i]), p.y.px(b.Lo[i])+n.dy)
			}
			n.Polygon(xy, Fill{n.color(rank), bandAlpha * n.alpha}, Stroke{})
			n.buf = xy[:0]
		}
		from = end + 1
	}
}

func (n *pen) markers(p *panel, rank, series int) {
	l := n.l
	s := l.fig.Series[series]
	r := l.markerSize(l.visibleNodes(s))
	if r == 0 {
		return
	}
	from, to := between(s.Nodes.X, l.View.X0, l.View.X1)
	for i := from; i < to; i++ {
		if finite(s.Nodes.Y[i]) {
			n.marker(l.PX(s.Nodes.X[i]), p.y.px(s.Nodes.Y[i])+n.dy, r, rank)
		}
	}
}

// marker draws the open marker of the curve of that rank.
func (n *pen) marker(x, y, r float64, rank int) {
	n.shape(x, y, r, rank, n.color(rank), n.l.pal.Paper)
}

// shape draws the marker of that rank in any colours.
func (n *pen) shape(x, y, r float64, rank int, color, inside string) {
	s := Stroke{Color: color, Width: math.Min(1.5, 0.5*r), Alpha: n.alpha}
	fill := Fill{inside, 1}
	switch rank % len(dashes) {
	case 0:
		n.Circle(x, y, r, fill, s)
	case 1: // square
		r *= 0.9
		n.Polygon([]float64{x - r, y - r, x + r, y - r, x + r, y + r, x - r, y + r}, fill, s)
	case 2: // triangle
		r *= 1.25
		n.Polygon([]float64{x, y - r, x + 0.87*r, y + 0.5*r, x - 0.87*r, y + 0.5*r}, fill, s)
	case 3: // diamond
		r *= 1.3
		n.Polygon([]float64{x, y - r, x + r, y, x, y + r, x - r, y}, fill, s)
	case 4: // triangle on its tip
		r *= 1.25
		n.Polygon([]float64{x, y + r, x + 0.87*r, y - 0.5*r, x - 0.87*r, y - 0.5*r}, fill, s)
	}
}

func (n *pen) crosses(p *panel, rank, series int) {
	l := n.l
	c := l.pal.Accent
	if len(p.series) > 1 {
		c = n.color(rank)
	}
	own := l.fig.Series[series].Own
	for i, x := range own.X {
		if x >= l.View.X0 && x <= l.View.X1 && finite(own.Y[i]) {
			n.cross(l.PX(x), p.y.px(own.Y[i])+n.dy, c)
		}
	}
}

func (n *pen) cross(x, y float64, color string) {
	const r = 4
	s := Stroke{Color: color, Width: 1.6, Alpha: n.alpha}
	n.Line(x-r, y-r, x+r, y+r, s)
	n.Line(x-r, y+r, x+r, y-r, s)
}

// mesh draws the element ends as a row of ticks at the top of the strip or, without one, at the foot of the figure.
func (n *pen) mesh() {
	l := n.l
	if !l.meshShown() {
		return
	}
	y := l.FigureHeight
	if l.strip == nil {
		y -= meshRow + 4
	}
	// Ticks in the same device pixel are drawn once.
	last := math.Inf(-1)
	from, to := between(l.fig.Mesh, l.View.X0, l.View.X1)
	for _, x := range l.fig.Mesh[from:to] {
		if px := n.crisp(l.PX(x)); px > last+0.5/n.scale {
			n.vertical(px, y, y+meshRow-2, l.pal.Rule, 1)
			last = px
		}
	}
}

// strip draws the residual.
func (n *pen) strip() {
	l := n.l
	p := l.strip
	if p == nil {
		return
	}
	n.mesh()
	n.ground(p)
	n.yAxis(p)
	n.horizontal(l.Left, l.Right, p.bottom, l.pal.Rule, 1)
	for _, t := range l.x.major {
		n.vertical(l.PX(t.at), p.bottom, p.bottom+4, l.pal.Rule, 1)
	}
	name := l.fig.Residual.Name
	if name == "" {
		name = "residual"
	}
	if len(p.y.major) == 0 {
		name += ": zero to rounding throughout"
	}
	n.runs(l.Left, p.top-8, []run{{text: name}}, l.font, l.pal.Muted)
	n.clip(p)
	n.curve(l.fig.Residual.Line, &p.y, Stroke{Color: l.pal.Ink, Width: 1.3, Alpha: n.alpha})
	n.Unclip()
}

package plot

import (
	"math"
	"slices"
	"sort"

	"nodespan/expr/words"
)

// Options says how large and in which colours a figure is drawn.
type Options struct {
	// Width is that of the picture in CSS pixels, at least 120 (less counts as 120).
	Width float64
	// Height is that of the picture with its strip in CSS pixels; 0 lets the layout choose: about half the
	// width for one panel, less for each of several, within bounds that suit a phone and a wide screen.
	// A height too small for what it must hold is exceeded.
	Height float64
	// Most is the largest height that the layout may choose; 0 for none.
	Most float64
	// Palette holds the colours; the zero value means Light.
	Palette Palette
	// FontSize is that of tick labels in CSS pixels; 0 means 12.
	FontSize float64
}

// Layout is a figure with every place and scale decided: what NewLayout makes and Draw draws.
// It is made anew when the figure, the view or the size changes, and does not change otherwise.
type Layout struct {
	// Width and Height are those of the whole picture in CSS pixels.
	Width, Height float64
	// FigureHeight is the height of the upper part, with the panels and the labels of the x axis. The strip has
	// the rest, Height - FigureHeight, which is 0 without a residual.
	FigureHeight float64
	// Left and Right are the ends of the x axis in CSS pixels.
	Left, Right float64
	View        View

	fig     *Figure
	pal     Palette
	font    float64 // tick labels
	name    float64 // symbols
	x       axis
	nameRow bool // the variable's name stands below the tick labels rather than at the end of the axis
	panels  []panel
	strip   *panel
}

// panel is one plot area: a rectangle from Left to Right with its own y axis.
type panel struct {
	series      []int
	top, bottom float64
	y           axis
	same        []bool // for each of series, whether its exact solution lies on its curve, to a pixel
	key         []keyEntry
	rows        int // of the key
	direct      []directLabel
}

// keyEntry is one entry of a panel's key, its left end at x in the given row.
type keyEntry struct {
	kind   keyKind
	series int
	runs   []run
	x      float64
	row    int
}

type keyKind int

const (
	keyCurve keyKind = iota
	keyExact
	keyOwn
	keyNote // words alone
)

// directLabel is a name at the right end of its curve.
type directLabel struct {
	series int
	runs   []run
	y      float64
}

const (
	padTop    = 6.0
	padBottom = 8.0
	keyRow    = 20.0
	keyGap    = 8.0 // between the key and the plot
	panelGap  = 14.0
	swatch    = 26.0 // length of a line in the key
	meshRow   = 9.0
	minPlot   = 48.0 // least height of a plot
	wide      = 520.0
)

// NewLayout lays a figure out. It panics unless fig.A < fig.B; it does not keep m, but keeps fig and its slices.
func NewLayout(fig *Figure, v View, o Options, m Measurer) *Layout {
	if !(fig.A < fig.B) {
		panic("plot: figure needs A < B")
	}
	if o.Palette == (Palette{}) {
		o.Palette = Light
	}
	if o.FontSize <= 0 {
		o.FontSize = 12
	}
	l := &Layout{Width: math.Max(o.Width, 120), View: v, fig: fig, pal: o.Palette, font: o.FontSize,
		name: o.FontSize + 3}
	l.x = axis{lo: v.X0, hi: v.X1}

	groups := fig.Panels
	if groups == nil {
		groups = Group(fig.Series)
	}
	for _, g := range groups {
		l.panels = append(l.panels, panel{series: g})
	}
	if len(l.panels) == 0 {
		l.panels = []panel{{}} // axes alone
	}
	if fig.Residual != nil {
		l.strip = &panel{}
	}

	// Heights first: tick labels follow from them, the left margin from the labels, the key's rows from the margin.
	k := float64(len(l.panels))
	one := math.Min(math.Max(0.46*l.Width, 190), 520)
	each := math.Max(one*(1+0.45*(k-1))/k, 120)
	strip := math.Min(math.Max(0.11*l.Width, 64), 112)
	l.arrange(each, strip, m)
	if o.Height <= 0 && o.Most > 0 && l.Height > o.Most {
		o.Height = o.Most
	}
	if o.Height > 0 {
		over := l.Height - o.Height
		all := k * each
		if l.strip != nil {
			all += strip
		}
		room := all - over
		strip = math.Max(strip*room/all, minPlot)
		if l.strip != nil {
			room -= strip
		}
		l.arrange(math.Max(room/k, minPlot), strip, m)
	}
	return l
}

// arrange places everything for plots of the given heights.
func (l *Layout) arrange(each, strip float64, m Measurer) {
	l.Left = l.scaleY(each, strip, m)
	l.Right = math.Max(math.Floor(l.Width-l.rightMargin(each, m)), l.Left+40)
	l.x.p0, l.x.p1 = l.Left, l.Right
	l.x.setTicks(m, math.Max(math.Min(l.Width/14, 100), l.font*5.3), l.font, true)
	if l.x.factor != nil {
		l.nameRow = true
	}
	// An outermost label wider than the margin beyond it is not worth cutting: it goes.
	l.trim()
	l.stack(each, strip, m)
}

// scaleY chooses the scale of every plot, and returns the left margin, which their labels take.
func (l *Layout) scaleY(each, strip float64, m Measurer) (left float64) {
	margin := 0.0
	for i := range l.panels {
		p := &l.panels[i]
		lo, hi := l.rangeY(p)
		p.y = axis{lo: lo, hi: hi, p0: each, p1: 0}
		p.y.setTicks(m, 46, l.font, false)
		margin = math.Max(margin, p.y.widestLabel())
		p.same = p.same[:0]
		for _, s := range p.series {
			p.same = append(p.same, l.coincides(p, s))
		}
	}
	if l.strip != nil {
		lo, hi, some := l.rangeResidual()
		l.strip.y = axis{lo: lo, hi: hi, p0: strip, p1: 0, log: true}
		if some {
			l.strip.y.setLogTicks(m, l.font)
		}
		margin = math.Max(margin, l.strip.y.widestLabel())
	}
	return math.Ceil(margin + 12)
}

// rightMargin returns the width of the right margin: it holds the variable's name, or half a tick label, and names at
// line ends, which it places.
func (l *Layout) rightMargin(each float64, m Measurer) (right float64) {
	fig := l.fig
	variable := labelled(fig.Variable, fig.Unit)
	nameWidth := runsWidth(m, variable, l.name)
	l.nameRow = nameWidth > 40
	right = 14
	if !l.nameRow {
		right = math.Max(right, nameWidth+14)
	}
	for i := range l.panels {
		p := &l.panels[i]
		p.direct = nil
		if len(p.series) > 1 && l.Width >= wide {
			for _, s := range p.series {
				runs := labelled(fig.Series[s].Name, fig.Series[s].Unit)
				p.direct = append(p.direct, directLabel{series: s, runs: runs})
			}
			widest := 0.0
			for j := range p.direct {
				d := &p.direct[j]
				widest = math.Max(widest, runsWidth(m, d.runs, l.name))
				d.y = p.y.px(endOf(fig.Series[d.series], l.View))
			}
			if widest > 120 || !spread(p.direct, l.name+2, each-l.name) {
				p.direct = nil
			} else {
				right = math.Max(right, widest+16)
			}
		}
	}
	return right
}

// stack puts the plots one under the other.
func (l *Layout) stack(each, strip float64, m Measurer) {
	y := padTop
	for i := range l.panels {
		p := &l.panels[i]
		l.setKey(p, m)
		p.top = y + float64(p.rows)*keyRow + keyGap
		p.bottom = p.top + each
		p.y.p0, p.y.p1 = p.bottom, p.top
		for j := range p.direct {
			p.direct[j].y += p.top
		}
		y = p.bottom + panelGap
	}
	y += l.font + 2 - panelGap + 8
	if l.nameRow {
		y += l.name + 4
	}
	l.FigureHeight = math.Ceil(y + 4)
	l.Height = l.FigureHeight
	if l.strip != nil {
		p := l.strip
		p.top = l.FigureHeight + keyRow + 6
		if l.meshShown() {
			p.top += meshRow
		}
		p.bottom = p.top + strip
		p.y.p0, p.y.p1 = p.bottom, p.top
		l.Height = math.Ceil(p.bottom + padBottom)
	} else if l.meshShown() {
		l.FigureHeight += meshRow + 4
		l.Height = l.FigureHeight
	}
}

// trim removes labels that would stick out of the picture; their ticks stay.
func (l *Layout) trim() {
	for i := range l.x.major {
		t := &l.x.major[i]
		if at := l.x.px(t.at); at-t.width/2 < 0 || at+t.width/2 > l.Width {
			t.label, t.width = nil, 0
		}
	}
}

// meshShown reports whether there are element ends to show.
func (l *Layout) meshShown() bool { return len(l.fig.Mesh) > 2 }

// setKey fills the key of a panel and counts its rows.
func (l *Layout) setKey(p *panel, m Measurer) {
	p.key = p.key[:0]
	exact, own := false, false
	uncounted := 0
	for _, i := range p.series {
		s := l.fig.Series[i]
		if p.direct == nil {
			p.key = append(p.key, keyEntry{kind: keyCurve, series: i, runs: labelled(s.Name, s.Unit)})
		}
		exact = exact || len(s.Exact.X) > 0
		own = own || len(s.Own.X) > 0
		if n := l.visibleNodes(s); l.markerSize(n) == 0 {
			uncounted = max(uncounted, n)
		}
	}
	// A panel of several has one entry for all exact solutions and one for all of the reader's numbers.
	if exact {
		p.key = append(p.key, keyEntry{kind: keyExact, series: p.series[0], runs: []run{{text: "exact"}}})
	}
	if own {
		p.key = append(p.key, keyEntry{kind: keyOwn, series: p.series[0], runs: []run{{text: "your numbers"}}})
	}
	if uncounted > 0 {
		p.key = append(p.key, keyEntry{kind: keyNote,
			runs: []run{{text: words.Count(uncounted, "node") + ", too close to draw"}}})
	}
	start := l.Left
	if p.y.factor != nil {
		if w := runsWidth(m, p.y.factor, l.font); w > l.Left-8 {
			start = w + 20
		}
	}
	x, row := start, 0
	for i := range p.key {
		e := &p.key[i]
		size := l.font
		w := 0.0
		if e.kind == keyCurve {
			size = l.name
		}
		if e.kind != keyNote {
			w = swatch + 6
		}
		w += runsWidth(m, e.runs, size)
		if x > start && x+w > l.Width-4 {
			x, row = l.Left, row+1
		}
		e.x, e.row = x, row
		x += w + 18
	}
	p.rows = row + 1
	if len(p.key) == 0 && p.y.factor == nil {
		p.rows = 0
	}
}

// visibleNodes counts the nodes of s in the view.
func (l *Layout) visibleNodes(s Series) int {
	from, to := between(s.Nodes.X, l.View.X0, l.View.X1)
	return to - from
}

// markerSize returns the radius in CSS pixels of the markers of n visible nodes: smaller when they are many, 0
// when they could not be told apart.
func (l *Layout) markerSize(n int) float64 {
	if n == 0 {
		return 3.4
	}
	room := (l.Right - l.Left) / float64(n)
	switch {
	case room >= 12:
		return 3.4
	case room >= 3.5:
		return math.Max(1.4, 3.4*room/12)
	}
	return 0
}

// between returns the range of indices of the ascending xs that lie in lo … hi.
func between(xs []float64, lo, hi float64) (from, to int) {
	from = sort.SearchFloat64s(xs, lo)
	to = from + sort.Search(len(xs)-from, func(i int) bool { return xs[from+i] > hi })
	return from, to
}

// interpolate returns the value at x of the polyline c and NaN outside it or in a gap.
func interpolate(c Curve, x float64) float64 {
	i := sort.SearchFloat64s(c.X, x)
	switch {
	case i < len(c.X) && c.X[i] == x:
		return c.Y[i]
	case i == 0 || i == len(c.X):
		return math.NaN()
	}
	t := (x - c.X[i-1]) / (c.X[i] - c.X[i-1])
	return (1-t)*c.Y[i-1] + t*c.Y[i]
}

// coincides reports whether a series' exact solution lies on its curve throughout the view, to a pixel.
func (l *Layout) coincides(p *panel, series int) bool {
	s := l.fig.Series[series]
	from, to := between(s.Exact.X, l.View.X0, l.View.X1)
	for i := from; i < to; i++ {
		var y float64
		if i < len(s.Line.X) && s.Line.X[i] == s.Exact.X[i] { // sampled together
			y = s.Line.Y[i]
		} else {
			y = interpolate(s.Line, s.Exact.X[i])
		}
		d := p.y.px(y) - p.y.px(s.Exact.Y[i])
		if !(math.Abs(d) < 1) {
			return false
		}
	}
	return true
}

// endOf returns the last finite value of the series' line in the view, and 0 where there is none.
func endOf(s Series, v View) float64 {
	if y := interpolate(s.Line, v.X1); finite(y) {
		return y
	}
	from, to := between(s.Line.X, v.X0, v.X1)
	for i := to - 1; i >= from; i-- {
		if finite(s.Line.Y[i]) {
			return s.Line.Y[i]
		}
	}
	return 0
}

// spread moves labels apart to at least gap, between gap/2 and height, keeping their order, and reports whether none
// had to go far.
func spread(d []directLabel, gap, height float64) bool {
	wanted := make(map[int]float64, len(d))
	for _, e := range d {
		wanted[e.series] = e.y
	}
	sort.SliceStable(d, func(i, j int) bool { return d[i].y < d[j].y })
	low := gap / 2
	for i := range d {
		d[i].y = math.Max(d[i].y, low)
		low = d[i].y + gap
	}
	high := height
	for i := len(d) - 1; i >= 0; i-- {
		d[i].y = math.Min(d[i].y, high)
		high = d[i].y - gap
	}
	for _, e := range d {
		if math.Abs(e.y-wanted[e.series]) > 1.2*gap || e.y < 0 {
			return false
		}
	}
	return true
}

// extent is the range of the numbers added to it.
type extent struct{ lo, hi float64 }

//go:noinline
func nothing() extent { return extent{math.Inf(1), math.Inf(-1)} }

//go:noinline
func (e *extent) add(v float64) {
	if !finite(v) {
		return
	}
	if v < e.lo {
		e.lo = v
	}
	if v > e.hi {
		e.hi = v
	}
}

func (e *extent) curve(c Curve, v View) {
	from, to := between(c.X, v.X0, v.X1)
	for i := from; i < to; i++ {
		e.add(c.Y[i])
	}
	e.add(interpolate(c, v.X0))
	e.add(interpolate(c, v.X1))
}

// rangeY returns the range of a panel's y axis: all that is visible of its series.
func (l *Layout) rangeY(p *panel) (lo, hi float64) {
	e := nothing()
	for _, i := range p.series {
		s := l.fig.Series[i]
		e.curve(s.Line, l.View)
		e.curve(s.Exact, l.View)
		from, to := between(s.Nodes.X, l.View.X0, l.View.X1)
		for k := from; k < to; k++ {
			e.add(s.Nodes.Y[k])
		}
		for k, x := range s.Own.X {
			if x >= l.View.X0 && x <= l.View.X1 {
				e.add(s.Own.Y[k])
			}
		}
	}
	// A band much wider than what it surrounds is cut rather than let it flatten the curve.
	if most := 2 * (e.hi - e.lo); most > 0 {
		wide := e
		for _, i := range p.series {
			b := l.fig.Series[i].Band
			from, to := between(b.X, l.View.X0, l.View.X1)
			for k := from; k < to; k++ {
				wide.add(b.Lo[k])
				wide.add(b.Hi[k])
			}
		}
		e.lo, e.hi = math.Max(wide.lo, e.lo-most), math.Min(wide.hi, e.hi+most)
	}
	return within(e.lo, e.hi)
}

// rangeResidual returns the whole decades that the strip shows, and whether there is anything above zero to show.
// The deep dips at the nodes, where a residual vanishes, do not stretch it: a tenth of the points may lie below.
func (l *Layout) rangeResidual() (lo, hi float64, some bool) {
	c := l.fig.Residual.Line
	from, to := between(c.X, l.View.X0, l.View.X1)
	var sizes []float64
	for i := max(from-1, 0); i < min(to+1, len(c.X)); i++ {
		if v := c.Y[i]; v > 0 && finite(v) {
			sizes = append(sizes, v)
		}
	}
	if len(sizes) == 0 {
		return -2, 0, false
	}
	slices.Sort(sizes)
	hi = math.Ceil(math.Log10(sizes[len(sizes)-1]) + 0.05)
	lo = math.Floor(math.Log10(sizes[len(sizes)/10]))
	lo = math.Max(math.Min(lo, hi-2), hi-12)
	return lo, hi, true
}

// Group puts the series into panels: a series joins the first panel whose scale differs by no more than a factor of 5
// from its own, five series at most to a panel. The answer indexes series. The scale of a series is the range of its
// line and its nodes; a constant has none and joins wherever it does not stretch the others.
func Group(series []Series) [][]int {
	const factor, most = 5, 5
	type group struct {
		extent
		least float64 // smallest range of a series that is not constant
	}
	var groups []group
	var members [][]int
next:
	for i, s := range series {
		e := nothing()
		for _, c := range []Curve{s.Line, s.Nodes} {
			for _, v := range c.Y {
				e.add(v)
			}
		}
		if !(e.lo <= e.hi) { // nothing to draw
			e = extent{0, 0}
		}
		span := e.hi - e.lo
		if span <= 1e-11*math.Max(math.Abs(e.lo), math.Abs(e.hi)) {
			span = math.Inf(1)
		}
		for g := range groups {
			joint := groups[g].extent
			joint.add(e.lo)
			joint.add(e.hi)
			least := math.Min(groups[g].least, span)
			if len(members[g]) < most && joint.hi-joint.lo <= factor*least {
				groups[g] = group{joint, least}
				members[g] = append(members[g], i)
				continue next
			}
		}
		groups = append(groups, group{e, span})
		members = append(members, []int{i})
	}
	return members
}

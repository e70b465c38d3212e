package prose

import (
	"strconv"
	"strings"

	"nodespan/expr/notation"
)

// A tag is what may be the number of a line: (2), [1.3], (ii), a).
type tag struct {
	from, to int    // items
	style    string // the signs around it
	value    int    // its place in a count
	sure     bool   // cannot be mathematics
	loose    bool   // stands off by more than a blank
}

// numbers passes over the numbers of lines, before or behind them. They are told from factors where they count up,
// stand off, or can be nothing else; a single number that could be either is a fault.
func (r *reader) numbers() {
	for _, behind := range []bool{false, true} {
		groups := map[string][]tag{}
		var order []string
		for from := 0; from < len(r.items); {
			to := from
			for to < len(r.items) && r.items[to].kind != lineEnd {
				to++
			}
			if t, ok := r.tag(from, to, behind); ok {
				if groups[t.style] == nil {
					order = append(order, t.style)
				}
				groups[t.style] = append(groups[t.style], t)
			}
			from = to + 1
		}
		for _, style := range order {
			r.group(groups[style], behind)
		}
	}
}

// group reads the tags of one style.
func (r *reader) group(tags []tag, behind bool) {
	counting := len(tags) > 1
	for i := 1; i < len(tags); i++ {
		counting = counting && (tags[i].value == tags[i-1].value+1 || tags[i].loose && tags[i-1].loose &&
			tags[i].value > tags[i-1].value)
	}
	for _, t := range tags {
		if !counting && !t.sure && !(behind && t.loose) {
			if t.style[0] >= '0' && t.style[0] <= '9' || strings.Contains(t.style, "name") {
				continue
			}
			if behind || !r.wordFollows(t) {
				r.twoReadings(t, behind)
			}
			if behind {
				continue
			}
		}
		sp := r.items[t.from:t.to]
		r.notes = append(r.notes, Note{sp[0].from, sp[len(sp)-1].to,
			r.source(sp) + " is read as the number of the line"})
		text := ""
		if r.items[t.to-1].kind == blank {
			text = "\\quad"
		}
		r.edits = append(r.edits, notation.Edit{From: sp[0].from, To: sp[len(sp)-1].to, Text: text})
		for i := t.from; i < t.to; i++ {
			r.items[i].kind = mark
			r.items[i].word = false
		}
		r.hide(t)
	}
}

// hide takes the items of a tag out of the line.
func (r *reader) hide(t tag) {
	if r.gone == nil {
		r.gone = map[int]bool{}
	}
	for i := t.from; i < t.to; i++ {
		r.items[i] = item{kind: lineEnd, from: r.items[i].from, to: r.items[i].from}
	}
}

func (r *reader) wordFollows(t tag) bool { return t.to < len(r.items) && r.items[t.to].word }

func (r *reader) twoReadings(t tag, behind bool) {
	sp := r.items[t.from:t.to]
	label := r.source(sp)
	hint := "leave " + label + " out, or write * for the product"
	where := "the number of the line or a factor"
	_ = behind
	r.faults = append(r.faults, Fault{sp[0].from, sp[len(sp)-1].to, "“" + label + "” may be " + where, hint})
}

var romans = map[string]int{"i": 1, "ii": 2, "iii": 3, "iv": 4, "v": 5, "vi": 6, "vii": 7, "viii": 8, "ix": 9, "x": 10}

// count returns the place in a count that an inscription has, and the style of counting.
func (r *reader) count(s string) (value int, style string, ok bool) {
	if n, err := strconv.Atoi(s); err == nil && n >= 0 && n < 1000 {
		return n, "1", true
	}
	if i := strings.LastIndexByte(s, '.'); i > 0 {
		if n, err := strconv.Atoi(s[i+1:]); err == nil && strings.Trim(s, "0123456789.ABCDEFGH") == "" {
			return n, "1." + s[:i], true
		}
	}
	low := strings.ToLower(s)
	if n := romans[low]; n > 0 && !(len(s) == 1 && low != "i") && !r.names[s] {
		return n, "i", true
	}
	if len(s) == 1 && s[0] >= 'a' && s[0] <= 'z' && !r.names[s] {
		return int(s[0]-'a') + 1, "a", true
	}
	if n := len(s); n > 1 && n < 5 && s[n-1] >= 'a' && s[n-1] <= 'z' && digit(s[n-2]) && digit(s[0]) {
		return int(s[n-1]-'a') + 1, "a" + s[:n-1], true
	}
	return 0, "", false
}

// tag looks for a tag at one end of the line of the items [from, to).
func (r *reader) tag(from, to int, behind bool) (tag, bool) {
	line := r.items[from:to]
	if len(line) < 3 || line[0].math && !behind {
		return tag{}, false
	}
	if behind {
		return r.tagBehind(from, to)
	}
	enclosed := line[0].kind == opening
	i := 0
	if enclosed {
		i = 1
	}
	// The inscription runs to the sign that ends it.
	k := i
	for k < len(line) && k < i+3 && (line[k].kind == number || line[k].kind == symbol || line[k].kind == letters) &&
		(k == i || !line[k].space) {
		k++
	}
	if k == i || k >= len(line) {
		return tag{}, false
	}
	value, style, ok := r.count(r.source(line[i:k]))
	if !ok {
		return tag{}, false
	}
	end := line[k]
	after := item{space: true}
	if k+1 < len(line) {
		after = line[k+1]
	}
	t := tag{from: from, to: from + k + 1, value: value}
	switch {
	case enclosed && end.kind == closing && after.space && after.kind != operator && after.kind != relation ||
		enclosed && end.kind == closing && after.word:
		t.style = r.source(line[:1]) + style + "before"
		t.sure = style[0] != '1' && style != "i" && style != "a"
		if style == "i" || style == "a" {
			t.sure = true
		}
	case !enclosed && end.kind == closing && !end.space && (after.space || after.word):
		t.style, t.sure = style+")", true
	case !enclosed && end.kind == stop && after.space && after.kind != operator:
		t.style = style + "."
		t.sure = after.word || style[0] != '1'
		if style[0] != '1' && !after.word {
			return tag{}, false
		}
	case !enclosed && style == "1" && end.space && r.gap(end) >= 2:
		t.style, t.to = "1 before", t.to-1
	default:
		return tag{}, false
	}
	return t, true
}

// gap returns the number of blanks before an item; a tabulator counts for four.
func (r *reader) gap(it item) int {
	before := strings.TrimRight(r.text[:it.from], " \t\u00a0")
	return len(strings.ReplaceAll(r.text[len(before):it.from], "\t", "    "))
}

func (r *reader) tagBehind(from, to int) (tag, bool) {
	line := r.items[from:to]
	n := len(line)
	if line[n-1].kind == stop || line[n-1].kind == comma {
		n--
	}
	if n < 4 || line[n-1].kind != closing {
		return tag{}, false
	}
	i := n - 2
	for i > 0 && line[i].kind != opening {
		i--
	}
	if i == 0 || i < n-5 || !line[i].space || line[i-1].kind == operator || line[i-1].kind == relation {
		return tag{}, false
	}
	if functions[r.source(line[i-1:i])] || r.enclosed(line[:i]) || !states(line[:i]) {
		return tag{}, false
	}
	value, style, ok := r.count(r.source(line[i+1 : n-1]))
	if !ok {
		return tag{}, false
	}
	gap := r.gap(line[i])
	t := tag{from: from + i, to: from + n, value: value, style: r.source(line[i:i+1]) + style + "behind",
		loose: gap >= 3 || gap >= 2 && style[0] == '1' && len(style) > 1}
	if style == "a" || style == "i" {
		t.sure = true
	}
	return t, true
}

// enclosed reports whether a bracket is open at the end of items.
func (r *reader) enclosed(items []item) bool {
	depth := 0
	for _, it := range items {
		switch it.kind {
		case opening:
			depth++
		case closing:
			depth--
		}
	}
	return depth > 0
}

// bullets passes over dashes at the beginning of lines where they are the marks of a list. places are the items
// behind them.
func (r *reader) bullets(places []int) {
	var dashes []int
	list := false
	for _, p := range places {
		if p >= len(r.items) || r.items[p].kind != operator && r.items[p].kind != mark {
			continue
		}
		dashes = append(dashes, p)
		if next := strings.TrimLeft(r.text[r.items[p].to:], " \t"); strings.HasPrefix(next, "`") ||
			strings.HasPrefix(next, "$") || strings.HasPrefix(next, "**") {
			list = true
		}
		if p+1 < len(r.items) && (r.items[p+1].word || r.items[p+1].math || r.labelled(p+1)) {
			list = true
		}
	}
	if len(dashes) == 0 || len(dashes) == 1 && !list {
		return
	}
	if !list {
		lines, marked := 0, 0
		for from := 0; from < len(r.items); {
			to := from
			for to < len(r.items) && r.items[to].kind != lineEnd {
				to++
			}
			if states(r.items[from:to]) {
				lines++
				for _, p := range dashes {
					if p == from {
						marked++
					}
				}
			}
			from = to + 1
		}
		if marked < lines && !r.headed(dashes[0]) {
			first := r.items[dashes[0]]
			r.faults = append(r.faults, Fault{first.from, first.to,
				"these dashes may be minus signs or the marks of a list",
				"delete them, or write the minus sign close to what it belongs to"})
			return
		}
	}
	for _, p := range dashes {
		it := r.items[p]
		r.edits = append(r.edits, notation.Edit{From: it.from, To: it.to})
		r.items[p] = item{kind: lineEnd, from: it.from, to: it.from}
	}
}

// labelled reports whether a short label with a colon begins at item p.
func (r *reader) labelled(p int) bool {
	for k := p; k < len(r.items) && k < p+4 && !r.items[k].kind.separates(); k++ {
		if r.items[k].kind == relation || r.items[k].kind == prime {
			return false
		}
		if k+1 < len(r.items) && r.items[k+1].kind == colon {
			return true
		}
	}
	return false
}

// headed reports whether the line before item p ends with a colon.
func (r *reader) headed(p int) bool {
	for p--; p >= 0; p-- {
		if r.items[p].kind != lineEnd {
			return r.items[p].kind == colon
		}
	}
	return false
}

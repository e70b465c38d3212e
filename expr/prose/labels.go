package prose

import (
	"slices"
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
	weak     bool   // a name of the sheet as well: counts only in its row
	loose    bool   // stands off by more than a blank
	within   bool   // stands within a line: one of a count from the first on, or none
	amid     bool   // and no separator stands before it
}

// numbers passes over the numbers of lines, before or behind them. They are told from factors where they count up,
// stand off, or can be nothing else; a single number that could be either is a fault.
func (r *reader) numbers() {
	for i := 0; i+2 < len(r.items) && !r.romans; i++ {
		r.romans = r.items[i].kind == opening && r.items[i+1].text == "iv" && r.items[i+2].kind == closing
	}
	for _, behind := range []bool{false, true} {
		groups := map[string][]tag{}
		var order []string
		for from := 0; from < len(r.items); {
			to := from
			for to < len(r.items) && r.items[to].kind != lineEnd {
				to++
			}
			for _, t := range r.tags(from, to, behind) {
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
	counting := counts(tags)
	if !counting && slices.ContainsFunc(tags, func(t tag) bool { return t.sure && !t.weak }) {
		for _, t := range tags {
			if t.weak { // (c) beside (a), where c has a value
				r.twoReadings(t)
			}
		}
	}
	if within := func(t tag) bool { return t.within && !t.sure }; slices.ContainsFunc(tags, within) &&
		(!counting || tags[0].value != 1) {
		tags = slices.DeleteFunc(tags, within)
		counting = counts(tags)
	}
	for _, t := range tags {
		if t.weak && !counting {
			continue
		}
		if !counting && !t.sure && !(behind && t.loose) {
			if t.style[0] >= '0' && t.style[0] <= '9' || strings.Contains(t.style, "name") {
				continue
			}
			one := t.value == 1 && strings.Trim(t.style, "([{beforhind") == "1" // a factor of 1 is none
			if !one && (behind || !r.wordFollows(t)) {
				r.twoReadings(t)
			}
			if behind && !one {
				continue
			}
		}
		sp := r.items[t.from:t.to]
		r.notes = append(r.notes, Note{sp[0].from, sp[len(sp)-1].to,
			r.source(sp) + " is read as the number of the line"})
		text := ""
		if r.items[t.to-1].kind == blank {
			text = "\\quad"
		} else if t.amid {
			text = "\n"
		}
		r.edits = append(r.edits, notation.Edit{From: sp[0].from, To: sp[len(sp)-1].to, Text: text})
		for i := t.from; i < t.to; i++ {
			r.items[i].kind = mark
			r.items[i].word = false
		}
		r.hide(t)
	}
}

// counts reports whether tags count up.
func counts(tags []tag) bool {
	for i := 1; i < len(tags); i++ {
		if tags[i].value != tags[i-1].value+1 && !(tags[i].loose && tags[i-1].loose &&
			tags[i].value > tags[i-1].value) {
			return false
		}
	}
	return len(tags) > 1
}

// hide takes the items of a tag out of the line.
func (r *reader) hide(t tag) {
	for i := t.from; i < t.to; i++ {
		r.items[i] = item{kind: lineEnd, from: r.items[i].from, to: r.items[i].from}
	}
}

func (r *reader) wordFollows(t tag) bool { return t.to < len(r.items) && r.items[t.to].word }

// twoReadings refuses a number that may be a label or a factor.
func (r *reader) twoReadings(t tag) {
	sp := r.items[t.from:t.to]
	label := r.source(sp)
	hint := "leave " + label + " out, or write * for the product"
	r.faults = append(r.faults, Fault{sp[0].from, sp[len(sp)-1].to,
		"“" + label + "” may be the number of the line or a factor", hint})
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
	if n := romans[low]; n > 0 && (len(s) > 1 || low != "x" && low != "v" || r.romans) {
		return n, "i", true
	}
	if len(s) == 1 && s[0] >= 'a' && s[0] <= 'z' && !r.names[s] {
		return int(s[0]-'a') + 1, "a", true
	}
	if letters := strings.TrimRight(s, "0123456789"); letters != s && len(letters) < 4 && !r.names[s] &&
		strings.Trim(letters, "ABCDEFGHIJKLMNOPQRSTUVWXYZ") == "" {
		n, _ := strconv.Atoi(s[len(letters):])
		return n, "P" + letters, letters != "" && r.once(s)
	}
	if n := len(s); n > 1 && n < 5 && s[n-1] >= 'a' && s[n-1] <= 'z' && digit(s[n-2]) && digit(s[0]) {
		return int(s[n-1]-'a') + 1, "a" + s[:n-1], true
	}
	return 0, "", false
}

// once reports whether a name stands in one place of the text.
func (r *reader) once(name string) bool {
	n := 0
	for _, it := range r.items {
		if r.text[it.from:it.to] == name {
			n++
		}
	}
	return n == 1
}

// tags looks for tags in the line of the items [from, to): at its beginning, or behind its statements.
func (r *reader) tags(from, to int, behind bool) []tag {
	var list []tag
	if !behind {
		if t, ok := r.tag(from, to); ok {
			list = append(list, t)
		}
		return append(list, r.tagsWithin(from, to)...)
	}
	for i := from + 1; i < to; i++ {
		if t, ok := r.tagBehind(from, to, i); ok {
			list = append(list, t)
		}
	}
	return list
}

// tagsWithin looks for tags behind the separators of the line of the items [from, to).
func (r *reader) tagsWithin(from, to int) (list []tag) {
	last, _ := r.tag(from, to)
	depth := 0
	for i := from; i+1 < to; i++ {
		switch r.items[i].kind {
		case opening:
			depth++
		case closing:
			depth = max(0, depth-1)
		}
		if depth > 0 || !r.items[i+1].space || r.items[i].kind == operator || r.items[i].kind == relation {
			continue
		}
		t, ok := r.tag(i+1, to)
		t.within = true
		t.amid = !r.items[i].kind.separates() && r.items[i].text != "and"
		if ok && (!t.amid || t.style == last.style && t.value == last.value+1 && r.items[i+1].kind == opening &&
			states(r.items[last.to:i+1])) {
			list = append(list, t)
			last = t
		}
	}
	return list
}

// tag looks for a tag at the beginning of the line of the items [from, to).
func (r *reader) tag(from, to int) (tag, bool) {
	line := r.items[from:to]
	if len(line) < 3 || line[0].math {
		return tag{}, false
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
	inscription := r.source(line[i:k])
	end := line[k]
	value, style, ok := r.count(inscription)
	named := false
	if c := inscription[0]; !ok && end.kind == closing && len(inscription) == 1 && 'a' <= c && c <= 'z' {
		value, style, ok, named = int(c-'a')+1, "a", true, true // a name too: a label only where it counts up
	}
	if !ok {
		return tag{}, false
	}
	after := item{space: true}
	if k+1 < len(line) {
		after = line[k+1]
	}
	// A sign that is closed up to what follows begins the statement: (3) -k T'(1) = 2.
	goesOn := after.kind == relation || after.kind == operator && (after.text == "*" || after.text == "/" ||
		k+2 >= len(line) || line[k+2].space)
	t := tag{from: from, to: from + k + 1, value: value}
	switch {
	case enclosed && end.kind == closing && (after.space && !goesOn || after.word):
		t.style = r.source(line[:1]) + style + "before"
		t.sure = style[0] != '1' && style != "i" && style != "a"
		if style == "i" || style == "a" {
			t.sure = !r.names[inscription]
			t.weak = !t.sure
		}
	case !enclosed && end.kind == closing && !end.space && (after.space || after.word):
		t.style, t.sure, t.weak = style+")", !named, named
	case !enclosed && end.kind == stop && after.space && !goesOn:
		t.style = style + "."
		t.sure = after.word || r.typeset(r.source(line)) ||
			k+4 < len(line) && after.kind == opening && line[k+3].kind == closing && line[k+4].word
		t.weak = style[0] != '1' && !after.word // counts only in its row
	case !enclosed && style == "1" && end.space && r.gap(end) >= 2:
		t.style, t.to = "1 before", t.to-1
	default:
		return tag{}, false
	}
	return t, true
}

// typeset reports whether a line has signs that no keyboard has, or commands of LaTeX: there 2. is no number of a
// program.
func (r *reader) typeset(line string) bool { return strings.ContainsAny(line, "′″‴−\\") }

// gap returns the number of blanks before an item; a tabulator counts for four.
func (r *reader) gap(it item) int {
	before := strings.TrimRight(r.text[:it.from], " \t\u00a0")
	if strings.HasSuffix(before, "...") {
		before = strings.TrimRight(before, " .")
	}
	return len(strings.ReplaceAll(r.text[len(before):it.from], "\t", "    "))
}

// tagBehind looks for a tag at item i, behind a statement of the line [from, to).
func (r *reader) tagBehind(from, to, i int) (tag, bool) {
	open := r.items[i]
	if open.kind != opening || !open.space || r.items[i-1].kind == operator || r.items[i-1].kind == relation {
		return tag{}, false
	}
	end := i + 1
	for end < to && end < i+4 && r.items[end].kind != closing {
		end++
	}
	if end >= to || r.items[end].kind != closing || end == i+1 {
		return tag{}, false
	}
	amid := !r.clauseEnds(end+1, to) // between statements that wide gaps part
	if amid && (r.gap(open) < 3 || r.gap(r.items[end+1]) < 3) {
		return tag{}, false
	}
	line := r.items[from:i]
	if notation.IsFunction(r.source(line[len(line)-1:])) || r.enclosed(line) || !states(line) {
		return tag{}, false
	}
	value, style, ok := r.count(r.source(r.items[i+1 : end]))
	if !ok {
		return tag{}, false
	}
	gap := r.gap(open)
	t := tag{from: i, to: end + 1, value: value, style: open.text + style + "behind", amid: amid}
	t.loose = gap >= 3 || gap >= 2 && style[0] == '1' && len(style) > 1
	t.sure = style == "a" || style == "i" || style[0] == 'P'
	return t, true
}

// clauseEnds reports whether a clause ends before item i: there is a separator, a word, a bracket with words, or
// nothing.
func (r *reader) clauseEnds(i, to int) bool {
	if i >= to || r.items[i].kind.separates() || r.items[i].word {
		return true
	}
	if r.items[i].kind != opening {
		return false
	}
	for k := i + 1; k < to && r.items[k].kind != closing; k++ {
		if r.items[k].word {
			return true
		}
	}
	return false
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
		list = list || r.listed(p)
	}
	if len(dashes) == 0 || len(dashes) == 1 && !list {
		return
	}
	if !list && !r.allMarked(dashes) && !r.headed(dashes[0]) {
		first := r.items[dashes[0]]
		r.faults = append(r.faults, Fault{first.from, first.to,
			"these dashes may be minus signs or the marks of a list",
			"delete them, or write the minus sign close to what it belongs to"})
		return
	}
	for _, p := range dashes {
		it := r.items[p]
		r.edits = append(r.edits, notation.Edit{From: it.from, To: it.to})
		r.items[p] = item{kind: lineEnd, from: it.from, to: it.from}
	}
}

// listed reports whether what follows the dash at item p makes it the mark of a list: marked-up text, a word or a
// label.
func (r *reader) listed(p int) bool {
	next := strings.TrimLeft(r.text[r.items[p].to:], " \t")
	for _, mark := range []string{"`", "$", "**"} {
		if strings.HasPrefix(next, mark) {
			return true
		}
	}
	return p+1 < len(r.items) && (r.items[p+1].word || r.items[p+1].math || r.labelled(p+1))
}

// allMarked reports whether every line that states something begins with one of the dashes.
func (r *reader) allMarked(dashes []int) bool {
	for from := 0; from < len(r.items); {
		to := from
		for to < len(r.items) && r.items[to].kind != lineEnd {
			to++
		}
		if states(r.items[from:to]) && !slices.Contains(dashes, from) {
			return false
		}
		from = to + 1
	}
	return true
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

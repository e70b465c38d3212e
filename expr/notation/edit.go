package notation

// An Edit makes Split read a stretch of the text, [From, To) in bytes, as if Text stood there; an empty Text drops the
// stretch, which then separates like a blank. Whatever is read from Text has the place of the stretch.
type Edit struct {
	From, To int
	Text     string
}

// edit reads the next edit.
func (l *lexer) edit() {
	e := l.edits[0]
	l.edits = l.edits[1:]
	if e.To < l.pos.Offset {
		return // a token that began before it has taken it in
	}
	from := l.pos
	for l.pos.Offset < e.To {
		l.advance(1)
	}
	if e.Text == "" {
		l.space = true
		return
	}
	in := &lexer{text: e.Text, pos: Pos{Line: 1, Column: 1}, space: l.space}
	for in.pos.Offset < len(in.text) {
		in.next()
	}
	l.faults = append(l.faults, in.faults...)
	for _, t := range in.toks {
		t.Sp = Span{from, l.pos.Offset}
		l.toks = append(l.toks, t)
	}
	l.space = in.space
}

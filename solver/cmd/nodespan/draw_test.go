package main

import (
	"strings"
	"testing"
	"unicode/utf8"

	"nodespan/expr/notation"
)

// span finds a piece of a text and gives it its place.
func span(t *testing.T, text, piece string) notation.Span {
	t.Helper()
	from := strings.Index(text, piece)
	if from < 0 {
		t.Fatalf("%q is not in %q", piece, text)
	}
	line := text[strings.LastIndex(text[:from], "\n")+1 : from]
	return notation.Span{
		From: notation.Pos{Offset: from, Line: 1 + strings.Count(text[:from], "\n"),
			Column: 1 + utf8.RuneCountInString(line)},
		To: from + len(piece),
	}
}

func TestDraw(t *testing.T) {
	for _, c := range []struct{ name, file, text, piece, hint, want string }{
		{"plain", "", "y'' + foo y = 0\ny(0) = 1", "foo", "did you mean “f0”?", `
1:7: no good
  y'' + foo y = 0
        ~~~
hint: did you mean “f0”?
`},
		{"second line, with a file", "fin.txt", "y'' + y = 0\ny(0) = bar\n", "bar", "", `
fin.txt:2:8: no good
  y(0) = bar
         ~~~
`},
		{"Greek and primes: columns are characters", "", "θ″ = λ·ω", "ω", "", `
1:8: no good
  θ″ = λ·ω
         ~
`},
		{"wide letters take two columns", "", "# 壁の熱 T'' = q?", "q?", "", `
1:13: no good
  # 壁の熱 T'' = q?
                 ~~
`},
		{"a wide piece", "", "y = 壁の 2", "壁の", "", `
1:5: no good
  y = 壁の 2
      ~~~~
`},
		{"an accent over a letter takes none", "", "x\u0304 + e\u0301 = bad", "bad", "", "\n1:11: no good\n" +
			"  x\u0304 + e\u0301 = bad\n" +
			"          ~~~\n"},
		{"a tab is a space", "", "\ty = \tbad", "bad", "", `
1:7: no good
   y =  bad
        ~~~
`},
		{"nothing at the end of the text", "", "y'' = (", "", "", `
1:8: no good
  y'' = (
         ^
`},
		{"Windows line ends", "", "y = bad\r\nz = 1\r\n", "bad", "", `
1:5: no good
  y = bad
      ~~~
`},
		{"over the end of the line", "", "y = (1 +\n 2", "(1 +\n 2", "", `
1:5: no good
  y = (1 +
      ~~~~
`},
		{"what a terminal would obey", "", "y\x1b[31m\u202e = bad", "bad", "", "\n1:11: no good\n" +
			"  y\ufffd[31m\ufffd = bad\n" +
			"            ~~~\n"},
	} {
		e := &notation.Error{Span: span(t, c.text, c.piece), Msg: "no good", Hint: c.hint}
		if c.piece == "" {
			e.Span = notation.Span{From: notation.Pos{Offset: len(c.text), Line: 1,
				Column: 1 + utf8.RuneCountInString(c.text)}, To: len(c.text)}
		}
		var b strings.Builder
		draw(&b, c.file, c.text, e)
		if got, want := b.String(), c.want[1:]; got != want {
			t.Errorf("%s:\n%s\nwant\n%s\n%q\n%q", c.name, got, want, got, want)
		}
	}
}

func TestDrawLongLine(t *testing.T) {
	text := strings.Repeat("é + ", 100) + "bad" + strings.Repeat(" + ü", 100)
	var b strings.Builder
	draw(&b, "", text, &notation.Error{Span: span(t, text, "bad"), Msg: "no good"})
	lines := strings.Split(b.String(), "\n")
	if lines[0] != "1:401: no good" {
		t.Error(lines[0])
	}
	line, mark := []rune(lines[1]), []rune(lines[2])
	if len(line) > 2+40+72 || line[2] != '…' || line[len(line)-1] != '…' {
		t.Errorf("not cut: %q", string(line))
	}
	if got := string(line[len(mark)-3 : len(mark)]); got != "bad" {
		t.Errorf("%q is underlined in\n%s\n%s", got, string(line), string(mark))
	}
	// A piece that is itself too long is underlined as far as it is shown.
	b.Reset()
	draw(&b, "", text, &notation.Error{Span: notation.Span{From: notation.Pos{Line: 1, Column: 1}, To: len(text)},
		Msg: "no good"})
	lines = strings.Split(b.String(), "\n")
	if line, mark := []rune(lines[1]), []rune(lines[2]); len(mark) != len(line)-1 || len(line) != 2+72 {
		t.Errorf("%d columns underlined of %d", len(mark), len(line))
	}
}

func TestDrawSeveral(t *testing.T) {
	text := "bad = worse"
	var b strings.Builder
	draw(&b, "f", text, notation.ErrorList{{Span: span(t, text, "bad"), Msg: "first"},
		{Span: span(t, text, "worse"), Msg: "second"}})
	want := "f:1:1: first\n  bad = worse\n  ~~~\nf:1:7: second\n  bad = worse\n        ~~~~~\n"
	if b.String() != want {
		t.Errorf("%s\nwant\n%s", b.String(), want)
	}
}

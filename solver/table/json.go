package table

import (
	"io"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

// WriteJSON writes the reply on one line. An error is the writer's. It does so without encoding/json, which would be
// 0.27 MB of the page's module and 65 kB of the page; a test holds every byte to that package.
func (r *Reply) WriteJSON(w io.Writer) error {
	var j jsonText
	j.strings(`{"status":`, string(r.Status), `,"message":`, r.Message, `,"method":`, string(r.Method))
	j.add(`,"degree":`, strconv.Itoa(r.Degree), `,"elements":`, strconv.Itoa(r.Elements), `,"columns":`)
	list(&j, r.Columns, j.string)
	j.add(`,"rows":`)
	rows := func(row []Number) { list(&j, row, j.number) }
	list(&j, r.Rows, rows)
	j.add(`,"errors":`)
	list(&j, r.Errors, rows)
	j.add(`,"found":`)
	switch f := r.Found; {
	case f.Eigenvalues != nil:
		j.add(`{"eigenvalues":`)
		list(&j, f.Eigenvalues, func(v Value) { j.value(v, "") })
		j.add("}")
	default:
		j.add("{")
		for i, name := range slices.Sorted(maps.Keys(f.Named)) {
			j.strings(comma(i), name)
			j.add(":")
			j.value(f.Named[name], "")
		}
		j.add("}")
	}
	if len(r.Reports) > 0 {
		j.add(`,"reports":{`)
		for i, n := range r.Reports {
			j.strings(comma(i), n.Name)
			j.add(":")
			j.value(n.Value, n.Message)
		}
		j.add("}")
	}
	if r.ExactError != nil {
		j.add(`,"exactError":`)
		j.number(*r.ExactError)
	}
	j.add(`,"seconds":`)
	j.number(Number(r.Seconds))
	j.add("}\n")
	_, err := io.WriteString(w, j.b.String())
	return err
}

func comma(i int) string {
	if i == 0 {
		return ""
	}
	return ","
}

// list writes an array, null where there is none.
func list[T any](j *jsonText, all []T, write func(T)) {
	if all == nil {
		j.add("null")
		return
	}
	j.add("[")
	for i, v := range all {
		j.add(comma(i))
		write(v)
	}
	j.add("]")
}

// A jsonText is being written.
type jsonText struct{ b strings.Builder }

//go:noinline
func (j *jsonText) add(parts ...string) {
	for _, p := range parts {
		j.b.WriteString(p)
	}
}

// strings writes keys as they stand, each followed by a string.
func (j *jsonText) strings(pairs ...string) {
	for i := 0; i < len(pairs); i += 2 {
		j.add(pairs[i])
		j.string(pairs[i+1])
	}
}

func (j *jsonText) string(s string) {
	const hex = "0123456789abcdef"
	short := map[rune]string{'"': `\"`, '\\': `\\`, '\n': `\n`, '\r': `\r`, '\t': `\t`, '\b': `\b`, '\f': `\f`,
		'\u2028': `\u2028`, '\u2029': `\u2029`}
	j.add(`"`)
	for len(s) > 0 {
		r, n := utf8.DecodeRuneInString(s)
		switch text, ok := short[r]; {
		case ok:
			j.add(text)
		case r == utf8.RuneError && n == 1:
			j.add(`\ufffd`)
		case r < ' ':
			j.add(`\u00`, hex[r>>4:r>>4+1], hex[r&15:r&15+1])
		default:
			j.add(s[:n])
		}
		s = s[n:]
	}
	j.add(`"`)
}

// number writes the shortest decimal that gives the number back; null for what JSON cannot hold.
func (j *jsonText) number(n Number) {
	v := float64(n)
	switch size := math.Abs(v); {
	case math.IsNaN(v) || math.IsInf(v, 0):
		j.add("null")
	case size != 0 && (size < 1e-6 || size >= 1e21):
		text := strconv.FormatFloat(v, 'e', -1, 64)
		if k := len(text); text[k-4:k-1] == "e-0" { // e-07 is e-7
			text = text[:k-2] + text[k-1:]
		}
		j.add(text)
	default:
		j.add(strconv.FormatFloat(v, 'f', -1, 64))
	}
}

func (j *jsonText) value(v Value, message string) {
	j.add(`{"value":`)
	j.number(v.Value)
	j.add(`,"error":`)
	j.number(v.Error)
	if message != "" {
		j.strings(`,"message":`, message)
	}
	j.add("}")
}

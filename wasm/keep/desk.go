package keep

import (
	"errors"
	"strconv"
	"strings"
	"unicode/utf8"

	"nodespan/wasm/link"
	"nodespan/wasm/wire"
)

// Desk is all that somebody typed.
type Desk struct {
	Sheet   string
	Method  wire.Method
	Numbers string // their own
	Title   string // of what is taken away
	Note    string
	Edited  bool  // the sheet is theirs, and no example or link as it came
	Before  *Desk // an edited one that another sheet took the place of
}

// MostText bounds what is read, in bytes. It is more than the page's own fields take.
const MostText = 4 << 20

// ErrDamaged means that a text is no desk.
var ErrDamaged = errors.New("keep: no desk of this page")

// edited is the line that says so.
const edited = "edited"

// Text writes a desk as lines of a word and a string quoted as Go quotes it; empty ones are left out. (JSON would
// bring its reader into the module, which weighs 60 KB of the one file.) ReadDesk reads it, and trusts nothing.
func (d Desk) Text() string {
	var b strings.Builder
	put := func(key, value string) {
		if value != "" {
			b.WriteString(key + " " + strconv.Quote(value) + "\n")
		}
	}
	put("sheet", d.Sheet)
	put("method", link.Settings(d.Method))
	put("numbers", d.Numbers)
	put("title", d.Title)
	put("note", d.Note)
	if d.Edited {
		put(edited, edited)
	}
	if d.Before != nil {
		put("before", d.Before.Text())
	}
	return b.String()
}

// ReadDesk reads what Text wrote.
//
//go:noinline
func ReadDesk(text string) (Desk, error) { return readDesk(text, true) }

func readDesk(text string, outermost bool) (d Desk, err error) {
	if len(text) > MostText {
		return Desk{}, ErrDamaged
	}
	for line := range strings.Lines(text) {
		key, quoted, _ := strings.Cut(strings.TrimSuffix(line, "\n"), " ")
		value, fault := strconv.Unquote(quoted)
		if fault != nil || !isText(value) {
			return Desk{}, ErrDamaged
		}
		switch key {
		case "sheet":
			d.Sheet = value
		case "method":
			d.Method, fault = link.ReadSettings(value)
		case "numbers":
			d.Numbers = value
		case "title":
			d.Title = value
		case "note":
			d.Note = value
		case edited:
			d.Edited = true
		case "before":
			var before Desk
			if outermost {
				before, fault = readDesk(value, false)
				d.Before = &before
			}
		default:
			fault = ErrDamaged
		}
		if fault != nil {
			return Desk{}, ErrDamaged
		}
	}
	return d, nil
}

// isText reports whether a string is what can stand in a text area.
func isText(s string) bool { return utf8.ValidString(s) && !strings.ContainsRune(s, 0) }

// SetAside returns the desk that a new one keeps within reach when it takes the place of d.
func (d Desk) SetAside(sheet string) *Desk {
	before := d.Before
	if d.Edited && strings.TrimSpace(d.Sheet) != "" {
		d.Before = nil
		before = &d
	}
	if before != nil && before.Sheet == sheet {
		return nil
	}
	return before
}

package link

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"
)

// View is what a lecturer shows of a problem. The zero value is the whole page.
type View struct {
	On      bool
	Show    string // names of Sections between commas, in the order in which they are shown
	Sheet   string // hidden, shown or editable; "" is folded
	Sliders string // names of constants between commas; "" is all that have a range, "-" is none
	Free    bool   // the method may be changed
	Theme   string // light or dark; "" is the host's
	Height  int    // in pixels; 0 follows what is shown
	Title   string
	Caption string
}

// Sections are what can be shown.
func Sections() []string {
	return []string{"answer", "figure", "residual", "table", "ladder", "working", "own"}
}

// Usual is shown where nobody has chosen.
var Usual = View{On: true, Show: "answer,figure"}

// Limits of a view: of its title and its caption and of the constants' names in bytes, and of its height in pixels.
const (
	MaxTitle   = 200
	MaxCaption = 1000
	maxNames   = 1000
	MinHeight  = 100
	MaxHeight  = 5000
)

// Has reports whether a list between commas has a name.
func Has(list, name string) bool { return oneOf(name, strings.Split(list, ",")...) }

// text writes a view as the lines of a link behind the first: settings, title, caption.
func (v View) text() string {
	settings := "show=" + v.Show
	for _, s := range [][2]string{{"sheet", v.Sheet}, {"sliders", v.Sliders}, {"theme", v.Theme}} {
		if s[1] != "" {
			settings += " " + s[0] + "=" + s[1]
		}
	}
	if v.Free {
		settings += " method=free"
	}
	if v.Height > 0 {
		settings += " height=" + strconv.Itoa(v.Height)
	}
	return settings + "\n" + v.Title + "\n" + v.Caption
}

// parseView reads what text wrote, and returns the rest behind it.
func parseView(text string) (v View, rest string, err error) {
	lines := strings.SplitN(text, "\n", 4)
	if len(lines) < 4 {
		return v, "", ErrDamaged
	}
	v = View{On: true, Title: lines[1], Caption: lines[2]}
	for _, setting := range strings.Fields(lines[0]) {
		key, value, _ := strings.Cut(setting, "=")
		switch to := map[string]*string{"show": &v.Show, "sheet": &v.Sheet, "sliders": &v.Sliders,
			"theme": &v.Theme}[key]; {
		case to != nil:
			*to = value
		case setting == "method=free":
			v.Free = true
		case key == "height":
			if v.Height, err = strconv.Atoi(value); err != nil || v.Height == 0 {
				return v, "", ErrDamaged
			}
		default:
			return v, "", ErrDamaged
		}
	}
	return v, lines[3], v.check()
}

// check holds a view to what the form can make.
func (v View) check() error {
	if !v.On {
		return nil
	}
	seen := map[string]bool{}
	for _, s := range strings.Split(v.Show, ",") {
		if seen[s] || !oneOf(s, Sections()...) {
			return fmt.Errorf("%w: section %q", ErrDamaged, s)
		}
		seen[s] = true
	}
	controls := func(s string) bool {
		return strings.ContainsFunc(s, func(r rune) bool {
			return unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r)
		})
	}
	switch {
	case !oneOf(v.Sheet, "", "hidden", "shown", "editable"), !oneOf(v.Theme, "", "light", "dark"),
		v.Height != 0 && (v.Height < MinHeight || v.Height > MaxHeight),
		controls(v.Title), controls(v.Caption), strings.ContainsFunc(v.Sliders, unicode.IsSpace):
		return fmt.Errorf("%w: a view that the page does not make", ErrDamaged)
	case len(v.Title) > MaxTitle, len(v.Caption) > MaxCaption, len(v.Sliders) > maxNames:
		return ErrLong
	}
	return nil
}

package plot

import "strconv"

// A Palette holds the colours of a figure, as #rrggbb.
//
// Against Paper, text colours (Ink, Muted, Accent and Curves, which colour names too) have a contrast of at least
// 4.5:1 and Rule of at least 3:1 (WCAG 2.2, success criteria 1.4.3 and 1.4.11). Dim only draws the faint grid,
// which carries nothing that the tick labels do not, and the fillings behind curves.
type Palette struct {
	Paper  string // the background
	Ink    string // text
	Muted  string // tick labels, the exact solution
	Rule   string // axes, ticks, the zero line
	Dim    string // grid
	Accent string // the reading, the selection
	Curves [5]string
}

// The style sheet of the page mirrors these three. Curves of one palette differ from each other also for
// those who do not see all colours (see the test), and on top of that in dash and marker.
var (
	Light = Palette{
		Paper: "#fcfbf7", Ink: "#1d1d1b", Muted: "#5a5850", Rule: "#85826f", Dim: "#e3e0d5", Accent: "#9a3412",
		Curves: [5]string{"#2a4fa8", "#ad5b09", "#008353", "#6f3266", "#2f3724"},
	}
	Dark = Palette{
		Paper: "#16181b", Ink: "#e9e6dc", Muted: "#a9a698", Rule: "#77776e", Dim: "#2c2f33", Accent: "#f0a070",
		Curves: [5]string{"#7fa4fa", "#f5964f", "#4ce1cc", "#a27fb8", "#e1ecb8"},
	}
	Print = Palette{
		Paper: "#ffffff", Ink: "#000000", Muted: "#444444", Rule: "#666666", Dim: "#dddddd", Accent: "#000000",
		Curves: [5]string{"#000000", "#1a78b8", "#a8470f", "#163956", "#876b5e"},
	}
)

// RGB reads a colour, #rrggbb. It panics where it is none.
func RGB(color string) (r, g, b uint8) {
	if len(color) == 7 && color[0] == '#' {
		if v, err := strconv.ParseUint(color[1:], 16, 32); err == nil {
			return uint8(v >> 16), uint8(v >> 8), uint8(v)
		}
	}
	panic("plot: a colour is #rrggbb, not " + color)
}

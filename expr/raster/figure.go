package raster

import (
	"fmt"

	"nodespan/expr/figure"
)

// Format writes pictures as PNG files. Its errors say that the fonts lack a character of the title or of a name.
var Format = figure.Format{Ending: "png", Media: "image/png",
	New: func(width, height, density float64, _ string) figure.Surface {
		return NewPainter(width, height, density)
	},
	Check: lettered,
}

// lettered says which character of some words the fonts lack, nil for none.
func lettered(words ...string) error {
	for _, w := range words {
		if r, lacks := Lacking(w); lacks {
			return fmt.Errorf("the lettering of PNG files has no “%c”, which is in “%s”", r, w)
		}
	}
	return nil
}

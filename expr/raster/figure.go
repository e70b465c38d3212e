package raster

import (
	"fmt"

	"nodespan/expr/figure"
	"nodespan/expr/plot"
)

// Figure draws a figure as a PNG file. The error says that the fonts lack a character of the title or of a name.
func Figure(fig *plot.Figure, o figure.Options) ([]byte, error) {
	words := []string{o.Title, fig.Variable}
	for _, s := range fig.Series {
		words = append(words, s.Name)
	}
	if err := lettered(words...); err != nil {
		return nil, err
	}
	return file(figure.Draw(fig, o, NewPainter(1, 1, 1))), nil
}

// Ladder draws a ladder as a PNG file. The error says that the fonts lack a character of the title.
func Ladder(d *plot.Ladder, o figure.Options) ([]byte, error) {
	if err := lettered(o.Title); err != nil {
		return nil, err
	}
	return file(figure.DrawLadder(d, o, NewPainter(1, 1, 1))), nil
}

func file(d figure.Drawing) []byte {
	p := NewPainter(d.Width, d.Height, d.Density)
	d.On(p)
	return p.Bytes()
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

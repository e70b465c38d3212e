package main

import (
	"fmt"
	"strings"

	"nodespan/expr/course"
	"nodespan/expr/handout"
	"nodespan/expr/sheet"
	"nodespan/solver"
	"nodespan/testdata/demos"
	"nodespan/wasm/link"
)

// lessons are the problems of the hut's course, an example to copy: demonstrations, most with a constant that moves.
var lessons = []struct {
	demo, question string
	constant       string // as the sheet has it; "" for none
	ranged         string // and as the course has it
	show           string
}{
	{"wall-in-the-sun", "How deep must the light go for the hottest place to be within the wall?",
		"d = 0.035", "d = 0.035 in [0.005, 0.2]", "answer,figure"},
	{"windy-night", "What does the wind do to the inner face?", "h_o = 26", "h_o = 26 in [4, 60]", "figure,answer"},
	{"stove-pipe-fin", "How much of a longer fin is of any use?", "L = 0.09", "L = 0.09 in [0.02, 0.4]",
		"answer,figure"},
	{"floor-joist", "Where along its span does the joist sag most?", "", "", "answer,figure,table"},
	{"smoke-in-the-flue", "What becomes of the curve when the draught wins?", "P = 7.5", "P = 7.5 in [0.5, 60]",
		"figure,residual"},
	{"filter-pellet", "From which φ on does the middle of the pellet do nothing?", `\phi = 2.6`,
		`\phi = 2.6 in [0.2, 20]`, "answer,figure"},
}

// hutCourse makes the course: its pages lie in a folder of the page's own.
func hutCourse() (map[string][]byte, error) {
	var list []course.Problem
	for _, l := range lessons {
		for _, d := range demos.All() {
			if d.Name != l.demo {
				continue
			}
			text := strings.Replace(d.Sheet, l.constant, l.ranged, 1)
			sh, err := sheet.Read(text, sheet.Options{})
			if err != nil || l.constant != "" && !strings.Contains(text, l.ranged) {
				return nil, fmt.Errorf("the course's %s has no %q, or cannot be read: %w", l.demo, l.constant, err)
			}
			view := link.Usual
			view.Show = l.show
			frame, err := link.Encode(link.State{Sheet: text, View: view})
			if err != nil {
				return nil, err
			}
			whole, err := link.Encode(link.State{Sheet: text})
			if err != nil {
				return nil, err
			}
			list = append(list, course.Problem{Name: d.Name, Title: course.Capital(d.Title),
				Caption: l.question + " " + handout.Opening(d.Sheet), Text: text, Sheet: sh,
				Solve: solver.Options{}, Frame: "#" + frame, Whole: "#" + whole, Height: 480})
		}
	}
	if len(list) != len(lessons) {
		return nil, fmt.Errorf("%d of %d problems of the course are demonstrations", len(list), len(lessons))
	}
	files, unsolved := course.Files(list, course.Options{Title: "The hut’s course", Page: "../"})
	if len(unsolved) > 0 {
		return nil, fmt.Errorf("the course: %s", strings.Join(unsolved, " "))
	}
	return files, nil
}

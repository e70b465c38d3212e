package main

import (
	"bytes"
	"testing"
)

// The hut's course is whole: six problems, five with a constant that moves.
func TestHutCourse(t *testing.T) {
	files, err := hutCourse()
	if err != nil {
		t.Fatal(err)
	}
	if n := bytes.Count(files["all.html"], []byte("<iframe ")); n != 6 || len(lessons) != n {
		t.Errorf("%d frames for %d lessons", n, len(lessons))
	}
	if !bytes.Contains(files["stove-pipe-fin.html"], []byte(`src="../#2.`)) {
		t.Errorf("no frame of the page above:\n%s", files["stove-pipe-fin.html"])
	}
}

package prose

import (
	"strings"
	"testing"
)

// TestTakenBack: words without a formula that change what the sheet says are no remark; words about other things are.
func TestTakenBack(t *testing.T) {
	const sheet = "y'' = 4 y + f sin(x), f = 2, y(0) = 0, y(1) = 1. "
	for _, words := range strings.Split(`Ah no, f should be 5.
f is 5.
f ist 5.
f vaut 5.
Then raise f to 3.
Please take 3 for f.
Repeat with the case of f 3.
f starts at 0.5.
In addition y is zero in the middle.
Sorry for the 5.
Actually it is 5.
The 2 is really a 3.
Es muss 5 heissen.
Erratum: lire 5 au lieu de 2.
The exponent is 2.
All values times 1000.
The sign of f is wrong.
The minus sign is missing in front of f.
And the same with a minus.
Beyond 0.5 there is no load.
Please try 3, 4 and 5 too.
4 or 9, I forget.
I am not sure about the 4.
Angles in degrees.
Everything squared.
minus y(1) = 1
half of the value y(1) = 1
The 4 is in Fahrenheit.
Could you also do it with 9?
Perhaps 9 y.
The coefficient is really nine.
There is also a source of strength 3.
Add 3 to the right-hand side.
The beam is also supported at 0.5.
The coefficient jumps to 9 at x = 0.5.
Everything else as in problem 3.
Now do it again with sin instead of 1.
The slope at the middle is 0.
Later the fin is twice as long.
In the exam f was -3.
plus a hinge in the middle
In my version the first number is 9 though.
`, "\n") {
		if words == "" {
			continue
		}
		if _, fault := read(sheet + words); !strings.Contains(fault, "may change what the formula says") {
			t.Errorf("%q is passed over: %q", words, fault)
		}
	}
	if _, fault := read("y'' = a y, a = 2 (3 at night)"); fault == "" {
		t.Error("a value with another in brackets is passed over")
	}
	if _, fault := read("y'' = a y, a = 20 (winter) / 30 (summer)"); fault == "" {
		t.Error("two values with brackets of words are passed over")
	}
	for _, bracket := range []string{"in fact 9 y", "x up to 0.5", "core only"} {
		if _, fault := read("y'' = a y, a = 2 (" + bracket + "), y(0) = 1"); fault == "" {
			t.Errorf("(%s) is passed over", bracket)
		}
	}
	for _, sentence := range []string{"The left half (a = 2) is made of oak",
		"The load of it (a = 2) is doubled at night", "Oak (a = 2) fills the left half of the thing",
		"The long beam (a = 2) is not the one meant"} {
		if _, fault := read("y'' = a y, y(0) = 1. " + sentence + "."); fault == "" {
			t.Errorf("%q is passed over", sentence)
		}
	}
	for _, more := range []string{", then 3", "; or 3", ", oder 3", " m, later 3 m", ". Then 3", "\npuis 3"} {
		if _, fault := read("y'' = a y, y(0) = 1, a = 2" + more); fault == "" {
			t.Errorf("a second value %q is passed over", more)
		}
	}
	for _, words := range strings.Split(`Snow load on a rafter (my notes, 3 March)
A load of 2 acts along the beam.
A load of 7 kN is what the crane bears.
My answer should be 3.
It should be about 0.3.
See page 5 of the book.
This was Problem 3 of the exam.
Four digits are enough, 5 digits are better.
f is the load of a beam.
I get 0.3 in the middle.
y is positive.
The meeting is at 3 pm.
What is wrong with my solution?
`, "\n") {
		if _, fault := read(sheet + words); fault != "" {
			t.Errorf("%q: %s", words, fault)
		}
	}
}

// TestWanted: values that are asked for in words become reports.
func TestWanted(t *testing.T) {
	for text, want := range map[string]string{
		"y'' = y. Could you work out and tell me y(0.5)?":     "y'' = y | report y(0.5)",
		"Find: y(1/2)\ny'' = y":                               "report y(1/2) | y'' = y",
		"y'' = y. Se pide: y(1)":                              "y'' = y | report y(1)",
		"y'' = y. Kannst du mir y(0.5) und y'(1) ausrechnen?": "y'' = y | report y(0.5) | report y'(1) | ?",
		"y'' = y, y(1) = 2 and send me y'(0)":                 "y'' = y, y(1) = 2 | report y'(0)",
		"¿Cuánto vale y(1)?\ny'' = y":                         "report y(1) | y'' = y",
		"Calcula y(0.5) si y'' = y":                           "report y(0.5) | y'' = y",
		"What is y(1/3) if y'' = y?":                          "report y(1/3) | y'' = y",
	} {
		if got, fault := read(text); fault == "" && got != want {
			t.Errorf("%q\n got %q\nwant %q", text, got, want)
		}
	}
}

// TestOrdered: names that are only put in order say nothing.
func TestOrdered(t *testing.T) {
	for text, want := range map[string]string{
		"The numbers λ₁ < λ₂ < λ₃ are wanted\ny'' = y":   "y'' = y",
		"find $\\mu_1 \\leq \\mu_2\\leq\\dots$\ny'' = y": "$ | $ | y'' = y",
		"x_1 < x_3\ny'' = y": "x_1 < x_3 | y'' = y",
		"a1 < b2\ny'' = y":   "a1 < b2 | y'' = y",
	} {
		if got, fault := read(text); fault != "" || got != want {
			t.Errorf("%q\n got %q %s\nwant %q", text, got, fault, want)
		}
	}
}

// TestWorth: values in words, where the sheet gives the name no other.
func TestWorth(t *testing.T) {
	for words, want := range map[string]string{
		"a is 0.1.": "a = 0.1", "where a is equal to 0.1": "where a = 0.1", "mit a gleich 0.1": "with a = 0.1",
		"The factor a is 2 W/m.": "a = 2 W/m",
	} {
		if got, fault := read("y'' = a y, y(0) = 1; " + words); fault != "" || got != "y'' = a y, y(0) = 1; | "+want &&
			got != "y'' = a y, y(0) = 1; "+want {
			t.Errorf("%q: %q %s", words, got, fault)
		}
	}
	for _, words := range []string{"a is 2, later a is 3", "a is 2 or 3", "if a is 2", "a is 2 for x < 1",
		"a is about 2", "a was 1, now a is 2", "a is 2 too large"} {
		if got, _ := read("y'' = a y, y(0) = 1; " + words); strings.Contains(got, "a = ") {
			t.Errorf("%q is read as %q", words, got)
		}
	}
	if _, fault := read("y'' = a y, y(0) = 1, a = 1. a is 2."); fault == "" {
		t.Error("a second value in words is passed over")
	}
}

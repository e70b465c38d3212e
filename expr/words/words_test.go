package words

import "testing"

func TestCount(t *testing.T) {
	for n, want := range map[int]string{0: "0 nodes", 1: "1 node", 2: "2 nodes", 11: "11 nodes"} {
		if got := Count(n, "node"); got != want {
			t.Errorf("%d: %q", n, got)
		}
	}
}

func TestSentence(t *testing.T) {
	for message, want := range map[string]string{
		"":                                    "",
		"there is no solution":                "There is no solution.",
		"a point is missing here":             "A point is missing here.",
		"checked; condition 3.":               "Checked; condition 3.",
		"y is not declared":                   "y is not declared.",
		"x = 1.5 is outside":                  "x = 1.5 is outside.",
		"y'' has no place":                    "y'' has no place.",
		"θ is sought":                         "θ is sought.",
		"“foo” is no number":                  "“foo” is no number.",
		"x runs from 0 to 1":                  "x runs from 0 to 1.",
		"finite differences are no use here.": "Finite differences are no use here.",
		"what is y(1)?":                       "What is y(1)?",
		"well-posed it is not":                "well-posed it is not.",
		"here, nothing is to be had":          "Here, nothing is to be had.",
		"it ends at x = 1.5":                  "It ends at x = 1.5.",
		"x, y and z are sought":               "x, y and z are sought.",
		"zero, it is":                         "Zero, it is.",
		"more of this follows …":              "More of this follows …",
	} {
		if got := Sentence(message); got != want {
			t.Errorf("%q: %q, want %q", message, got, want)
		}
	}
}

func TestNumbers(t *testing.T) {
	for plain, want := range map[string]string{
		"error 1.421e-14, 1e-08 asked": "error 1.421\u202f×\u202f10⁻¹⁴, 1\u202f×\u202f10⁻⁸ asked",
		"at x = -0.5 and (-3, -4)":     "at x = −0.5 and (−3, −4)",
		"5.e-03 and .e5":               "5.\u202f×\u202f10⁻³ and .\u202f×\u202f10⁵",
		"3.3e+04":                      "3.3\u202f×\u202f10⁴",
		"a 2nd-order, one-sided y^-2 of 3e and 0x1e2f": "a 2nd-order, one-sided y^-2 of 3e and 0x1e2f",
		"1e5":      "1\u202f×\u202f10⁵",
		".e5":      ".\u202f×\u202f10⁵",
		"1.9e-09":  "1.9\u202f×\u202f10⁻⁹",
		"-5 or 3e": "−5 or 3e",
		"-9":       "−9",
		"3 -x":     "3 -x",
		"y-1":      "y-1",
		"5e+":      "5e+",
		"θ = 1e5.": "θ = 1\u202f×\u202f10⁵.",
	} {
		if got := Numbers(plain); got != want {
			t.Errorf("%q: %q, not %q", plain, got, want)
		}
	}
}

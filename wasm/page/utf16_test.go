package page

import "testing"

// Expected counts: the Unicode Standard, section 3.9 (one unit up to U+FFFF, two beyond).
func TestOffsets(t *testing.T) {
	const text = "aλ𝑦′\nz" // bytes 1, 2, 4, 3, 1, 1; units 1, 1, 2, 1, 1, 1
	for _, c := range []struct{ bytes, units int }{{0, 0}, {1, 1}, {3, 2}, {7, 4}, {10, 5}, {11, 6}, {12, 7}} {
		if got := utf16Offset(text, c.bytes); got != c.units {
			t.Errorf("utf16Offset(%d) = %d, want %d", c.bytes, got, c.units)
		}
		if got := byteOffset(text, c.units); got != c.bytes {
			t.Errorf("byteOffset(%d) = %d, want %d", c.units, got, c.bytes)
		}
	}
	if got := byteOffset(text, 3); got != 3 {
		t.Errorf("byteOffset in the middle of a pair = %d, want 3", got)
	}
	if got := byteOffset(text, 99); got != len(text) {
		t.Errorf("byteOffset past the end = %d", got)
	}
	if got := utf16Offset("a\xffb", 2); got != 2 { // an invalid byte is shown as one replacement character
		t.Errorf("utf16Offset over an invalid byte = %d, want 2", got)
	}
}

func TestPlainNumbers(t *testing.T) {
	for set, want := range map[string]string{
		"T(0.09)\u00a0=\u00a0111.015\u202f443\u202f68": "T(0.09) = 111.01544368",
		"−1.2\u202f×\u202f10⁻¹⁷, 3\u202f×\u202f10⁸":    "-1.2e-17, 3e8",
		"x² is 10² × 3": "x² is 10² × 3",
	} {
		if got := plainNumbers(set); got != want {
			t.Errorf("%q: %q, not %q", set, got, want)
		}
	}
}

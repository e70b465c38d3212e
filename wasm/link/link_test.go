package link

import (
	"bytes"
	"compress/flate"
	"encoding/base64"
	"errors"
	"strings"
	"testing"

	"nodespan/testdata/demos"
	"nodespan/wasm/wire"
)

func TestRoundTrip(t *testing.T) {
	methods := []wire.Method{
		{},
		{Name: "one", Family: "chebyshev", Nodes: 5},
		{Name: "differences", Order: 8, Nodes: 100, Mode: 2},
		{Name: "pieces", Nodes: wire.MaxNodes, Elements: wire.MaxElements, Digits: wire.MaxDigits},
	}
	sheets := []string{"", "\n", "a\n\nb # <λ′ & “x”>\t\r\n", "-k T'(0) = h (T(0) - 20)"}
	for _, d := range demos.All() {
		sheets = append(sheets, d.Sheet)
	}
	for _, m := range methods {
		for _, sheet := range sheets {
			want := State{Sheet: sheet, Method: m}
			fragment, err := Encode(want)
			if err != nil {
				t.Fatalf("%q: %v", sheet, err)
			}
			if strings.Trim(fragment, "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_.") != "" {
				t.Errorf("%q: a fragment with characters that mail and chat may break: %s", sheet, fragment)
			}
			if got, err := Decode("#" + fragment); err != nil || got != want {
				t.Errorf("%q came back as %+v, %v", sheet, got, err)
			}
		}
	}
}

// The demonstration sheets fit into an address that can be sent: 2,000 characters is what is
// commonly taken as safe everywhere (common practice, no source).
func TestCompact(t *testing.T) {
	for _, d := range demos.All() {
		fragment, err := Encode(State{Sheet: d.Sheet})
		if err != nil || len(fragment) > 1000 {
			t.Errorf("%s: %d characters, %v", d.Name, len(fragment), err)
		}
	}
}

func wrap(text string) string {
	var b bytes.Buffer
	z, _ := flate.NewWriter(&b, 9)
	z.Write([]byte(text))
	z.Close()
	return "1." + base64.RawURLEncoding.EncodeToString(b.Bytes())
}

func TestRefused(t *testing.T) {
	good, err := Encode(State{Sheet: strings.Repeat("y'' + y = 0; ", 20), Method: wire.Method{Digits: 9}})
	if err != nil {
		t.Fatal(err)
	}
	bomb := wrap("\n" + strings.Repeat("0", 8<<20)) // some 8 kB that unpack to 8 MB
	if len(bomb) > MaxFragment {
		t.Fatalf("the bomb does not get as far as unpacking: %d", len(bomb))
	}
	for _, c := range []struct {
		name, fragment string
		want           error
	}{
		{"nothing", "", ErrNone},
		{"a heading", "#sheet", ErrNone},
		{"another word with a point", "#a.b", ErrNone},
		{"a number alone", "#1", ErrNone},
		{"no number before the point", "#.yk0", ErrNone},
		{"a newer version", "3.AAAA", ErrVersion},
		{"cut short", good[:len(good)-5], ErrDamaged},
		{"no payload", "1.", ErrDamaged},
		{"not base64", "1.%%%", ErrDamaged},
		{"not DEFLATE", "1.QUJDREVG", ErrDamaged},
		{"no sheet", wrap("digits=9"), ErrDamaged},
		{"unknown setting", wrap("evil=1\ny"), ErrDamaged},
		{"unknown method", wrap("method=magic\ny"), ErrDamaged},
		{"unknown family", wrap("family=fibonacci\ny"), ErrDamaged},
		{"not a number", wrap("nodes=1e3\ny"), ErrDamaged},
		{"too many nodes", wrap("nodes=1001\ny"), ErrDamaged},
		{"fewer than none", wrap("elements=-1\ny"), ErrDamaged},
		{"more digits than a double has", wrap("digits=14\ny"), ErrDamaged},
		{"fewer nodes than none", wrap("nodes=-1\ny"), ErrDamaged},
		{"too many pieces", wrap("elements=100001\ny"), ErrDamaged},
		{"fewer digits than none", wrap("digits=-1\ny"), ErrDamaged},
		{"a negative order", wrap("order=-2\ny"), ErrDamaged},
		{"an odd order", wrap("order=3\ny"), ErrDamaged},
		{"too high an order", wrap("order=10\ny"), ErrDamaged},
		{"a negative mode", wrap("mode=-1\ny"), ErrDamaged},
		{"too high a mode", wrap("mode=51\ny"), ErrDamaged},
		{"not text", wrap("\ny\xff"), ErrDamaged},
		{"a NUL", wrap("\ny\x00"), ErrDamaged},
		{"as long as an address may be", "1." + strings.Repeat("A", MaxFragment-2), ErrDamaged},
		{"an address without end", "1." + strings.Repeat("A", MaxFragment), ErrLong},
		{"a bomb", bomb, ErrLong},
		{"a sheet that is too long", wrap("\n" + strings.Repeat("y", MaxSheet+1)), ErrLong},
	} {
		if _, err := Decode(c.fragment); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
	}
	if _, err := Encode(State{Sheet: strings.Repeat("y", MaxSheet+1)}); !errors.Is(err, ErrLong) {
		t.Errorf("a sheet that is too long was encoded: %v", err)
	}
}

func FuzzDecode(f *testing.F) {
	for _, d := range demos.All() {
		fragment, err := Encode(State{Sheet: d.Sheet, Method: wire.Method{Name: "one", Nodes: 5}})
		if err != nil {
			f.Fatal(err)
		}
		f.Add(fragment)
	}
	f.Add(kept[1].fragment)
	f.Fuzz(func(t *testing.T, fragment string) {
		s, err := Decode(fragment)
		if err != nil {
			return
		}
		again, err := Encode(s)
		if errors.Is(err, ErrLong) {
			return // the fragment was packed tighter than Encode packs
		}
		if back, err2 := Decode(again); err != nil || err2 != nil || back != s {
			t.Fatalf("%+v came back as %+v, %v, %v", s, back, err, err2)
		}
	})
}

package worker

import (
	"bytes"
	"compress/flate"
	"encoding/base64"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"nodespan/testdata/demos"
	"nodespan/wasm/link"
	"nodespan/wasm/wire"
)

// packed makes a fragment by the published form, without the code that checks what it writes.
func packed(t *testing.T, version, text string) string {
	t.Helper()
	var b bytes.Buffer
	z, err := flate.NewWriter(&b, flate.BestCompression)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := z.Write([]byte(text)); err != nil {
		t.Fatal(err)
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return version + "." + base64.RawURLEncoding.EncodeToString(b.Bytes())
}

// hostile are fragments that nobody makes by accident.
func hostile(t *testing.T) (list []string) {
	const plain = "y'' = 1\ny(0) = 0\ny(1) = 0"
	add := func(fragments ...string) { list = append(list, fragments...) }
	sheet := func(text string) { add(packed(t, "1", "\n"+text), packed(t, "2", "\nshow=answer\n\n\n"+text)) }
	view := func(settings, title, caption string) {
		add(packed(t, "2", strings.Join([]string{"", settings, title, caption, plain}, "\n")))
	}
	// Cut short, and changed.
	for _, good := range []string{packed(t, "1", "nodes=9\n"+demos.All()[0].Sheet),
		packed(t, "2", "\nshow=figure,answer sheet=hidden\na title\na caption\n"+demos.All()[1].Sheet)} {
		for k := range 20 {
			add(good[:len(good)*k/20], good[:2+(len(good)-2)*k/20]+"_-"[k%2:k%2+1]+good[3+(len(good)-3)*k/20:])
		}
	}
	// Other versions, and no version at all.
	for _, v := range []string{"0", "3", "10", "-1", "1e0", "01", " 1", "1 ", "٢", "99999999999999999999", "1.1",
		"constructor"} {
		add(packed(t, v, "\n"+plain))
	}
	// Too long, packed and unpacked.
	add("1."+strings.Repeat("A", 1<<20), packed(t, "1", "\n"+strings.Repeat("y", 9<<20)),
		packed(t, "1", strings.Repeat("nodes=1 ", 9000)+"\n"+plain))
	for _, n := range []int{link.MaxTitle, link.MaxCaption, 1 << 16} {
		long := strings.Repeat("t", n+1)
		view("show=answer", long, "")
		view("show=answer", "", long)
		view("show=answer sliders="+long, "", "")
		view("show="+long, "", "")
	}
	sheet(strings.Repeat("y'' = 1\n", link.MaxSheet/8))
	// Mark-up and script, wherever text may stand.
	for _, m := range []string{"<script>alert(1)</script>", "<img src=x onerror=alert(1)>", "<svg/onload=alert(1)>",
		`"><iframe src=javascript:alert(1)>`, "javascript:alert(1)", "${alert(1)}",
		"{{constructor.constructor('x')()}}",
		`<math href="javascript:alert(1)">`, "&lt;b&gt;", "]]>", "<!--", "</textarea><b>"} {
		sheet(m)
		sheet(plain + " # " + m)
		view("show=answer", m, "")
		view("show=answer", "", m)
		view("show=answer "+m, "", "")
		view("show=answer theme="+m, "", "")
	}
	// Nesting.
	for _, open := range []string{"(", "{", "sqrt(", `\frac{`, "-(-", "x^(", "if(x<", "y'"} {
		for _, n := range []int{100, 1000, 6000} {
			if text := "y'' = " + strings.Repeat(open, n); len(text) < link.MaxSheet {
				sheet(text)
			}
		}
	}
	// Controls, of direction and others.
	for _, r := range "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200e\u200f\u061c\x00\x07\x1b\u2028" {
		sheet(string(r) + plain)
		sheet(strings.Replace(plain, "1", string(r)+"1", 1))
		view("show=answer", "abc"+string(r)+"def", "")
		view("show=answer", "", string(r))
		view("show=answer sliders="+string(r), "", "")
	}
	// What no form makes.
	for _, s := range []string{"", "show=", "show=answer,answer", "show=ANSWER", "show=__proto__", "sheet=open",
		"height=0", "height=-1", "height=1e9", "height=99999999999999999999", "method=all", "onload=1",
		"show=answer,"} {
		view(s, "", "")
	}
	for _, s := range []string{"nodes=-1", "nodes=1001", "nodes=0x10", "digits=99", "mode=1e3", "order=3", "family=x",
		"method=eval", "=", "nodes", "nodes=5 nodes=6 evil=1"} {
		add(packed(t, "1", s+"\n"+plain))
	}
	return list
}

// Of hundreds of hostile links each is refused by one of the errors that the page has words for, or its sheet gets an
// answer or a fault, in little time.
func TestHostileLinks(t *testing.T) {
	list := hostile(t)
	if len(list) < 200 {
		t.Fatalf("%d links", len(list))
	}
	h, refused, faulty, answered := New(), 0, 0, 0
	for i, fragment := range list {
		what := fmt.Sprintf("link %d, %.60q", i, fragment)
		begun := time.Now()
		state, err := link.Decode(fragment)
		if err != nil {
			refused++
			if !errors.Is(err, link.ErrNone) && !errors.Is(err, link.ErrVersion) && !errors.Is(err, link.ErrLong) &&
				!errors.Is(err, link.ErrDamaged) {
				t.Errorf("%s: %v", what, err)
			}
			continue
		}
		for _, text := range []string{state.View.Title, state.View.Caption} {
			if strings.ContainsAny(text, "\x00\x07\x1b\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069") {
				t.Errorf("%s: the control came through: %q", what, text)
			}
		}
		replies := ask(t, h, wire.Request{Kind: wire.Solve, Sheet: state.Sheet, Method: state.Method})
		told := false
		for _, r := range replies {
			switch {
			case r.Reading != nil && len(r.Reading.Faults) > 0:
				told = true
				faulty++
				if f := r.Reading.Faults[0]; f.Message == "" || f.Line < 1 || f.Column < 1 {
					t.Errorf("%s: the fault %+v", what, f)
				}
			case r.Answer != nil:
				told = true
				answered++
			}
		}
		if !told {
			t.Errorf("%s: nothing is told of it: %q", what, state.Sheet)
		}
		if d := time.Since(begun); d > time.Minute { // all together take a second, on a quiet machine
			t.Errorf("%s took %v", what, d)
		}
	}
	t.Logf("%d links: %d refused, %d faulty, %d answered", len(list), refused, faulty, answered)
	if refused < 100 || faulty < 30 || answered < 10 {
		t.Errorf("%d refused, %d faulty, %d answered", refused, faulty, answered)
	}
}

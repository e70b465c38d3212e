package main

import (
	"bytes"
	"encoding/binary"
	"math/rand"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// The page's own decoder, run by Node, must give back what the build packed.
func TestUnpack(t *testing.T) {
	dir := t.TempDir()
	random := rand.New(rand.NewSource(1))
	noise := make([]byte, 70_001)
	random.Read(noise)
	var mixed []byte // text, repeats near and far, noise: every kind of packet
	for i := range 40 {
		mixed = append(mixed, strings.Repeat("y'' + 4 y = sin(x); ", i)...)
		mixed = append(mixed, noise[i*100:i*900]...)
		mixed = append(mixed, bytes.Repeat([]byte{byte(i)}, 300)...)
	}
	t.Chdir("../..") // the build runs in the module's root
	for name, data := range map[string][]byte{"one byte": {7}, "short": []byte("nodespan"), "noise": noise, "mixed": mixed, "zeros": make([]byte, 300_000)} {
		packed, err := pack(prepare(t, dir, data), data)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		text := encode(packed)
		if strings.ContainsAny(text, "<\r\x00") || (len(packed) > 1000 && len(text) > len(packed)*6/5) {
			t.Errorf("%s: %d bytes became %d characters, or unsuitable ones", name, len(packed), len(text))
		}
		unpack, err := os.ReadFile("site/unpack.js")
		if err != nil {
			t.Fatal(err)
		}
		script := filepath.Join(dir, "run.js")
		in, out := filepath.Join(dir, "in.txt"), filepath.Join(dir, "out.bin")
		program := string(unpack) + `
const fs = require("fs");
fs.writeFileSync(process.argv[3], bytesOfLZMA(charactersToBytes(fs.readFileSync(process.argv[2], "utf8"))));`
		for file, content := range map[string]string{script: program, in: text} {
			if err := os.WriteFile(file, []byte(content), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		if text, err := exec.Command("node", script, in, out).CombinedOutput(); err != nil {
			t.Fatalf("%s: %v\n%s", name, err, text)
		}
		got, err := os.ReadFile(out)
		if err != nil || !bytes.Equal(got, data) {
			t.Errorf("%s: %d bytes came back as %d others, %v", name, len(data), len(got), err)
		}
	}
}

func prepare(t *testing.T, dir string, data []byte) string {
	t.Helper()
	if err := os.WriteFile(filepath.Join(dir, "nodespan.wasm"), data, 0o644); err != nil {
		t.Fatal(err)
	}
	return dir
}

// Values from the WebAssembly core specification's grammar of signed LEB128 (5.2.2), worked by hand.
func TestSigned(t *testing.T) {
	for _, c := range []struct {
		v    int64
		code string
	}{{0, "\x00"}, {63, "\x3f"}, {64, "\xc0\x00"}, {-1, "\x7f"}, {-64, "\x40"}, {-65, "\xbf\x7f"}, {1 << 20, "\x80\x80\xc0\x00"}} {
		if got := appendSigned(nil, c.v); string(got) != c.code {
			t.Errorf("%d is written % x", c.v, got)
		}
		if r := (&reader{data: []byte(c.code)}); r.signed() != c.v || r.err != nil || r.at != len(c.code) {
			t.Errorf("% x is not read as %d", c.code, c.v)
		}
	}
}

// Joining segments changes the bytes of a module and not the memory that it starts with.
func TestSegments(t *testing.T) {
	put := func(out []byte, at int, data string) []byte {
		out = appendSigned(append(out, 0, 0x41), int64(at))
		out = append(out, 0x0b)
		out = binary.AppendUvarint(out, uint64(len(data)))
		return append(out, data...)
	}
	section := []byte{4}
	section = put(section, 100, "abc")
	section = put(section, 111, "de")
	section = put(section, 90, "z")
	section = put(section, 113+apart+1, "far")
	s, err := readSegments(section)
	if err != nil {
		t.Fatal(err)
	}
	again, err := readSegments(s.write())
	if err != nil {
		t.Fatal(err)
	}
	if len(again.parts) != 2 || !bytes.Equal(s.image, again.image) {
		t.Errorf("%v, the same memory: %v", again.parts, bytes.Equal(s.image, again.image))
	}
	for name, bad := range map[string][]byte{
		"cut short":          section[:len(section)-1],
		"passive":            {1, 1, 1, 'x'},
		"a computed address": {1, 0, 0x23, 0, 0x0b, 1, 'x'},
		"no section":         {},
	} {
		if _, err := readSegments(bad); err == nil {
			t.Errorf("%s: taken for a data section", name)
		}
	}
	if _, err := slim([]byte("\x00asm\x01\x00\x00\x00\x0b\x01\x00")); err == nil {
		t.Error("a module without a table of functions was slimmed")
	}
	if _, err := slim([]byte("not a module")); err == nil {
		t.Error("what is no module was slimmed")
	}
}

// Every mark of the page is filled once.
func TestPage(t *testing.T) {
	index, err := os.ReadFile("../index.html")
	if err != nil {
		t.Fatal(err)
	}
	p := &parts{index: string(index), licences: "a < b & c", versionText: "v"}
	text, err := p.page(map[string]string{"style": "S", "script": "J", "policy": "P"})
	if err != nil || strings.Contains(text, "<!--") || !strings.Contains(text, "a &lt; b &amp; c") {
		t.Errorf("%v: %s", err, text)
	}
	if _, err := p.page(map[string]string{"nonsense": "x"}); err == nil {
		t.Error("a value without a mark was taken")
	}
}

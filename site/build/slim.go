package main

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"sort"
)

// A module as Go links it is larger, packed, than what runs needs it to be:
//
//   - its data come in some seventy thousand segments, each with an address, where a few would do: the linker
//     leaves out every eight zeros, which pack to nothing, and pays for them with addresses, which do not;
//   - it knows the file and line of every instruction. That serves the traces of panics alone, and these
//     keep the names of the functions.
//
// Together they were a seventh of the packed module (measured with Go 1.26: 1.73 MB, without segments 1.64, without lines 1.51).
// slim takes them out. A module of another form than expected is an error, so that a new Go is noticed.
func slim(module []byte) ([]byte, error) {
	if !bytes.HasPrefix(module, []byte("\x00asm\x01\x00\x00\x00")) {
		return nil, fmt.Errorf("not a WebAssembly module")
	}
	out := bytes.Clone(module[:8])
	found := false
	for r := (&reader{data: module, at: 8}); r.at < len(module); {
		start := r.at
		id := r.byte()
		body := r.bytes(int(r.unsigned()))
		if r.err != nil {
			return nil, r.err
		}
		if id != 11 {
			out = append(out, module[start:r.at]...)
			continue
		}
		found = true
		segments, err := readSegments(body)
		if err != nil {
			return nil, err
		}
		if err := dropLines(segments); err != nil {
			return nil, err
		}
		section := segments.write()
		out = append(out, 11)
		out = binary.AppendUvarint(out, uint64(len(section)))
		out = append(out, section...)
	}
	if !found {
		return nil, fmt.Errorf("a module without data")
	}
	return out, nil
}

// segments is the memory that a module starts with: stretches of an image, ascending and apart.
type segments struct {
	image []byte
	parts [][2]int // from, to
}

// apart is how many zeros must lie between two segments for them to stay two.
const apart = 512

func readSegments(section []byte) (*segments, error) {
	r := &reader{data: section}
	var s segments
	count := int(r.unsigned())
	for i := 0; i < count && r.err == nil; i++ {
		if r.unsigned() != 0 || r.byte() != 0x41 { // active, in memory 0, at i32.const …
			return nil, fmt.Errorf("data segment %d is of another kind than expected", i)
		}
		from := int(r.signed())
		if r.byte() != 0x0b { // end
			return nil, fmt.Errorf("data segment %d has an address that is computed", i)
		}
		data := r.bytes(int(r.unsigned()))
		if from < 0 || from > 1<<30 {
			return nil, fmt.Errorf("data segment %d at %d", i, from)
		}
		if need := from + len(data); need > len(s.image) {
			s.image = append(s.image, make([]byte, need-len(s.image))...)
		}
		copy(s.image[from:], data)
		s.parts = append(s.parts, [2]int{from, from + len(data)})
	}
	if r.err != nil {
		return nil, r.err
	}
	sort.Slice(s.parts, func(i, j int) bool { return s.parts[i][0] < s.parts[j][0] })
	return &s, nil
}

func (s *segments) write() []byte {
	var joined [][2]int
	for _, p := range s.parts {
		if n := len(joined); n > 0 && p[0]-joined[n-1][1] <= apart {
			joined[n-1][1] = max(joined[n-1][1], p[1])
		} else {
			joined = append(joined, p)
		}
	}
	out := binary.AppendUvarint(nil, uint64(len(joined)))
	for _, p := range joined {
		out = append(out, 0, 0x41)
		out = appendSigned(out, int64(p[0]))
		out = append(out, 0x0b)
		out = binary.AppendUvarint(out, uint64(p[1]-p[0]))
		out = append(out, s.image[p[0]:p[1]]...)
	}
	return out
}

// dropLines empties the tables that give the file and the line of each instruction. They lie in the table of
// functions that Go's runtime keeps (runtime/symtab.go: pcHeader and _func); a table that is
// empty is read as "not known".
func dropLines(s *segments) error {
	image := s.image
	at := bytes.Index(image, []byte{0xf1, 0xff, 0xff, 0xff, 0, 0, 1, 8}) // the magic number since Go 1.20, instructions of 1 byte, pointers of 8
	if at < 0 {
		return fmt.Errorf("no table of functions of a kind that is known here")
	}
	word := func(i int) int { return int(binary.LittleEndian.Uint64(image[at+8+8*i:])) }
	count, tables, functions := word(0), at+word(6), at+word(7)
	if count <= 0 || tables <= at || functions <= tables || functions+8*count > len(image) {
		return fmt.Errorf("the table of functions is not as expected")
	}
	field := func(i int) int { return int(binary.LittleEndian.Uint32(image[i:])) }
	// The fields of _func, four bytes each: entry, name, arguments, deferreturn, pcsp, pcfile, pcln, npcdata,
	// unit, first line, then four single bytes, then npcdata further tables.
	const pcsp, pcfile, pcln, npcdata, further = 16, 20, 24, 28, 44
	kept, lines := map[int]bool{0: true}, map[int]bool{}
	for i := range count {
		f := functions + field(functions+8*i+4)
		if f+further > len(image) || f+further+4*field(f+npcdata) > len(image) {
			return fmt.Errorf("function %d is not as expected", i)
		}
		kept[field(f+pcsp)] = true
		for j := range field(f + npcdata) {
			kept[field(f+further+4*j)] = true
		}
		lines[field(f+pcfile)], lines[field(f+pcln)] = true, true
	}
	for offset := range lines {
		if kept[offset] {
			continue
		}
		// Pairs of a step in value and a step in place, ended by a step in value of 0 that is not the first.
		r := &reader{data: image[:functions], at: tables + offset}
		for first := true; ; first = false {
			if r.unsigned() == 0 && !first {
				break
			}
			r.unsigned()
			if r.err != nil {
				return fmt.Errorf("a table of lines is not as expected: %w", r.err)
			}
		}
		clear(image[tables+offset : r.at])
	}
	return nil
}

// reader reads the numbers of a module. After the first fault it gives zeros.
type reader struct {
	data []byte
	at   int
	err  error
}

func (r *reader) bytes(n int) []byte {
	if n < 0 || n > len(r.data)-r.at {
		r.err, r.at = fmt.Errorf("cut short at byte %d", r.at), len(r.data)
		return nil
	}
	r.at += n
	return r.data[r.at-n : r.at]
}

func (r *reader) byte() byte {
	if b := r.bytes(1); b != nil {
		return b[0]
	}
	return 0
}

func (r *reader) unsigned() uint64 {
	v, n := binary.Uvarint(r.data[r.at:])
	if n <= 0 {
		r.bytes(len(r.data) + 1) // a fault
		return 0
	}
	r.at += n
	return v
}

// signed reads a signed LEB128 number (WebAssembly core specification, 5.2.2), which differs from Go's own varint.
func (r *reader) signed() int64 {
	var v int64
	for shift := 0; ; shift += 7 {
		b := r.byte()
		v |= int64(b&0x7f) << shift
		if b&0x80 == 0 || shift > 56 {
			if b&0x40 != 0 && shift+7 < 64 {
				v |= -1 << (shift + 7)
			}
			return v
		}
	}
}

func appendSigned(out []byte, v int64) []byte {
	for {
		b := byte(v & 0x7f)
		v >>= 7
		if v == 0 && b&0x40 == 0 || v == -1 && b&0x40 != 0 {
			return append(out, b)
		}
		out = append(out, b|0x80)
	}
}

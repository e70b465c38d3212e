package main

import (
	"archive/zip"
	"bytes"
	"flag"
	"fmt"
	"io"
	"maps"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"nodespan/expr/course"
	"nodespan/expr/handout"
	"nodespan/expr/sheet"
	"nodespan/solver"
	"nodespan/solver/nodes"
	"nodespan/wasm/keep"
	"nodespan/wasm/link"
)

// folder is what the flags say about the pages of a course.
type folder struct {
	pages   string // the folder; "" for none
	page    string // the file that runs in the frames
	address string
	sheets  []string
}

// The names of the page and of the archive in the folder.
const (
	pageName    = "nodespan.html"
	archiveName = "everything.zip"
)

func (c *folder) define(f *flag.FlagSet) {
	f.StringVar(&c.pages, "pages", "", "`folder` to write the pages of a course to, one for each file: a sheet, a "+
		"file of sheets that the page has exported, or a frame that it has copied")
	f.StringVar(&c.page, "page", "", "`file` of the page, which runs in the frames of -pages; without it, "+
		pageName+" beside this command")
	f.StringVar(&c.address, "address", "", "`address` at which the folder of -pages will be, for what is pasted into "+
		"other pages")
}

func (c *folder) check(o *options, files []string) error {
	if c.pages == "" {
		if c.page != "" || c.address != "" {
			return hinted("-page and -address are for the pages of a course", "add -pages and a folder")
		}
		if len(files) > 1 {
			return hinted(fmt.Sprintf("one sheet at a time, not %d: %s", len(files), strings.Join(files, " ")),
				"flags go before the file")
		}
		return nil
	}
	if o.ladder || o.working || o.script != "" || o.numbers != "" || o.figure != "" || o.handout != "" || o.at != "" ||
		o.all || o.trace != nil || o.sentence || len(o.set) > 0 {
		return hinted("-pages writes files, and nothing else is printed", "leave out what asks for something else")
	}
	if len(files) == 0 {
		return hinted("-pages needs the files of the sheets", "name them behind the flags")
	}
	c.sheets = files
	if c.address != "" && !strings.HasSuffix(c.address, "/") {
		c.address += "/"
	}
	return nil
}

// foundSheet is a problem in a file.
type foundSheet struct {
	file  string
	title string
	link.State
}

// linked finds the link in what the page has copied: an address, or a frame.
var linked = regexp.MustCompile(`#([0-9]+\.[A-Za-z0-9_-]+)["\s]*`)

// problems reads a file.
func problems(file string, settings string) ([]foundSheet, error) {
	text, err := readFile(file, "sheet")
	if err != nil {
		return nil, err
	}
	start := strings.TrimSpace(text)
	if m := linked.FindStringSubmatch(start); m != nil && (strings.HasPrefix(start, "<iframe ") ||
		strings.HasPrefix(start, m[0]) || strings.Contains(strings.SplitN(start, "#", 2)[0], "://")) {
		s, err := link.Decode(m[1])
		if err != nil {
			return nil, fmt.Errorf("%s: %w", file, err)
		}
		return []foundSheet{{file, s.View.Title, s}}, nil
	}
	kept, err := keep.Import(filepath.Base(file), text)
	if err != nil {
		return nil, fmt.Errorf("%s is no text, or too long", file)
	}
	var list []foundSheet
	for _, k := range kept {
		s := link.State{Sheet: k.Desk.Sheet, Method: k.Desk.Method}
		if link.Settings(s.Method) == "" {
			if s.Method, err = link.ReadSettings(settings); err != nil {
				return nil, err
			}
		}
		list = append(list, foundSheet{file, k.Name, s})
	}
	if len(list) == 0 {
		return nil, fmt.Errorf("%s holds no sheet", file)
	}
	return list, nil
}

// settings writes the flags of the method as a link does.
func settings(s solver.Options) string {
	var b []string
	put := func(key, value, usual string) {
		if value != usual && value != "" {
			b = append(b, key+"="+value)
		}
	}
	put("method", string(s.Method), string(solver.Auto))
	put("family", s.Family.String(), nodes.Legendre.String())
	put("nodes", strconv.Itoa(s.Nodes), "0")
	put("elements", strconv.Itoa(s.Elements), "0")
	put("digits", strconv.Itoa(asked(s.Tol)), strconv.Itoa(asked(defaultTol)))
	put("mode", strconv.Itoa(s.Mode), "1")
	return strings.Join(b, " ")
}

// solving is what a link asks of the solver.
func (p foundSheet) solving() solver.Options {
	m := p.Method
	o := solver.Options{Method: solver.Method(m.Name), Nodes: m.Nodes, Order: m.Order, Elements: m.Elements,
		Mode: m.Mode, Tol: defaultTol}
	if m.Digits > 0 {
		o.Tol = math.Pow10(-m.Digits)
	}
	if f, err := nodes.ParseFamily(m.Family); err == nil {
		o.Family = f
	}
	return o
}

// course writes the pages of a course.
func (o *options) course(stdout, stderr io.Writer) int {
	page, err := o.readPage()
	if err != nil {
		return complain(stderr, err)
	}
	var list []course.Problem
	names := map[string]bool{"": true, "index": true, "all": true, strings.TrimSuffix(pageName, ".html"): true}
	for _, file := range o.sheets {
		found, err := problems(file, settings(o.solve))
		if err != nil {
			return complain(stderr, err)
		}
		for _, f := range found {
			p, status := f.problem(names, stderr)
			if status != solved {
				return status
			}
			list = append(list, p)
		}
	}
	title := o.draw.Title
	if title == "" {
		title = "Boundary value problems"
	}
	files, unanswered := course.Files(list, course.Options{Title: title, Page: pageName, Address: o.address,
		Archive: archiveName})
	files[pageName] = page
	if files[archiveName], err = archive(files); err == nil {
		err = o.writeAll(files)
	}
	if err != nil {
		return complain(stderr, err)
	}
	fmt.Fprintf(stdout, "%s\n", filepath.Join(o.pages, "index.html"))
	if len(unanswered) > 0 {
		return unsolved(stderr, unanswered...)
	}
	return solved
}

// problem makes a problem of the course; names are those that files have already.
func (p foundSheet) problem(names map[string]bool, stderr io.Writer) (out course.Problem, status int) {
	sh, err := sheet.Read(p.Sheet, sheet.Options{})
	if err != nil {
		draw(stderr, p.file, p.Sheet, err)
		return out, faulty
	}
	out = course.Problem{Title: p.title, Caption: p.View.Caption, Text: p.Sheet, Sheet: sh, Solve: p.solving(),
		Height: 480}
	if out.Title == "" {
		out.Title = strings.TrimSuffix(filepath.Base(p.file), filepath.Ext(p.file))
	}
	if !strings.Contains(out.Title, " ") { // the name of a file
		out.Title = course.Capital(strings.NewReplacer("-", " ", "_", " ").Replace(out.Title))
	}
	if out.Caption == "" {
		out.Caption = handout.Opening(p.Sheet)
	}
	name := fileName(out.Title)
	for out.Name = name; names[out.Name]; {
		out.Name = strings.TrimPrefix(fmt.Sprintf("%s-%d", name, len(names)), "-")
	}
	names[out.Name] = true
	view := p.View
	if !view.On {
		view = link.Usual
	}
	view.Title, view.Caption = "", "" // which stand in the page around the frame
	if view.Height > 0 {
		out.Height = view.Height
	}
	whole := p.State
	whole.View = link.View{}
	p.View = view
	frame, err := link.Encode(p.State)
	if err == nil {
		out.Frame = "#" + frame
		if frame, err = link.Encode(whole); err == nil {
			out.Whole = "#" + frame
			return out, solved
		}
	}
	return out, complain(stderr, fmt.Errorf("%s: no link can hold it: %w", p.file, err))
}

// fileName makes the name of a file from a title: what any server and any disk takes.
func fileName(title string) string {
	words := strings.FieldsFunc(strings.ToLower(title), func(r rune) bool {
		return r > unicode.MaxASCII || !unicode.IsLetter(r) && !unicode.IsDigit(r)
	})
	name := strings.Join(words, "-")
	return strings.Trim(name[:min(len(name), 40)], "-")
}

// readPage reads the page that runs in the frames.
func (c *folder) readPage() ([]byte, error) {
	file := c.page
	if file == "" {
		own, err := os.Executable()
		if err != nil {
			return nil, err
		}
		file = filepath.Join(filepath.Dir(own), pageName)
	}
	data, err := os.ReadFile(file)
	if err != nil {
		return nil, hinted(fmt.Sprintf("cannot read the page: %v", err),
			"make page builds it; -page says where it lies")
	}
	return data, nil
}

// archive packs the files for students: all but the lecturer's. The same files make the same archive.
func archive(files map[string][]byte) ([]byte, error) {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, name := range slices.Sorted(maps.Keys(files)) {
		if strings.HasPrefix(name, "lecturer/") {
			continue
		}
		w, err := z.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate})
		if err == nil {
			_, err = w.Write(files[name])
		}
		if err != nil {
			return nil, err
		}
	}
	err := z.Close()
	return b.Bytes(), err
}

// writeAll writes the files, but not over pages of others.
func (c *folder) writeAll(files map[string][]byte) error {
	index := filepath.Join(c.pages, "index.html")
	if old, err := os.ReadFile(index); err == nil && !bytes.Contains(old, []byte(course.Mark)) {
		return hinted(index+" is there, and no page of a course of this command's", "choose another folder")
	}
	var err error
	for _, name := range slices.Sorted(maps.Keys(files)) {
		file := filepath.Join(c.pages, filepath.FromSlash(name))
		if err = os.MkdirAll(filepath.Dir(file), 0o777); err == nil {
			err = os.WriteFile(file, files[name], 0o666)
		}
		if err != nil {
			return fmt.Errorf("cannot write the pages: %w", err)
		}
	}
	return nil
}

//go:build js && wasm

package page

import (
	"math"
	"strconv"
	"strings"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"nodespan/wasm/wire"
)

// What is taken away: tables, figures, programs and handouts, made in the worker by the code of the native command, and
// put on the clipboard or handed to the browser as files.

// exportPane is the section with its fields, and the options of the node table.
type exportPane struct {
	page    *page
	waiting map[int]waiting // by the request
	told    element
	copied  element
	table   tableFields
	file    fileFields
	report  reportFields
}

// waiting is a file that was asked for.
type waiting struct {
	told element // where it is said what becomes of it
	then func(wire.Reply)
}

// tableFields say which points and digits a table has.
type tableFields struct {
	form                                element
	pointsKind, digitsKind, decimalKind *dom.HTMLSelectElement
	count, at, digits, errors           *dom.HTMLInputElement
	countPart, atPart, digitsPart       element
}

// fileFields say what stands in a handout, and how large a figure is.
type fileFields struct {
	form                   element
	title                  *dom.HTMLInputElement
	note                   *dom.HTMLTextAreaElement
	preset                 *dom.HTMLSelectElement
	student                *dom.HTMLInputElement
	blanks                 element
	width, density, titled *dom.HTMLInputElement
}

// reportFields make a report line.
type reportFields struct {
	form                    element
	what, weight            *dom.HTMLSelectElement
	of, nth, from, to       *dom.HTMLInputElement
	weightPart, ends, which element
	told                    element
}

func (p *page) newExportPane() *exportPane {
	t := &exportPane{page: p, waiting: map[int]waiting{}, told: plain("taken"), copied: plain("copied-table")}
	t.table = tableFields{
		form:       plain("table-options"),
		pointsKind: choice("points-kind"), digitsKind: choice("digits-kind"), decimalKind: choice("decimal-kind"),
		count: input("points-count"), at: input("points-at"), digits: input("digits-count"),
		errors:    input("with-errors"),
		countPart: plain("points-count-part"), atPart: plain("points-at-part"), digitsPart: plain("digits-count-part"),
	}
	t.file = fileFields{
		form: plain("take-form"), title: input("take-title-text"), note: area("take-note"),
		preset: choice("take-preset"), student: input("student"), blanks: plain("blanks"),
		width: input("figure-width"), density: input("figure-density"), titled: input("figure-titled"),
	}
	t.report = reportFields{
		form: plain("report-form"), what: choice("report-what"), weight: choice("report-weight"),
		of: input("report-of"), nth: input("report-nth"), from: input("report-from"), to: input("report-to"),
		weightPart: plain("report-weight-part"), ends: plain("report-ends"), which: plain("report-which"),
		told: plain("report-told"),
	}
	onEach(rawDoc, "button[data-save]", "data-save", t.saveTable)
	onEach(rawDoc, "button[data-take]", "data-take", t.saveFile)
	on(t.table.form, "submit", func(e *dom.BasicEvent) { e.PreventDefault() })
	on(t.table.form, "input", func(*dom.BasicEvent) { t.arrange() })
	on(t.file.form, "submit", func(e *dom.BasicEvent) { e.PreventDefault() })
	on(t.file.student.BasicHTMLElement, "change", func(*dom.BasicEvent) { t.arrange() })
	on(t.report.form, "submit", func(e *dom.BasicEvent) {
		e.PreventDefault()
		p.addReport()
	})
	on(t.report.what.BasicHTMLElement, "input", func(*dom.BasicEvent) { t.arrange() })
	t.arrange()
	return t
}

// arrange shows the fields that belong to what is chosen.
func (t *exportPane) arrange() {
	show(t.table.countPart, t.table.pointsKind.Value() == "spaced")
	show(t.table.atPart, t.table.pointsKind.Value() == "at")
	show(t.table.digitsPart, t.table.digitsKind.Value() == "fixed")
	show(t.file.blanks, t.file.student.Checked())
	what := t.report.what.Value()
	show(t.report.weightPart, what == "integral" || what == "mean")
	show(t.report.ends, what != "zero")
	show(t.report.which, what == "zero")
}

// tableOptions gathers the fields of the node table.
func (t *exportPane) tableOptions() wire.ExportOptions {
	f := &t.table
	w := wire.ExportOptions{What: "table", Comma: f.decimalKind.Value() == "comma", Errors: f.errors.Checked()}
	switch f.pointsKind.Value() {
	case "spaced":
		w.Points = number(f.count)
	case "at":
		w.At = written(f.at.Value())
	}
	switch f.digitsKind.Value() {
	case "all":
		w.Digits = 17
	case "fixed":
		w.Digits = number(f.digits)
	}
	return w
}

// request asks for a file, in spare time where it takes long.
func (t *exportPane) request(w wire.ExportOptions, spare bool, told element, done func(wire.Reply)) {
	if why := t.page.standing().why(); why != "" {
		setText(told, why)
		return
	}
	then := func(r wire.Reply) {
		if r.Text == "" {
			if r.Words == "" {
				r.Words = "There is nothing to take away."
			}
			setText(told, r.Words)
			return
		}
		done(r)
	}
	q := wire.Request{Kind: wire.Export, Export: &w}
	if spare {
		setText(told, "Making the file …")
		t.waiting[t.page.askSpare(topics, q)] = waiting{told, then}
	} else {
		t.waiting[t.page.ask(topics, q)] = waiting{told, then}
	}
}

// leave gives up what was asked for: it would belong to a sheet that is not there any more.
func (t *exportPane) leave(why string) {
	for _, w := range t.waiting {
		setText(w.told, why)
	}
	clear(t.waiting)
}

func (t *exportPane) receive(r wire.Reply) {
	if w, known := t.waiting[r.ID]; known {
		delete(t.waiting, r.ID)
		w.then(r)
	}
}

func (t *exportPane) copyTable(format string) {
	told := t.copied
	w := t.tableOptions()
	w.Format = format
	t.request(w, false, told, func(r wire.Reply) { copyText(r.Text, told, "Copied "+rowsOf(r.Rows)) })
}

func (t *exportPane) saveTable(format string) {
	told := t.copied
	w := t.tableOptions()
	w.Format = format
	t.request(w, false, told, func(r wire.Reply) {
		save(r.File, r.Text)
		setText(told, "Asked the browser to save "+rowsOf(r.Rows)+" as "+r.File.Name)
	})
}

func rowsOf(n int) string {
	if n == 1 {
		return "1 row"
	}
	return strconv.Itoa(n) + " rows"
}

// saveFile makes and saves what a button of the section says: a thing, and its format where there are several.
func (t *exportPane) saveFile(button string) {
	what, format, _ := strings.Cut(button, "-")
	w := wire.ExportOptions{What: what}
	switch what {
	case "handout":
		w = t.tableOptions()
		w.What, w.Errors = what, false
		w.Preset = t.file.preset.Value()
		w.Title, w.Note = written(t.file.title.Value()), written(t.file.note.Value())
		if t.file.student.Checked() {
			list := t.file.blanks.Call("querySelectorAll", "input:checked")
			for i := range list.Length() {
				w.Blank = append(w.Blank, list.Index(i).Get("value").String())
			}
			if len(w.Blank) == 0 {
				setText(t.told, "Choose what the student version leaves blank.")
				return
			}
		}
	case "figure", "ladder":
		w.Width = float64(number(t.file.width))
		if w.Width == 0 {
			setText(t.told, "The width of a figure is between 240 and 4000 pixels.")
			return
		}
		w.Derivatives = t.page.figure.derivatives.Checked()
		if t.file.titled.Checked() {
			w.Title = written(t.file.title.Value())
		}
	}
	w.Format = format
	pixels := format == "png"
	if pixels || format == "" {
		w.Format = "svg" // which the browser turns into pixels
	}
	t.request(w, true, t.told, func(r wire.Reply) {
		if pixels {
			t.savePNG(r.Text, strings.TrimSuffix(r.File.Name, w.Format)+format)
			return
		}
		save(r.File, r.Text)
		setText(t.told, "Asked the browser to save "+r.File.Name)
	})
}

// save hands a text to the browser as a file.
func save(f wire.File, text string) {
	saveBlob(f.Name, js.Global().Get("Blob").New([]any{text}, map[string]any{"type": f.Media + ";charset=utf-8"}))
}

func saveBlob(name string, blob js.Value) {
	url := js.Global().Get("URL").Call("createObjectURL", blob)
	a := node("a", "")
	a.Set("href", url)
	a.Set("download", name)
	rawDoc.Get("body").Call("appendChild", a)
	a.Call("click")
	a.Call("remove")
	var release *timer
	release = newTimer(func() {
		js.Global().Get("URL").Call("revokeObjectURL", url)
		release.f.Release()
	})
	release.start(60_000) // the browser may ask the reader where to put it
}

// savePNG has the browser draw a vector file as pixels.
func (t *exportPane) savePNG(svg, name string) {
	density := numeral(t.file.density)
	if math.IsNaN(density) {
		setText(t.told, "The density of a figure is between 0.5 and 8.")
		return
	}
	blob := js.Global().Get("Blob").New([]any{svg}, map[string]any{"type": "image/svg+xml;charset=utf-8"})
	url := js.Global().Get("URL").Call("createObjectURL", blob)
	image := js.Global().Get("Image").New()
	var loaded, failed, drawn js.Func
	end := func(text string) {
		js.Global().Get("URL").Call("revokeObjectURL", url)
		loaded.Release()
		failed.Release()
		drawn.Release()
		setText(t.told, text)
	}
	refused := "The browser could not draw the picture; the vector file holds the same."
	of := t.page.shown
	drawn = js.FuncOf(func(_ js.Value, args []js.Value) any {
		if of != t.page.shown || t.page.standing() != ofThis {
			end(before.why())
			return nil
		}
		if !args[0].Truthy() {
			end(refused)
			return nil
		}
		saveBlob(name, args[0])
		end("Asked the browser to save " + name)
		return nil
	})
	loaded = js.FuncOf(func(js.Value, []js.Value) any {
		width, height := image.Get("width").Float()*density, image.Get("height").Float()*density
		canvas := node("canvas", "")
		canvas.Set("width", math.Round(width))
		canvas.Set("height", math.Round(height))
		context := canvas.Call("getContext", "2d")
		if !context.Truthy() {
			end(refused)
			return nil
		}
		context.Call("drawImage", image, 0, 0, math.Round(width), math.Round(height))
		canvas.Call("toBlob", drawn, "image/png")
		return nil
	})
	failed = js.FuncOf(func(js.Value, []js.Value) any { end(refused); return nil })
	image.Set("onload", loaded)
	image.Set("onerror", failed)
	image.Set("src", url)
}

// numeral reads a field that need not be whole; NaN where it is empty or out of the field's own range.
func numeral(e *dom.HTMLInputElement) float64 {
	v, err := strconv.ParseFloat(written(e.Value()), 64)
	if err != nil || !e.CheckValidity() {
		return math.NaN()
	}
	return v
}

// addReport writes a report below the sheet, from the fields of its form, and solves.
func (p *page) addReport() {
	fields := &p.exports.report
	told := fields.told
	if why := p.standing().why(); why != "" {
		setText(told, why)
		return
	}
	f := written(fields.of.Value())
	if f == "" {
		f = p.figure.curves.Columns[0].Label
	}
	what := fields.what.Value()
	arguments := []string{f}
	x := p.figure.curves.Variable
	weight := map[string]string{"": "", "1": x, "2": x + "^2"}[fields.weight.Value()]
	switch {
	case what == "zero":
		if n := number(fields.nth); n > 1 {
			arguments = append(arguments, strconv.Itoa(n))
		}
	case what == "mean" && weight != "":
		arguments = append(arguments, weight)
	case what == "integral" && weight != "":
		arguments[0] = weight + " (" + f + ")"
	}
	if a, b := written(fields.from.Value()), written(fields.to.Value()); what != "zero" && (a != "" || b != "") {
		if a == "" || b == "" {
			setText(told, "Give both ends of the interval, or none for the whole one.")
			return
		}
		arguments = append(arguments, a, b)
	}
	list := "(" + strings.Join(arguments, ", ") + ")"
	line := "report " + what + list
	if what == "largest" || what == "smallest" {
		line += "\nreport " + what + "_at" + list
	}
	text := p.sheet.text()
	end := len(strings.TrimRight(text, " \t\r\n"))
	had := rawDoc.Get("activeElement")
	p.sheet.write(wire.Span{From: end, To: len(text)}, "\n"+line)
	had.Call("focus")
	setText(told, "Added to the sheet: "+strings.ReplaceAll(line, "\n", "; "))
	p.solveNow()
}

// Package link writes a problem into the fragment of an address and reads it back.
//
// A fragment is never sent to a server. It reads
//
//	1.PAYLOAD      PAYLOAD = base64url, without padding, of the DEFLATE of
//
//	method=one family=chebyshev nodes=5 elements=2 digits=10
//	the sheet, as it stands
//
// where 1 is the version of this form and the first line leaves out what is left to the solver. A link that says what
// is shown of the page has version 2, and three lines more before the sheet:
//
//	method=one nodes=5
//	show=answer,figure sheet=hidden sliders=Bi,h method=free theme=dark height=400
//	the title
//	the caption
//	the sheet, as it stands
//
// Anyone can write a fragment, so reading one trusts nothing: its length, the length it unpacks to and every value in
// it are bounded.
//
// The package knows no document and no mathematics.
package link

import (
	"bytes"
	"compress/flate"
	"encoding/base64"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"nodespan/solver/nodes"
	"nodespan/wasm/wire"
)

// Limits, in bytes.
const (
	MaxSheet = 20_000 // a sheet of several hundred lines
	// addresses of this length still pass through the browsers and learning platforms of today (from memory)
	MaxFragment = 16_000
	maxText     = MaxSheet + MaxTitle + MaxCaption + maxNames + 400
)

// State is what a link holds.
type State struct {
	Sheet  string
	Method wire.Method
	View   View
}

// Errors of Encode and Decode. ErrNone means that there is no link, which is no fault.
var (
	ErrNone    = errors.New("link: no problem in the address")
	ErrVersion = errors.New("link: written by a newer version")
	ErrLong    = errors.New("link: too long")
	ErrDamaged = errors.New("link: damaged or cut short")
)

// Encode returns the fragment, without "#".
func Encode(s State) (string, error) {
	if err := s.check(); err != nil {
		return "", err
	}
	var b bytes.Buffer
	z, err := flate.NewWriter(&b, flate.BestCompression)
	if err != nil {
		return "", err
	}
	if _, err := io.WriteString(z, s.text()); err != nil {
		return "", err
	}
	if err := z.Close(); err != nil {
		return "", err
	}
	prefix := "1."
	if s.View.On {
		prefix = "2."
	}
	fragment := prefix + base64.RawURLEncoding.EncodeToString(b.Bytes())
	if len(fragment) > MaxFragment {
		return "", ErrLong
	}
	return fragment, nil
}

// Decode reads a fragment, with or without its "#".
func Decode(fragment string) (State, error) {
	fragment = strings.TrimPrefix(fragment, "#")
	version, payload, found := strings.Cut(fragment, ".")
	if !found || version == "" || strings.Trim(version, "0123456789") != "" {
		return State{}, ErrNone
	}
	if version != "1" && version != "2" {
		return State{}, ErrVersion
	}
	if len(fragment) > MaxFragment {
		return State{}, ErrLong
	}
	raw, err := base64.RawURLEncoding.Strict().DecodeString(payload)
	if err != nil {
		return State{}, ErrDamaged
	}
	text, err := io.ReadAll(io.LimitReader(flate.NewReader(bytes.NewReader(raw)), maxText+1))
	if err != nil {
		return State{}, ErrDamaged
	}
	if len(text) > maxText {
		return State{}, ErrLong
	}
	s, err := parse(string(text), version == "2")
	if err != nil {
		return State{}, err
	}
	if err := s.check(); err != nil {
		return State{}, err
	}
	return s, nil
}

// text writes a state; parse reads it.
func (s State) text() string {
	text := Settings(s.Method) + "\n"
	if s.View.On {
		text += s.View.text() + "\n"
	}
	return text + s.Sheet
}

// Settings writes a method as the first line of a link does; ReadSettings reads it, and trusts nothing.
func Settings(m wire.Method) string {
	var list []string
	put := func(key, value string) {
		if value != "" && value != "0" {
			list = append(list, key+"="+value)
		}
	}
	put("method", m.Name)
	put("family", m.Family)
	put("order", strconv.Itoa(m.Order))
	put("nodes", strconv.Itoa(m.Nodes))
	put("elements", strconv.Itoa(m.Elements))
	put("digits", strconv.Itoa(m.Digits))
	put("mode", strconv.Itoa(m.Mode))
	return strings.Join(list, " ")
}

func parse(text string, views bool) (State, error) {
	settings, sheet, found := strings.Cut(text, "\n")
	if !found {
		return State{}, ErrDamaged
	}
	var v View
	if views {
		var err error
		if v, sheet, err = parseView(sheet); err != nil {
			return State{}, err
		}
	}
	m, err := ReadSettings(settings)
	return State{Sheet: sheet, Method: m, View: v}, err
}

// ReadSettings reads what Settings wrote.
func ReadSettings(settings string) (wire.Method, error) {
	var m wire.Method
	for _, setting := range strings.Fields(settings) {
		key, value, _ := strings.Cut(setting, "=")
		number := map[string]*int{
			"order": &m.Order, "nodes": &m.Nodes, "elements": &m.Elements,
			"digits": &m.Digits, "mode": &m.Mode,
		}[key]
		switch {
		case number != nil:
			n, err := strconv.Atoi(value)
			if err != nil {
				return wire.Method{}, ErrDamaged
			}
			*number = n
		case key == "method":
			m.Name = value
		case key == "family":
			m.Family = value
		default:
			return wire.Method{}, ErrDamaged
		}
	}
	return m, CheckMethod(m)
}

// check holds a state to what the page itself can make.
func (s State) check() error {
	if len(s.Sheet) > MaxSheet {
		return ErrLong
	}
	if all := s.Sheet + s.View.text(); !utf8.ValidString(all) || strings.ContainsRune(all, 0) {
		return fmt.Errorf("%w: the sheet is not text", ErrDamaged)
	}
	if err := s.View.check(); err != nil {
		return err
	}
	return CheckMethod(s.Method)
}

// CheckMethod holds a method to what the page's own sentence can say.
func CheckMethod(m wire.Method) error {
	switch {
	case !oneOf(m.Name, "", "one", "pieces", "differences"):
		return fmt.Errorf("%w: method %q", ErrDamaged, m.Name)
	case m.Family != "" && !slices.Contains(nodes.Names()[1:], m.Family):
		return fmt.Errorf("%w: family %q", ErrDamaged, m.Family)
	case m.Nodes < 0 || m.Nodes > wire.MaxNodes, m.Elements < 0 || m.Elements > wire.MaxElements,
		m.Digits < 0 || m.Digits > wire.MaxDigits,
		m.Order < 0 || m.Order > 8 || m.Order%2 != 0, m.Mode < 0 || m.Mode > wire.MaxModes:
		return fmt.Errorf("%w: a number out of range", ErrDamaged)
	}
	return nil
}

//go:noinline
func oneOf(s string, list ...string) bool { return slices.Contains(list, s) }

//go:build js && wasm

package page

import (
	"errors"
	"syscall/js"
)

// browserStorage is the browser's storage for this page's origin (dom has no type for it). Merely asking for it throws
// where site data are blocked, and setting something where it is full, so every call is tried.
type browserStorage struct{}

var errNoStorage = errors.New("page: the browser keeps nothing here")

// try runs what may throw.
func try(f func()) (err error) {
	defer func() {
		if r := recover(); r != nil {
			thrown, ok := r.(js.Error)
			if !ok {
				panic(r)
			}
			err = thrown
		}
	}()
	f()
	return nil
}

// with tries something with the storage.
func (browserStorage) with(f func(storage js.Value)) (err error) {
	thrown := try(func() {
		// by a call, as what a plain Get throws is not caught
		if s := js.Global().Get("Reflect").Call("get", js.Global(), "localStorage"); s.Truthy() {
			f(s)
		} else {
			err = errNoStorage
		}
	})
	return errors.Join(err, thrown)
}

func (b browserStorage) Keys() (keys []string, err error) {
	err = b.with(func(s js.Value) {
		for i := range s.Length() {
			keys = append(keys, s.Call("key", i).String())
		}
	})
	return keys, err
}

func (b browserStorage) Get(key string) (value string, found bool, err error) {
	err = b.with(func(s js.Value) {
		if v := s.Call("getItem", key); v.Type() == js.TypeString {
			value, found = v.String(), true
		}
	})
	return value, found, err
}

func (b browserStorage) Set(key, value string) error {
	return b.with(func(s js.Value) { s.Call("setItem", key, value) })
}

func (b browserStorage) Remove(key string) error {
	return b.with(func(s js.Value) { s.Call("removeItem", key) })
}
